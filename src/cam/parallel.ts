/**
 * Parallel curves for roughing and finishing: computed as arcs and lines, then held against the
 * offset of a polygon by another method. A plan whose two offsets differ is not written.
 */

import { Refusal } from '../model/refusal.js';
import { distanceToEdge, pointAt } from '../profile/geometry/edge.js';
import type { Edge, Loop, Pt } from '../model/edges.js';
import { chordCount, validateLoop } from '../profile/geometry/loop.js';
import { norm2 } from '../maths/norm.js';
import { offsetLoop } from '../profile/geometry/offset.js';
import { offsetPolygon } from './polygon-offset.js';

/** Chords of the polygon stay within this of the outline. mm */
const CHORD_MM = 2e-4;
/** The two offsets may differ by this: chords and corners account for a third of it. mm */
export const AGREEMENT_MM = 0.001;

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

/**
 * Greatest distance between a parallel curve and the polygon's offset, over the gap on +X. mm;
 * Infinity where one of them has nothing there.
 */
export function offsetsApartMm(
  outline: Loop,
  curve: Loop,
  distanceMm: number,
  teeth: number,
): number {
  const half = Math.PI / teeth;
  // The gap with its neighbours, closed through the axis.
  const points: Pt[] = [[0, 0]];
  for (const edge of fromOpposite(outline)) {
    if (!near(edge, 2.6 * half)) continue;
    const n = chordCount(edge, CHORD_MM);
    for (let i = 0; i < n; i++) points.push(pointAt(edge, i / n));
  }
  const polygons = offsetPolygon(points, distanceMm);
  const edges = curve.filter((edge) => near(edge, 1.5 * half));
  let apart = -Infinity;
  for (const polygon of polygons) {
    for (const p of polygon) {
      if (angleOf(p) <= half) apart = Math.max(apart, distanceToAll(edges, p));
    }
  }
  const sides: Edge[] = polygons.flatMap((polygon) =>
    polygon
      .map((a, i): Edge => ({ kind: 'line', a, b: polygon[(i + 1) % polygon.length]! }))
      .filter(({ a, b }) => angleOf(a) <= 1.2 * half || angleOf(b) <= 1.2 * half),
  );
  for (const edge of curve) {
    if (angleOf(edge.a) > half || angleOf(edge.b) > half) continue;
    for (const t of [0, 0.5]) apart = Math.max(apart, distanceToAll(sides, pointAt(edge, t)));
  }
  return apart < 0 ? Infinity : apart;
}

/** Angle from +X, either way. rad */
function angleOf(p: Pt): number {
  return Math.abs(Math.atan2(p[1], p[0]));
}

function near(edge: Edge, angleRad: number): boolean {
  return angleOf(edge.a) <= angleRad && angleOf(edge.b) <= angleRad;
}

/** The loop begun where it is farthest round from +X. */
function fromOpposite(loop: Loop): Edge[] {
  let first = 0;
  loop.forEach((edge, i) => {
    if (angleOf(edge.a) > angleOf(loop[first]!.a)) first = i;
  });
  return [...loop.slice(first), ...loop.slice(0, first)];
}

function distanceToAll(edges: readonly Edge[], [x, y]: Pt): number {
  let least = Infinity;
  for (const edge of edges) {
    const { a, b } = edge;
    // Farther than its ends less its length is out of the question.
    if (norm2(x - a[0], y - a[1]) - 2 * norm2(b[0] - a[0], b[1] - a[1]) > least) continue;
    least = Math.min(least, distanceToEdge(edge, x, y));
  }
  return least;
}
