/**
 * What a job allows of a cut, from its own limits, the machine's profile, the cutter and the
 * material. No other place derives these: plans keep them, and checks judge by them.
 */
import type { Job } from '../../model/job.js';
import { radFromDeg } from '../../maths/angle.js';
import { chipCapMm, chipFloorMm } from '../load/chip.js';
import type { FeedLimits } from '../load/feed.js';
import { availablePowerW } from './spindle.js';
import { cutterForceN } from './cutter.js';
import { allowedForceN } from './thrust.js';

export interface CutLimits {
  readonly maxEngagementDeg: number;
  readonly maxEngagementRad: number;
  /** Cutting force that an axis may be asked for at the highest feed. N */
  readonly allowedForceN: { readonly x: number; readonly y: number };
  /** Thickest chip to plan with, and the one under which the edge rubs. mm */
  readonly chipCapMm: number;
  readonly chipFloorMm: number;
  /** Of the machine, never more than the flutes. mm */
  readonly maxStepdownMm: number;
}

export function limitsOf(job: Job): CutLimits {
  const { machine, material, cutter, limits } = job;
  const maxEngagementDeg = limits.maxEngagementDeg ?? machine.limits.maxEngagementDeg;
  return {
    maxEngagementDeg,
    maxEngagementRad: radFromDeg(maxEngagementDeg),
    allowedForceN: {
      x: allowedForceN(machine, 'x', machine.maxFeedMmPerMin),
      y: allowedForceN(machine, 'y', machine.maxFeedMmPerMin),
    },
    chipCapMm: chipCapMm(material, cutter),
    chipFloorMm: chipFloorMm(cutter, material),
    maxStepdownMm: Math.min(
      limits.maxStepdownMm ?? machine.limits.maxStepdownMm,
      cutter.fluteLengthMm,
    ),
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
  const { chipCapMm, chipFloorMm } = limitsOf(job);
  return {
    chipCapMm,
    chipFloorMm,
    forceLimitN: cutterForceN(job.cutter, axialDepthMm) * forceShare,
    maxFeedMmPerMin: job.machine.maxFeedMmPerMin,
    powerLimitW: availablePowerW(job.machine, spindleRpm),
  };
}
