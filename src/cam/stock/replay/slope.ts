/** Moves that change depth: plunges, ramps, helices, slanted rapids, arcs in upright planes. */
import { TURN_RAD } from '../../../maths/angle.js';
import { DEPTH_TOL_MM, PLACE_TOL_MM } from '../../../maths/tolerance.js';
import type { StockFront } from '../stock-front.js';
import { type Slope } from './motion.js';
import type { SlabDepths } from '../slabs.js';

/** Distance between places looked at along a slanted move. mm */
const STEP_MM = 0.1;
/** Places looked at along one move at most: a longer one is looked at more coarsely. */
const MOST_PLACES = 4000;

/** Slabs that a slanted move passes through are no thicker than this where there is a choice. mm */
const SLAB_MM = 0.25;

/**
 * Depths at which slabs should end so that what a move meets is not taken for much deeper than it
 * is: its ends, its lowest place, and steps between.
 */
export function slopeDepths(slope: Slope, thicknessMm: number): number[] {
  if (slope.planLengthMm < PLACE_TOL_MM) return [slope.at(1)[2]];
  let low = Infinity;
  let high = -Infinity;
  for (const share of slopeShares(slope)) {
    const z = slope.at(share)[2];
    low = Math.min(low, z);
    high = Math.max(high, z);
  }
  const depths = [slope.at(0)[2], slope.at(1)[2], low];
  const top = Math.floor(Math.min(0, high) / SLAB_MM);
  const bottom = Math.ceil(Math.max(-thicknessMm, low) / SLAB_MM);
  for (let k = top; k >= bottom; k--) depths.push(k * SLAB_MM);
  return depths;
}

/** Part of a slanted move, in shares of it, that lies below a depth. */
export interface Below {
  readonly from: number;
  readonly to: number;
}

/** Shares at which a slanted move is looked at, from 0 to 1. */
export function slopeShares(slope: Slope): Float64Array {
  const n = Math.min(MOST_PLACES, Math.max(1, Math.ceil(slope.planLengthMm / STEP_MM)));
  return Float64Array.from({ length: n + 1 }, (_, i) => i / n);
}

/** Runs of neighbouring shares at which the tip is lower than a depth. */
export function runsBelow(depths: Float64Array, shares: Float64Array, zMm: number): Below[] {
  const runs: Below[] = [];
  let from = -1;
  for (let i = 0; i < shares.length; i++) {
    const low = depths[i]! < zMm;
    if (low && from < 0) from = i;
    if (from >= 0 && (!low || i === shares.length - 1)) {
      runs.push({ from: shares[from]!, to: shares[low ? i : i - 1]! });
      from = -1;
    }
  }
  return runs;
}

/** Is the tip in the slab at all, anywhere along the move? */
export function reaches(depths: Float64Array, slab: SlabDepths): boolean {
  return depths.some((z) => z < slab.topMm - DEPTH_TOL_MM);
}

/** Does the cutter's disc at a place hold any material? Asked on the rim and on rings of points. */
export function meetsMaterial(
  front: StockFront,
  x: number,
  y: number,
  radiusMm: number,
  touchRad: number,
): boolean {
  if (front.engagedRad(x, y) > touchRad) return true;
  for (const share of [0, 0.3, 0.6, 0.85]) {
    const n = share === 0 ? 1 : Math.ceil(24 * share);
    for (let i = 0; i < n; i++) {
      const a = (TURN_RAD * i) / n;
      const px = x + share * radiusMm * Math.cos(a);
      const py = y + share * radiusMm * Math.sin(a);
      if (front.standsAt(px, py)) return true;
    }
  }
  return false;
}
