/**
 * Silver brazing: the lap a plate needs, and an insert brazed into a round bore.
 *
 *      plate  _______________________________
 *            |        |############|         |   D outside diameter of the insert
 *            |        | insert  ## |         |   bore of the plate D + 2 gap
 *            |________|##___  ___##|_________|   area pi D L, torque tau pi D^2 L / 2
 */

/** 1 psi in N/mm2, from the international pound and inch. */
const MPA_PER_PSI = (0.45359237 * 9.80665) / 25.4 ** 2;

/** Shear strength of silver filler in a joint that lap lengths are designed with, 25000 psi.
 *  Source: The Brazing Book, joint design part 2 (Handy & Harman). N/mm2 */
export const FILLER_SHEAR = 25000 * MPA_PER_PSI;
/** What a silver-brazed joint is often reckoned at, 18000 psi. Common practice, no source. N/mm2 */
export const RECKONED_SHEAR = 18000 * MPA_PER_PSI;
/** What is planned with: under a quarter of the book's figure, because a hand-made joint holds voids
 *  and book figures scatter by 1.5 (Welding Journal, August 1975). Judgement, no source. N/mm2 */
export const PLANNING_SHEAR = 40;
export const BRAZE_SOURCE =
  'elementary; planning shear 40 N/mm2 is under a quarter of the 25000 psi of The Brazing Book (Handy & Harman), judgement';

/** Gap on each side that filler fills best by hand, at brazing heat: 0.03 to 0.08 mm (Brazing,
 *  encyclopaedia article), 0.05 to 0.15 mm by hand (from memory); where both agree. mm */
export const BRAZE_GAP_MM = { least: 0.05, most: 0.08 } as const;

/**
 * Lap at which the joint is as strong as the weaker plate, X = T W / (C L).
 * Source: The Brazing Book, joint design part 2 (Handy & Harman), with integrity factor C = 0.8.
 * @param tensile  strength T of the weaker member, N/mm2 (any unit that the shear has too)
 * @param thickness W of that member; the result is in its unit
 */
export function brazeLap(
  tensile: number,
  thickness: number,
  shear: number = FILLER_SHEAR,
  integrity = 0.8,
): number {
  return (tensile * thickness) / (integrity * shear);
}

/** Area of a brazed bore, pi D L. mm2 */
export function brazeAreaMm2(diameterMm: number, lengthMm: number): number {
  return Math.PI * diameterMm * lengthMm;
}

/** T = tau pi D^2 L / 2. N m */
export function brazeTorqueNm(shear: number, diameterMm: number, lengthMm: number): number {
  return (shear * brazeAreaMm2(diameterMm, lengthMm) * diameterMm) / 2000;
}

/** Shear stress of a brazed bore under a torque, N/mm2. */
export function brazeShear(torqueNm: number, diameterMm: number, lengthMm: number): number {
  return (2000 * torqueNm) / (brazeAreaMm2(diameterMm, lengthMm) * diameterMm);
}

export interface BrazedInsert {
  readonly outsideDiameterMm: number;
  /** Least and greatest diameter of the round bore that it goes into. */
  readonly boreMm: { readonly min: number; readonly max: number };
  readonly wallMm: number;
  /** Wall of the plate from the round bore to the root circle. */
  readonly plateWallMm: number;
}

/** Wall of an insert that survives brazing and broaching. mm. Common practice, no source. */
const LEAST_WALL_MM = 2.5;
/** Plate left round an insert. mm. Common practice, no source. */
const LEAST_PLATE_WALL_MM = 3;
/** Inserts are turned to whole half millimetres. */
const STEP_MM = 0.5;

/**
 * Insert with the shaft's bore (reaching `reachMm` from the axis) for a plate with a root circle.
 * @returns null where there is no room for it
 */
export function brazedInsert(reachMm: number, rootDiameterMm: number): BrazedInsert | null {
  const outside = Math.ceil((2 * (reachMm + LEAST_WALL_MM)) / STEP_MM - 1e-9) * STEP_MM;
  const boreMm = { min: outside + 2 * BRAZE_GAP_MM.least, max: outside + 2 * BRAZE_GAP_MM.most };
  const plateWallMm = (rootDiameterMm - boreMm.max) / 2;
  if (plateWallMm < LEAST_PLATE_WALL_MM) return null;
  return { outsideDiameterMm: outside, boreMm, wallMm: outside / 2 - reachMm, plateWallMm };
}
