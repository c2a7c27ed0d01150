/**
 * The process of a job: what choose.ts chose, made ready for those who lay paths; or why there is
 * none.
 */
import { Refusal } from '../model/refusal.js';
import type { Job } from '../model/job.js';
import { chipThresholds } from '../machines/load/chip.js';
import { largestCutterRadiusMm } from '../machines/load/engagement.js';
import { bestStraightRemoval, type FeedLimits, feedTable } from '../machines/load/feed.js';
import type { CutConditions } from '../machines/load/force.js';
import { DriveOdds } from '../machines/bear/drive-meter.js';
import { type CutLimits, feedLimitsOf, limitsOf } from '../machines/bear/limits.js';
import { motionForceN, thrustAtN } from '../machines/bear/thrust.js';
import { type SpindleChoice, spindleNote } from '../machines/bear/spindle.js';
import { FORCE_SHARE, type GapSize, MAX_LEVELS, type Way, chooseWay, searchOf } from './choose.js';
import type { RoughDirection } from './gap/moves.js';
import { degFromRad, radFromDeg } from '../maths/angle.js';
import { levelAcceleration } from './timing.js';
import { um } from '../text/show.js';

/** The cutter goes this far below the teeth, into air, so that their lower edge is cut clean. mm.
 *  Half of it would do on a flat blank; the rest is for a blank that is not. */
export const OVERRUN_MM = 0.1;

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
  /** How it was chosen, and what it asks. */
  readonly way: Way;
  readonly linkFeedMmPerMin: number;
  readonly plungeFeedMmPerMin: number;
  /** Of the slower of X and Y. */
  readonly accelerationMmPerS2: number;
  /** Highest feed at an engagement. */
  readonly feed: (phiRad: number) => number;
}

/** Most that the cutter is fed straight down in air. mm/min. Common practice, no source. */
const MAX_PLUNGE_MM_PER_MIN = 300;

/**
 * Chooses the process for a job.
 * @param edgeScale  what a replay found of the edge's use over what was reckoned
 * @throws Refusal 'no-force', 'too-many-levels', 'chip-rubs', 'cutter-too-large' or 'cutter-too-small', saying
 *         what would do
 */
export function chooseProcess(job: Job, size: GapSize, edgeScale = 1): Process {
  const { machine, cutter, material } = job;
  const { rapidMmPerMin: rapid } = machine;
  const bounds = limitsOf(job);
  const way = wayFor(job, size, bounds, edgeScale);
  const { spindleRpm, planEngagementRad, conditions, levels } = way;
  const stepdownMm = size.depthMm / levels;
  const feedLimits = feedLimitsOf(job, spindleRpm, stepdownMm, way.forceShare);
  return {
    ...bounds,
    ...feedLimits,
    maxEngagementDeg: way.engagementDeg,
    maxEngagementRad: radFromDeg(way.engagementDeg),
    spindleRpm,
    spindle: spindleNote(machine, material, cutter, spindleRpm),
    planEngagementRad,
    stepdownMm,
    levelsMm: evenLevels(size.depthMm, levels),
    direction: way.direction,
    allowanceMm: way.allowanceMm,
    roughDeflectionMm: way.pushedMm,
    conditions,
    way,
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

/** @throws Refusal where no way is open */
function wayFor(job: Job, size: GapSize, bounds: CutLimits, edgeScale: number): Way {
  refuseWeakDrive(job);
  const search = searchOf(job, size, edgeScale);
  const { best, tightest, chipSeenMm, fewestLevels: fewest } = chooseWay(search);
  if (best) return best;
  if (fewest > MAX_LEVELS) {
    const most = bounds.maxStepdownMm;
    throw new Refusal(
      'too-many-levels',
      `a stepdown of at most ${most} mm splits ${size.depthMm.toFixed(2)} mm into ${fewest} levels, more than the ${MAX_LEVELS} this tool plans: allow a larger stepdown`,
      fewest,
      MAX_LEVELS,
    );
  }
  throw tightest
    ? cutterOutOfRange(job, size.seatRadiusMm, bounds.maxEngagementRad, tightest)
    : chipRubs(job, bounds.chipFloorMm, chipSeenMm);
}

/** @throws Refusal 'no-force' where moving without a cut already takes more than the accepted risk */
function refuseWeakDrive({ machine, riskShare }: Job): void {
  const drives = new DriveOdds(machine);
  const moving = drives.moving();
  const risk = 1 - drives.hold(moving);
  if (risk <= riskShare) return;
  const percent = (share: number): string => `${(100 * share).toPrecision(2)} %`;
  const needN = (axis: 'x' | 'y'): number => motionForceN(machine, axis);
  const hasN = (axis: 'x' | 'y'): number => thrustAtN(machine, axis, machine.maxFeedMmPerMin);
  const axis = needN('x') / hasN('x') > needN('y') / hasN('y') ? 'x' : 'y';
  throw new Refusal(
    'no-force',
    `the drives of ${machine.id} have nothing left for cutting: on ${axis.toUpperCase()} friction and acceleration ask for ${needN(axis).toFixed(0)} N of a thrust of ${hasN(axis).toFixed(0)} N at ${machine.maxFeedMmPerMin} mm/min, so that ${percent(risk)} of such machines lose steps without a cut (accepted: ${percent(riskShare)}); measure the thrust, lower the acceleration or the highest feed, or use a machine with more thrust`,
    risk,
    riskShare,
  );
}

function chipRubs(job: Job, floorMm: number, chipSeenMm: number): Refusal {
  return new Refusal(
    'chip-rubs',
    `the thickest chip this machine can push, ${um(chipSeenMm)}, is thinner than the ${um(floorMm)} at which this edge starts to cut (refused below ${um(chipThresholds(job.cutter, job.material).refuseMm)}); use a smaller or sharper cutter, or a machine with more thrust`,
    chipSeenMm,
    floorMm,
  );
}

function cutterOutOfRange(job: Job, seat: number, limitRad: number, at: Way): Refusal {
  const takesMm = at.allowanceMm + at.pushedMm;
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
        : `take one of ${largest.toFixed(1)} mm or less`;
  return new Refusal(
    tooSmall ? 'cutter-too-small' : 'cutter-too-large',
    `a cutter of ${own} mm buries itself in the tooth gap: to take ${takesMm.toFixed(2)} mm off the ${seat.toFixed(2)} mm seating curve it would be engaged over ${deg(at.finishRad)} deg, the limit is ${deg(limitRad)} deg; ${advice}`,
    own,
    tooSmall ? smallest : largest,
  );
}

/**
 * `roughBoundMin`: the volume to rough over the greatest removal rate that any stepover and feed
 * reach on a straight wall at the same stepdown within the same limits.
 * @returns minutes
 */
export function roughBoundMin(process: Process, volumeMm3: number): number {
  const best = bestStraightRemoval(process.conditions, {
    maxEngagementRad: process.maxEngagementRad,
    forceLimitN: process.forceLimitN / FORCE_SHARE,
    chipCapMm: process.chipCapMm,
    maxFeedMmPerMin: process.maxFeedMmPerMin,
    powerLimitW: process.powerLimitW,
  });
  return volumeMm3 / best.removalMm3PerMin;
}
