/**
 * How hard to cut: spindle speed, force allowed, stepdown, levels and allowance, from the
 * machine's rigidity profile and the material table.
 */

import { Refusal } from '../model/refusal.js';
import type { Job } from '../model/job.js';
import { type WallCompliance, wallCompliance, wallShiftMm } from '../machines/bear/wall-shift.js';
import {
  type CutConditions,
  bestStraightRemoval,
  chipCapMm,
  chipFloorMm,
  chipThresholds,
  effectiveFeedPerToothMm,
  engagementConcaveRad,
  feedForLimits,
  feedTable,
  kcNPerMm2,
  largestCutterRadiusMm,
  peakForce,
  radialRatio,
} from '../machines/load/load.js';
import {
  type SpindleChoice,
  availablePowerW,
  chooseSpindleRpm,
  rpmForSurfaceSpeed,
} from '../machines/bear/spindle.js';
import { allowedForceN } from '../machines/bear/thrust.js';
import type { RoughDirection } from './gap/moves.js';
import { levelAcceleration } from './timing.js';

/** The cutter goes this far below the teeth, into air, so that their lower edge is cut clean. mm.
 *  Half of it would do on a flat blank; the rest is for a blank that is not. */
export const OVERRUN_MM = 0.1;

/** Planned engagement stays this far under the limit: covers rounding to the output step. rad */
const ENGAGEMENT_MARGIN_RAD = (0.15 * Math.PI) / 180;
/** Planned force as a share of the force allowed: covers rounding of feeds and positions. */
const FORCE_SHARE = 0.99;
/** Most levels that a plan is split into. */
const MAX_LEVELS = 200;
/** Over-travel of a light axis at a reversal, besides backlash. mm. Common practice, no source. */
const OVERTRAVEL_MM = 0.05;
/** Fixed cost of a level beside cutting: down, round to the first gap, back. s */
const LEVEL_OVERHEAD_S = 5;
/** Path that a level needs over the least possible one. Measured on the examples. */
const PATH_SURPLUS = 1.3;
/** Way between the end of a pass and the start of the next, there and back to rest. mm */
const TURN_MM = 0.7;

/** Everything roughing is decided by. */
export interface RoughProcess {
  readonly spindleRpm: number;
  readonly spindle: SpindleChoice;
  /** Force an axis may be asked for while cutting. N */
  readonly allowedForceN: { readonly x: number; readonly y: number };
  /** Limit of the resultant that plans keep. N */
  readonly forceLimitN: number;
  readonly chipCapMm: number;
  readonly chipFloorMm: number;
  readonly maxEngagementDeg: number;
  readonly maxEngagementRad: number;
  /** What plans aim at: the limit less the margin for rounding. */
  readonly planEngagementRad: number;
  readonly maxStepdownMm: number;
  readonly stepdownMm: number;
  /** Depths of the levels, downwards; the last is below the teeth. mm */
  readonly levelsMm: readonly number[];
  readonly direction: RoughDirection;
  readonly allowanceMm: number;
  /** Stock that roughing leaves beyond the allowance because the cutter is pushed off. mm */
  readonly roughDeflectionMm: number;
  readonly powerLimitW: number;
  readonly conditions: CutConditions;
  readonly linkFeedMmPerMin: number;
  readonly plungeFeedMmPerMin: number;
  /** Of the slower of X and Y. */
  readonly accelerationMmPerS2: number;
  /** Highest feed at an engagement. */
  readonly feed: (phiRad: number) => number;
}

/** What the choice has to know of the part. */
export interface GapSize {
  /** Smallest radius of wall that the cutter has to follow. mm */
  readonly seatRadiusMm: number;
  readonly thicknessMm: number;
  /** Area of the stock round the outline. mm2 */
  readonly areaMm2: number;
  /** From the blank's rim to the root. mm */
  readonly depthMm: number;
  readonly teeth: number;
}

/**
 * Time of one level, estimated: the path at its feed, and for every pass a stop and a short way
 * to the next one, which cost the more the faster the feed and the lazier the axes. s
 */
