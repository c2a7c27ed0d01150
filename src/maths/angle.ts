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
