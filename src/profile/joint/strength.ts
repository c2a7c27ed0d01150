/**
 * What a hub and a key may be loaded with. Figures are for one direction of turning; the lower end
 * of a range is used everywhere.
 */
import type { Service } from '../drive/rating.js';

/** Groups of the material table. */
export type HubMaterial = 'steel' | 'stainless' | 'iron' | 'aluminium' | 'copper' | 'plastic';

/** Permissible flank pressure, steady torque, N/mm2, low and high; null where none was found. */
const FLANK_PRESSURE: Readonly<Record<HubMaterial, readonly [number, number] | null>> = {
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

/** Permissible pressure on a flat or a key's flank. N/mm2; null where none is known. */
export function flankPressure(material: HubMaterial): number | null {
  return FLANK_PRESSURE[material]?.[0] ?? null;
}

/** The upper end of the range over the lower: beyond it the joint is refused, not only doubted. */
export function pressureRange(material: HubMaterial): number {
  const range = FLANK_PRESSURE[material];
  return range === null ? 1 : range[1] / range[0];
}

/** What is left of a permissible pressure when the load comes in shocks. */
export function shockShare(service: Service): number {
  return service === 'smooth' ? 1 : 0.5;
}

/** Shear that a steel key may carry. N/mm2. Parallel key formulas and limits (DIN 6885),
 *  strokeforge.tech. */
export const KEY_SHEAR = 70;
export const KEY_SOURCE = 'Parallel key formulas and limits (DIN 6885), strokeforge.tech';

/** Capacity of a joint: torque that it carries all day, and what it stands now and then. N m */
export interface JointCapacity {
  readonly runningNm: number;
  readonly peakNm: number;
}
