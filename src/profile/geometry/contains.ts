import type { ArcEdge, Loop, Pt } from '../../model/edges.js';
import { edgeRadius } from './edge.js';
import { signedArea } from './loop.js';
import { orientation } from './orientation.js';

/**
 * How often the loop winds round a point: 1 inside a counter-clockwise loop, -1 inside a
 * clockwise one, 0 outside. Decided with exact orientation tests.
 *
 * Winding round the polygon of chords, plus the circular segments between chord and arc: a ccw
 * arc adds the segment on the right of its chord, a cw arc takes away the one on the left. A point
 * exactly on a chord is put on one side by the same tie rule in both parts.
 */
export function windingNumber(loop: Loop, p: Pt): number {
  let winding = 0;
  for (const edge of loop) {
    const { a, b } = edge;
    const up = a[1] <= p[1] && p[1] < b[1];
    const down = b[1] <= p[1] && p[1] < a[1];
    if (edge.kind === 'line' && !up && !down) continue;
    const side = orientation(a, b, p);
    if (up && side > 0) winding++;
    else if (down && side < 0) winding--;
    if (edge.kind === 'arc' && inDisc(edge, p) && onArcSide(edge, side)) {
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

function inDisc(edge: ArcEdge, p: Pt): boolean {
  return Math.hypot(p[0] - edge.c[0], p[1] - edge.c[1]) < edgeRadius(edge);
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
