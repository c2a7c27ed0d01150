/**
 * Angles and lengths in the plane. Of the folder: elementary functions with the same bits everywhere,
 * roots (solve), laws of motion, the normal distribution, least squares, mean and scatter, tolerances.
 */
import { acos, atan2 } from './elementary.js';

/** A full turn. rad */
export const TURN_RAD = 2 * Math.PI;

/** Degrees of an angle in radians. */
export function degFromRad(rad: number): number {
  return (rad * 180) / Math.PI;
}

/** Radians of an angle in degrees. */
export function radFromDeg(deg: number): number {
  return (deg * Math.PI) / 180;
}

/** Angle from direction u to direction v, counter-clockwise above 0, up to half a turn. rad */
export function signedTurnRad(u0: number, u1: number, v0: number, v1: number): number {
  return atan2(u0 * v1 - u1 * v0, u0 * v0 + u1 * v1);
}

/** Angle from direction u to direction v, counter-clockwise or clockwise, 0 to a full turn. rad */
export function turnRad(u0: number, u1: number, v0: number, v1: number, ccw: boolean): number {
  const angle = signedTurnRad(u0, u1, v0, v1);
  const turned = ccw ? angle : -angle;
  return turned >= 0 ? turned : turned + TURN_RAD;
}

/** Angle of a triangle between two sides over the third, by the law of cosines; 0 or pi where the sides
 *  do not meet. rad */
export function cornerRad(a: number, b: number, opposite: number): number {
  const cosine = (a * a + b * b - opposite * opposite) / (2 * a * b);
  return acos(Math.max(-1, Math.min(1, cosine)));
}

/** The same direction as an angle from 0 to a full turn. rad */
export function wrapRad(rad: number): number {
  const a = rad % TURN_RAD;
  return a < 0 ? a + TURN_RAD : a;
}

/** Ends of an arc closer than this are one place, and the arc a full turn. rad, absolute: rounding
 *  of two directions, far under any arc that a program can hold. */
const FULL_TURN_TOL_RAD = 1e-12;

/** Signed sweep of an arc from one direction to another; a full turn where they are one. rad */
export function arcSweepRad(fromRad: number, toRad: number, ccw: boolean): number {
  let sweep = toRad - fromRad;
  if (ccw) while (sweep <= FULL_TURN_TOL_RAD) sweep += TURN_RAD;
  else while (sweep >= -FULL_TURN_TOL_RAD) sweep -= TURN_RAD;
  return sweep;
}

/**
 * Length of a vector in the plane. For lengths of a machine, far from overflow and underflow, it
 * is as exact as Math.hypot to the last bit or two, and several times faster: engines call
 * Math.hypot with its arguments in a list made for the call.
 */
export function norm2(x: number, y: number): number {
  return Math.sqrt(x * x + y * y);
}

/** Distance in the plane between two points, in the plane or in space. */
export function apart(
  p: readonly [x: number, y: number, z?: number],
  q: readonly [x: number, y: number, z?: number],
): number {
  return norm2(p[0] - q[0], p[1] - q[1]);
}
