/** Thrust of an axis: what it has, and what cutting may use of it. */
import type { AxisName, Machine } from '../../model/machine.js';
import { type ThrustCurve, rotorMassKg } from './motor.js';

/** Feed at which a person is told the thrust of an axis: about that of finishing in steel. */
export const TOLD_FEED_MM_PER_MIN = 600;

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

/** A curve as high at standstill as told, falling with speed as before; N to a tenth. */
export function scaledThrust(curve: ThrustCurve, standstillN: number): ThrustCurve {
  const scale = standstillN / (curve[0]?.[1] ?? standstillN);
  return curve.map(
    ([feed, thrust]) => [feed, Math.max(1, Math.round(thrust * scale * 10) / 10)] as const,
  );
}

/** What moving an axis takes its force from. */
type Moved = Pick<Machine, 'movingMassKg' | 'accelerationMmPerS2' | 'frictionN' | 'drive'>;

/** Force that accelerating an axis takes, its rotors counted. N */
export function accelerationForceN(machine: Moved, axis: AxisName): number {
  const massKg = machine.movingMassKg[axis] + rotorMassKg(machine, axis);
  return (massKg * machine.accelerationMmPerS2[axis]) / 1000;
}

/** Force that moving the axis takes without any cutting: friction and acceleration. N */
export function motionForceN(machine: Moved, axis: AxisName): number {
  return machine.frictionN[axis] + accelerationForceN(machine, axis);
}
