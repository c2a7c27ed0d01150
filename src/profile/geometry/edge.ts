/**
 * Lines and arcs. Of the folder: loop is edges in a ring, offset its parallel curve, intersect where edges
 * meet, distance-field how far a place is from a loop.
 */
import { cos, sin } from '../../maths/elementary.js';
import type { ArcEdge, Edge, LineEdge, Pt } from '../../model/edges.js';
import { apart, norm2, turnRad } from '../../maths/angle.js';
import { countUp } from '../../maths/tolerance.js';

/** Point of an edge nearest to a given point. `t` runs 0..1 along the edge. */
export interface NearestOnEdge {
  readonly point: Pt;
  readonly t: number;
  readonly distanceMm: number;
}

export function line(a: Pt, b: Pt): LineEdge {
  return { kind: 'line', a, b };
}

export function arc(a: Pt, b: Pt, c: Pt, ccw: boolean): ArcEdge {
  return { kind: 'arc', a, b, c, ccw };
}

/**
 * Arc from `a` about `c` through a signed sweep (positive counter-clockwise), cut into the fewest
 * equal pieces of at most half a turn each.
 * @param end where the last piece must end exactly; by default `a` turned by the sweep
 */
export function arcsBySweep(a: Pt, c: Pt, sweepRad: number, end?: Pt): ArcEdge[] {
  const pieces = Math.max(1, countUp(Math.abs(sweepRad) / Math.PI));
  const out: ArcEdge[] = [];
  let from = a;
  for (let i = 1; i <= pieces; i++) {
    const to = i === pieces && end ? end : rotatePt(a, (sweepRad * i) / pieces, c);
    out.push(arc(from, to, c, sweepRad > 0));
    from = to;
  }
  return out;
}

/** Full circle as two half arcs, starting and ending at angle 0. */
export function circle(c: Pt, radiusMm: number, ccw: boolean): ArcEdge[] {
  const right: Pt = [c[0] + radiusMm, c[1]];
  const left: Pt = [c[0] - radiusMm, c[1]];
  return [arc(right, left, c, ccw), arc(left, right, c, ccw)];
}

/** Radius of an arc, mm (from the stored start point); Infinity for a line. */
export function edgeRadius(edge: Edge): number {
  return edge.kind === 'line' ? Infinity : apart(edge.a, edge.c);
}

/** Angle an arc turns through, radians, > 0 whatever its direction; 0 for a line. */
export function edgeSweepRad(edge: Edge): number {
  return edge.kind === 'line' ? 0 : turnTo(edge, edge.b[0], edge.b[1]);
}

/** Angle along an arc, or beyond its end, from its start to the direction of (x, y). 0 .. a turn */
function turnTo({ a, c, ccw }: ArcEdge, x: number, y: number): number {
  return turnRad(a[0] - c[0], a[1] - c[1], x - c[0], y - c[1], ccw);
}

/** Length along the edge, mm. */
export function edgeLength(edge: Edge): number {
  return edge.kind === 'line' ? apart(edge.b, edge.a) : edgeRadius(edge) * edgeSweepRad(edge);
}

/** Point at parameter t in 0..1, proportional to length. The stored ends are returned exactly. */
export function pointAt(edge: Edge, t: number): Pt {
  if (t <= 0) return edge.a;
  if (t >= 1) return edge.b;
  if (edge.kind === 'line') {
    return [edge.a[0] + t * (edge.b[0] - edge.a[0]), edge.a[1] + t * (edge.b[1] - edge.a[1])];
  }
  const sweep = edgeSweepRad(edge) * (edge.ccw ? 1 : -1);
  return t <= 0.5 ? rotatePt(edge.a, t * sweep, edge.c) : rotatePt(edge.b, (t - 1) * sweep, edge.c);
}

/** Unit direction of travel at parameter t. */
export function tangentAt(edge: Edge, t: number): Pt {
  if (edge.kind === 'line') return unit(edge.b[0] - edge.a[0], edge.b[1] - edge.a[1]);
  const p = pointAt(edge, t);
  const sign = edge.ccw ? 1 : -1;
  return unit(-sign * (p[1] - edge.c[1]), sign * (p[0] - edge.c[0]));
}

/** The same points, travelled the other way. */
export function reverseEdge(edge: Edge): Edge {
  return edge.kind === 'line' ? line(edge.b, edge.a) : arc(edge.b, edge.a, edge.c, !edge.ccw);
}

