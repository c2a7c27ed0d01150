/** Thrust of an axis: what it has, what cutting may use of it, and what drives give. */
import { TURN_RAD, radFromDeg } from '../../maths/angle.js';
import { S_PER_MIN } from '../../maths/motion.js';
import type { AxisName, Machine } from '../../model/machine.js';

/**
 * Thrust at which the axis loses steps, at a feed.
 * Linear between the profile's points; flat below the first; falls as 1/feed beyond the last, as
 * a stepper's torque does once its inductance limits the current.
 * @returns N
 */
export function thrustAtN(machine: Machine, axis: AxisName, feedMmPerMin: number): number {
  const curve = machine.thrustN[axis];
  const first = curve[0];
  const last = curve[curve.length - 1];
  if (first === undefined || last === undefined) return 0;
  if (feedMmPerMin <= first[0]) return first[1];
  if (feedMmPerMin >= last[0]) return last[0] > 0 ? (last[1] * last[0]) / feedMmPerMin : last[1];
  for (let i = 1; i < curve.length; i++) {
    const b = curve[i] as readonly [number, number];
    if (feedMmPerMin <= b[0]) {
      const a = curve[i - 1] as readonly [number, number];
      return a[1] + ((b[1] - a[1]) * (feedMmPerMin - a[0])) / (b[0] - a[0]);
    }
  }
  return last[1];
}

/** The curve of an axis with another thrust at standstill, falling with speed as before; N to a
 *  tenth. */
export function thrustFrom(
  machine: Machine,
  axis: AxisName,
  standstillN: number,
): Machine['thrustN'][AxisName] {
  const scale = standstillN / thrustAtN(machine, axis, 0);
  return machine.thrustN[axis].map(
    ([feed, thrust]) => [feed, Math.max(1, Math.round(thrust * scale * 10) / 10)] as const,
  );
}

/** Force that moving the axis takes without any cutting: friction, and mass times acceleration. */
export function motionForceN(machine: Machine, axis: AxisName): number {
  return (
    machine.frictionN[axis] +
    (machine.movingMassKg[axis] * machine.accelerationMmPerS2[axis]) / 1000
  );
}

/**
 * Cutting force the axis may be given at a feed: the thrust left after friction and acceleration,
 * times the share that the profile allows. Never below 0. N
 */
export function allowedForceN(machine: Machine, axis: AxisName, feedMmPerMin: number): number {
  const left = thrustAtN(machine, axis, feedMmPerMin) - motionForceN(machine, axis);
  return Math.max(0, left * machine.limits.thrustShare);
}

/** Thrust of a screw, F = 2 pi eta T / lead. N (THK, Efficiency and thrust; T in N m). */
export function screwThrustN(torqueNm: number, leadMm: number, efficiency: number): number {
  return (TURN_RAD * efficiency * torqueNm * 1000) / leadMm;
}

/** Thrust of a toothed belt, F = T / r with r = teeth pitch / (2 pi). N */
export function beltThrustN(torqueNm: number, pulleyTeeth: number, beltPitchMm: number): number {
  return (torqueNm * 1000 * TURN_RAD) / (pulleyTeeth * beltPitchMm);
}

/** Screw geometry for torque and efficiency. */
export interface Screw {
  readonly leadMm: number;
  readonly meanDiameterMm: number;
  /** Friction of the thread. */
  readonly mu: number;
  /** Half the thread angle: 0 square, 15 metric trapezoidal, 14.5 Acme. deg */
  readonly halfAngleDeg: number;
}

/**
 * Efficiency of a sliding screw, tan(lambda) / tan(lambda + atan(mu')), mu' = mu / cos(half angle).
 * Source: PBC Linear, Lead screw efficiency; Bhandari, Design of Machine Elements, ch. 6.
 */
export function screwEfficiency(screw: Screw): number {
  const lambda = Math.atan(screw.leadMm / (Math.PI * screw.meanDiameterMm));
  const friction = Math.atan(screw.mu / Math.cos(radFromDeg(screw.halfAngleDeg)));
  return Math.tan(lambda) / Math.tan(lambda + friction);
}

/**
 * Torque to move a load with (`lower`) or against (`raise`) it, with a collar of mean diameter
 * `collarMeanDiameterMm` at friction `collarMu`. N mm
 * Source: Bhandari, Design of Machine Elements, ch. 6 (uniform wear of the collar).
 */
export function screwTorqueNmm(
  loadN: number,
  screw: Screw,
  direction: 'raise' | 'lower',
  collarMu = 0,
  collarMeanDiameterMm = 0,
): number {
  const lambda = Math.atan(screw.leadMm / (Math.PI * screw.meanDiameterMm));
  const friction = Math.atan(screw.mu / Math.cos(radFromDeg(screw.halfAngleDeg)));
  const angle = direction === 'raise' ? friction + lambda : friction - lambda;
  return (
    (loadN * screw.meanDiameterMm * Math.tan(angle)) / 2 +
    (collarMu * loadN * collarMeanDiameterMm) / 2
  );
}

/** Torque per micro-step of lag, T_hold sin(90 deg / m). N m; not the torque limit. */
export function microstepTorqueNm(holdingTorqueNm: number, microsteps: number): number {
  return holdingTorqueNm * Math.sin(Math.PI / (2 * microsteps));
}

/**
 * Speed at which winding inductance ends a stepper's flat torque, V / (2 L I steps). rpm
 * Source: from memory.
 */
export function stepperCornerRpm(
  supplyV: number,
  inductanceMh: number,
  currentA: number,
  stepsPerTurn: number,
): number {
  return (S_PER_MIN * supplyV) / (2 * (inductanceMh / 1000) * currentA * stepsPerTurn);
}

/**
 * Thrust against feed from stall thrust and corner speed: flat to the corner, then as 1/feed,
 * written as the points of a piecewise linear curve. Steps of 1.25 in feed keep its chords within
 * 1.6 % above the hyperbola ((1 + q)^2 / 4q - 1 for a ratio q).
 * @param stallN      thrust up to the corner, N
 * @param cornerMmPerMin  feed at the corner, mm/min
 */
export function stepperThrustCurve(
  stallN: number,
  cornerMmPerMin: number,
): readonly (readonly [feedMmPerMin: number, thrustN: number])[] {
  const points: (readonly [number, number])[] = [[0, stallN]];
  for (const multiple of [1, 1.25, 1.6, 2, 2.5, 3.15, 4]) {
    points.push([multiple * cornerMmPerMin, stallN / multiple]);
  }
  return points;
}
