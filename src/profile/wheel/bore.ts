import { atan2, hypot } from '../../maths/elementary.js';
import { Refusal } from '../../model/refusal.js';
import type { Loop, Pt } from '../../model/edges.js';
import type { Job } from '../../model/job.js';
import { bisect } from '../../maths/solve.js';
import { arcsBySweep, circle, line } from '../geometry/edge.js';
import { type Key, standardKey } from '../standard/keys.js';
import { validateLoop } from '../geometry/loop.js';

/** Bore as a job gives it, mm. */
export type BoreSpec = Pick<
  Job['bore'],
  'shape' | 'diameterMm' | 'acrossFlatMm' | 'keyWidthMm' | 'keyDepthMm'
>;

/** Keyway of a keyed bore, mm. */
interface Keyway {
  readonly widthMm: number;
  readonly depthMm: number;
  /** Gap between the top of the key and the floor; 0 where the key's height is not known. */
  readonly topClearanceMm: number;
  /** The standard key, or null where the job gives both figures. */
  readonly key: Key | null;
}

/**
 * Outline of the bore about the axis: a clockwise loop (a hole), with the flat or the keyway
 * towards +X.
 * @throws Refusal 'bore-dimension' naming the figure that cannot be, 'key-unknown'
 */
export function boreLoop(bore: BoreSpec): Loop {
  const loop = soundOrNot(bore);
  validateLoop(loop);
  return loop;
}

function soundOrNot(bore: BoreSpec): Loop {
  const r = radius(bore);
  if (bore.shape === 'round') return circle([0, 0], r, false);
  const chord = (a: number): number => Math.sqrt((r - a) * (r + a));
  /** The round part from the lower end of flat or keyway to its upper one. */
  const round = ([x, y]: Pt) =>
    arcsBySweep([x, -y], [0, 0], -(2 * Math.PI - 2 * atan2(y, x)), [x, y]);
  if (bore.shape === 'd-flat') {
    const x = flatOffset(bore);
    const y = chord(x);
    return [line([x, y], [x, -y]), ...round([x, y])];
  }
  const { widthMm, depthMm } = keyway(bore);
  const y = widthMm / 2;
  const x = chord(y);
  const upper: Pt = [r + depthMm, y];
  const lower: Pt = [r + depthMm, -y];
  return [line([x, y], upper), line(upper, lower), line(lower, [x, -y]), ...round([x, y])];
}

/** Keyway of a keyed bore, from the job or the standard. */
export function keyway(bore: BoreSpec): Keyway {
  const key =
    bore.keyWidthMm === null || bore.keyDepthMm === null ? standardKey(bore.diameterMm) : null;
  const widthMm = bore.keyWidthMm ?? (key as Key).widthMm;
  const depthMm = bore.keyDepthMm ?? (key as Key).hubDepthMm;
  if (!(widthMm > 0 && widthMm < bore.diameterMm)) {
    const text = `key width ${widthMm} mm; not between 0 and the bore of ${bore.diameterMm} mm`;
    throw new Refusal('bore-dimension', text, widthMm, bore.diameterMm);
  }
  if (!(depthMm > 0 && Number.isFinite(depthMm))) {
    throw new Refusal('bore-dimension', `key depth ${depthMm} mm; not over 0`, depthMm, 0);
  }
  const topClearanceMm = key ? Math.max(0, depthMm - (key.heightMm - key.shaftDepthMm)) : 0;
  return { widthMm, depthMm, topClearanceMm, key };
}

/** Farthest that the bore reaches from the axis, mm: half the diameter, or to the corners of the
 *  keyway's floor. What is left to the root circle is the wall. */
export function boreReachMm(bore: BoreSpec): number {
  if (bore.shape !== 'keyed') return radius(bore);
  const { widthMm, depthMm } = keyway(bore);
  return hypot(radius(bore) + depthMm, widthMm / 2);
}

function radius({ diameterMm: d }: BoreSpec): number {
  if (!(Number.isFinite(d) && d > 0)) {
    throw new Refusal('bore-dimension', `bore diameter ${d} mm; not over 0`, d, 0);
  }
  return d / 2;
}

/** Distance of the flat from the axis. */
function flatOffset(bore: BoreSpec): number {
  const d = bore.diameterMm;
  const h = bore.acrossFlatMm;
  if (h === null || !(h > d / 2 && h < d)) {
    const given = h === null ? 'no across-flat' : `across-flat ${h} mm`;
    const text = `${given} for a d-flat bore of ${d} mm; from the far side to the flat it lies between ${d / 2} and ${d} mm`;
    throw new Refusal('bore-dimension', text, h, d);
  }
  return h - d / 2;
}

/** What a round cutter leaves in the corners of a bore. */
interface RoutedCorner {
  /** Radius left in the inside corners, mm; null for a round bore, which has none. */
  readonly cornerRadiusMm: number | null;
  /** How far the metal left in a corner reaches into the shaft or key, mm; 0 where it clears,
   *  Infinity where the cutter does not go in at all. */
  readonly foulMm: number;
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
  const cornerRadiusMm = bore.shape === 'round' ? null : cutterRadiusMm;
  const left = (foulMm: number): RoutedCorner => ({ cornerRadiusMm, foulMm });
  if (cutterRadiusMm > largestCutterMm(bore)) return left(Infinity);
  if (bore.shape === 'round' || shaftCornerMm >= cutterRadiusMm) return left(0);
  const centresApart = bore.shape === 'd-flat' ? centresApartAtFlat : centresApartInKeyway;
  const apart = centresApart(bore, cutterRadiusMm, shaftCornerMm);
  return left(Math.max(0, apart + shaftCornerMm - cutterRadiusMm));
}

/** Largest cutter radius that does not foul, by bisection; at least 0. */
export function largestClearCutterRadiusMm(bore: BoreSpec, shaftCornerMm: number): number {
  const largestMm = largestCutterMm(bore);
  const clears = (radiusMm: number): boolean =>
    routedCornerFoul(bore, radiusMm, shaftCornerMm).foulMm <= 0;
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
  return hypot(cutterRadiusMm - cornerMm, height(cornerMm) - height(cutterRadiusMm));
}

function centresApartInKeyway(bore: BoreSpec, cutterRadiusMm: number, cornerMm: number): number {
  const across = cutterRadiusMm - cornerMm;
  const up = across - keyway(bore).topClearanceMm;
  // A key whose rounding starts below the fillet touches nothing but the straight side.
  return up <= 0 ? 0 : hypot(across, up);
}
