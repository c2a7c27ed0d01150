import { apart } from '../../maths/angle.js';
import { acos, sin } from '../../maths/elementary.js';
import { orient2d } from 'robust-predicates';
import type { ArcEdge, Edge, Loop, Pt } from '../../model/edges.js';
import {
  arcParameter,
  edgeLength,
  edgeRadius,
  edgeSweepRad,
  pointAt,
  reverseEdge,
} from './edge.js';
import {
  ANGLE_TOL_RAD,
  ARC_RADIUS_REL_TOL,
  CHORD_TOL_MM,
  MERGE_TOL_MM,
} from '../../maths/tolerance.js';

/** Axis-parallel box, mm. */
export interface Bounds {
  readonly minX: number;
  readonly minY: number;
  readonly maxX: number;
  readonly maxY: number;
}

/** Rules that a loop or an offset can break. */
export type GeometryErrorCode =
  | 'loop-open'
  | 'loop-empty'
  | 'edge-not-finite'
  | 'edge-too-short'
  | 'arc-radii-differ'
  | 'arc-sweep'
  | 'offset-radius'
  | 'offset-crosses'
  | 'offset-corner';

/** Outline that cannot be; the text says which figure broke the rule. */
export class GeometryError extends Error {
  readonly code: GeometryErrorCode;
  /** Where one edge of a loop is to blame. */
  readonly edgeIndex: number | null;
  /** Largest offset that works, mm. */
  readonly limit: number | null;
  constructor(
    code: GeometryErrorCode,
    text: string,
    edgeIndex: number | null,
    limit: number | null,
  ) {
    super(text);
    this.name = 'GeometryError';
    this.code = code;
    this.edgeIndex = edgeIndex;
    this.limit = limit;
  }
}

/**
 * Check that a loop is closed and every edge sound.
 * @throws GeometryError with the index of the first edge that is not finite, does not start
 *         exactly where the last one ended, is shorter than MERGE_TOL_MM, has two radii that
 *         differ by more than rounding, or turns through more than half a turn.
 */
export function validateLoop(loop: Loop): void {
  if (loop.length === 0) throw new GeometryError('loop-empty', 'loop has no edges', null, null);
  loop.forEach((edge, i) => {
    const fault = edgeFault(edge, loop[(i + 1) % loop.length] as Edge);
    if (fault) throw new GeometryError(fault[0], `edge ${i} ${fault[1]}`, i, null);
  });
}

function edgeFault(edge: Edge, next: Edge): [code: GeometryErrorCode, text: string] | null {
  const { a, b } = edge;
  const numbers = [...a, ...b, ...(edge.kind === 'arc' ? edge.c : [])];
  if (!numbers.every(Number.isFinite)) {
    return ['edge-not-finite', 'has a coordinate that is not finite'];
  }
  if (b[0] !== next.a[0] || b[1] !== next.a[1]) {
    const gap = apart(b, next.a);
    return ['loop-open', `ends ${gap} mm from the start of the next edge; the ends must be equal`];
  }
  const chord = apart(b, a);
  if (chord < MERGE_TOL_MM) {
    return ['edge-too-short', `is ${chord} mm from end to end; not at least ${MERGE_TOL_MM} mm`];
  }
  if (edge.kind === 'line') return null;
  const [ra, rb] = [edgeRadius(edge), apart(b, edge.c)];
  if (Math.abs(ra - rb) > ARC_RADIUS_REL_TOL * Math.max(1, ...numbers.map(Math.abs))) {
    return ['arc-radii-differ', `has radius ${ra} mm at its start and ${rb} mm at its end`];
  }
  const sweep = edgeSweepRad(edge);
  return sweep > Math.PI + ANGLE_TOL_RAD
    ? ['arc-sweep', `turns through ${sweep} rad; not at most pi`]
    : null;
}

/**
 * Area enclosed, mm^2: positive for a counter-clockwise loop, negative for a hole. Exact with
 * arcs: chord polygon by the shoelace formula plus each circular segment r^2 (s - sin s) / 2.
 */
export function signedArea(loop: Loop): number {
  const origin = loop[0]?.a ?? [0, 0];
  let sum = 0;
  let lost = 0; // compensated (Kahan) summation
  for (const edge of loop) {
    const ax = edge.a[0] - origin[0];
    const ay = edge.a[1] - origin[1];
    const bx = edge.b[0] - origin[0];
    const by = edge.b[1] - origin[1];
    let part = (ax * by - ay * bx) / 2;
    if (edge.kind === 'arc') {
      const s = edgeSweepRad(edge);
      const r = edgeRadius(edge);
      part += ((edge.ccw ? 1 : -1) * r * r * (s - sin(s))) / 2;
    }
    const y = part - lost;
    const next = sum + y;
    lost = next - sum - y;
    sum = next;
  }
  return sum;
}