function levelTimeS(job: Job, size: GapSize, feedMmPerMin: number, phiRad: number): number {
  const a = levelAcceleration(job.machine);
  const depth = (job.cutter.diameterMm / 2) * (1 - Math.cos(phiRad));
  const v = feedMmPerMin / 60;
  const passes = size.teeth * Math.ceil(size.depthMm / (0.75 * depth));
  const turn = v / a + 2 * Math.sqrt(TURN_MM / a);
  return (PATH_SURPLUS * size.areaMm2) / depth / v + passes * turn + size.teeth + LEVEL_OVERHEAD_S;
}

export function conditionsFor(job: Job, spindleRpm: number, axialDepthMm: number): CutConditions {
  return {
    material: job.material,
    cutter: job.cutter,
    runoutMm: job.machine.spindle.runoutMm,
    wearFactor: job.limits.wearFactor,
    spindleRpm,
    axialDepthMm,
  };
}

/**
 * Distance that conventional milling pulls the cutter into the wall. The mean force is taken from
 * the force model; the peak of a tooth, Ft sin t - Fr cos t at t = phi, moves holder and cutter.
 * mm, 0 when nothing pulls in
 */
function pullInMm(
  cond: CutConditions,
  feedMmPerMin: number,
  phiRad: number,
  soft: WallCompliance,
): number {
  const fz = feedMmPerMin / (cond.cutter.flutes * cond.spindleRpm);
  const fzEff = effectiveFeedPerToothMm(fz, cond.runoutMm, cond.cutter.flutes);
  const t = Math.min(phiRad, Math.PI / 2);
  const h = fzEff * Math.sin(t);
  const ft = kcNPerMm2(cond.material, h) * h * cond.axialDepthMm * cond.wearFactor;
  const peak = Math.max(0, ft * (Math.sin(t) - radialRatio(h) * Math.cos(t)));
  const cut = peakForce(cond, feedMmPerMin, [{ fromRad: 0, toRad: phiRad }], undefined, false);
  const mean = Math.max(0, -cut.meanNormalN);
  return (
    mean * soft.meanMmPerN + Math.max(0, peak - mean) * soft.swingMmPerN + peak * soft.toolMmPerN
  );
}

/** Most of a pass's length that may go on reaching its feed and on braking from it, as a share. */
const SPEED_UP_SHARE = 0.24;
/** Length of a typical pass in a gap, in radii of the seating curve. Measured on the examples. */
const PASS_PER_SEAT = 2.1;
/** Speeds are set by a dial. rpm */
const RPM_STEP = 100;

/**
 * Spindle speed that the feed drive can follow. In a gap of a few millimetres a light machine
 * reaches a feed v only when v^2 / a, the way to reach it and to brake from it, is a small share
 * of the pass; turning faster than that feed needs only thins the chip and wears the edge. The
 * speed is so lowered until the chip at the cap asks for no more feed than that, never under the
 * spindle's least, and never out of the material's range of surface speed into a lower one.
 */
function usefulRpm(job: Job, rpm: number, size: GapSize): number {
  const { machine, cutter, material } = job;
  const acceleration = levelAcceleration(machine);
  const passMm = PASS_PER_SEAT * size.seatRadiusMm;
  const reachable = 60 * Math.sqrt(SPEED_UP_SHARE * acceleration * passMm);
  const limitDeg = job.limits.maxEngagementDeg ?? machine.limits.maxEngagementDeg;
  const sine = Math.sin(Math.min(Math.PI / 2, (limitDeg * Math.PI) / 180));
  const feedPerRev = (cutter.flutes * chipCapMm(material, cutter)) / sine;
  const wanted = Math.ceil(Math.min(reachable, machine.maxFeedMmPerMin) / feedPerRev / RPM_STEP);
  const slowest = rpmForSurfaceSpeed(material.surfaceSpeedMPerMin.low, cutter.diameterMm);
  const least = Math.max(machine.spindle.minRpm, Math.min(rpm, slowest > rpm ? 0 : slowest));
  return Math.min(rpm, Math.max(wanted * RPM_STEP, least));
}

/**
 * Chooses the process for a job.
 *
 * Stepdown: every even split of the depth into levels is weighed. A level is cut at the highest
 * feed that chip, force and power allow at the engagement limit; the split with the least
 * estimated time wins among those whose stepdown is within the limits and whose deflection leaves
 * no more stock than finishing can take in the gap without passing the engagement limit.
 *
 * @throws Refusal 'no-force', 'too-many-levels', 'chip-rubs', 'cutter-too-large' or 'cutter-too-small', saying
 *         what would do
 */
