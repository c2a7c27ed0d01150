/**
 * One flat on the shaft. A loose D bore bears on one half of the flat, with a pressure that rises
 * in a straight line from the middle to p at the edge:
 *
 *      p |\                 T = integral from 0 to w/2 of (2 p x / w) x L dx = p L w^2 / 12
 *        | \
 *     ---+--`------ flat, width w = 2 sqrt(r^2 - (h - r)^2)
 *       w/2  0
 *
 * A model made here, not a published one; no standard fixes a D bore.
 */
import { type HubMaterial, type JointCapacity, flankPressure, shockShare } from './strength.js';
import type { Service } from '../drive/rating.js';

export const FLAT_SOURCE =
  'bearing on half the flat, pressure rising to the edge; a model of our own';

/** Width of the flat. mm; geometry. */
export function flatWidthMm(diameterMm: number, acrossFlatMm: number): number {
  const r = diameterMm / 2;
  const f = acrossFlatMm - r;
  return 2 * Math.sqrt(Math.max(0, (r - f) * (r + f)));
}

/** T = p L w^2 / 12. N m; p N/mm2, lengths mm. */
export function flatTorqueNm(pressure: number, lengthMm: number, widthMm: number): number {
  return (pressure * lengthMm * widthMm ** 2) / 12000;
}

/** @returns null where no permissible pressure is known for the material */
export function flatCapacity(
  diameterMm: number,
  acrossFlatMm: number,
  lengthMm: number,
  hub: HubMaterial,
  service: Service,
): JointCapacity | null {
  const pressure = flankPressure(hub);
  if (pressure === null) return null;
  const torque = flatTorqueNm(pressure, lengthMm, flatWidthMm(diameterMm, acrossFlatMm));
  return { runningNm: torque * shockShare(service), peakNm: torque };
}