/** Length of the whole loop, mm. */
export function perimeter(loop: Loop): number {
  return loop.reduce((sum, edge) => sum + edgeLength(edge), 0);
}

/** Smallest axis-parallel box that holds an edge, arcs included. */
export function edgeBounds(edge: Edge): Bounds {
  const points = [edge.a, edge.b];
  if (edge.kind === 'arc') {
    const [x, y] = edge.c;
    const r = edgeRadius(edge);
    const quadrants: Pt[] = [
      [x + r, y],
      [x, y + r],
      [x - r, y],
      [x, y - r],
    ];
    points.push(...quadrants.filter((p) => arcParameter(edge, ...p) !== null));
  }
  const xs = points.map((p) => p[0]);
  const ys = points.map((p) => p[1]);
  return {
    minX: Math.min(...xs),
    minY: Math.min(...ys),
    maxX: Math.max(...xs),
    maxY: Math.max(...ys),
  };
}

/** Smallest axis-parallel box that holds a loop. */
export function loopBounds(loop: Loop): Bounds {
  return loop.map(edgeBounds).reduce((p, q) => ({
    minX: Math.min(p.minX, q.minX),
    minY: Math.min(p.minY, q.minY),
    maxX: Math.max(p.maxX, q.maxX),
    maxY: Math.max(p.maxY, q.maxY),
  }));
}

/** The same loop travelled the other way. */
export function reverseLoop(loop: Loop): Loop {
  return loop.map(reverseEdge).reverse();
}

/**
 * Polygon whose vertices lie on the loop and whose chords stay within `chordTolMm` of it.
 * @returns flat [x0, y0, x1, y1, ...], not closed (the last vertex joins the first)
 */
export function loopFlatten(loop: Loop, chordTolMm: number = CHORD_TOL_MM): Float64Array {
  const out: number[] = [];
  for (const edge of loop) {
    out.push(edge.a[0], edge.a[1]);
    const steps = chordCount(edge, chordTolMm);
    for (let i = 1; i < steps; i++) out.push(...pointAt(edge, i / steps));
  }
  return Float64Array.from(out);
}

/** Chords needed so that none is further than `chordTolMm` from the arc: sagitta r (1 - cos). */
export function chordCount(edge: Edge, chordTolMm: number): number {
  if (edge.kind === 'line') return 1;
  const r = edgeRadius(edge);
  const step = chordTolMm >= r ? Math.PI / 2 : 2 * acos(1 - chordTolMm / r);
  return Math.max(1, Math.ceil(edgeSweepRad(edge) / step));
}

/**
 * How often the loop winds round a point: 1 inside a counter-clockwise loop, -1 inside a
 * clockwise one, 0 outside. Decided with exact orientation tests.
 *
 * Winding round the polygon of chords, plus the circular segments between chord and arc: a ccw
 * arc adds the segment on the right of its chord, a cw arc takes away the one on the left. A point
 * exactly on a chord is put on one side by the same tie rule in both parts.
 */
function windingNumber(loop: Loop, p: Pt): number {
  let winding = 0;
  for (const edge of loop) {
    const { a, b } = edge;
    const up = a[1] <= p[1] && p[1] < b[1];
    const down = b[1] <= p[1] && p[1] < a[1];
    if (edge.kind === 'line' && !up && !down) continue;
    // > 0 on the left, decided exactly. The library's own sign is for y down, so it is flipped.
    const side = -orient2d(a[0], a[1], b[0], b[1], p[0], p[1]);
    if (up && side > 0) winding++;
    else if (down && side < 0) winding--;
    if (edge.kind === 'arc' && apart(p, edge.c) < edgeRadius(edge) && onArcSide(edge, side)) {
      winding += edge.ccw ? 1 : -1;
    }
  }
  return winding;
}

/** True where `p` is in the air (right of the travel), by the winding number. */
export function inAir(loop: Loop, p: Pt): boolean {
  const winding = windingNumber(loop, p);
  return signedArea(loop) < 0 ? winding !== 0 : winding === 0;
}

function onArcSide(edge: ArcEdge, side: number): boolean {
  let s = side;
  if (s === 0) {
    // The polygon test counts a point on an upward chord as right of it, on a downward chord as
    // left; on a level chord as above it.
    const dy = edge.b[1] - edge.a[1];
    s = dy !== 0 ? -dy : edge.b[0] - edge.a[0];
  }
  return edge.ccw ? s < 0 : s > 0;
}
