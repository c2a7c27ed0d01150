/** Which holding works for a wheel: the bolt in the middle that the collet nut must clear, and what is
 *  taken where the job names none. */
import type { Job } from '../model/job.js';
import { NUT_RADIUS_MM } from '../model/machine.js';
import { boreReachMm } from '../profile/wheel/bore.js';
import { OVERRUN_MM } from './process.js';

/** A through bolt's head with its washer: height over the face. mm. Hexagon M8 with a large washer,
 *  from memory of ISO 4017 and ISO 7093. */
export const BOLT_HEAD_MM = 8;
/** Radius within which that stands: the large washer of M8, from memory of ISO 7093. mm */
const HEAD_ROOM_MM = 12;
/** Thickness of a wider washer. mm. Of M16, from memory of ISO 7093. */
const WASHER_MM = 3;
/** A screw's head that is not sunk. mm. M5 with a cylindrical head, from memory of ISO 4762. */
export const SCREW_HEAD_MM = 5;
/** Clearance hole of the bolt whose head stands here, M8. mm. ISO 273 fine, from memory. */
const BOLT_HOLE_MM = 8.4;
/** Air between the spacer and the root circle besides the centring error. mm on the radius.
 *  Common practice, no source. */
const SPACER_AIR_MM = 0.5;
/** What the choice looks at, mm. */
export interface HeldWheel {
  readonly rootDiameterMm: number;
  readonly thicknessMm: number;
  /** Of the hole that the bolt goes through: the bore, or the hub that goes into the washer. */
  readonly holeMm: number;
  /** Widest spacer that the cutter does not touch: no washer is wider. */
  readonly spacerMm: number;
  readonly cutter: Pick<Job['cutter'], 'diameterMm' | 'stickOutMm'>;
}

/** Largest spacer, ring or pad under the teeth that the cutter does not touch: half millimetres. */
export function spacerMaxMm(rootDiameterMm: number, centringErrorMm: number): number {
  return Math.floor((rootDiameterMm - 2 * (centringErrorMm + SPACER_AIR_MM)) * 2) / 2;
}

/** Hole under a through bolt's washer. mm */
export function boltHoleMm({ hub, bore }: Pick<Job, 'hub' | 'bore'>): number {
  return hub ? hub.diameterMm : 2 * boreReachMm(bore);
}

/** Washer over the hole: about twice as wide, half the wheel where the hole is small, and never
 *  over the spacer below. mm */
export function washerDiameterMm(holeMm: number, spacerMm: number): number {
  return Math.floor(Math.min(spacerMm, Math.max(2 * holeMm, holeMm + 6, 0.5 * spacerMm)));
}

/** What of a through bolt stands over the face, within what radius. */
export interface Stands {
  readonly what: 'bolt' | 'washer';
  readonly radiusMm: number;
  readonly heightMm: number;
}

export function boltStands(holeMm: number, spacerMm: number): readonly Stands[] {
  const washerMm = washerDiameterMm(holeMm, spacerMm) / 2;
  const radiusMm = Math.min(HEAD_ROOM_MM, washerMm);
  return [
    { what: 'bolt', radiusMm, heightMm: BOLT_HEAD_MM },
    { what: 'washer', radiusMm: washerMm, heightMm: WASHER_MM },
  ];
}

/** Height of the collet nut's face over the blank's top face with the cutter at its lowest. mm */
export function nutHeightMm(stickOutMm: number, thicknessMm: number): number {
  return stickOutMm - thicknessMm - OVERRUN_MM;
}

/** What of a bolt the collet nut comes down on at the root of the teeth; undefined where it clears. */
export function nutMeets(wheel: HeldWheel): Stands | undefined {
  const { rootDiameterMm, thicknessMm, cutter, holeMm, spacerMm } = wheel;
  const inwards = rootDiameterMm / 2 + cutter.diameterMm / 2 - NUT_RADIUS_MM;
  const nutMm = nutHeightMm(cutter.stickOutMm, thicknessMm);
  return boltStands(holeMm, spacerMm).find(
    ({ radiusMm, heightMm }) => inwards < radiusMm && nutMm < heightMm,
  );
}

/** Stick-out at which the nut clears something of that height. mm */
export function stickOutOverMm(heightMm: number, thicknessMm: number): number {
  return thicknessMm + OVERRUN_MM + heightMm;
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
  const clear = nutMeets(wheel) === undefined;
  if (clear && wheel.holeMm >= BOLT_HOLE_MM) {
    return {
      heldBy: 'through-bolt',
      why: 'the bore takes an M8 bolt and the collet nut clears it',
    };
  }
  const not = clear
    ? `the bore of ${wheel.holeMm} mm is too small for an M8 bolt`
    : 'the collet nut would meet a bolt in the bore';
  return {
    heldBy: 'spigot',
    why: `turned with the blank and off again afterwards: ${not}`,
  };
}
