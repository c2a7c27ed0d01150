import { edgeRadius, edgeSweepRad } from '../../profile/geometry/edge.js';
import type { Loop, Pt } from '../../model/edges.js';
import { plainNumber } from './markup.js';

/**
 * A loop as the d of an SVG path, arcs as arcs. SVG's y points down, so y is turned over, and what
 * runs counter-clockwise on paper has sweep flag 0.
 * @param scale  user units per mm
 */
export function loopPath(loop: Loop, scale = 1, digits = 5): string {
  const at = ([x, y]: Pt): string =>
    `${plainNumber(scale * x, digits)} ${plainNumber(-scale * y, digits)}`;
  const start = loop[0];
  if (!start) return '';
  const parts = [`M${at(start.a)}`];
  for (const edge of loop) {
    if (edge.kind === 'line') parts.push(`L${at(edge.b)}`);
    else {
      const r = plainNumber(scale * edgeRadius(edge), digits);
      // A hair over half a turn is rounding: the long way round is never meant.
      const long = edgeSweepRad(edge) > Math.PI + 1e-6 ? 1 : 0;
      parts.push(`A${r} ${r} 0 ${long} ${edge.ccw ? 0 : 1} ${at(edge.b)}`);
    }
  }
  return `${parts.join('')}Z`;
}
