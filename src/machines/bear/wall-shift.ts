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
import { TURN_RAD } from '../../maths/angle.js';
import { S_PER_MIN } from '../../maths/motion.js';
import type { PeakForce } from '../load/force.js';
import { cutterComplianceMmPerN } from './deflection.js';
import type { Cutter, Machine } from '../../model/machine.js';

/** Greatest magnification near resonance, 1 / (2 zeta) with 5 % damping. Common practice for
 *  bolted frames, no source. */
const MAX_MAGNIFICATION = 10;

/** Natural frequency of an axis as one mass on one spring. Hz */
export function naturalFrequencyHz(stiffnessNPerMm: number, massKg: number): number {
  return Math.sqrt((1000 * stiffnessNPerMm) / massKg) / TURN_RAD;
}

/** Share of the static shift with which a frame answers a force at a frequency. */
export function frameResponse(frequencyHz: number, naturalHz: number): number {
  const ratio = frequencyHz / naturalHz;
  return Math.min(MAX_MAGNIFICATION, 1 / Math.abs(1 - ratio * ratio));
}

/**
 * Static and tooth-frequency compliance of the frame, the worse of X and Y. mm/N
 */
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
  const tooth = (cutter.flutes * spindleRpm) / S_PER_MIN;
  let meanMmPerN = 0;
  let swingMmPerN = 0;
  for (const axis of ['x', 'y'] as const) {
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
export function wallShiftMm(compliance: WallCompliance, force: PeakForce): number {
  const mean = Math.max(0, force.meanNormalN);
  const swing = Math.max(0, force.normalN - mean);
  return (
    mean * compliance.meanMmPerN +
    swing * compliance.swingMmPerN +
    force.normalN * compliance.toolMmPerN
  );
}
