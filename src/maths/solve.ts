/** Root finding and minimising on an interval, the one place for both. */

/**
 * Halves an interval at whose one end a condition holds and at whose other end it does not.
 * @param holds      the condition, changing once between the ends
 * @param good, bad  the end where it holds and the end where it does not, in either order
 * @param steps      how often to halve at most: each gives one binary digit of bad - good
 * @param within     ends this close to each other are close enough
 * @returns `[good, bad]`: the last place found where it holds and the last where it does not
 */
export function bisect(
  holds: (x: number) => boolean,
  good: number,
  bad: number,
  steps: number,
  within = 0,
): [good: number, bad: number] {
  for (let i = 0; i < steps && Math.abs(bad - good) > within; i++) {
    const middle = (good + bad) / 2;
    if (holds(middle)) good = middle;
    else bad = middle;
  }
  return [good, bad];
}

const GOLDEN = (Math.sqrt(5) - 1) / 2;

/**
 * Place of the minimum of a function with one minimum between two ends, by golden section.
 * @param steps  how often to shorten the interval, to 0.618 of its length each time
 */
export function minimise(
  f: (x: number) => number,
  low: number,
  high: number,
  steps: number,
): number {
  let [a, b] = [high - GOLDEN * (high - low), low + GOLDEN * (high - low)];
  let [fa, fb] = [f(a), f(b)];
  for (let i = 0; i < steps; i++) {
    if (fa < fb) {
      [high, b, fb] = [b, a, fa];
      a = high - GOLDEN * (high - low);
      fa = f(a);
    } else {
      [low, a, fa] = [a, b, fb];
      b = low + GOLDEN * (high - low);
      fb = f(b);
    }
  }
  return (low + high) / 2;
}

/** The member whose figure is least, the first of equals; null where there is none. */
export function leastOf<T>(list: readonly T[], figure: (member: T) => number): T | null {
  return list.reduce<T | null>(
    (best, one) => (best === null || figure(one) < figure(best) ? one : best),
    null,
  );
}
