/**
 * Chip thickness: what the feed makes of it, the most an edge should be given, and the least
 * that still cuts instead of rubbing; and the force it takes after Kienzle.
 */
import { cos, pow, sin } from '../../maths/elementary.js';
import { TURN_RAD } from '../../maths/angle.js';
import type { ChipLaw, Cutter, Material } from '../../model/machine.js';

/** Feed per tooth at the cutter's centre. mm */
export function feedPerToothMm(feedMmPerMin: number, flutes: number, spindleRpm: number): number {
  return feedMmPerMin / (flutes * spindleRpm);
}

/**
 * Feed per tooth of the tooth that stands out most: a tooth cannot be given more than its
 * neighbours leave, so at worst it does the work of all of them.
 * Source: derived for two flutes (they cut fz + TIR and fz - TIR in turn; from TIR = fz on, one
 * does all the work); used for any number of flutes as the greater bound.
 */
export function effectiveFeedPerToothMm(fzMm: number, runoutMm: number, flutes: number): number {
  return Math.min(fzMm + runoutMm, flutes * fzMm);
}

/** Inverse of `effectiveFeedPerToothMm`: nominal feed per tooth, mm. */
export function nominalFeedPerToothMm(
  fzEffectiveMm: number,
  runoutMm: number,
  flutes: number,
): number {
  return Math.max(fzEffectiveMm - runoutMm, fzEffectiveMm / flutes);
}

/**
 * Feed that each tooth of a turn really gets: an eccentric cutter's teeth stand out by steps that
 * follow a cosine, the first the most, and a tooth takes what the lowest of those before it left.
 * The first gets `effectiveFeedPerToothMm` or, of four teeth and more, a little less; all of them
 * together `flutes` times `fzMm`.
 * Source: derived. An eccentricity gives steps of TIR sin(180 deg / flutes), of which TIR is the
 * bound, as it is of the first tooth's chip.
 * @param out  one entry a tooth, in the order in which they pass. mm
 */
export function toothFeedsMm(fzMm: number, runoutMm: number, out: Float64Array): void {
  const flutes = out.length;
  const step = (k: number) => (flutes > 1 ? runoutMm * cos((TURN_RAD * k) / flutes) : 0);
  for (let k = 0; k < flutes; k++) {
    let above = 0;
    let feed = Infinity;
    for (let back = 1; back <= flutes; back++) {
      above += step(k - back + 1);
      feed = Math.min(feed, back * fzMm + above);
    }
    out[k] = Math.max(0, feed);
  }
}

/** Greatest chip thickness over an arc [0, phi]: fz sin(phi), fz from 90 degrees on. mm */
export function maxChipMm(fzMm: number, phiRad: number): number {
  return fzMm * sin(Math.min(phiRad, Math.PI / 2));
}

/**
 * Mean chip thickness over an arc [0, phi], fz (1 - cos phi) / phi. mm
 * Source: exact mean of fz sin t; Dietrich/Tschaetsch, Praxis der Zerspantechnik, print the same
 * as 360 fz ae / (pi D phi).
 */
export function meanChipMm(fzMm: number, phiRad: number): number {
  return phiRad > 0 ? (fzMm * (1 - cos(phiRad))) / phiRad : 0;
}

/** Depth of a slot over the cutter's diameter, and what a catalogue makes of speed and of feed there
 *  (solid carbide catalogue of 2021, p. 115). */
const DEPTH_FACTORS = [
  [0.25, 1.25],
  [0.5, 1],
  [1, 0.75],
  [1.5, 0.5],
] as const;

/** Factor on a catalogue's speed, and on its feed per tooth, at a depth: straight between the figures
 *  printed, and no more than the outermost beyond them. */
export function depthFactor(axialDepthMm: number, diameterMm: number): number {
  const share = axialDepthMm / diameterMm;
  let [from, factor] = DEPTH_FACTORS[0] as readonly [number, number];
  if (share <= from) return factor;
  for (const [to, next] of DEPTH_FACTORS) {
    if (share <= to) return factor + ((next - factor) * (share - from)) / (to - from || 1);
    [from, factor] = [to, next];
  }
  return factor;
}

/**
 * Greatest chip thickness to plan with. A catalogue's feed per tooth is for wide engagement,
 * where the thickest chip equals the feed per tooth; so its figure for a 3 mm cutter is the cap
 * on the chip itself, whatever the engagement. Other diameters in proportion, as the catalogue
 * rule fz = 0.004 D for alloy steel (ISCAR, solid carbide heads, cutting parameters).
 * @param axialDepthMm  left out: half the diameter, for which the catalogue's figures are
 * @returns mm
 */
export function chipCapMm(material: Material, cutter: Cutter, axialDepthMm?: number): number {
  const { diameterMm } = cutter;
  const depthMm = axialDepthMm ?? diameterMm / 2;
  return ((material.chipLoad3mmMm * diameterMm) / 3) * depthFactor(depthMm, diameterMm);
}

/** Chip that a stainless cut should keep, to stay under the skin its last pass hardened. mm.
 *  From memory (common planning figure). */
const STAINLESS_FLOOR_MM = 0.01;

/**
 * Chip thickness under which the edge begins to rub: 2 h_min with h_min = 0.4 r_e in steel,
 * stainless and iron, 0.3 r_e elsewhere; at least 10 um in stainless.
 * Source: h_min / r_e 0.14-0.43 in micro milling (Cheng et al. 2018); the factor 2 is common
 * practice, no source.
 * @returns mm
 */
export function chipFloorMm(cutter: Cutter, material: Material): number {
  const ferrous =
    material.group === 'steel' || material.group === 'stainless' || material.group === 'iron';
  const floorMm = 2 * (ferrous ? 0.4 : 0.3) * cutter.edgeRadiusMm;
  return material.group === 'stainless' ? Math.max(floorMm, STAINLESS_FLOOR_MM) : floorMm;
}

/**
 * Greatest chips below which to warn, as the edge rubs for much of its arc, and to refuse, as hardly
 * a chip is formed: 4 and 2.5 um for the 6 um floor of a coated small tool, in the same ratio for
 * other edges. Source: from memory. mm
 */
export function chipThresholds(cutter: Cutter, material: Material) {
  const floorMm = chipFloorMm(cutter, material);
  return { warnMm: (floorMm * 4) / 6, refuseMm: (floorMm * 2.5) / 6 };
}

/** Chip below which the radial force is taken equal to the tangential one. mm. */
export const RADIAL_KNEE_THIN_MM = 0.015;
/** Chip above which the radial share falls on to its value for thick chips. mm. */
const RADIAL_KNEE_THICK_MM = 0.05;
const RADIAL_MEDIUM = 0.6;
const RADIAL_THICK = 0.4;

/**
 * Specific cutting force kc = kc1.1 h^-mc.
 * @param hMm  uncut chip thickness, mm, > 0. Published constants rest on chips of 0.1 mm and
 *             more: below that this extrapolates, and grows without bound as h goes to 0
 * @returns N/mm2
 * Source: Kienzle's relation as printed by Dijet, Terminology and formulas (kc = kc1 hm^-mc).
 */
export function kcNPerMm2(material: ChipLaw, hMm: number): number {
  return material.kc11NPerMm2 * pow(hMm, -material.mc);
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
