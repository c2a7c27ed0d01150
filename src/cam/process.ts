/**
 * How hard to cut: spindle speed, force allowed, stepdown, levels and allowance, from the
 * machine's rigidity profile and the material table.
 */

import { Refusal } from '../model/refusal.js';
import type { Job } from '../model/job.js';
import { type WallCompliance, wallCompliance, wallShiftMm } from '../machines/bear/wall-shift.js';
import {
  chipThresholds,
  effectiveFeedPerToothMm,
  kcNPerMm2,
  radialRatio,
} from '../machines/load/chip.js';
import { engagementConcaveRad, largestCutterRadiusMm } from '../machines/load/engagement.js';
import {
  bestStraightRemoval,
  type FeedLimits,
  feedForLimits,
  feedTable,
} from '../machines/load/feed.js';
import { type CutConditions, peakForce } from '../machines/load/force.js';
import { type CutLimits, feedLimitsOf, limitsOf } from '../machines/bear/limits.js';
import {
  type SpindleChoice,
  chooseSpindleRpm,
  rpmForSurfaceSpeed,
} from '../machines/bear/spindle.js';
import type { RoughDirection } from './gap/moves.js';
import { degFromRad, radFromDeg } from '../maths/angle.js';
import { feedOfSpeed, restToRestS, speedOfFeed } from '../maths/motion.js';
import { countUp } from '../maths/tolerance.js';
import { levelAcceleration } from './timing.js';

/** The cutter goes this far below the teeth, into air, so that their lower edge is cut clean. mm.
 *  Half of it would do on a flat blank; the rest is for a blank that is not. */
export const OVERRUN_MM = 0.1;

/** Planned engagement stays this far under the limit: covers rounding to the output step. rad */
const ENGAGEMENT_MARGIN_RAD = radFromDeg(0.15);
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

/** Everything roughing is decided by; `forceLimitN` is what plans keep. */
export interface Process extends CutLimits, Required<FeedLimits> {
  readonly spindleRpm: number;
  readonly spindle: SpindleChoice;
  /** What plans aim at: the limit less the margin for rounding. */
  readonly planEngagementRad: number;
  readonly stepdownMm: number;
  /** Depths of the levels, downwards; the last is below the teeth. mm */
  readonly levelsMm: readonly number[];
  readonly direction: RoughDirection;
  readonly allowanceMm: number;
  /** Stock that roughing leaves beyond the allowance because the cutter is pushed off. mm */
  readonly roughDeflectionMm: number;
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
  const v = speedOfFeed(feedMmPerMin);
  const passes = size.teeth * Math.ceil(size.depthMm / (0.75 * depth));
  const turn = v / a + restToRestS(a, TURN_MM);
  return (PATH_SURPLUS * size.areaMm2) / depth / v + passes * turn + size.teeth + LEVEL_OVERHEAD_S;
}

export function conditionsFor(
  job: Pick<Job, 'material' | 'cutter' | 'machine' | 'limits'>,
  spindleRpm: number,
  axialDepthMm: number,
): CutConditions {
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
  const swing = Math.max(0, peak - mean);
  return mean * soft.meanMmPerN + swing * soft.swingMmPerN + peak * soft.toolMmPerN;
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
  const reachable = feedOfSpeed(Math.sqrt(SPEED_UP_SHARE * acceleration * passMm));
  const { maxEngagementRad, chipCapMm } = limitsOf(job);
  const sine = Math.sin(Math.min(Math.PI / 2, maxEngagementRad));
  const feedPerRev = (cutter.flutes * chipCapMm) / sine;
  const wanted = Math.ceil(Math.min(reachable, machine.maxFeedMmPerMin) / feedPerRev / RPM_STEP);
  const slowest = rpmForSurfaceSpeed(material.surfaceSpeedMPerMin.low, cutter.diameterMm);
  const least = Math.max(machine.spindle.minRpm, Math.min(rpm, slowest > rpm ? 0 : slowest));
  return Math.min(rpm, Math.max(wanted * RPM_STEP, least));
}

/** Least allowance, and what is added to how far a conventional cut is pulled into the wall. mm.
 *  Common practice, no source. */
const LEAST_ALLOWANCE_MM = 0.1;
const PULL_MARGIN_MM = 0.03;
/** Levels beyond the best that are still weighed once the chip's cap limits the feed. */
const LEVELS_PAST_BEST = 20;
/** A chip this close to its cap is at it; a floor over the cap is then no matter. */
const AT_CAP = 0.999;
/** Most that the cutter is fed straight down in air. mm/min. Common practice, no source. */
const MAX_PLUNGE_MM_PER_MIN = 300;

