/**
 * Parallel curves for roughing and finishing: computed as arcs and lines, then held against the
 * offset of a polygon by another method. A plan whose two offsets differ is not written.
 */

import { Refusal } from '../model/refusal.js';
import type { Loop } from '../model/edges.js';
import { validateLoop } from '../profile/geometry/loop.js';
import { offsetLoop } from '../profile/geometry/offset.js';
import { offsetsApartMm } from './polygon-offset.js';

/** The two offsets may differ by this: chords and corners account for a third of it. mm */
const AGREEMENT_MM = 0.001;

/**
 * Parallel curve of a wheel's outline.
 * @param outline     counter-clockwise round the origin, a gap on +X, the same for every tooth
 * @param distanceMm  outwards; 0 gives the outline itself
 * @throws GeometryError where the outline has no parallel curve at this distance (a cutter of this
 *         radius does not fit the gap), or the one found is not sound
 * @throws Refusal where the polygon's offset lies elsewhere
 */
export function parallelCurve(outline: Loop, distanceMm: number, teeth: number): Loop {
  const curve = offsetLoop(outline, distanceMm);
  validateLoop(curve);
  if (distanceMm > AGREEMENT_MM) {
    const apartMm = offsetsApartMm(outline, curve, distanceMm, teeth);
    if (!(apartMm <= AGREEMENT_MM)) {
      throw new Refusal(
        'offsets-differ',
        `the path ${distanceMm.toFixed(3)} mm off the outline is ${apartMm.toFixed(4)} mm from the same path found by a second method; nothing is written, please report the job`,
        apartMm,
        AGREEMENT_MM,
      );
    }
  }
  return curve;
}
