/**
 * What a job allows of a cut, from its own limits, the machine's profile, the cutter and the
 * material. No other place derives these: plans keep them, and checks judge by them.
 *
 * Of the folder: a file for each thing that bears the load: drive (with chain, motor, thrust), cutter,
 * edge, spindle, holding, wall-shift, stability (with modes, response, delay, harmonics); odds is their
 * product, spread the machines that it is taken over.
 */
import type { Job } from '../../model/job.js';
import { radFromDeg } from '../../maths/angle.js';
import { chipCapMm, chipFloorMm } from '../load/chip.js';
import type { FeedLimits } from '../load/feed.js';
import { availablePowerW } from './spindle.js';
import { cutterForceN } from './cutter.js';
import { driveRisk, driveForceN } from './drive-meter.js';

export interface CutLimits {
  readonly maxEngagementDeg: number;
  readonly maxEngagementRad: number;
  /** Peak of a tooth that the cutter bears, at the deepest that may be cut. N */
  readonly cutterForceN: number;
  /** Demand that cutting may make of each drive: its thrust at the risk that drives may take, less
   *  friction and acceleration. N */
  readonly driveForceN: { readonly x: number; readonly y: number };
  /** Thickest chip to plan with at any depth, and the one under which the edge rubs. mm */
  readonly chipCapMm: number;
  readonly chipFloorMm: number;
  /** Of the machine, never more than the flutes. mm */
  readonly maxStepdownMm: number;
}

export function limitsOf(job: Omit<Job, 'controller'>): CutLimits {
  const { machine, material, cutter, limits } = job;
  const maxEngagementDeg = limits.maxEngagementDeg ?? machine.limits.maxEngagementDeg;
  const maxStepdownMm = Math.min(
    limits.maxStepdownMm ?? machine.limits.maxStepdownMm,
    cutter.fluteLengthMm,
  );
  return {
    maxEngagementDeg,
    maxEngagementRad: radFromDeg(maxEngagementDeg),
    cutterForceN: cutterForceN(cutter, maxStepdownMm),
    driveForceN: driveForceN(machine, driveRisk(job.riskShare)),
    chipCapMm: chipCapMm(material, cutter, 0),
    chipFloorMm: chipFloorMm(cutter, material),
    maxStepdownMm,
  };
}

/**
 * The limits that a feed is chosen by at a spindle speed and depth.
 * @param forceShare  share of the peak that the cutter may be given
 */
export function feedLimitsOf(
  job: Job,
  spindleRpm: number,
  axialDepthMm: number,
  forceShare = 1,
): Required<FeedLimits> & Pick<CutLimits, 'chipFloorMm'> {
  const { machine, material, cutter } = job;
  return {
    chipCapMm: chipCapMm(material, cutter, axialDepthMm),
    chipFloorMm: chipFloorMm(cutter, material),
    forceLimitN: cutterForceN(cutter, axialDepthMm) * forceShare,
    maxFeedMmPerMin: machine.maxFeedMmPerMin,
    powerLimitW: availablePowerW(machine, spindleRpm),
  };
}