/** What a split into levels is weighed by. */
interface Weighing extends Pick<CutLimits, 'maxStepdownMm' | 'maxEngagementRad'> {
  readonly job: Job;
  readonly size: GapSize;
  readonly depthMm: number;
  readonly spindleRpm: number;
  readonly feedLimits: ReturnType<typeof feedLimitsOf>;
  readonly planEngagementRad: number;
  readonly direction: RoughDirection;
  readonly soft: WallCompliance;
}

/** A split into even levels as it would be cut. */
interface Split {
  readonly levels: number;
  /** Thickest chip. mm */
  readonly hMaxMm: number;
  /** No more levels help the feed: the chip is at its cap. */
  readonly atCap: boolean;
  readonly allowanceMm: number;
  readonly pushedMm: number;
  /** Finishing's engagement in the gap when it takes what is left. rad */
  readonly finishRad: number;
  /** Estimated time of all levels. s */
  readonly timeS: number;
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
export function chooseProcess(job: Job, size: GapSize): Process {
  const { machine, material, cutter } = job;
  const { rapidMmPerMin: rapid } = machine;
  const spindle = chooseSpindleRpm(machine, material, cutter);
  const spindleRpm = job.limits.spindleRpm ?? usefulRpm(job, spindle.rpm, size);
  const limits = limitsOf(job);
  const feedLimits = roughFeedLimits(job, spindleRpm);
  const planEngagementRad = limits.maxEngagementRad - ENGAGEMENT_MARGIN_RAD;
  // Work-hardening materials are not entered with a rubbing edge, so they are only cut in climb.
  const direction: RoughDirection =
    job.limits.roughing ?? (material.group === 'stainless' ? 'climb' : 'both-ways');
  const depthMm = size.thicknessMm + OVERRUN_MM;
  const best = quickestSplit({
    ...limits,
    job,
    size,
    depthMm,
    spindleRpm,
    feedLimits,
    planEngagementRad,
    direction,
    soft: wallCompliance(machine, cutter, spindleRpm),
  });
  const stepdownMm = depthMm / best.levels;
  const conditions = conditionsFor(job, spindleRpm, stepdownMm);
  return {
    ...limits,
    ...feedLimits,
    spindleRpm,
    spindle,
    planEngagementRad,
    stepdownMm,
    levelsMm: evenLevels(depthMm, best.levels),
    direction,
    allowanceMm: best.allowanceMm,
    roughDeflectionMm: best.pushedMm,
    conditions,
    linkFeedMmPerMin: Math.min(machine.maxFeedMmPerMin, rapid.x, rapid.y),
    plungeFeedMmPerMin: Math.min(MAX_PLUNGE_MM_PER_MIN, rapid.z / 2),
    accelerationMmPerS2: levelAcceleration(machine),
    feed: feedTable(conditions, feedLimits),
  };
}

/** Depths of an even split, downwards. mm */
export function evenLevels(depthMm: number, levels: number): number[] {
  return Array.from({ length: levels }, (_, i) => -(depthMm * (i + 1)) / levels);
}

/** Fewest even levels that keep a stepdown. */
export function fewestLevels(depthMm: number, maxStepdownMm: number): number {
  return Math.max(1, countUp(depthMm / maxStepdownMm));
}

/** @throws Refusal 'no-force' */
function roughFeedLimits(job: Job, spindleRpm: number): ReturnType<typeof feedLimitsOf> {
  const limits = feedLimitsOf(job, spindleRpm, FORCE_SHARE);
  if (limits.forceLimitN > 0) return limits;
  throw new Refusal(
    'no-force',
    `friction and acceleration take all the thrust this machine has at ${limits.maxFeedMmPerMin} mm/min; lower maxFeedMmPerMin or the acceleration in its profile`,
    limits.forceLimitN,
    0,
  );
}

/** @throws Refusal 'too-many-levels', 'chip-rubs', 'cutter-too-large' or 'cutter-too-small' */
function quickestSplit(of: Weighing): Split {
  const fewest = fewestLevels(of.depthMm, of.maxStepdownMm);
  if (fewest > MAX_LEVELS) {
    throw new Refusal(
      'too-many-levels',
      `a stepdown of at most ${of.maxStepdownMm} mm splits ${of.depthMm.toFixed(2)} mm into ${fewest} levels, more than the ${MAX_LEVELS} this tool plans: allow a larger stepdown`,
      fewest,
      MAX_LEVELS,
    );
  }
  const { chipCapMm, chipFloorMm } = of.feedLimits;
  let best: Split | null = null;
  let tightest: Split | null = null;
  let chipSeenMm = 0;
  for (let levels = fewest; levels <= MAX_LEVELS; levels++) {
    const split = splitInto(of, levels);
    chipSeenMm = Math.max(chipSeenMm, split.hMaxMm);
    if (split.hMaxMm < Math.min(chipFloorMm, AT_CAP * chipCapMm)) continue;
    if (!tightest || split.finishRad < tightest.finishRad) tightest = split;
    if (split.finishRad > of.planEngagementRad) continue;
    if (!best || split.timeS < best.timeS) best = split;
    // Beyond the point where the feed no longer rises, more levels only cost more.
    if (split.atCap && levels > best.levels + LEVELS_PAST_BEST) break;
  }
  if (best) return best;
  throw tightest ? cutterOutOfRange(of, tightest) : chipRubs(of, chipSeenMm);
}

function splitInto(of: Weighing, levels: number): Split {
  const { job, size, soft, planEngagementRad } = of;
  const { machine, cutter } = job;
  const cond = conditionsFor(job, of.spindleRpm, of.depthMm / levels);
  const choice = feedForLimits(cond, planEngagementRad, of.feedLimits);
  const feed = choice.feedMmPerMin;
  const arc = [{ fromRad: 0, toRad: planEngagementRad }];
  const pushedMm = wallShiftMm(soft, peakForce(cond, feed, arc));
  const pulledMm = of.direction === 'both-ways' ? pullInMm(cond, feed, planEngagementRad, soft) : 0;
  const backlashMm = Math.max(machine.backlashMm.x, machine.backlashMm.y);
  const allowanceMm = Math.max(
    LEAST_ALLOWANCE_MM,
    backlashMm + OVERTRAVEL_MM,
    pulledMm + PULL_MARGIN_MM,
  );
  const [r, seat] = [cutter.diameterMm / 2, size.seatRadiusMm];
  return {
    levels,
    hMaxMm: choice.hMaxMm,
    atCap: choice.limitedBy === 'chip',
    allowanceMm,
    pushedMm,
    finishRad: seat > r ? engagementConcaveRad(allowanceMm + pushedMm, r, seat) : Math.PI,
    timeS: levels * levelTimeS(job, size, feed, planEngagementRad),
  };
}

function chipRubs({ job, feedLimits }: Weighing, chipSeenMm: number): Refusal {
  const floorMm = feedLimits.chipFloorMm;
  const um = (mm: number): string => (mm * 1000).toFixed(1);
  return new Refusal(
    'chip-rubs',
    `the thickest chip this machine can push, ${um(chipSeenMm)} um, is thinner than the ${um(floorMm)} um at which this edge starts to cut (refused below ${um(chipThresholds(job.cutter, job.material).refuseMm)} um); use a smaller or sharper cutter, or a machine with more thrust`,
    chipSeenMm,
    floorMm,
  );
}

function cutterOutOfRange({ job, size, maxEngagementRad: limitRad }: Weighing, at: Split): Refusal {
  const takesMm = at.allowanceMm + at.pushedMm;
  const seat = size.seatRadiusMm;
  const own = job.cutter.diameterMm;
  const deg = (rad: number): string => degFromRad(rad).toFixed(0);
  const radius = largestCutterRadiusMm(seat, takesMm, limitRad);
  // phi depends on r (R - r) alone: what is too large at r is too small at R - r.
  const tooSmall = own < seat;
  const largest = radius === null ? null : Math.floor(20 * radius) / 10;
  const smallest = radius === null ? null : Math.ceil(20 * (seat - radius)) / 10;
  const advice =
    largest === null || smallest === null || smallest > largest
      ? 'no cutter takes that much there inside the limit: use a stiffer machine or a shorter stick-out'
      : tooSmall
        ? `cutters from ${smallest.toFixed(1)} to ${largest.toFixed(1)} mm can`
        : `the largest cutter that can is ${largest.toFixed(1)} mm, ${(own - largest).toFixed(1)} mm smaller`;
  return new Refusal(
    tooSmall ? 'cutter-too-small' : 'cutter-too-large',
    `a ${own} mm cutter buries itself in the tooth gap: to take ${takesMm.toFixed(2)} mm off the ${seat.toFixed(2)} mm seating curve it would be engaged over ${deg(at.finishRad)} deg, the limit is ${deg(limitRad)} deg; ${advice}`,
    own,
    tooSmall ? smallest : largest,
  );
}

/**
 * `roughBoundMin`: the volume to rough over the greatest removal rate that any stepover and feed
 * reach on a straight wall at the same stepdown within the same limits.
 * @returns minutes
 */
export function roughBoundMin(process: Process, volumeMm3: number, maxFeed: number): number {
  const best = bestStraightRemoval(process.conditions, {
    maxEngagementRad: process.maxEngagementRad,
    forceLimitN: process.forceLimitN / FORCE_SHARE,
    chipCapMm: process.chipCapMm,
    maxFeedMmPerMin: maxFeed,
    powerLimitW: process.powerLimitW,
  });
  return volumeMm3 / best.removalMm3PerMin;
}
