/**
 * Figures that are known to a factor, and a fixed set of machines drawn from them.
 *
 * A figure is taken as log-normal: two machines in three lie within `factor` of the median. The set
 * is an additive recurrence (fractional parts of n g^-1, n g^-2, ... with g the root of
 * x^(d+1) = x + 1), which fills a cube of d figures more evenly than chance does and is the same at
 * every call. Source: M. Roberts, The unreasonable effectiveness of quasirandom sequences (2018),
 * from memory.
 */
import { normalQuantile } from '../../maths/normal.js';
import { type AxisName, type Machine, isMeasured } from '../../model/machine.js';

/** A figure and how well it is known. */
export interface Spread {
  readonly median: number;
  /** Two values in three lie within this factor; 1 is known exactly. */
  readonly factor: number;
}

/** Root of x^(d+1) = x + 1 that is above 1. */
function harmonious(dimensions: number): number {
  let g = 1.5;
  for (let i = 0; i < 60; i++) g = Math.pow(1 + g, 1 / (dimensions + 1));
  return g;
}

/**
 * Draws of several figures at once.
 * @param spreads  the figures
 * @param members  how many draws
 * @param offset   where the recurrence starts, so that two sets are apart from each other
 * @returns        one array of `members` values for each figure, in order
 */
export function draws(
  spreads: readonly Spread[],
  members: number,
  offset = 0.5,
): readonly Float64Array[] {
  const g = harmonious(spreads.length);
  return spreads.map(({ median, factor }, k) => {
    const step = Math.pow(g, -(k + 1));
    const sigma = Math.log(factor);
    return Float64Array.from({ length: members }, (_, n) => {
      const share = (offset + (n + 1) * step) % 1;
      return sigma === 0 ? median : median * Math.exp(sigma * normalQuantile(share));
    });
  });
}

/** Sigma of ln(thrust) where the profile's thrust is derived or remembered: two in three machines
 *  within a factor of 1.5 of it. Common practice, no source. */
export const GUESSED_SIGMA = 0.4;

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
  if (factor !== null) return Math.log(factor);
  return isMeasured(machine, `thrustN.${axis}`) ? MEASURED_SIGMA : GUESSED_SIGMA;
}

/** Spread of another figure, by its path in the profile. */
export function figureSigma(machine: Machine, path: string, kind: keyof typeof SPREADS): number {
  return isMeasured(machine, path) ? MEASURED_SPREAD : SPREADS[kind];
}
