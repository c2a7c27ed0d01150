/**
 * One flank of a tooth gap as a bound for the cutter's centre: the parallel curve of seating curve
 * and flank at the keep-off distance, from the gap's axis out to where the tip begins, and
 * straight on from there through whatever still stands on the tip.
 *
 *              / straight on
 *         ____/   top of the flank
 *        /
 *       (         parallel curve
 *        \___ axis
 */
import {
  edgeLength,
  edgeRadius,
  line,
  distanceToEdge,
  nearestOnEdge,
  pointAt,
  splitEdge,
  tangentAt,
} from '../../profile/geometry/edge.js';
import { shiftRight } from '../../profile/geometry/offset.js';
import type { Edge, Pt } from '../../model/edges.js';
import { PLACE_TOL_MM, TINY } from '../../maths/tolerance.js';
import { norm2 } from '../../maths/angle.js';

export interface GapSide {
  /** Edges of the outline from the axis to the top of the flank, at y >= 0. */
  readonly source: readonly Edge[];
  readonly keepOffMm: number;
  /** Parallel edges, end to end; an edge that shrinks to nothing is left out. */
  readonly edges: readonly Edge[];
  /** Length along the parallel curve at the start of each edge. mm */
  readonly starts: readonly number[];
  readonly lengthMm: number;
  readonly top: Pt;
  readonly topHeading: Pt;
}

/**
 * @param gap            edges from mid-tip to mid-tip, counter-clockwise, mirror-symmetric
 * @param tipRoundingMm  radius of the rounding between flank and tip, 0 for none
 */
export function gapSide(gap: readonly Edge[], tipRoundingMm: number, keepOffMm: number): GapSide {
  const source = upperFlank(gap, tipRoundingMm);
  const edges: Edge[] = [];
  for (const edge of source) {
    const moved = parallelEdge(edge, keepOffMm);
    if (!moved) continue;
    const last = edges[edges.length - 1];
    // Joints are tangent; what rounding leaves between them is closed by the later edge.
    edges.push(last ? { ...moved, a: last.b } : moved);
  }
  const starts: number[] = [];
  let lengthMm = 0;
  for (const edge of edges) {
    starts.push(lengthMm);
    lengthMm += edgeLength(edge);
  }
  const last = edges[edges.length - 1];
  const first = source[0]!;
  return {
    source,
    keepOffMm,
    edges,
    starts,
    lengthMm,
    top: last ? last.b : pointAt(first, 0),
    topHeading: last ? tangentAt(last, 1) : [1, 0],
  };
}

/** The half of the gap at y >= 0, from the axis outwards, without rounding and land of the tip. */
function upperFlank(gap: readonly Edge[], tipRoundingMm: number): Edge[] {
  const upper: Edge[] = [];
  for (const edge of gap) {
    if (edge.a[1] < -PLACE_TOL_MM && edge.b[1] > PLACE_TOL_MM) upper.push(splitEdge(edge, 0.5)[1]);
    else if (pointAt(edge, 0.5)[1] > 0) upper.push(edge);
  }
  while (upper.length > 1 && isTip(upper[upper.length - 1]!, tipRoundingMm)) upper.pop();
  return upper;
}

function isTip(edge: Edge, tipRoundingMm: number): boolean {
  if (edge.kind === 'line') return false;
  // A land is an arc about the wheel's axis.
  if (norm2(edge.c[0], edge.c[1]) < PLACE_TOL_MM) return true;
  const off = Math.abs(edgeRadius(edge) - tipRoundingMm);
  return edge.ccw && tipRoundingMm > 0 && off < PLACE_TOL_MM;
}

/** An arc that shrinks to less than this vanishes. mm */
const LEAST_RADIUS_MM = 1e-9;

/** Edge moved to the right of its travel (away from the material); null when an arc vanishes. */
function parallelEdge(edge: Edge, distance: number): Edge | null {
  const vanishes =
    edge.kind === 'arc' && !edge.ccw && edgeRadius(edge) - distance <= LEAST_RADIUS_MM;
  return vanishes ? null : shiftRight(edge, distance);
}

/** Point and heading at a length along the curve and the straight line beyond it. */
export function alongSide(side: GapSide, length: number): { p: Pt; heading: Pt } {
  if (length >= side.lengthMm) {
    const past = length - side.lengthMm;
    const { top, topHeading: h } = side;
    return { p: [top[0] + past * h[0], top[1] + past * h[1]], heading: h };
  }
  const i = edgeIndex(side, length);
  const edge = side.edges[i]!;
  const t = (length - side.starts[i]!) / edgeLength(edge);
  return { p: pointAt(edge, t), heading: tangentAt(edge, t) };
}

function edgeIndex(side: GapSide, length: number): number {
  let i = 0;
  while (i + 1 < side.starts.length && side.starts[i + 1]! <= length) i++;
  return i;
}

/** Length along the curve nearest to a point; null where the point lies past the top. mm */
export function lengthOnSide(side: GapSide, p: Pt): number | null {
  let best = Infinity;
  let length = 0;
  side.edges.forEach((edge, i) => {
    const near = nearestOnEdge(edge, p);
    if (near.distanceMm < best) {
      best = near.distanceMm;
      length = side.starts[i]! + near.t * edgeLength(edge);
    }
  });
  return best < 1e-3 ? length : null;
}

/** Distance out of the room beside this flank: negative in the room. mm */
export function outOfSide(side: GapSide, x: number, y: number): number {
  const { top, topHeading: h } = side;
  const past = (x - top[0]) * h[0] + (y - top[1]) * h[1];
  // Left of the way out is the tooth.
  if (past > 0) return (y - top[1]) * h[0] - (x - top[0]) * h[1];
  let near = Infinity;
  for (const edge of side.source) near = Math.min(near, distanceToEdge(edge, x, y));
  return side.keepOffMm - near;
}

/** Moves along the curve between two lengths, edge by edge, as parts of its edges. */
export function sidePieces(side: GapSide, from: number, to: number): Edge[] {
  const pieces: Edge[] = [];
  side.edges.forEach((edge, i) => {
    const length = edgeLength(edge);
    const a = Math.max(0, (from - side.starts[i]!) / length);
    const b = Math.min(1, (to - side.starts[i]!) / length);
    if (b - a < 1e-9) return;
    const head = b < 1 - TINY ? splitEdge(edge, b)[0] : edge;
    pieces.push(a > TINY ? splitEdge(head, a / b)[1] : head);
  });
  if (to > side.lengthMm) {
    const start = alongSide(side, Math.max(from, side.lengthMm)).p;
    pieces.push(line(start, alongSide(side, to).p));
  }
  return pieces;
}