export function chooseRoughProcess(job: Job, size: GapSize): RoughProcess {
  const { machine, material, cutter } = job;
  const spindle = chooseSpindleRpm(machine, material, cutter);
  const fastest = machine.maxFeedMmPerMin;
  const spindleRpm = job.limits.spindleRpm ?? usefulRpm(job, spindle.rpm, size);
  const allowed = {
    x: allowedForceN(machine, 'x', fastest),
    y: allowedForceN(machine, 'y', fastest),
  };
  const forceLimitN = Math.min(allowed.x, allowed.y) * FORCE_SHARE;
  if (!(forceLimitN > 0)) {
    throw new Refusal(
      'no-force',
      `friction and acceleration take all the thrust this machine has at ${fastest} mm/min; lower maxFeedMmPerMin or the acceleration in its profile`,
      forceLimitN,
      0,
    );
  }
  const cap = chipCapMm(material, cutter);
  const floor = chipFloorMm(cutter, material);
  const limitDeg = job.limits.maxEngagementDeg ?? machine.limits.maxEngagementDeg;
  const maxEngagementRad = (limitDeg * Math.PI) / 180;
  const planEngagementRad = maxEngagementRad - ENGAGEMENT_MARGIN_RAD;
  const maxStepdownMm = Math.min(
    job.limits.maxStepdownMm ?? machine.limits.maxStepdownMm,
    cutter.fluteLengthMm,
  );
  const powerLimitW = availablePowerW(machine, spindleRpm);
  const limits = {
    chipCapMm: cap,
    chipFloorMm: floor,
    forceLimitN,
    maxFeedMmPerMin: fastest,
    powerLimitW,
  };
  // Work-hardening materials are not entered with a rubbing edge, so they are only cut in climb.
  const direction: RoughDirection =
    job.limits.roughing ?? (material.group === 'stainless' ? 'climb' : 'both-ways');
  const depthMm = size.thicknessMm + OVERRUN_MM;
  const soft = wallCompliance(machine, cutter, spindleRpm);
  const backlashMm = Math.max(machine.backlashMm.x, machine.backlashMm.y);
  const refuseBelowMm = chipThresholds(cutter, material).refuseMm;

  let best: { score: number; levels: number; allowance: number; pushed: number } | null = null;
  let chipSeen = 0;
  let tightest = { engagement: Infinity, takes: 0 };
  const fewest = Math.max(1, Math.ceil(depthMm / maxStepdownMm - 1e-9));
  if (fewest > MAX_LEVELS) {
    throw new Refusal(
      'too-many-levels',
      `a stepdown of at most ${maxStepdownMm} mm splits ${depthMm.toFixed(2)} mm into ${fewest} levels, more than the ${MAX_LEVELS} this tool plans: allow a larger stepdown`,
      fewest,
      MAX_LEVELS,
    );
  }
  for (let levels = fewest; levels <= MAX_LEVELS; levels++) {
    const cond = conditionsFor(job, spindleRpm, depthMm / levels);
    const choice = feedForLimits(cond, planEngagementRad, limits);
    chipSeen = Math.max(chipSeen, choice.hMaxMm);
    if (choice.hMaxMm < Math.min(floor, 0.999 * cap)) continue;
    const phi: [{ fromRad: number; toRad: number }] = [{ fromRad: 0, toRad: planEngagementRad }];
    const pushed = wallShiftMm(soft, peakForce(cond, choice.feedMmPerMin, phi));
    const pulled =
      direction === 'both-ways' ? pullInMm(cond, choice.feedMmPerMin, planEngagementRad, soft) : 0;
    const allowance = Math.max(0.1, backlashMm + OVERTRAVEL_MM, pulled + 0.03);
    const takes = allowance + pushed;
    const engagement =
      size.seatRadiusMm > cutter.diameterMm / 2
        ? engagementConcaveRad(takes, cutter.diameterMm / 2, size.seatRadiusMm)
        : Math.PI;
    if (engagement < tightest.engagement) tightest = { engagement, takes };
    if (engagement > planEngagementRad) continue;
    const score = levels * levelTimeS(job, size, choice.feedMmPerMin, planEngagementRad);
    if (!best || score < best.score) best = { score, levels, allowance, pushed };
    // Beyond the point where the feed no longer rises, more levels only cost more.
    if (choice.limitedBy === 'chip' && levels > best.levels + 20) break;
  }
  if (!best) {
    if (tightest.engagement < Infinity) {
      throw cutterOutOfRange(job, size, tightest.takes, maxEngagementRad, tightest.engagement);
    }
    throw new Refusal(
      'chip-rubs',
      `the thickest chip this machine can push, ${(chipSeen * 1000).toFixed(1)} um, is thinner than the ${(floor * 1000).toFixed(1)} um at which this edge starts to cut (refused below ${(refuseBelowMm * 1000).toFixed(1)} um); use a smaller or sharper cutter, or a machine with more thrust`,
      chipSeen,
      floor,
    );
  }
  const stepdownMm = depthMm / best.levels;
  const conditions = conditionsFor(job, spindleRpm, stepdownMm);
  return {
    spindleRpm,
    spindle,
    allowedForceN: allowed,
    forceLimitN,
    chipCapMm: cap,
    chipFloorMm: floor,
    maxEngagementDeg: limitDeg,
    maxEngagementRad,
    planEngagementRad,
    maxStepdownMm,
    stepdownMm,
    levelsMm: Array.from({ length: best.levels }, (_, i) => -(depthMm * (i + 1)) / best.levels),
    direction,
    allowanceMm: best.allowance,
    roughDeflectionMm: best.pushed,
    powerLimitW,
    conditions,
    linkFeedMmPerMin: Math.min(fastest, machine.rapidMmPerMin.x, machine.rapidMmPerMin.y),
    plungeFeedMmPerMin: Math.min(300, machine.rapidMmPerMin.z / 2),
    accelerationMmPerS2: levelAcceleration(machine),
    feed: feedTable(conditions, limits),
  };
}

