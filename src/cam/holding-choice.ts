/** Which holding works for a wheel: the bolt in the middle that the collet nut must clear, and what is
 *  taken where the job names none. */
import type { Job } from '../model/job.js';
import { NUT_RADIUS_MM } from '../model/machine.js';
import { OVERRUN_MM } from './process.js';

/** A through bolt's head with its washer: height over the face. mm. Hexagon M8 with a large washer,
 *  from memory of ISO 4017 and ISO 7093. */
export const BOLT_HEAD_MM = 8;
/** Radius of the large washer under a through bolt's head. mm. M8, from memory of ISO 7093. */
export const WASHER_RADIUS_MM = 12;
/** A screw's head that is not sunk. mm. M5 with a cylindrical head, from memory of ISO 4762. */
export const SCREW_HEAD_MM = 5;
/** Clearance hole of the bolt whose head stands here, M8. mm. ISO 273 fine, from memory. */
const BOLT_HOLE_MM = 8.4;
/** What the choice looks at, mm. */
export interface HeldWheel {
  readonly rootDiameterMm: number;
  readonly thicknessMm: number;
  readonly boreMm: number;
  readonly cutter: Pick<Job['cutter'], 'diameterMm' | 'stickOutMm'>;
}

/** Height of the collet nut's face over the blank's top face with the cutter at its lowest. mm */
export function nutHeightMm(stickOutMm: number, thicknessMm: number): number {
  return stickOutMm - thicknessMm - OVERRUN_MM;
}

/** The same; null where the nut does not come over a bolt's washer. mm */
export function nutOverBoltMm(wheel: Omit<HeldWheel, 'boreMm'>): number | null {
  const { rootDiameterMm, thicknessMm, cutter } = wheel;
  const inwards = rootDiameterMm / 2 + cutter.diameterMm / 2 - NUT_RADIUS_MM;
  return inwards >= WASHER_RADIUS_MM ? null : nutHeightMm(cutter.stickOutMm, thicknessMm);
}

/** Stick-out at which the nut clears the bolt's head. mm */
export function stickOutOverBoltMm(thicknessMm: number): number {
  return thicknessMm + OVERRUN_MM + BOLT_HEAD_MM;
}

/** The holding that is taken where the job names none, and why. */
export function usualHolding(
  wheel: HeldWheel,
  hub: boolean,
  madeBy: Job['bore']['madeBy'],
): { readonly heldBy: Job['blank']['heldBy']; readonly why: string } {
  if (hub) return { heldBy: 'spigot', why: 'by its hub' };
  if (madeBy === 'router') {
    return {
      heldBy: 'plate',
      why: 'screwed down: the router cuts the bore, so nothing stands in it',
    };
  }
  const nutMm = nutOverBoltMm(wheel);
  const clear = nutMm === null || nutMm >= BOLT_HEAD_MM;
  if (clear && wheel.boreMm >= BOLT_HOLE_MM) {
    return {
      heldBy: 'through-bolt',
      why: 'the bore takes an M8 bolt and the collet nut clears it',
    };
  }
  const not = clear
    ? `the bore of ${wheel.boreMm} mm is too small for an M8 bolt`
    : 'the collet nut would meet a bolt in the bore';
  return {
    heldBy: 'spigot',
    why: `turned with the blank and off again afterwards: ${not}`,
  };
}
