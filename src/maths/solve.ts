/** Root finding and minimising on an interval, the one place for both. */

/**
 * Halves an interval at whose lower end a condition holds and at whose upper end it does not.
 * @param holds  the condition, monotone between the ends
 * @param steps  how often to halve: each gives one binary digit of high - low
 * @returns `[low, high]`: the last place found where it holds and the first where it does not
 */
export function bisect(
  holds: (x: number) => boolean,
  low: number,
  high: number,
  steps: number,
): [low: number, high: number] {
  for (let i = 0; i < steps; i++) {
    const middle = (low + high) / 2;
    if (holds(middle)) low = middle;
    else high = middle;
  }
  return [low, high];
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
