/**
 * The second opinion on a parallel curve: the offset of a polygon by clipper-lib, a general-purpose
 * polygon library. No other file of the project knows the library: a newer one goes in here.
 */
import { apart } from '../maths/angle.js';
import { atan2 } from '../maths/elementary.js';
import clipper from 'clipper-lib';
import type { Edge, Loop, Pt } from '../model/edges.js';
import { distanceToEdge, pointAt } from '../profile/geometry/edge.js';
import { chordCount } from '../profile/geometry/loop.js';
import { norm2 } from '../maths/angle.js';

/** clipper-lib works on whole numbers: a raster of a nanometre. */
const UNITS_PER_MM = 1e6;
/** Chords of the round corners stay within this of the arc. mm */
const CORNER_TOL_MM = 1e-4;

/** Chords of the polygon stay within this of the outline. mm */
const CHORD_MM = 2e-4;

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
  for (const p of polygons.flat()) {
    if (angleOf(p) <= half) apart = Math.max(apart, distanceToAll(edges, p));
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
  return Math.abs(atan2(p[1], p[0]));
}

function near(edge: Edge, angleRad: number): boolean {
  return angleOf(edge.a) <= angleRad && angleOf(edge.b) <= angleRad;
}

/** The loop begun where it is farthest round from +X. */
function fromOpposite(loop: Loop): Edge[] {
  const angles = loop.map((edge) => angleOf(edge.a));
  const first = angles.indexOf(Math.max(...angles));
  return [...loop.slice(first), ...loop.slice(0, first)];
}

function distanceToAll(edges: readonly Edge[], [x, y]: Pt): number {
  let least = Infinity;
  for (const edge of edges) {
    const { a, b } = edge;
    // Farther than its ends less its length is out of the question.
    if (norm2(x - a[0], y - a[1]) - 2 * apart(b, a) > least) continue;
    least = Math.min(least, distanceToEdge(edge, x, y));
  }
  return least;
}

/**
 * Counter-clockwise polygon moved outwards, with round corners.
 * @param points      corners, mm, not closed
 * @param distanceMm  more than 0
 * @returns the loops of the result, outer ones counter-clockwise; mm
 */
function offsetPolygon(points: readonly Pt[], distanceMm: number): Pt[][] {
  const tool = new clipper.ClipperOffset(2, CORNER_TOL_MM * UNITS_PER_MM);
  const path = points.map(([x, y]) => ({
    X: Math.round(x * UNITS_PER_MM),
    Y: Math.round(y * UNITS_PER_MM),
  }));
  tool.AddPath(path, clipper.JoinType.jtRound, clipper.EndType.etClosedPolygon);
  const out: { X: number; Y: number }[][] = [];
  tool.Execute(out, distanceMm * UNITS_PER_MM);
  return out.map((loop) => loop.map(({ X, Y }): Pt => [X / UNITS_PER_MM, Y / UNITS_PER_MM]));
}
