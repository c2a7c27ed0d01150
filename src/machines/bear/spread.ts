/**
 * Figures that are known to a factor, and a fixed set of machines drawn from them.
 *
 * A figure is taken as log-normal: two machines in three lie within `factor` of the median. Of n
 * machines each figure has n values of equal probability, one a machine (Latin hypercube); which
 * machine gets which follows from the fractional parts of k sqrt(prime), one prime a figure (Richtmyer's
 * sequence), so that the figures do not go together and the set is the same at every call.
 * Source: McKay, Beckman and Conover 1979; Niederreiter, Random number generation, 1992; from memory.
 */
import { log, pow } from '../../maths/elementary.js';
import { normalQuantile } from '../../maths/normal.js';
import { type AxisName, isMeasured, LOADED_AXES, type Machine } from '../../model/machine.js';

/** A figure and how well it is known. */
export interface Spread {
  readonly median: number;
  /** Two values in three lie within this factor; 1 is known exactly. */
  readonly factor: number;
}

/** The first n primes. */
function primes(n: number): readonly number[] {
  const found: number[] = [];
  for (let p = 2; found.length < n; p++) if (found.every((q) => p % q !== 0)) found.push(p);
  return found;
}

/** Standard normal scores of a set of machines: one array of as many values as machines for each
 *  figure. */
export type Scores = readonly Float64Array[];

/**
 * Scores of several figures at once.
 * @param members  how many draws
 * @param offset   where the sequence starts, so that two sets are apart from each other
 */
export function normalScores(figures: number, members: number, offset = 0): Scores {
  const scores = Array.from({ length: members }, (_, i) => normalQuantile((i + 0.5) / members));
  return primes(figures).map((prime) => {
    const step = Math.sqrt(prime);
    const keys = Float64Array.from({ length: members }, (_, n) => (offset + (n + 1) * step) % 1);
    const order = [...keys.keys()].sort((a, b) => keys[a]! - keys[b]!);
    const values = new Float64Array(members);
    order.forEach((n, i) => (values[n] = scores[i]!));
    return values;
  });
}

/** The figures at their scores: one array for each, in order. */
export function drawnAt(spreads: readonly Spread[], scores: Scores): readonly Float64Array[] {
  return spreads.map(({ median, factor }, k) => scores[k]!.map((z) => median * pow(factor, z)));
}

/** Draws of several figures at once, see {@link normalScores}. */
export function draws(
  spreads: readonly Spread[],
  members: number,
  offset = 0,
): readonly Float64Array[] {
  return drawnAt(spreads, normalScores(spreads.length, members, offset));
}

/** Sigma of ln(thrust) where the profile's thrust is derived or remembered: two in three machines
 *  within a factor of 1.5 of it. Common practice, no source. */
const GUESSED_SIGMA = 0.4;

/** The same where the thrust was measured at standstill: what running takes off it. Common
 *  practice, no source. */
export const MEASURED_SIGMA = 0.15;

/** Of stiffness, masses, damping and friction, unless measured: two in three within a factor of
 *  1.35, 1.2, 1.55 and 1.35. Our own judgement; bolted frames and bare motors are quoted so. */
const SPREADS = { stiffness: 0.3, mass: 0.2, damping: 0.45, friction: 0.3 } as const;
/** Of any of them once it was measured. Our own judgement. */
const MEASURED_SPREAD = 0.1;

/** Spread of an axis's thrust. */
export function thrustSigma(machine: Machine, axis: AxisName): number {
  const factor = machine.thrustSpread[axis];
  if (factor !== null) return log(factor);
  return isMeasured(machine, `thrustN.${axis}`) ? MEASURED_SIGMA : GUESSED_SIGMA;
}

/** Whether the thrust of X and Y is known as well as a measurement would have it. */
export function isThrustMeasured(machine: Machine): boolean {
  return LOADED_AXES.every((axis) => thrustSigma(machine, axis) <= MEASURED_SIGMA + 1e-9);
}

/** Spread of another figure, by its path in the profile. */
export function figureSigma(machine: Machine, path: string, kind: keyof typeof SPREADS): number {
  return isMeasured(machine, path) ? MEASURED_SPREAD : SPREADS[kind];
}
