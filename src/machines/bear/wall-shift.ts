/**
 * How far a cut pushes the cutter off the wall.
 *
 * Cutter and holder are light and stiff: they follow the force as it is, peak by peak. The frame
 * is not: a gantry of mass m on stiffness k sways at f0 = sqrt(k / m) / 2 pi, some tens of hertz,
 * while teeth come at flutes x rpm / 60, some hundreds. A single-mass oscillator driven at f
 * answers with 1 / |1 - (f / f0)^2| of its static shift, so the frame follows the mean force in
 * full and the swing about it only by that factor (more than in full near resonance, where
 * damping caps it):
 *
 *   shift = mean C + (peak - mean) C T + peak (C holder + C cutter)
 *
 * Source: undamped single-degree-of-freedom response, any text on mechanical vibration.
 */
import { pow } from '../../maths/elementary.js';
import { TURN_RAD } from '../../maths/angle.js';
import type { WallForce } from '../load/force.js';
import { toothRateHz } from './spindle.js';
import {
  bodyDiameterMm,
  type Cutter,
  LOADED_AXES,
  type Machine,
  type RingingCutter,
} from '../../model/machine.js';

/**
 * Deflection of cutter, holder and machine in series under a force in the cutting plane.
 *
 *   collet face            tip
 *   |=========|-----------|      shank or neck of its own diameter, then flutes as a round bar of
 *   0        L-Lf         L      0.8 D (Kops and Vo: equivalent diameter from gauges and FE)
 *
 * The collet face is fixed for the cutter's own bending; holder and machine add a shift that is
 * the same at every height. Tilt of the spindle is not modelled: the stiffness a profile states
 * is the one felt at the collet, and a long stick-out on a machine that tilts moves more.
 */

/** Young's modulus, N/mm2. Carbide 550-650 GPa, high-speed steel 200-210 GPa; from memory. */
const YOUNG_N_PER_MM2 = { carbide: 600e3, hss: 210e3 } as const;
/** Diameter of the round bar that bends as the fluted part does, over D (Kops and Vo). */
export const CORE_SHARE = 0.8;

function secondMomentMm4(diameterMm: number): number {
  return (Math.PI * pow(diameterMm, 4)) / 64;
}

/** Integral of (a - x)(b - x) from `lo` to `hi`. */
function momentProduct(a: number, b: number, lo: number, hi: number): number {
  const at = (x: number): number => a * b * x - ((a + b) * x * x) / 2 + (x * x * x) / 3;
  return hi > lo ? at(hi) - at(lo) : 0;
}

/**
 * Bending of the cutter at one height per newton at another, collet fixed. Symmetric in the two.
 * @param heightAboveTipMm  where the deflection is asked, mm above the tip
 * @param loadHeightMm      where the force acts, mm above the tip
 * @returns mm/N; 0 at and above the collet face
 * Derivation: unit-load method, integral of M m / (E I) with I stepping at the end of the flutes;
 * at the tip this is F/(3E) (Lf^3/If + (L^3 - Lf^3)/Is).
 */
export function cutterComplianceMmPerN(
  cutter: RingingCutter,
  heightAboveTipMm: number,
  loadHeightMm: number,
): number {
  const length = cutter.stickOutMm;
  const a = length - Math.max(0, heightAboveTipMm);
  const b = length - Math.max(0, loadHeightMm);
  const reach = Math.min(a, b);
  if (!(reach > 0)) return 0;
  const step = Math.max(0, length - cutter.fluteLengthMm);
  const young = YOUNG_N_PER_MM2[cutter.material];
  return (
    momentProduct(a, b, 0, Math.min(step, reach)) /
      (young * secondMomentMm4(bodyDiameterMm(cutter))) +
    momentProduct(a, b, step, reach) / (young * secondMomentMm4(CORE_SHARE * cutter.diameterMm))
  );
}

/** How much farther the tip bends than the cutter at a height above it, under a force at the tip: the taper
 *  that a newton leaves. mm/N */
export function tipBendMmPerN(cutter: RingingCutter, heightAboveTipMm: number): number {
  return cutterComplianceMmPerN(cutter, 0, 0) - cutterComplianceMmPerN(cutter, heightAboveTipMm, 0);
}

/** Greatest magnification near resonance, 1 / (2 zeta) with 5 % damping. Common practice for
 *  bolted frames, no source. */
const MAX_MAGNIFICATION = 10;

/** Natural frequency of an axis as one mass on one spring. Hz */
export function naturalFrequencyHz(stiffnessNPerMm: number, massKg: number): number {
  return Math.sqrt((1000 * stiffnessNPerMm) / massKg) / TURN_RAD;
}

/** Share of the static shift with which a frame answers a force at a frequency. */
function frameResponse(frequencyHz: number, naturalHz: number): number {
  const ratio = frequencyHz / naturalHz;
  return Math.min(MAX_MAGNIFICATION, 1 / Math.abs(1 - ratio * ratio));
}

/** Static and tooth-frequency compliance of the frame, the worse of X and Y. mm/N */
export interface WallCompliance {
  /** Frame, for the mean of the force. */
  readonly meanMmPerN: number;
  /** Frame, for the swing about the mean at the tooth frequency. */
  readonly swingMmPerN: number;
  /** Holder and cutter at the tip, for the force as it is. */
  readonly toolMmPerN: number;
}

export function wallCompliance(
  machine: Machine,
  cutter: Cutter,
  spindleRpm: number,
): WallCompliance {
  const tooth = toothRateHz(spindleRpm, cutter.flutes);
  let meanMmPerN = 0;
  let swingMmPerN = 0;
  for (const axis of LOADED_AXES) {
    const c = 1 / machine.stiffnessNPerMm[axis];
    const f0 = naturalFrequencyHz(machine.stiffnessNPerMm[axis], machine.movingMassKg[axis]);
    meanMmPerN = Math.max(meanMmPerN, c);
    swingMmPerN = Math.max(swingMmPerN, c * frameResponse(tooth, f0));
  }
  return {
    meanMmPerN,
    swingMmPerN,
    toolMmPerN: 1 / machine.holderStiffnessNPerMm + cutterComplianceMmPerN(cutter, 0, 0),
  };
}

/** Distance that a cut pushes the cutter off the wall. mm, 0 or more */
export function wallShiftMm(compliance: WallCompliance, force: WallForce): number {
  const mean = Math.max(0, force.meanNormalN);
  const swing = Math.max(0, force.normalN - mean);
  return (
    mean * compliance.meanMmPerN +
    swing * compliance.swingMmPerN +
    force.normalN * compliance.toolMmPerN
  );
}
