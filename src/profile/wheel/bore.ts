import { Refusal } from '../../model/refusal.js';
import type { Loop, Pt } from '../../model/edges.js';
import { arcsBySweep, circle, line } from '../geometry/edge.js';

import { type Key, standardKey } from '../standard/keys.js';
import { rotateLoop, validateLoop } from '../geometry/loop.js';

/** Bore as a job gives it, mm. */
export interface BoreSpec {
  readonly shape: 'round' | 'd-flat' | 'keyed';
  readonly diameterMm: number;
  /** d-flat: from the far side of the bore to the flat. */
  readonly acrossFlatMm: number | null;
  /** keyed: null takes the standard's key for this diameter. */
  readonly keyWidthMm: number | null;
  /** keyed: from the top of the bore to the floor of the keyway. */
  readonly keyDepthMm: number | null;
}

/** Keyway of a keyed bore, mm. */
export interface Keyway {
  readonly widthMm: number;
  readonly depthMm: number;
  /** Gap between the top of the key and the floor; 0 where the key's height is not known. */
  readonly topClearanceMm: number;
  /** The standard key, or null where the job gives both figures. */
  readonly key: Key | null;
}

/**
 * Outline of the bore about the axis: a clockwise loop (a hole), with the flat or the keyway
 * towards `angleRad` (0 = +X).
 * @throws Refusal 'bore-dimension' naming the figure that cannot be, 'key-unknown'
 */
export function boreLoop(bore: BoreSpec, angleRad = 0): Loop {
  const loop = loopTowardsX(bore);
  validateLoop(loop);
  return angleRad === 0 ? loop : rotateLoop(loop, angleRad);
}

function loopTowardsX(bore: BoreSpec): Loop {
  const r = radius(bore);
  if (bore.shape === 'round') return circle([0, 0], r, false);
  if (bore.shape === 'd-flat') {
    const x = flatOffset(bore);
    const y = Math.sqrt((r - x) * (r + x));
    const top: Pt = [x, y];
    const bottom: Pt = [x, -y];
    const round = arcsBySweep(bottom, [0, 0], -(2 * Math.PI - 2 * Math.atan2(y, x)), top);
    return [line(top, bottom), ...round];
  }
  const { widthMm, depthMm } = keyway(bore);
  const y = widthMm / 2;
  const x = Math.sqrt((r - y) * (r + y));
  const floor = r + depthMm;
  const start: Pt = [x, y];
  const end: Pt = [x, -y];
  const round = arcsBySweep(end, [0, 0], -(2 * Math.PI - 2 * Math.atan2(y, x)), start);
  return [line(start, [floor, y]), line([floor, y], [floor, -y]), line([floor, -y], end), ...round];
}

/** Keyway of a keyed bore, from the job or the standard. */
export function keyway(bore: BoreSpec): Keyway {
  const key =
    bore.keyWidthMm === null || bore.keyDepthMm === null ? standardKey(bore.diameterMm) : null;
  const widthMm = bore.keyWidthMm ?? (key as Key).widthMm;
  const depthMm = bore.keyDepthMm ?? (key as Key).hubDepthMm;
  if (!(widthMm > 0 && widthMm < bore.diameterMm)) {
    throw new Refusal(
      'bore-dimension',
      `key width ${widthMm} mm; not between 0 and the bore of ${bore.diameterMm} mm`,
      widthMm,
      bore.diameterMm,
    );
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
  return Math.hypot(radius(bore) + depthMm, widthMm / 2);
}

function radius(bore: BoreSpec): number {
  if (!(Number.isFinite(bore.diameterMm) && bore.diameterMm > 0)) {
    throw new Refusal(
      'bore-dimension',
      `bore diameter ${bore.diameterMm} mm; not over 0`,
      bore.diameterMm,
      0,
    );
  }
  return bore.diameterMm / 2;
}

/** Distance of the flat from the axis. */
export function flatOffset(bore: BoreSpec): number {
  const d = bore.diameterMm;
  const h = bore.acrossFlatMm;
  if (h === null || !(h > d / 2 && h < d)) {
    throw new Refusal(
      'bore-dimension',
      `${h === null ? 'no across-flat' : `across-flat ${h} mm`} for a d-flat bore of ${d} mm; from the far side to the flat it lies between ${d / 2} and ${d} mm`,
      h,
      d,
    );
  }
  return h - d / 2;
}
