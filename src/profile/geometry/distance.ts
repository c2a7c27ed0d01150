import type { Loop, Pt } from '../../model/edges.js';
import { nearestOnEdge } from './edge.js';
import { signedArea } from './loop.js';
import { windingNumber } from './contains.js';

/** Nearest point of a loop. `distanceMm` >= 0; `t` is the parameter 0..1 on edge `edgeIndex`. */
export interface NearestOnLoop {
  readonly point: Pt;
  readonly edgeIndex: number;
  readonly t: number;
  readonly distanceMm: number;
}

/** Nearest point of a loop to `p`, by looking at every edge. For many queries use
 *  makeDistanceField. */
export function distanceToLoop(loop: Loop, p: Pt): NearestOnLoop {
  let best: NearestOnLoop | null = null;
  loop.forEach((edge, edgeIndex) => {
    const near = nearestOnEdge(edge, p);
    if (best === null || near.distanceMm < best.distanceMm) best = { ...near, edgeIndex };
  });
  if (best === null) throw new RangeError('distanceToLoop: loop has no edges');
  return best;
}

/**
 * Distance from the loop with a sign: negative in the material, positive in the air. The material
 * is on the left of the travel, so inside a counter-clockwise loop and outside a clockwise hole.
 * An offset by d is the set of points at signed distance d.
 */
export function signedDistanceToLoop(loop: Loop, p: Pt): number {
  const near = distanceToLoop(loop, p);
  return inAir(loop, p) ? near.distanceMm : -near.distanceMm;
}

/** True where `p` is in the air (right of the travel), by the winding number. */
export function inAir(loop: Loop, p: Pt): boolean {
  const winding = windingNumber(loop, p);
  return signedArea(loop) < 0 ? winding !== 0 : winding === 0;
}
