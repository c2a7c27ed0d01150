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

/** Angle from direction u to direction v, counter-clockwise or clockwise, 0 to a full turn. rad */
export function turnRad(u0: number, u1: number, v0: number, v1: number, ccw: boolean): number {
  const angle = Math.atan2(u0 * v1 - u1 * v0, u0 * v0 + u1 * v1);
  const turned = ccw ? angle : -angle;
  return turned >= 0 ? turned : turned + TURN_RAD;
}
