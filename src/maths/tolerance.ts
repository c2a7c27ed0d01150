/** Vertices closer than this are one vertex. mm, absolute. A hundredth of the
 *  0.001 mm output step, so merging never shows in the text. Used by join, offset. */
export const MERGE_TOL_MM = 1e-5;

/** Last decimal place of X, Y and Z words. mm, absolute. Used by post and by the checks
 *  that ask whether a move would survive rounding. */
export const OUTPUT_STEP_MM = 1e-3;

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
