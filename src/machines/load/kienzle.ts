/**
 * Specific cutting force after Kienzle, and the shares of it that push the cutter off the wall
 * and along its axis.
 */
import { radFromDeg } from '../../maths/angle.js';
import type { Material } from '../../model/machine.js';

/** Chip below which the radial force is taken equal to the tangential one. mm. */
export const RADIAL_KNEE_THIN_MM = 0.015;
/** Chip above which the radial share falls on to its value for thick chips. mm. */
export const RADIAL_KNEE_THICK_MM = 0.05;
const RADIAL_MEDIUM = 0.6;
const RADIAL_THICK = 0.4;

/**
 * Specific cutting force kc = kc1.1 h^-mc.
 * @param hMm  uncut chip thickness, mm, > 0. Published constants rest on chips of 0.1 mm and
 *             more: below that this extrapolates, and grows without bound as h goes to 0
 * @returns N/mm2
 * Source: Kienzle's relation as printed by Dijet, Terminology and formulas (kc = kc1 hm^-mc).
 */
export function kcNPerMm2(material: Material, hMm: number): number {
  return material.kc11NPerMm2 * Math.pow(hMm, -material.mc);
}

/**
 * Radial force over tangential force, Kr, against chip thickness.
 *
 * Measured linear-edge constants for steel (Ktc 1738, Krc 584 N/mm2, Kte 62, Kre 87 N/mm, public
 * script) give 1.3 at 5 um falling to 0.6 at 100 um: thin chips push more than they pull. Taken
 * here as 1.0 to 15 um, 0.6 to 50 um and 0.4 above. The steps are joined by h^-0.5, which
 *   - never lies under the steps (errs to the greater force),
 *   - is continuous, and
 *   - falls more slowly than h^(1-mc) rises for every mc < 0.5, so that the radial force, like
 *     the tangential one, never drops when the chip grows.
 */
export function radialRatio(hMm: number): number {
  if (hMm <= RADIAL_KNEE_THIN_MM) return 1;
  if (hMm <= RADIAL_KNEE_THICK_MM) {
    return Math.max(RADIAL_MEDIUM, Math.sqrt(RADIAL_KNEE_THIN_MM / hMm));
  }
  return Math.max(RADIAL_THICK, RADIAL_MEDIUM * Math.sqrt(RADIAL_KNEE_THICK_MM / hMm));
}

/** Chips at which the slope of `radialRatio` jumps, rising. mm */
export const RADIAL_KNEES_MM: readonly number[] = [
  RADIAL_KNEE_THIN_MM,
  RADIAL_KNEE_THIN_MM / RADIAL_MEDIUM ** 2,
  RADIAL_KNEE_THICK_MM,
  RADIAL_KNEE_THICK_MM * (RADIAL_MEDIUM / RADIAL_THICK) ** 2,
];

/**
 * Axial force over tangential force for a right-hand helix, which pulls the cutter down and the
 * work up. 0.52 tan(helix): 0.30 at 30 deg, 0.52 at 45 deg.
 * Source: from memory (0.3 at 30 deg, 0.5 at 45 deg are usual planning figures).
 */
export function axialRatio(helixDeg: number): number {
  return 0.52 * Math.tan(radFromDeg(helixDeg));
}
