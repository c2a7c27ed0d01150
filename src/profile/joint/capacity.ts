/**
 * What a hub, a flat, a key and a set screw may be loaded with. Figures are for one direction of
 * turning; the lower end of a range is used everywhere. Torques N m, pressures N/mm2, lengths mm.
 */
import type { Service } from '../../model/job.js';
import type { Material } from '../../model/machine.js';
import data from './setscrews.json' with { type: 'json' };

/** Groups of the material table. */
export type HubMaterial = Material['group'];

/** Permissible flank pressure on a flat or a key, steady torque, N/mm2, low and high; null where none
 *  was found. Beyond the upper end the joint is refused, not only doubted. */
export const FLANK_PRESSURE: Readonly<Record<HubMaterial, readonly [number, number] | null>> = {
  steel: [100, 150],
  stainless: [100, 150],
  iron: [50, 80],
  aluminium: [40, 70],
  // Brass and bronze lie between iron and aluminium; plastics creep and have no book figure here.
  copper: [40, 70],
  plastic: null,
};

export const PRESSURE_SOURCE =
  'handbook ranges of permissible key pressure, from memory: steel 100 to 150, grey iron 50 to 80, aluminium 40 to 70 N/mm2; half of it under shock';

/** What is left of a permissible pressure when the load comes in shocks. */
function shockShare(service: Service): number {
  return service === 'smooth' ? 1 : 0.5;
}

/** Shear that a steel key may carry. N/mm2. Parallel key formulas and limits (DIN 6885),
 *  strokeforge.tech. */
const KEY_SHEAR = 70;
export const KEY_SOURCE = 'Parallel key formulas and limits (DIN 6885), strokeforge.tech';

/** Capacity of a joint: torque that it carries all day, and what it stands now and then. N m */
export interface JointCapacity {
  readonly runningNm: number;
  readonly peakNm: number;
}

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
export const FLAT_SOURCE =
  'bearing on half the flat, pressure rising to the edge; a model of our own';

/** Width of the flat. mm; geometry. */
export function flatWidthMm(diameterMm: number, acrossFlatMm: number): number {
  const r = diameterMm / 2;
  const f = acrossFlatMm - r;
  return 2 * Math.sqrt(Math.max(0, (r - f) * (r + f)));
}

/** T = p L w^2 / 12. @returns null where no permissible pressure is known for the material */
export function flatCapacity(
  diameterMm: number,
  acrossFlatMm: number,
  lengthMm: number,
  hub: HubMaterial,
  service: Service,
): JointCapacity | null {
  const [pressure] = FLANK_PRESSURE[hub] ?? [];
  if (pressure === undefined) return null;
  const torque = (pressure * lengthMm * flatWidthMm(diameterMm, acrossFlatMm) ** 2) / 12000;
  return { runningNm: torque * shockShare(service), peakNm: torque };
}

/** Parallel key. d shaft, b width, t depth in the hub, L length. mm */
interface KeySize {
  readonly shaftDiameterMm: number;
  readonly widthMm: number;
  readonly hubDepthMm: number;
  readonly lengthMm: number;
}

/** A key longer than this many shaft diameters does not carry along all of it. Source: Shigley's
 *  Mechanical Engineering Design, keys; strokeforge.tech gives 1.2 to 1.5. */
const COUNTED_LENGTH_PER_SHAFT = 1.5;

/**
 * Torque at which a key reaches a permissible shear or the hub a permissible pressure, whichever is
 * first: T = min(tau b, p t) L d / 2. N m; N/mm2.
 * Source: Parallel key formulas and limits (DIN 6885), strokeforge.tech.
 * @returns null where no permissible pressure is known for the hub's material
 */
export function keyCapacity(
  key: KeySize,
  hub: HubMaterial,
  service: Service,
): JointCapacity | null {
  const [pressure] = FLANK_PRESSURE[hub] ?? [];
  if (pressure === undefined) return null;
  const { shaftDiameterMm, widthMm, hubDepthMm } = key;
  const lengthMm = Math.min(key.lengthMm, COUNTED_LENGTH_PER_SHAFT * shaftDiameterMm);
  const torque = (share: number): number => {
    const shearN = KEY_SHEAR * share * widthMm * lengthMm;
    const pressureN = pressure * share * hubDepthMm * lengthMm;
    return (Math.min(shearN, pressureN) * shaftDiameterMm) / 2000;
  };
  return { runningNm: torque(shockShare(service)), peakNm: torque(1) };
}

/** Set screw with a cup point on the shaft. */
interface SetScrew {
  readonly size: string;
  readonly diameterMm: number;
  readonly seatingNm: number;
  /** Force at the shaft's rim at which it slips. N */
  readonly holdingN: number;
}

export const SETSCREW_SOURCE = `${data._sources.inch}; ${data._sources.metric}`;

const PRINTED = data.rows.filter((row) => row.holdingN !== null);

/**
 * Every size. A metric screw's holding force is not printed: it is read off the inch screws at the
 * same seating torque (straight line between two, in proportion beyond the ends).
 */
const SET_SCREWS: readonly SetScrew[] = data.rows.map((row) => ({
  ...row,
  holdingN: row.holdingN ?? holdingAt(row.seatingNm),
}));

function holdingAt(seatingNm: number): number {
  const first = PRINTED[0]!;
  const last = PRINTED[PRINTED.length - 1]!;
  if (seatingNm <= first.seatingNm) return (first.holdingN! * seatingNm) / first.seatingNm;
  if (seatingNm >= last.seatingNm) return (last.holdingN! * seatingNm) / last.seatingNm;
  const i = PRINTED.findIndex((row) => row.seatingNm >= seatingNm);
  const [a, b] = [PRINTED[i - 1]!, PRINTED[i]!];
  const part = (seatingNm - a.seatingNm) / (b.seatingNm - a.seatingNm);
  return a.holdingN! + part * (b.holdingN! - a.holdingN!);
}

/** Safety on the holding force: 1.5 to 2 steady, 4 to 8 under changing load (from memory). */
const SAFETY: Readonly<Record<Service, number>> = {
  smooth: 4,
  'moderate-shock': 6,
  'heavy-shock': 8,
};
const PEAK_SAFETY = 2;

/** Largest metric screw of about half the shaft's diameter. Source: Unbrako socket set screw
 *  selection text; Machine Design, Setscrews. null for shafts under 6 mm. */
export function screwForShaft(shaftDiameterMm: number): SetScrew | null {
  const fit = SET_SCREWS.filter(
    (s) => s.size.startsWith('M') && s.diameterMm <= shaftDiameterMm / 2 + 1e-9,
  );
  return fit[fit.length - 1] ?? null;
}

/** Torque of one screw, F d / 2 over the safety. N m */
export function setScrewCapacity(
  screw: SetScrew,
  shaftDiameterMm: number,
  service: Service,
): JointCapacity {
  const slipNm = (screw.holdingN * shaftDiameterMm) / 2000;
  return { runningNm: slipNm / SAFETY[service], peakNm: slipNm / PEAK_SAFETY };
}