/** First part 0..t and second part t..1. */
export function splitEdge(edge: Edge, t: number): [Edge, Edge] {
  const m = pointAt(edge, t);
  return edge.kind === 'line'
    ? [line(edge.a, m), line(m, edge.b)]
    : [arc(edge.a, m, edge.c, edge.ccw), arc(m, edge.b, edge.c, edge.ccw)];
}

/**
 * Parameter 0..1 of the arc point in the direction of (x, y) from the centre, or null where that
 * direction lies outside the sweep.
 */
export function arcParameter(edge: ArcEdge, x: number, y: number): number | null {
  const from = turnTo(edge, x, y);
  const sweep = edgeSweepRad(edge);
  if (from > sweep) return null;
  return sweep > 0 ? from / sweep : 0;
}

/** Nearest point of an edge to `p`. At the centre of an arc, where all are equal, its start. */
export function nearestOnEdge(edge: Edge, p: Pt): NearestOnEdge {
  const { a, b } = edge;
  let t: number;
  if (edge.kind === 'line') {
    const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
    t = ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / (dx * dx + dy * dy);
    t = Math.min(1, Math.max(0, t));
  } else {
    const { c } = edge;
    const d = apart(p, c);
    const inside = arcParameter(edge, p[0], p[1]);
    if (inside !== null && inside > 0 && inside < 1 && d > 0) {
      const r = edgeRadius(edge);
      const k = r / d;
      const point: Pt = [c[0] + k * (p[0] - c[0]), c[1] + k * (p[1] - c[1])];
      return { point, t: inside, distanceMm: Math.abs(d - r) };
    }
    t = apart(p, a) <= apart(p, b) ? 0 : 1;
  }
  const point = pointAt(edge, t);
  return { point, t, distanceMm: apart(p, point) };
}

/** Distance from a point to an edge, mm: as {@link nearestOnEdge}, for many queries. */
export function distanceToEdge(edge: Edge, x: number, y: number): number {
  const { a, b } = edge;
  if (edge.kind === 'line') {
    const dx = b[0] - a[0];
    const dy = b[1] - a[1];
    const t = ((x - a[0]) * dx + (y - a[1]) * dy) / (dx * dx + dy * dy);
    if (t > 0 && t < 1) return norm2(x - a[0] - t * dx, y - a[1] - t * dy);
  } else {
    // In the sector of an arc of at most half a turn: left of its start, right of its end.
    const { c } = edge;
    const vx = x - c[0];
    const vy = y - c[1];
    const fromStart = (a[0] - c[0]) * vy - (a[1] - c[1]) * vx;
    const toEnd = vx * (b[1] - c[1]) - vy * (b[0] - c[0]);
    if (edge.ccw ? fromStart > 0 && toEnd > 0 : fromStart < 0 && toEnd < 0) {
      return Math.abs(norm2(vx, vy) - apart(a, c));
    }
  }
  return Math.min(norm2(x - a[0], y - a[1]), norm2(x - b[0], y - b[1]));
}

/** Point at a radius and an angle about `c` (default the origin). */
export function polar(radiusMm: number, angleRad: number, c: Pt = [0, 0]): Pt {
  return [c[0] + radiusMm * cos(angleRad), c[1] + radiusMm * sin(angleRad)];
}

/** The same direction from the origin, at a given radius. */
export function atRadius(p: Pt, radiusMm: number): Pt {
  const d = norm2(p[0], p[1]);
  return [(p[0] / d) * radiusMm, (p[1] / d) * radiusMm];
}

/** Turn a point about `c` (default the origin), radians, counter-clockwise. */
export function rotatePt(p: Pt, angleRad: number, c: Pt = [0, 0]): Pt {
  const u = cos(angleRad);
  const v = sin(angleRad);
  const x = p[0] - c[0];
  const y = p[1] - c[1];
  return [c[0] + u * x - v * y, c[1] + v * x + u * y];
}

/** Apply a point map that keeps lengths; `flips` says whether it turns left into right. */
export function mapEdge(edge: Edge, f: (p: Pt) => Pt, flips = false): Edge {
  return edge.kind === 'line'
    ? line(f(edge.a), f(edge.b))
    : arc(f(edge.a), f(edge.b), f(edge.c), flips ? !edge.ccw : edge.ccw);
}

/** Mirror in the X axis (y -> -y). A mirrored loop runs the other way: reverse it to keep its
 *  sense. */
export function mirrorEdge(edge: Edge): Edge {
  return mapEdge(edge, (p) => [p[0], -p[1]], true);
}

function unit(x: number, y: number): Pt {
  const l = norm2(x, y);
  return [x / l, y / l];
}
