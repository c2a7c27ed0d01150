/**
 * Laws of motion at constant acceleration, in units of one kind, and the step from seconds, in
 * which accelerations are given, to minutes, in which feeds are.
 *
 * A way s at acceleration a adds 2 a s to the square of a speed: v^2 = u^2 + 2 a s. Braking is the
 * same, looked at backwards. Source: any text on mechanics.
 */

/** Seconds in a minute. */
export const S_PER_MIN = 60;

/** Feed of a speed. mm/min of mm/s */
export function feedOfSpeed(mmPerS: number): number {
  return S_PER_MIN * mmPerS;
}

/** Speed of a feed. mm/s of mm/min */
export function speedOfFeed(mmPerMin: number): number {
  return mmPerMin / S_PER_MIN;
}

/** Time of a way at a feed. s; mm, mm/min */
export function secondsAtFeed(wayMm: number, feedMmPerMin: number): number {
  return (wayMm * S_PER_MIN) / feedMmPerMin;
}

/** What a way adds to the square of a speed, 2 a s. (mm/s)^2; mm/s^2, mm */
export function squareGain(accelerationMmPerS2: number, wayMm: number): number {
  return 2 * accelerationMmPerS2 * wayMm;
}

/** The same for a feed. (mm/min)^2 */
export function squareFeedGain(accelerationMmPerS2: number, wayMm: number): number {
  return squareGain(accelerationMmPerS2, wayMm) * S_PER_MIN ** 2;
}

/** Speed (or feed) after a way that adds `gain` to its square. */
export function speedAfter(before: number, gain: number): number {
  return Math.sqrt(before * before + gain);
}

/** Highest speed between two on a way that could add `gain` to its square: up, and down again. */
export function topBetween(before: number, after: number, gain: number): number {
  return Math.sqrt((before * before + after * after + gain) / 2);
}

/** Speed on a circle at which its own curvature takes all the acceleration, sqrt(a R). mm/s */
export function circleSpeed(accelerationMmPerS2: number, radiusMm: number): number {
  return Math.sqrt(accelerationMmPerS2 * radiusMm);
}

/** Time of a way from rest to rest without a limit of speed, 2 sqrt(s / a). s */
export function restToRestS(accelerationMmPerS2: number, wayMm: number): number {
  return 2 * Math.sqrt(wayMm / accelerationMmPerS2);
}

/**
 * Time of a way that is entered at `v0` and left at `v1`: up to `v` (or as high as the length
 * allows), along, and down. s; mm, mm/s, mm/s^2
 */
export function trapezoidS(
  lengthMm: number,
  v0: number,
  v: number,
  v1: number,
  acceleration: number,
): number {
  const up = (v * v - v0 * v0) / (2 * acceleration);
  const down = (v * v - v1 * v1) / (2 * acceleration);
  if (up + down <= lengthMm) {
    return (v - v0) / acceleration + (v - v1) / acceleration + (lengthMm - up - down) / v;
  }
  const peak = topBetween(v0, v1, squareGain(acceleration, lengthMm));
  return (2 * peak - v0 - v1) / acceleration;
}
