/** Parallel key: shear and pressure on its flanks. d bore, b width, L length that carries. */
import {
  type HubMaterial,
  type JointCapacity,
  KEY_SHEAR,
  flankPressure,
  shockShare,
} from './strength.js';
import type { Service } from '../drive/rating.js';

/** Force on the key at the rim of the shaft, F = 2 T / d. N; T N m, d mm.
 *  Source: Parallel key formulas and limits (DIN 6885), strokeforge.tech. */
export function keyForceN(torqueNm: number, shaftDiameterMm: number): number {
  return (2000 * torqueNm) / shaftDiameterMm;
}

/** tau = F / (b L). N/mm2. */
export function keyShear(forceN: number, widthMm: number, lengthMm: number): number {
  return forceN / (widthMm * lengthMm);
}

/** p = F / (t L), t the depth of the key in the weaker part. N/mm2. */
export function keyPressure(forceN: number, depthMm: number, lengthMm: number): number {
  return forceN / (depthMm * lengthMm);
}

/** Length of key at which shear or pressure is at a permissible stress. mm */
export function keyLengthMm(forceN: number, sideMm: number, permissible: number): number {
  return forceN / (sideMm * permissible);
}

/** Length that can be counted on: a key longer than 1.5 d does not carry along all of it.
 *  Source: Shigley's Mechanical Engineering Design, keys; strokeforge.tech gives 1.2 to 1.5 d. */
export function keyCountedLengthMm(shaftDiameterMm: number, lengthMm: number): number {
  return Math.min(lengthMm, 1.5 * shaftDiameterMm);
}

export interface KeyJoint {
  readonly shaftDiameterMm: number;
  readonly widthMm: number;
  /** Depth of the key in the hub, mm. */
  readonly hubDepthMm: number;
  readonly lengthMm: number;
  readonly hub: HubMaterial;
  readonly service: Service;
}

/**
 * Torque of a keyed joint, the lower of shear of the key and pressure in the hub.
 * @returns null where no permissible pressure is known for the hub's material
 */
export function keyCapacity(joint: KeyJoint): JointCapacity | null {
  const pressure = flankPressure(joint.hub);
  if (pressure === null) return null;
  const length = keyCountedLengthMm(joint.shaftDiameterMm, joint.lengthMm);
  const torque = (share: number): number => {
    const shear = KEY_SHEAR * share * joint.widthMm * length;
    const flank = pressure * share * joint.hubDepthMm * length;
    return (Math.min(shear, flank) * joint.shaftDiameterMm) / 2000;
  };
  return { runningNm: torque(shockShare(joint.service)), peakNm: torque(1) };
}
