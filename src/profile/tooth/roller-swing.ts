import type { Edge, Pt } from '../../model/edges.js';
import { arcParameter, edgeRadius, line } from '../geometry/edge.js';
import { edgeIntersections } from '../geometry/intersect.js';
import { pitchDiameterMm } from '../standard/limits.js';

/**
 * How far the flank stands in the way of a roller that leaves the gap, mm; negative where there is
 * room. As the strand unwraps, the leaving roller swings outwards about the next one, which is
 * still seated, and its near side sweeps a circle of radius p - r about that roller's centre: metal
 * farther than that from the centre, on the outer side of the line between the two rollers, is hit.
 *
 * @param half upper half of the gap centred on +X, from the bottom of the seat outwards
 */
export function rollerSwingFoulMm(
  half: readonly Edge[],
  pitchMm: number,
  rollerDiameterMm: number,
  teeth: number,
): number {
  const r = pitchDiameterMm(pitchMm, teeth) / 2;
  const angle = (2 * Math.PI) / teeth;
  const next: Pt = [r * Math.cos(angle), r * Math.sin(angle)];
  const chord = line(next, [r, 0]);
  let farthest = 0;
  for (const edge of half) {
    for (const p of farPoints(edge, next)) {
      const outward = (r - next[0]) * (p[1] - next[1]) + next[1] * (p[0] - next[0]);
      if (outward < 0) continue;
      farthest = Math.max(farthest, Math.hypot(p[0] - next[0], p[1] - next[1]));
    }
    for (const hit of edgeIntersections(edge, chord)) {
      farthest = Math.max(farthest, Math.hypot(hit.point[0] - next[0], hit.point[1] - next[1]));
    }
  }
  return farthest - (pitchMm - rollerDiameterMm / 2);
}

/** Points of an edge that can be the farthest from `from`: its ends, and for an arc the point
 *  straight across its centre. */
function farPoints(edge: Edge, from: Pt): Pt[] {
  const points: Pt[] = [edge.a, edge.b];
  if (edge.kind === 'arc') {
    const dx = edge.c[0] - from[0];
    const dy = edge.c[1] - from[1];
    const d = Math.hypot(dx, dy);
    if (d > 0) {
      const k = edgeRadius(edge) / d;
      const far: Pt = [edge.c[0] + k * dx, edge.c[1] + k * dy];
      if (arcParameter(edge, far[0], far[1]) !== null) points.push(far);
    }
  }
  return points;
}
