import { apart } from '../../maths/angle.js';
import type { Edge, Pt } from '../../model/edges.js';
import { arcParameter, edgeRadius, line, polar } from '../geometry/edge.js';
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
  const next = polar(r, (2 * Math.PI) / teeth);
  const chord = line(next, [r, 0]);
  let farthest = 0;
  for (const edge of half) {
    for (const p of farPoints(edge, next)) {
      const outward = (r - next[0]) * (p[1] - next[1]) + next[1] * (p[0] - next[0]);
      if (outward < 0) continue;
      farthest = Math.max(farthest, apart(p, next));
    }
    for (const { point } of edgeIntersections(edge, chord)) {
      farthest = Math.max(farthest, apart(point, next));
    }
  }
  return farthest - (pitchMm - rollerDiameterMm / 2);
}

/** Points of an edge that can be the farthest from `from`: its ends, and for an arc the point
 *  straight across its centre. */
function farPoints(edge: Edge, from: Pt): Pt[] {
  const ends = [edge.a, edge.b];
  // An arc about `from` is as far all along.
  if (edge.kind === 'line' || apart(edge.c, from) === 0) return ends;
  const k = edgeRadius(edge) / apart(edge.c, from);
  const far: Pt = [edge.c[0] + k * (edge.c[0] - from[0]), edge.c[1] + k * (edge.c[1] - from[1])];
  return arcParameter(edge, ...far) === null ? ends : [...ends, far];
}
