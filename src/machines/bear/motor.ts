/** What an axis has from its stepper motors: step, thrust against feed, mass of the rotors. */
import { TURN_RAD } from '../../maths/angle.js';
import { S_PER_MIN } from '../../maths/motion.js';
import type { AxisName, Machine } from '../../model/machine.js';

/** Torque of a micro-stepped motor over its holding torque with two phases on: 1 / sqrt 2, rounded.
 *  Source: from memory; a public lab sheet prints 0.707. */
const MICROSTEP_SHARE = 0.7;

/** The magnetic spring repeats after this many full steps: a rotor that slips locks in again on the
 *  next equal state of its phases. D. Labriola, Why Open-Loop Steppers Lose Steps, 2005. */
export const STEPS_PER_PERIOD = 4;

/** Travel of one full step. mm */
export function fullStepMm({ drive }: Machine, axis: AxisName): number {
  return drive.travelPerTurnMm[axis] / drive.stepsPerTurn[axis];
}

/** Thrust of a torque, F = 2 pi eta T / lead: a screw (THK, Efficiency and thrust), or a belt whose
 *  pulley's circumference is the lead, F = T / r. N */
export function thrustOfTorqueN(torqueNm: number, travelPerTurnMm: number, efficiency: number) {
  return (TURN_RAD * efficiency * torqueNm * 1000) / travelPerTurnMm;
}

/** Mass that the rotors of an axis add to it, J (2 pi / lead)^2: kinetic energy at the same speed. kg */
export function rotorMassKg({ drive }: Pick<Machine, 'drive'>, axis: AxisName): number {
  const inertiaGCm2 = drive.motors[axis] * drive.rotorInertiaGCm2[axis];
  return inertiaGCm2 * 1e-7 * (TURN_RAD / (drive.travelPerTurnMm[axis] / 1000)) ** 2;
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
export function stepperThrustCurve(stallN: number, cornerMmPerMin: number): ThrustCurve {
  const points: (readonly [number, number])[] = [[0, stallN]];
  for (const multiple of [1, 1.25, 1.6, 2, 2.5, 3.15, 4]) {
    points.push([multiple * cornerMmPerMin, stallN / multiple]);
  }
  return points;
}

export type ThrustCurve = Machine['thrustN'][AxisName];

/** Thrust against feed as the motors of an axis give it, in whole newtons and mm/min, and how it
 *  was reckoned. */
export function motorThrust({ drive }: Pick<Machine, 'drive'>, axis: AxisName) {
  const at = (figure: keyof Machine['drive']): number => drive[figure][axis];
  const [motors, torqueNm, eta] = [at('motors'), at('holdingTorqueNm'), at('efficiency')];
  const [volts, mh, amps, steps] = [
    at('supplyV'),
    at('inductanceMh'),
    at('currentA'),
    at('stepsPerTurn'),
  ];
  const travelMm = at('travelPerTurnMm');
  const stallN = MICROSTEP_SHARE * motors * thrustOfTorqueN(torqueNm, travelMm, eta);
  const rpm = stepperCornerRpm(volts, mh, amps, steps);
  const curve = stepperThrustCurve(stallN, rpm * travelMm).map(
    ([feed, thrust]) => [Math.round(feed), Math.max(1, Math.round(thrust))] as const,
  );
  const source =
    `derived from drive: ${MICROSTEP_SHARE} x ${motors} x 2 pi x ${eta} x ${torqueNm} N m / ${travelMm} mm = ` +
    `${stallN.toFixed(0)} N up to ${volts} V / (2 x ${mh} mH x ${amps} A x ${steps}) = ${rpm.toFixed(0)} rpm, ` +
    `then as 1/feed; ${MICROSTEP_SHARE}: torque of a micro-stepped motor over its two-phase holding torque, ` +
    'from memory, as the corner speed';
  return { curve, source };
}
