/**
 * How a tooth's force answers a change of the chip, which is what chatter lives on, and how its
 * flank answers a movement.
 *
 * Stability asks for dF/dh, not F/h. What is fitted to measured forces is a straight line beside a
 * force of the edge. Its slope is (1 - mc) kc1.1, that of Kienzle's law at a chip of 1 mm: 1850 N/mm2
 * for 2500 / 0.26, where a fit to steel has 1738 (public script). At the chip itself, 5 um, the law
 * is four times as steep: it counts the pressing of the edge as slope.
 */
import type { ChipLaw, Material } from '../../model/machine.js';
import { kcNPerMm2, radialRatio } from './chip.js';

/** Force of a tooth for each mm of depth: slope against the chip, and what is there without a chip. */
export interface ChipSlope {
  readonly tangentialNPerMm2: number;
  readonly radialNPerMm2: number;
  /** Force of the edge, tangential and radial alike: there while the tooth cuts, gone when not. */
  readonly edgeNPerMm: number;
}

/** Chip at which the slope of Kienzle's law is the one that fits find. mm */
const THICK_CHIP_MM = 1;
/** Chip of which the radial share is taken for the slope: 0.6, a fit to steel has 0.34. mm */
const RADIAL_CHIP_MM = 0.05;
/** Edge force over kc1.1: 40 N/mm for 2500 N/mm2. A fit to steel has 0.025 to 0.035 (62 and 87 N/mm)
 *  with a larger, worn edge; small ground edges less. From memory. mm */
const EDGE_MM = 0.016;

/** Slope that is likely; spread {@link SLOPE_FACTOR}. */
export function likelySlope(material: ChipLaw): ChipSlope {
  const tangential = (1 - material.mc) * kcNPerMm2(material, THICK_CHIP_MM);
  return {
    tangentialNPerMm2: tangential,
    radialNPerMm2: radialRatio(RADIAL_CHIP_MM) * tangential,
    edgeNPerMm: EDGE_MM * material.kc11NPerMm2,
  };
}

/** Two cuts in three lie within this factor of the likely slope: published constants of one steel
 *  differ by 1.6. */
export const SLOPE_FACTOR = 1.25;

/** Force of a worn-out edge over that of a sharp one. Dietrich and Tschaetsch, Praxis der
 *  Zerspantechnik: 1.3 in use, 1.5 worn. */
export const WORN_FACTOR = 1.5;

/** Flat on the flank behind the edge, new and worn out. mm. From memory. */
const FRESH_LAND_MM = 0.03;
const WORN_LAND_MM = 0.1;

/** Flat on the flank of an edge whose force is so many times that of a sharp one: from fresh at 1 to
 *  worn out at 1.5 (Dietrich and Tschaetsch), in proportion. mm */
export function landMm(wearFactor: number): number {
  const worn = Math.min(1, Math.max(0, (wearFactor - 1) / (WORN_FACTOR - 1)));
  return FRESH_LAND_MM + worn * (WORN_LAND_MM - FRESH_LAND_MM);
}

/** Hardness over tensile strength, both in N/mm2: HB is 0.29 Rm (ISO 18265, from memory), 9.81 N/mm2
 *  to a point. */
const HARDNESS_PER_TENSILE = 2.84;
/** Young's modulus by group. N/mm2. From memory. */
const YOUNG_N_PER_MM2: Readonly<Record<Material['group'], number>> = {
  ...{ steel: 210e3, stainless: 200e3, iron: 120e3 },
  ...{ aluminium: 70e3, copper: 100e3, plastic: 3e3 },
};

/**
 * Force with which the flat behind an edge presses on the wall: land times 0.62 H sqrt(43 H / E). N/mm
 * Source: Dow, Miller and Garrard, Precision Engineering 28, 2004.
 */
export function edgeForceNPerMm(material: Material, land: number): number {
  const hardness = HARDNESS_PER_TENSILE * material.tensileMPa;
  return land * flankPressureNPerMm2(hardness, YOUNG_N_PER_MM2[material.group]);
}

/** Pressure on a flank, see {@link edgeForceNPerMm}. */
export function flankPressureNPerMm2(hardnessNPerMm2: number, youngNPerMm2: number): number {
  return 0.62 * hardnessNPerMm2 * Math.sqrt((43 * hardnessNPerMm2) / youngNPerMm2);
}

/** Process damping of an edge in use in steel, land of 0.072 mm: 250 to 600 N/mm, recalled from fits to
 *  stability tests; other materials by kc1.1 against the 2500 N/mm2 of that steel. From memory. The
 *  indentation model with 3e4 to 4e4 N/mm3, recalled too, gives a fourth of it. */
const IN_USE_N_PER_MM = 400;
const IN_USE_LAND_MM = 0.072;
const IN_USE_KC11_N_PER_MM2 = 2500;

/**
 * Process damping Cp: the radial force on a mm of edge is Cp times radial speed over cutting speed.
 * It goes with the square of the land (indentation: force in proportion to the volume pressed
 * aside): 70 N/mm for a fresh edge in steel, 770 for a land of 0.1 mm. Good while the wave that the
 * edge leaves is short against the land; spread {@link DAMPING_FACTOR}.
 * @returns N/mm
 */
export function processDampingNPerMm(material: ChipLaw, landMm: number): number {
  const share = material.kc11NPerMm2 / IN_USE_KC11_N_PER_MM2;
  return IN_USE_N_PER_MM * share * (landMm / IN_USE_LAND_MM) ** 2;
}

/** Two edges in three lie within this factor: 250 to 600. From memory. */
export const DAMPING_FACTOR = 1.5;
