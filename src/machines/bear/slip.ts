/**
 * How much force a rotor bears before it slips, with the field's spring as it is: a sine.
 *
 * With the lag p + sum_k a_k sin(k u + ...), in radians of the field's period, the spring's mean and
 * its part at each swing are (describing functions of a sine; Abramowitz and Stegun, 9.1.42-43)
 *
 *   mean      F sin p P,                          P = product of all J0(a_k)
 *   swing k   F cos p (2 J1(a_k) / a_k) P_k a_k,  P_k = P / J0(a_k)
 *
 * So swings take from the thrust and soften the spring, and a soft spring meets other frequencies.
 * The bent spring also makes swings of its own, at twice a frequency 2 J2(a) sin p F and at sums and
 * differences of two; they are added without regard to phase. It slips where no such motion exists,
 * where the lag passes the field's far side (p + sum a_k > pi - p), or where a swing pumps one of half
 * its frequency: the stiffness there is less than the part J1(a) sin p F by which it wavers (Mathieu).
 */
import type { RotorAnswer } from './chain.js';

/** One swing of the force and what the rotor feels at its frequency. */
export interface Swing {
  /** Of the force at the head. N */
  readonly forceN: number;
  readonly answer: RotorAnswer;
  /** At half its frequency. */
  readonly half: RotorAnswer;
}

/** Terms of the series of J0, J1, J2 in (a/2)^2: exact to 1e-6 up to `MOST_SWING`. */
const TERMS = 9;
/** Below this two of them do. */
const SLIGHT = 1e-3;
/** No swing is larger: J0 has passed its zero. rad */
const MOST_SWING = 3;

/** J_n(a) (2/a)^n n!, the power series (Abramowitz and Stegun, 9.1.10). */
function besselShare(n: number, a: number): number {
  const y = (-a * a) / 4;
  if (y > -SLIGHT) return 1 + y / (1 + n);
  let term = 1;
  let sum = 1;
  for (let k = 1; k < TERMS; k++) {
    term *= y / (k * (k + n));
    sum += term;
  }
  return sum;
}

/** Steps towards the motion, how far each goes, and when it is found. rad */
const STEPS = 100;
const RELAX = 0.5;
const FOUND_RAD = 1e-3;

const MOST = 32;
const size = new Float64Array(MOST);
const j0 = new Float64Array(MOST);
const j1 = new Float64Array(MOST);
const made = new Float64Array(MOST);

/**
 * Whether the rotor holds.
 * @param meanN    mean force and what else pulls steadily, N
 * @param swings   of the turn's 1st, 2nd, ... multiple
 * @param scale    factor on the swings
 */
function holds(thrustN: number, meanN: number, swings: readonly Swing[], scale: number): boolean {
  const n = swings.length;
  size.fill(0, 0, n);
  for (let step = 0; step < STEPS; step++) {
    let product = 1;
    for (let k = 0; k < n; k++) {
      j0[k] = besselShare(0, size[k]!);
      j1[k] = besselShare(1, size[k]!) / 2; // J1(a) / a
      product *= j0[k]!;
    }
    const sine = meanN / (thrustN * product);
    if (!(product > 0) || sine >= 1) return false;
    const cosine = Math.sqrt(1 - sine * sine);
    addOwnSwings(n, sine * product);
    let moved = 0;
    let sum = 0;
    for (let k = 0; k < n; k++) {
      const { answer, forceN } = swings[k]!;
      const push = (answer.reach * forceN * scale) / thrustN + made[k]!;
      const spring = (2 * j1[k]! * product * cosine) / j0[k]!;
      const by = RELAX * (push / Math.hypot(answer.re + spring, answer.im) - size[k]!);
      size[k]! += by;
      sum += size[k]!;
      moved = Math.max(moved, Math.abs(by));
      if (!(size[k]! < MOST_SWING)) return false;
    }
    if (moved > FOUND_RAD) continue;
    return 2 * Math.asin(sine) + sum < Math.PI && !pumped(swings, sine * product, cosine * product);
  }
  return false;
}

/** Pushes at each multiple that the bent spring makes of the swings, over the thrust, in `made`. */
function addOwnSwings(n: number, bend: number): void {
  made.fill(0, 0, n);
  for (let k = 0; k < n; k++) {
    const own = (j1[k]! * size[k]!) / j0[k]!;
    if (own === 0) continue;
    const twice = 2 * k + 1;
    if (twice < n) {
      const j2 = (besselShare(2, size[k]!) * size[k]! * size[k]!) / 8;
      made[twice]! += (2 * j2 * bend) / j0[k]!;
    }
    for (let l = 0; l < k; l++) {
      const both = (2 * own * j1[l]! * size[l]! * bend) / j0[l]!;
      if (k + l + 1 < n) made[k + l + 1]! += both;
      made[k - l - 1]! += both;
    }
  }
}

/** Whether any swing pumps one of half its frequency. */
function pumped(swings: readonly Swing[], bend: number, spring: number): boolean {
  return swings.some(({ half }, k) => {
    const wavers = (j1[k]! * size[k]! * bend) / j0[k]!;
    return Math.hypot(half.re + spring, half.im) < wavers;
  });
}

const HALVINGS = 9;

/**
 * Factor on a cutting force at which the rotor slips.
 * @param steadyN  what pulls besides the cutting force, N
 * @param meanN    of the cutting force, the overshoot of an entry in it, N, > 0
 * @param least    factor that it is known to bear
 * @returns        the greatest factor found to hold; `least` when nothing above it does
 */
export function slipFactor(
  thrustN: number,
  steadyN: number,
  meanN: number,
  swings: readonly Swing[],
  least: number,
): number {
  let low = least;
  let high = (thrustN - steadyN) / meanN;
  for (let i = 0; i < HALVINGS && high > low * 1.01; i++) {
    const factor = Math.sqrt(low * high);
    if (holds(thrustN, steadyN + factor * meanN, swings, factor)) low = factor;
    else high = factor;
  }
  return low;
}
