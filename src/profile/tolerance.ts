/** Vertices closer than this are one vertex. mm, absolute. A hundredth of the
 *  0.001 mm output step, so merging never shows in the text. Used by join, offset. */
export const MERGE_TOL_MM = 1e-5;

/** Last decimal place of X, Y and Z words. mm, absolute. Used by post and by the checks
 *  that ask whether a move would survive rounding. */
export const OUTPUT_STEP_MM = 1e-3;

/** Greatest distance between a curve and the chords that stand for it when an outline is
 *  handed to a polygon routine or to the preview. mm, absolute. Used by flatten. */
export const CHORD_TOL_MM = 2e-3;
