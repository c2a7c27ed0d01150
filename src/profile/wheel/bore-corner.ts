import { bisect } from '../../maths/solve.js';
import { type BoreSpec, flatOffset, keyway } from './bore.js';

/** What a round cutter leaves in the corners of a bore. */
export interface RoutedCorner {
  /** Radius left in the inside corners, mm; null for a round bore, which has none. */
  readonly cornerRadiusMm: number | null;
  /** How far the metal left in a corner reaches into the shaft or key, mm; 0 where it clears,
   *  Infinity where the cutter does not go in at all. */
  readonly foulMm: number;
  /** Largest cutter radius that goes in, mm. */
  readonly largestRadiusMm: number;
}

/** Smallest inside radius of the bore as drawn, mm: half the diameter of a round bore, 0 where it
 *  has sharp corners. */
export function smallestInsideRadiusMm(bore: BoreSpec): number {
  return bore.shape === 'round' ? bore.diameterMm / 2 : 0;
}

/**
 * Corner radius that a cutter leaves in the bore and how far it fouls the shaft (d-flat) or the key
 * (keyed).
 *
 * Cutter (radius R) and rounded corner of the shaft or key (radius s) both nest in the corner,
 * touching both walls; their centres lie d apart. The metal between cutter and corner starts at R
 * from the cutter's centre, the shaft ends at d + s from it, so it fouls by d + s - R.
 *
 *   d-flat  walls: flat at x = f and circle of radius r. Centre (f - R, sqrt((r-R)^2 - (f-R)^2)).
 *   keyed   walls: side and floor; the key stops `topClearanceMm` short of the floor.
 *
 * @param shaftCornerMm radius on the corners of the shaft's flat or of the key, or their chamfer
 *        (a chamfer of the same leg clears more, so this errs on the safe side)
 */
export function routedCornerFoul(
  bore: BoreSpec,
  cutterRadiusMm: number,
  shaftCornerMm: number,
): RoutedCorner {
  if (!(cutterRadiusMm > 0) || !(shaftCornerMm >= 0)) {
    throw new RangeError(
      `cutter radius ${cutterRadiusMm} mm and shaft corner ${shaftCornerMm} mm; not > 0 and >= 0`,
    );
  }
  const largestRadiusMm = largestCutterMm(bore);
  const inside = cutterRadiusMm <= largestRadiusMm;
  if (bore.shape === 'round') {
    return { cornerRadiusMm: null, foulMm: inside ? 0 : Infinity, largestRadiusMm };
  }
  const cornerRadiusMm = cutterRadiusMm;
  if (!inside) return { cornerRadiusMm, foulMm: Infinity, largestRadiusMm };
  if (shaftCornerMm >= cutterRadiusMm) return { cornerRadiusMm, foulMm: 0, largestRadiusMm };
  const apart =
    bore.shape === 'd-flat'
      ? centresApartAtFlat(bore, cutterRadiusMm, shaftCornerMm)
      : centresApartInKeyway(bore, cutterRadiusMm, shaftCornerMm);
  const foulMm = Math.max(0, apart + shaftCornerMm - cutterRadiusMm);
  return { cornerRadiusMm, foulMm, largestRadiusMm };
}

/** Largest cutter radius that fouls by no more than `allowedMm`, by bisection; at least 0. */
export function largestClearCutterRadiusMm(
  bore: BoreSpec,
  shaftCornerMm: number,
  allowedMm = 0,
): number {
  const largestMm = largestCutterMm(bore);
  const clears = (radiusMm: number): boolean =>
    routedCornerFoul(bore, radiusMm, shaftCornerMm).foulMm <= allowedMm;
  return clears(largestMm) ? largestMm : bisect(clears, 0, largestMm, 50)[0];
}

function largestCutterMm(bore: BoreSpec): number {
  if (bore.shape === 'round') return bore.diameterMm / 2;
  if (bore.shape === 'd-flat') return (bore.diameterMm / 2 + flatOffset(bore)) / 2;
  return keyway(bore).widthMm / 2;
}

function centresApartAtFlat(bore: BoreSpec, cutterRadiusMm: number, cornerMm: number): number {
  const r = bore.diameterMm / 2;
  const f = flatOffset(bore);
  const height = (q: number): number => Math.sqrt(Math.max(0, (r - q) ** 2 - (f - q) ** 2));
  return Math.hypot(cutterRadiusMm - cornerMm, height(cornerMm) - height(cutterRadiusMm));
}

function centresApartInKeyway(bore: BoreSpec, cutterRadiusMm: number, cornerMm: number): number {
  const across = cutterRadiusMm - cornerMm;
  const up = across - keyway(bore).topClearanceMm;
  // A key whose rounding starts below the fillet touches nothing but the straight side.
  return up <= 0 ? 0 : Math.hypot(across, up);
}
