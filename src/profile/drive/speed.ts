/** Speed of a chain and how unevenly a wheel of few teeth drives it. */

/** v = z p n / 60000. m/s. Definition: z pitches pass at every turn. */
export function chainSpeedMPerS(teeth: number, pitchMm: number, rpm: number): number {
  return (teeth * pitchMm * rpm) / 60000;
}

/** Swing of the chain's speed over one tooth against its greatest, 1 - cos(180 deg / z).
 *  Source: polygon effect, novasolver.jp roller chain drive text. */
export function polygonVariation(teeth: number): number {
  return 1 - Math.cos(Math.PI / teeth);
}

/** The same against the mean speed, (pi / z) (1 / sin(180 deg / z) - 1 / tan(180 deg / z)).
 *  Source: Shigley's Mechanical Engineering Design, eq. 17-32, from memory. */
export function polygonVariationOfMean(teeth: number): number {
  const a = Math.PI / teeth;
  return a * (1 / Math.sin(a) - 1 / Math.tan(a));
}

/** Angle of articulation, 180 deg / z: what each joint turns through on entry, halved as chain books
 *  do. rad. Source: Chordal action, cozybeehive.blogspot.com. */
export function articulationRad(teeth: number): number {
  return Math.PI / teeth;
}
