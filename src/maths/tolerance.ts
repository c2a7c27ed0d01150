/**
 * Tolerances: what counts as equal, and how far two ways to one figure may lie apart. A number that
 * belongs to one algorithm stands beside it; what is here is shared, or says when two things are one.
 */

/** Vertices closer than this are one vertex. mm, absolute. A hundredth of the
 *  0.001 mm output step, so merging never shows in the text. Used by join, offset. */
export const MERGE_TOL_MM = 1e-5;

/** Last decimal place of X, Y and Z words. mm, absolute. Used by post, and by planning, which leaves
 *  out a move of less than half of it. */
export const OUTPUT_STEP_MM = 1e-3;

/** Places and depths of a text are those meant where they differ by no more: twice its last decimal
 *  place, for each of two is rounded. mm, absolute. Used by the checks of programs and by the odds. */
export const SPARE_MM = 2 * OUTPUT_STEP_MM;

/** Greatest distance between a curve and the chords that stand for it when an outline is
 *  handed to a polygon routine or to the preview. mm, absolute. Used by flatten. */
export const CHORD_TOL_MM = 2e-3;

/** Two stored radii of one arc (centre to start, centre to end) may differ by this fraction of
 *  the part's size from rounding alone. Dimensionless; multiplied by the largest coordinate of
 *  the edge, floor 1 mm. 4096 ulp: a rotation, an offset and an intersection in series stay
 *  below 100 ulp. Used by validateLoop. */
export const ARC_RADIUS_REL_TOL = 4096 * Number.EPSILON;

/** Directions closer than this are one direction: the joint is tangent and needs no corner.
 *  Radians, absolute. Over a 10 mm cutter radius it moves a point by 1e-6 mm, a tenth of
 *  MERGE_TOL_MM. Used by offset, the tooth forms' tangency checks and the distance field. */
export const TANGENT_TOL_RAD = 1e-7;

/** Greatest distance between outline and solid. mm, absolute. Finer than any printer or render
 *  shows, and below 0.05 % of a wheel's volume. Used by solid. */
export const SOLID_CHORD_TOL_MM = 3e-3;

/** Places closer than this are one place. mm, absolute: a few steps of geometry on parts of some
 *  hundred mm round to 1e-10; the output step is a thousand times as much. Used by planning. */
export const PLACE_TOL_MM = 1e-6;

/** Depths closer than this are one depth. mm, absolute: a tenth of the output step, so that depths
 *  that a text can tell apart stay apart. Used by replay, the preview's stock and its slabs. */
export const DEPTH_TOL_MM = 1e-4;

/** Angles closer than this are one angle. rad, absolute: a million times the rounding of a sum of
 *  angles, and 1e-8 mm on a cutter's rim. Used by stock front, gap fronts and forces. */
export const ANGLE_TOL_RAD = 1e-9;

/** A length this short has no direction, and a share this close to 0 or 1 is that end. mm, or of the
 *  whole: a thousand times the rounding of a double. Used where a division by it would follow. */
export const TINY = 1e-12;

/** What a quotient may be over a whole number and still count as that number. Absolute: rounding of
 *  counts up to some hundred thousand. */
const COUNT_SLACK = 1e-9;

/** A quotient rounded up to a count, rounding of the quotient itself forgiven. */
export function countUp(quotient: number): number {
  return Math.ceil(quotient - COUNT_SLACK);
}

/** ... and rounded down. */
export function countDown(quotient: number): number {
  return Math.floor(quotient + COUNT_SLACK);
}
