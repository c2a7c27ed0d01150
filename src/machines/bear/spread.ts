/** How well a profile's figures are known, as sigmas of their logarithm. */
import type { AxisName, Machine } from '../../model/machine.js';

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

function isMeasured(machine: Machine, path: string): boolean {
  return /^measured\b/i.test(machine.provenance[path] ?? '');
}

/** Spread of an axis's thrust. */
export function thrustSigma(machine: Machine, axis: AxisName): number {
  return isMeasured(machine, `thrustN.${axis}`) ? MEASURED_SIGMA : GUESSED_SIGMA;
}

/** Spread of another figure, by its path in the profile. */
export function figureSigma(machine: Machine, path: string, kind: keyof typeof SPREADS): number {
  return isMeasured(machine, path) ? MEASURED_SPREAD : SPREADS[kind];
}
