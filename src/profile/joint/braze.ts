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
import type { JointInput } from './hub.js';

/** What is planned with: under a quarter of the book's figure, because a hand-made joint holds voids
 *  and book figures scatter by 1.5 (Welding Journal, August 1975). Judgement, no source. N/mm2 */
const PLANNING_SHEAR = 40;
const BRAZE_SOURCE =
  'elementary; planning shear 40 N/mm2 is under a quarter of the 25000 psi of The Brazing Book (Handy & Harman), judgement';

/** Gap on each side that filler fills best by hand, at brazing heat: 0.03 to 0.08 mm (Brazing,
 *  encyclopaedia article), 0.05 to 0.15 mm by hand (from memory); where both agree. mm */
const BRAZE_GAP_MM = { least: 0.05, most: 0.08 } as const;

export interface BrazedInsert {
  /** Round bore of the plate that it goes into, to size H8. mm */
  readonly seatMm: number;
  /** Least and greatest outside diameter it is turned to. mm */
  readonly outsideMm: { readonly min: number; readonly max: number };
  readonly wallMm: number;
  /** Wall of the plate from the round bore to the root circle. mm */
  readonly plateWallMm: number;
}

/** Wall of an insert that survives brazing and broaching. mm. Common practice, no source. */
const LEAST_WALL_MM = 2.5;
/** Plate left round an insert. mm. Common practice, no source. */
const LEAST_PLATE_WALL_MM = 3;
/** Reamers are had in whole millimetres. */
const STEP_MM = 1;

/** Round bore for an insert whose own bore reaches so far from the axis. mm */
export function seatFor(reachMm: number): number {
  const leastMm = 2 * (reachMm + LEAST_WALL_MM + BRAZE_GAP_MM.most);
  return Math.ceil(leastMm / STEP_MM - 1e-9) * STEP_MM;
}

/**
 * Insert with the shaft's bore (reaching `reachMm` from the axis) in a plate with a root circle.
 * @param seatMm  round bore in the plate; worked out where it is not given
 */
export function insertIn(
  reachMm: number,
  rootDiameterMm: number,
  seatMm: number = seatFor(reachMm),
): BrazedInsert {
  const outsideMm = { min: seatMm - 2 * BRAZE_GAP_MM.most, max: seatMm - 2 * BRAZE_GAP_MM.least };
  const plateWallMm = (rootDiameterMm - seatMm) / 2;
  return { seatMm, outsideMm, wallMm: outsideMm.min / 2 - reachMm, plateWallMm };
}

/** As {@link insertIn}; null where there is no room for it. */
export function brazedInsert(reachMm: number, rootDiameterMm: number): BrazedInsert | null {
  const insert = insertIn(reachMm, rootDiameterMm);
  return insert.plateWallMm < LEAST_PLATE_WALL_MM ? null : insert;
}

/** Torque that the braze carries at the planning shear, T = tau pi D^2 L / 2. N m */
export function brazeTorqueNm(seatMm: number, lapMm: number): number {
  return (PLANNING_SHEAR * Math.PI * seatMm ** 2 * lapMm) / 2000;
}

/** Wall that a hub keeps round an insert brazed into it. mm. Common practice, no source. */
const LEAST_HUB_WALL_MM = 2;

/** An insert brazed into a round bore, and what to say about it. */
export function insertFigures(
  input: JointInput,
  ratedNm: number | null,
): { readonly figures: readonly Figure[]; readonly remarks: readonly string[] } {
  const reachMm = boreReachMm(input.bore);
  const own = input.kind === 'brazed-insert';
  const insert = own
    ? insertIn(reachMm, input.rootDiameterMm, input.seatMm ?? undefined)
    : brazedInsert(reachMm, input.rootDiameterMm);
  if (!insert) {
    const remark = 'There is no room for a brazed insert between bore and root circle.';
    return { figures: [], remarks: [remark] };
  }
  const hubWallMm =
    input.hubDiameterMm === null ? Infinity : (input.hubDiameterMm - insert.seatMm) / 2;
  const onePiece = hubWallMm < LEAST_HUB_WALL_MM;
  const lapMm = onePiece ? input.lapMm - input.hubLengthMm : input.lapMm;
  const remarks = [
    `The braze holds the insert in the wheel. ${input.bore.shape === 'round' ? 'What drives the insert from the shaft is another joint' : `The shaft drives the insert through the ${input.bore.shape === 'keyed' ? 'key' : 'flat'} all the same`}: the weaker of the two is what is carried.`,
  ];
  if (onePiece) {
    remarks.push(
      `Round the insert the hub would have a wall of ${Math.max(0, hubWallMm).toFixed(2)} mm: turn hub and insert in one piece and braze it into the plate; the brazed area is then that of the ${lapMm.toFixed(2)} mm of teeth.`,
    );
  }
  return { figures: figuresOf(insert, lapMm, ratedNm), remarks };
}

function figuresOf(insert: BrazedInsert, lapMm: number, ratedNm: number | null): Figure[] {
  const { seatMm: d, outsideMm, plateWallMm, wallMm } = insert;
  const areaMm2 = Math.PI * d * lapMm;
  const shear = ratedNm && (2000 * ratedNm) / (areaMm2 * d);
  const planned = `the braze alone, at ${PLANNING_SHEAR} N/mm2 of shear`;
  const source = BRAZE_SOURCE;
  return known([
    figure('insertSeatMm', 'round bore for a brazed insert, reamed', 'length', d, {
      formula: 'bore plus walls of 2.5 mm and the gap, to the whole millimetre',
      source,
    }),
    figure('insertOutsideMinMm', 'insert turned to, from', 'length', outsideMm.min, {
      formula: 'D - 2 x 0.08 mm of gap',
      source,
    }),
    figure('insertOutsideMaxMm', 'insert turned to, up to', 'length', outsideMm.max, {
      formula: 'D - 2 x 0.05 mm of gap',
      source,
    }),
    figure('insertWallMm', 'wall of the insert', 'length', wallMm, {
      limit: should('at least', LEAST_WALL_MM, 'common practice, no source'),
      formula: 'outside radius less the reach of its bore',
      source,
    }),
    figure('insertPlateWallMm', 'plate left between it and the roots', 'length', plateWallMm, {
      limit: should('at least', LEAST_PLATE_WALL_MM, 'common practice, no source'),
      formula: '(root diameter - D) / 2',
      source,
    }),
    figure('brazeAreaMm2', 'brazed area', 'area', areaMm2, { formula: 'pi D L', source }),
    figure('brazeTorqueNm', planned, 'torque', brazeTorqueNm(d, lapMm), {
      limit: ratedNm === null ? null : should('at least', ratedNm, 'rated torque'),
      formula: 'T = tau pi D^2 L / 2',
      source,
    }),
    figure('brazeShear', 'shear in the braze at rated torque', 'stress', shear, {
      formula: 'tau = 2 T / (pi D^2 L)',
      source,
    }),
  ]);
}
