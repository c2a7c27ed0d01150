/** Engagement on walls of each shape, by what the code has: the rest is derived here. */
import {
  engagementConcaveRad,
  stepForEngagementStraightMm,
} from '../../src/machines/load/engagement.js';

export type WallShape = 'straight' | 'concave' | 'convex';

export function engagementStraightRad(aeMm: number, rMm: number): number {
  return engagementConcaveRad(aeMm, rMm, Infinity);
}

/** Radial depth on a straight wall that engages the same arc as an allowance on a curved one. */
export function effectiveRadialDepthMm(
  aeMm: number,
  rMm: number,
  shape: WallShape,
  wallRadiusMm = Infinity,
): number {
  if (shape === 'convex' && wallRadiusMm !== Infinity) {
    return (aeMm * (2 * wallRadiusMm + aeMm)) / (2 * (wallRadiusMm + rMm));
  }
  const phi = engagementConcaveRad(aeMm, rMm, shape === 'concave' ? wallRadiusMm : Infinity);
  return stepForEngagementStraightMm(phi, rMm);
}

export function engagementConvexRad(aeMm: number, rMm: number, wallRadiusMm: number): number {
  return engagementStraightRad(effectiveRadialDepthMm(aeMm, rMm, 'convex', wallRadiusMm), rMm);
}
