/**
 * Figures of turning a blank on a small lathe. Sources: reaming stock [RA] under-sizes of reaming,
 * eventexam.blogspot.com/2023/09; reamer limits for a hole, Dormer reaming tolerance limits; chucks:
 * new scroll chuck 0.05 to 0.08 mm (model-engineer.co.uk, Zither chuck), soft jaws bored in place
 * 0.01 mm (homews.co.uk page 110), mandrel 1:2000 (Mandrel, encyclopaedia article).
 */

/** Held in the chuck below the finished blank, then parted off. mm. Common practice, no source. */
export const CHUCKING_MM = 15;
/** Width of a parting tool. mm. Common practice, no source. */
export const PARTING_MM = 3;
/** Unsupported stick-out from the chuck, in diameters. From memory. */
export const STICK_OUT_SHARE = 1.5;

/** Diameter up to, mm; stock that a machine reamer takes. mm on the diameter. [RA] */
const REAM_STOCK_MM: readonly (readonly [number, number])[] = [
  [5, 0.2],
  [20, 0.3],
  [50, 0.5],
  [Infinity, 1.0],
];
/** A drill cuts so much larger than it is. mm. [RA] */
const DRILL_OVERSIZE_MM = 0.05;
/** Reamers are for bores up to this on a small lathe; larger ones are bored. mm. Judgement. */
export const LARGEST_REAMED_MM = 25;

/** Drill before the reamer, down to a tenth. mm */
export function reamDrillMm(boreMm: number): number {
  const [, stockMm] = REAM_STOCK_MM.find(([upTo]) => boreMm <= upTo)!;
  return Math.floor((boreMm - stockMm - DRILL_OVERSIZE_MM) * 10 + 1e-9) / 10;
}

/** Limits of a reamer for a hole: top = hole top - 0.15 T, bottom = top - 0.35 T, each share rounded
 *  up to 0.001 mm. Dormer. */
export function reamerLimitsMm(hole: { readonly minMm: number; readonly maxMm: number }) {
  const fieldMm = hole.maxMm - hole.minMm;
  const up = (mm: number): number => Math.ceil(mm * 1000 - 1e-6) / 1000;
  const maxMm = hole.maxMm - up(0.15 * fieldMm);
  return { minMm: maxMm - up(0.35 * fieldMm), maxMm };
}

/** How true bore, rim and face stand to each other when they come from one setting, from soft jaws
 *  bored in place, from a mandrel of taper 1:2000 over a thickness, and from a scroll chuck. mm, total
 *  reading. The first is the spindle's own run-out: common practice, no source. */
export const TRUE_TO_MM = { oneSetting: 0.01, softJaws: 0.02, scrollChuck: 0.08 } as const;