function cutterOutOfRange(
  job: Job,
  size: GapSize,
  takesMm: number,
  limitRad: number,
  engagementRad: number,
): Refusal {
  const seat = size.seatRadiusMm;
  const own = job.cutter.diameterMm;
  const deg = (rad: number): string => ((rad * 180) / Math.PI).toFixed(0);
  const radius = largestCutterRadiusMm(seat, takesMm, limitRad);
  // phi depends on r (R - r) alone: what is too large at r is too small at R - r.
  const tooSmall = own < seat;
  const largest = radius === null ? null : Math.floor(20 * radius) / 10;
  const smallest = radius === null ? null : Math.ceil(20 * (seat - radius)) / 10;
  let advice: string;
  if (largest === null || smallest === null || smallest > largest) {
    advice =
      'no cutter takes that much there inside the limit: use a stiffer machine or a shorter stick-out';
  } else if (tooSmall) {
    advice = `cutters from ${smallest.toFixed(1)} to ${largest.toFixed(1)} mm can`;
  } else {
    advice = `the largest cutter that can is ${largest.toFixed(1)} mm, ${(own - largest).toFixed(1)} mm smaller`;
  }
  return new Refusal(
    tooSmall ? 'cutter-too-small' : 'cutter-too-large',
    `a ${own} mm cutter buries itself in the tooth gap: to take ${takesMm.toFixed(2)} mm off the ${seat.toFixed(2)} mm seating curve it would be engaged over ${deg(engagementRad)} deg, the limit is ${deg(limitRad)} deg; ${advice}`,
    own,
    tooSmall ? smallest : largest,
  );
}

/**
 * `roughBoundMin`: the volume to rough over the greatest removal rate that any stepover and feed
 * reach on a straight wall at the same stepdown within the same limits.
 * @returns minutes
 */
export function roughBoundMin(process: RoughProcess, volumeMm3: number, maxFeed: number): number {
  const best = bestStraightRemoval(process.conditions, {
    maxEngagementRad: process.maxEngagementRad,
    forceLimitN: process.forceLimitN / FORCE_SHARE,
    chipCapMm: process.chipCapMm,
    maxFeedMmPerMin: maxFeed,
    powerLimitW: process.powerLimitW,
  });
  return volumeMm3 / best.removalMm3PerMin;
}
