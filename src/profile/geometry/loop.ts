import { GeometryError } from './errors.js';
import type { Edge, Loop, Pt } from '../../model/edges.js';
import {
  edgeLength,
  edgeRadius,
  edgeSweepRad,
  mapEdge,
  pointAt,
  reverseEdge,
  rotatePt,
} from './edge.js';

import { TURN_RAD } from '../../maths/angle.js';
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

/**
 * Check that a loop is closed and every edge sound.
 * @throws GeometryError with the index of the first edge that is not finite, does not start
 *         exactly where the last one ended, is shorter than MERGE_TOL_MM, has two radii that
 *         differ by more than rounding, or turns through more than half a turn.
 */
export function validateLoop(loop: Loop): void {
  if (loop.length === 0) throw new GeometryError('loop-empty', 'loop has no edges');
  loop.forEach((edge, i) => {
    const numbers = [...edge.a, ...edge.b, ...(edge.kind === 'arc' ? edge.c : [])];
    if (!numbers.every(Number.isFinite)) {
      throw new GeometryError(
        'edge-not-finite',
        `edge ${i} has a coordinate that is not finite`,
        null,
        null,
        i,
      );
    }
    const next = loop[(i + 1) % loop.length] as Edge;
    if (edge.b[0] !== next.a[0] || edge.b[1] !== next.a[1]) {
      const gap = Math.hypot(edge.b[0] - next.a[0], edge.b[1] - next.a[1]);
      throw new GeometryError(
        'loop-open',
        `edge ${i} ends ${gap} mm from the start of the next edge; the ends must be equal`,
        gap,
        0,
        i,
      );
    }
    const chord = Math.hypot(edge.b[0] - edge.a[0], edge.b[1] - edge.a[1]);
    if (chord < MERGE_TOL_MM) {
      throw new GeometryError(
        'edge-too-short',
        `edge ${i} is ${chord} mm from end to end; not at least ${MERGE_TOL_MM} mm`,
        chord,
        MERGE_TOL_MM,
        i,
      );
    }
    if (edge.kind === 'arc') {
      const ra = edgeRadius(edge);
      const rb = Math.hypot(edge.b[0] - edge.c[0], edge.b[1] - edge.c[1]);
      const tol = ARC_RADIUS_REL_TOL * Math.max(1, ...numbers.map(Math.abs));
      if (Math.abs(ra - rb) > tol) {
        throw new GeometryError(
          'arc-radii-differ',
          `edge ${i} has radius ${ra} mm at its start and ${rb} mm at its end`,
          Math.abs(ra - rb),
          tol,
          i,
        );
      }
      const sweep = edgeSweepRad(edge);
      if (sweep > Math.PI + ANGLE_TOL_RAD) {
        throw new GeometryError(
          'arc-sweep',
          `edge ${i} turns through ${sweep} rad; not at most pi`,
          sweep,
          Math.PI,
          i,
        );
      }
    }
  });
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
      part += ((edge.ccw ? 1 : -1) * r * r * (s - Math.sin(s))) / 2;
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
  let minX = Math.min(edge.a[0], edge.b[0]);
  let maxX = Math.max(edge.a[0], edge.b[0]);
  let minY = Math.min(edge.a[1], edge.b[1]);
  let maxY = Math.max(edge.a[1], edge.b[1]);
  if (edge.kind === 'arc') {
    // Quadrant points the arc passes: step through multiples of a quarter turn from its start.
    const r = edgeRadius(edge);
    const [from, to] = edge.ccw ? [edge.a, edge.b] : [edge.b, edge.a];
    const start = Math.atan2(from[1] - edge.c[1], from[0] - edge.c[0]);
    let end = Math.atan2(to[1] - edge.c[1], to[0] - edge.c[0]);
    if (end < start) end += TURN_RAD;
    for (let q = Math.ceil(start / (Math.PI / 2)); q * (Math.PI / 2) <= end; q++) {
      const quarter = ((q % 4) + 4) % 4;
      if (quarter === 0) maxX = Math.max(maxX, edge.c[0] + r);
      else if (quarter === 1) maxY = Math.max(maxY, edge.c[1] + r);
      else if (quarter === 2) minX = Math.min(minX, edge.c[0] - r);
      else minY = Math.min(minY, edge.c[1] - r);
    }
  }
  return { minX, minY, maxX, maxY };
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

/** Turn a loop about `c`; joints stay exact because equal points map to equal points. */
export function rotateLoop(loop: Loop, angleRad: number, c: Pt = [0, 0]): Loop {
  return loop.map((edge) => mapEdge(edge, (p) => rotatePt(p, angleRad, c)));
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
  const step = chordTolMm >= r ? Math.PI / 2 : 2 * Math.acos(1 - chordTolMm / r);
  return Math.max(1, Math.ceil(edgeSweepRad(edge) / step));
}
