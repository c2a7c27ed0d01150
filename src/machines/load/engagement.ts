/**
 * Radial engagement of an end mill: the arc of its rim that is in material.
 *
 *            travel
 *              ^
 *          .-""|""-.            phi is measured at the cutter's centre from the wall normal
 *        .'    |  /.'.          towards the travel: a rim point at angle t stands r (1 - cos t)
 *       /      | /  ..\ wall    away from the wall's line, so a depth ae is reached at
 *      |       |/ phi..|        phi = acos(1 - ae / r).
 *      |       o-------|
 *
 * On an arc, a rim point at angle t lies sqrt(rho^2 + r^2 +/- 2 rho r cos t) from the arc's
 * centre (rho: radius of the cutter-centre path). Setting that to the stock's radius gives the
 * same acos with an effective depth: the relation that thread-milling catalogues print as
 * (Dm^2 - Dw^2) / (4 (Dm - Dc)) inside and (Dw^2 - Dm^2) / (4 (Dm + Dc)) outside
 * (Sandvik Coromant, Threading manual, p. 117, thread milling formulas).
 */
import { acos, cos } from '../../maths/elementary.js';

/**
 * Engagement while following an inside arc with an even allowance.
 * @param aeMm          allowance measured square to the finished wall, mm
 * @param rMm           cutter radius, mm
 * @param wallRadiusMm  radius of the finished wall, mm; Infinity for a straight one
 * @returns radians, 0..pi; pi once the whole width is in, or when the cutter cannot follow the arc
 */
export function engagementConcaveRad(aeMm: number, rMm: number, wallRadiusMm: number): number {
  // Stock that reaches past the arc's centre leaves nothing to be farther from: cap at R.
  const ae = Math.min(aeMm, wallRadiusMm);
  if (!(ae > 0)) return 0;
  if (wallRadiusMm <= rMm) return Math.PI;
  const straight = wallRadiusMm === Infinity;
  const depth = straight ? ae : (ae * (2 * wallRadiusMm - ae)) / (2 * (wallRadiusMm - rMm));
  const cosine = 1 - depth / rMm;
  return cosine <= -1 ? Math.PI : acos(cosine);
}

/** The allowance that engages `phiRad` on a straight wall. @returns mm */
export function stepForEngagementStraightMm(phiRad: number, rMm: number): number {
  return rMm * (1 - cos(phiRad));
}

/**
 * Inverse of `engagementConcaveRad`: ae from ae (2R - ae) = 2 (R - r) r (1 - cos phi).
 * @returns mm; 0 where the wall is no larger than the cutter; R where the whole circle is reached
 */
export function stepForEngagementConcaveMm(
  phiRad: number,
  rMm: number,
  wallRadiusMm: number,
): number {
  if (wallRadiusMm <= rMm) return 0;
  const depth = rMm * (1 - cos(phiRad));
  const rest = wallRadiusMm * wallRadiusMm - 2 * (wallRadiusMm - rMm) * depth;
  if (rest <= 0) return wallRadiusMm;
  // R - sqrt(R^2 - q) written without cancellation.
  return (2 * (wallRadiusMm - rMm) * depth) / (wallRadiusMm + Math.sqrt(rest));
}

/** Allowance on the outside of an arc, from ae (2R + ae) = 2 (R + r) r (1 - cos phi). @returns mm */
export function stepForEngagementConvexMm(
  phiRad: number,
  rMm: number,
  wallRadiusMm: number,
): number {
  const q = 2 * (wallRadiusMm + rMm) * rMm * (1 - cos(phiRad));
  return q / (wallRadiusMm + Math.sqrt(wallRadiusMm * wallRadiusMm + q));
}

/**
 * Largest cutter that follows an inside arc without passing an engagement limit.
 * From r (R - r) >= ae (2R - ae) / (2 (1 - cos phi)), the greater root in r.
 * @param wallRadiusMm  finished radius of the arc, mm
 * @param aeMm          allowance it must take there, mm
 * @param limitRad      greatest engagement, radians
 * @returns cutter radius, mm; null when no cutter takes that allowance inside the limit
 */
export function largestCutterRadiusMm(
  wallRadiusMm: number,
  aeMm: number,
  limitRad: number,
): number | null {
  const q = (aeMm * (2 * wallRadiusMm - aeMm)) / (2 * (1 - cos(limitRad)));
  const discriminant = wallRadiusMm * wallRadiusMm - 4 * q;
  if (!(discriminant >= 0)) return null;
  return (wallRadiusMm + Math.sqrt(discriminant)) / 2;
}
