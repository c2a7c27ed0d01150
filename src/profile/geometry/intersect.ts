import { apart } from '../../maths/angle.js';
import { hypot } from '../../maths/elementary.js';
import type { ArcEdge, Edge, LineEdge, Pt } from '../../model/edges.js';
import { arcParameter, edgeRadius } from './edge.js';
import { MERGE_TOL_MM } from '../../maths/tolerance.js';
import { leastOf } from '../../maths/solve.js';

/** Common point of two edges; `t` and `u` are the parameters 0..1 on the first and second. */
export interface EdgeIntersection {
  readonly point: Pt;
  readonly t: number;
  readonly u: number;
}

/**
 * Points that two edges have in common, in order along the first. Ends within MERGE_TOL_MM count,
 * so does a touch without crossing. Edges that lie on one another (same line, same circle) give
 * the ends of the shared stretch.
 */
export function edgeIntersections(first: Edge, second: Edge): EdgeIntersection[] {
  const found: EdgeIntersection[] = [];
  for (const p of carrierIntersections(first, second)) addIfOnBoth(found, first, second, p);
  if (sameCarrier(first, second)) {
    for (const p of [first.a, first.b, second.a, second.b]) addIfOnBoth(found, first, second, p);
  }
  return found.sort((p, q) => p.t - q.t);
}

/**
 * Points common to the whole lines and whole circles that carry two edges (0, 1 or 2 points).
 * A near miss within MERGE_TOL_MM counts as a touch. None for parallel lines or equal circles.
 */
export function carrierIntersections(first: Edge, second: Edge): Pt[] {
  if (first.kind === 'line') {
    return second.kind === 'line' ? lineLine(first, second) : lineCircle(first, second);
  }
  return second.kind === 'line' ? lineCircle(second, first) : circleCircle(first, second);
}

/** The one of some points that is nearest to `p`, the first of equals; null where there is none. */
export function nearestTo(p: Pt, points: readonly Pt[]): Pt | null {
  return leastOf(points, (q) => apart(q, p));
}

function lineLine(f: LineEdge, s: LineEdge): Pt[] {
  const dx = f.b[0] - f.a[0];
  const dy = f.b[1] - f.a[1];
  const ex = s.b[0] - s.a[0];
  const ey = s.b[1] - s.a[1];
  const det = dx * ey - dy * ex;
  if (Math.abs(det) <= 1e-12 * hypot(dx, dy) * hypot(ex, ey)) return [];
  const t = ((s.a[0] - f.a[0]) * ey - (s.a[1] - f.a[1]) * ex) / det;
  return [[f.a[0] + t * dx, f.a[1] + t * dy]];
}

function lineCircle(l: LineEdge, k: ArcEdge): Pt[] {
  const length = apart(l.b, l.a);
  const dx = (l.b[0] - l.a[0]) / length;
  const dy = (l.b[1] - l.a[1]) / length;
  const fx = k.c[0] - l.a[0];
  const fy = k.c[1] - l.a[1];
  const along = fx * dx + fy * dy;
  const away = dx * fy - dy * fx; // centre's distance left of the line
  const foot: Pt = [k.c[0] + away * dy, k.c[1] - away * dx];
  const half = halfChord(edgeRadius(k), Math.abs(away));
  if (half === null) return [];
  if (half === 0) return [foot];
  return [along - half, along + half].map((t): Pt => [l.a[0] + t * dx, l.a[1] + t * dy]);
}

function circleCircle(f: ArcEdge, s: ArcEdge): Pt[] {
  const dx = s.c[0] - f.c[0];
  const dy = s.c[1] - f.c[1];
  const d = hypot(dx, dy);
  if (d === 0) return [];
  const r = edgeRadius(f);
  const q = edgeRadius(s);
  // Distance from the first centre to the common chord: (d^2 + r^2 - q^2) / 2d, factored so that
  // two large, nearly equal radii do not cancel.
  const to = (d + ((r - q) * (r + q)) / d) / 2;
  const half = halfChord(r, Math.abs(to));
  if (half === null) return [];
  const foot: Pt = [f.c[0] + (to * dx) / d, f.c[1] + (to * dy) / d];
  if (half === 0) return [foot];
  const ox = (-dy * half) / d;
  const oy = (dx * half) / d;
  return [
    [foot[0] + ox, foot[1] + oy],
    [foot[0] - ox, foot[1] - oy],
  ];
}

/** Half the chord at distance `away` from the centre; 0 for a touch, null where there is none. */
function halfChord(radius: number, away: number): number | null {
  const square = (radius - away) * (radius + away);
  if (square > 0) return Math.sqrt(square);
  return away - radius <= MERGE_TOL_MM ? 0 : null;
}

function sameCarrier(f: Edge, s: Edge): boolean {
  if (f.kind === 'arc' && s.kind === 'arc') {
    return (
      apart(f.c, s.c) <= MERGE_TOL_MM && Math.abs(edgeRadius(f) - edgeRadius(s)) <= MERGE_TOL_MM
    );
  }
  if (f.kind !== 'line' || s.kind !== 'line') return false;
  const length = apart(f.b, f.a);
  const off = (p: Pt): number =>
    Math.abs((f.b[0] - f.a[0]) * (p[1] - f.a[1]) - (f.b[1] - f.a[1]) * (p[0] - f.a[0])) / length;
  return off(s.a) <= MERGE_TOL_MM && off(s.b) <= MERGE_TOL_MM;
}

function addIfOnBoth(found: EdgeIntersection[], f: Edge, s: Edge, p: Pt): void {
  const t = parameterOf(f, p);
  const u = parameterOf(s, p);
  if (t === null || u === null) return;
  if (found.some((g) => apart(g.point, p) <= MERGE_TOL_MM)) return;
  found.push({ point: p, t, u });
}

/** Parameter 0..1 of a point that lies on the edge's line or circle, null beyond its ends. */
export function parameterOf(edge: Edge, p: Pt): number | null {
  if (apart(p, edge.a) <= MERGE_TOL_MM) return 0;
  if (apart(p, edge.b) <= MERGE_TOL_MM) return 1;
  if (edge.kind === 'arc') {
    const off = apart(p, edge.c) - edgeRadius(edge);
    return Math.abs(off) <= MERGE_TOL_MM ? arcParameter(edge, p[0], p[1]) : null;
  }
  const dx = edge.b[0] - edge.a[0];
  const dy = edge.b[1] - edge.a[1];
  const square = dx * dx + dy * dy;
  const cross = dx * (p[1] - edge.a[1]) - dy * (p[0] - edge.a[0]);
  if (Math.abs(cross) > MERGE_TOL_MM * Math.sqrt(square)) return null;
  const t = ((p[0] - edge.a[0]) * dx + (p[1] - edge.a[1]) * dy) / square;
  return t >= 0 && t <= 1 ? t : null;
}
