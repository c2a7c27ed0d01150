/**
 * Silver brazing: an insert brazed into a round bore.
 *
 *      plate  _______________________________
 *            |        |############|         |   D outside diameter of the insert
 *            |        | insert  ## |         |   bore of the plate D + 2 gap
 *            |________|##___  ___##|_________|   area pi D L, torque tau pi D^2 L / 2
 */

import { boreReachMm } from '../wheel/bore.js';
import { type Figure, figure, known, should } from '../../model/figure.js';
import { MM_PER_INCH, N_PER_LBF } from '../../text/units.js';
import type { JointInput } from './hub.js';

const MPA_PER_PSI = N_PER_LBF / MM_PER_INCH ** 2;

/** What a silver-brazed joint is often reckoned at, 18000 psi. Common practice, no source. N/mm2 */
const RECKONED_SHEAR = 18000 * MPA_PER_PSI;
/** What is planned with: under a quarter of the book's figure, because a hand-made joint holds voids
 *  and book figures scatter by 1.5 (Welding Journal, August 1975). Judgement, no source. N/mm2 */
const PLANNING_SHEAR = 40;
const BRAZE_SOURCE =
  'elementary; planning shear 40 N/mm2 is under a quarter of the 25000 psi of The Brazing Book (Handy & Harman), judgement';

/** Gap on each side that filler fills best by hand, at brazing heat: 0.03 to 0.08 mm (Brazing,
 *  encyclopaedia article), 0.05 to 0.15 mm by hand (from memory); where both agree. mm */
const BRAZE_GAP_MM = { least: 0.05, most: 0.08 } as const;

interface BrazedInsert {
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

/** Wall that a hub keeps round an insert brazed into it. mm. Common practice, no source. */
const LEAST_HUB_WALL_MM = 2;

/** An insert brazed into a round bore, and what to say about it. */
export function insertFigures(
  input: JointInput,
  ratedNm: number | null,
): { readonly figures: readonly Figure[]; readonly remarks: readonly string[] } {
  const insert = brazedInsert(boreReachMm(input.bore), input.rootDiameterMm);
  if (!insert) {
    const remark = 'There is no room for a brazed insert between bore and root circle.';
    return { figures: [], remarks: [remark] };
  }
  const hubWallMm =
    input.hubDiameterMm === null ? Infinity : (input.hubDiameterMm - insert.boreMm.max) / 2;
  const onePiece = hubWallMm < LEAST_HUB_WALL_MM;
  const lapMm = onePiece ? input.lengthMm - input.hubLengthMm : input.lengthMm;
  const remark = `Round the insert the hub would have a wall of ${Math.max(0, hubWallMm).toFixed(2)} mm: turn hub and insert in one piece and braze it into the plate; the brazed area is then that of the ${lapMm.toFixed(2)} mm of teeth.`;
  return { figures: figuresOf(insert, lapMm, ratedNm), remarks: onePiece ? [remark] : [] };
}

function figuresOf(insert: BrazedInsert, lapMm: number, ratedNm: number | null): Figure[] {
  const { outsideDiameterMm: d, boreMm, plateWallMm } = insert;
  const areaMm2 = Math.PI * d * lapMm;
  const torqueNm = (tau: number): number => (tau * areaMm2 * d) / 2000;
  const shear = ratedNm && (2000 * ratedNm) / (areaMm2 * d);
  const planned = `brazed insert, at ${PLANNING_SHEAR} N/mm2 of shear`;
  const reckoned = 'the same at 18000 psi, as often reckoned';
  const source = BRAZE_SOURCE;
  return known([
    figure('insertDiameterMm', 'brazed insert, outside diameter', 'length', d, {
      formula: 'bore plus walls of 2.5 mm, to the half millimetre',
      source,
    }),
    figure('insertBoreMinMm', 'round bore for it, from', 'length', boreMm.min, {
      formula: 'D + 2 x 0.05 mm of gap',
      source,
    }),
    figure('insertBoreMaxMm', 'round bore for it, to', 'length', boreMm.max, {
      formula: 'D + 2 x 0.08 mm of gap',
      source,
    }),
    figure('insertPlateWallMm', 'plate left between it and the roots', 'length', plateWallMm, {
      formula: '(root diameter - bore) / 2',
      source,
    }),
    figure('brazeAreaMm2', 'brazed area', 'area', areaMm2, { formula: 'pi D L', source }),
    figure('brazeTorqueNm', planned, 'torque', torqueNm(PLANNING_SHEAR), {
      limit: ratedNm === null ? null : should('at least', ratedNm, 'rated torque'),
      formula: 'T = tau pi D^2 L / 2',
      source,
    }),
    figure('brazeReckonedNm', reckoned, 'torque', torqueNm(RECKONED_SHEAR), {
      formula: 'T = tau pi D^2 L / 2; 18000 psi is common practice without a source',
      source,
    }),
    figure('brazeShear', 'shear in the braze at rated torque', 'stress', shear, {
      formula: 'tau = 2 T / (pi D^2 L)',
      source,
    }),
  ]);
}
