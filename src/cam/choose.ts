/**
 * How hard to cut, chosen together: spindle speed, engagement, stepdown, chip and allowance, for the
 * least time within everything that bears the load.
 *
 * Every spindle speed of a scale, every engagement up to the outer bound and every even split of the
 * depth into levels is a _way_. A way is cut at the highest feed that chip, cutter, drive and power
 * allow at its engagement. It is fit where its odds keep the risk and it chatters on no more machines
 * than are accepted. The quickest fit way is taken; of ways as quick as it, the one that asks least.
 */
import { cos, log, pow, sin } from '../maths/elementary.js';
import {
  chipCapMm,
  depthFactor,
  effectiveFeedPerToothMm,
  kcNPerMm2,
  radialRatio,
  feedPerToothMm,
} from '../machines/load/chip.js';
import { engagementConcaveRad } from '../machines/load/engagement.js';
import { type FeedLimits, feedForLimits } from '../machines/load/feed.js';
import { type CutConditions, peakForce } from '../machines/load/force.js';
import { cutterForceN } from '../machines/bear/cutter.js';
import { DriveLoad, DriveOdds, driveRisk } from '../machines/bear/drive-meter.js';
import { edgeUsePerMin, livesFor, surfaceSpeedAt, wornForce } from '../machines/bear/edge.js';
import { type CutLimits, limitsOf } from '../machines/bear/limits.js';
import { type Odds, oddsOf } from '../machines/bear/odds.js';
import { availablePowerW, rpmForSurfaceSpeed } from '../machines/bear/spindle.js';
import { type WallCompliance, wallCompliance, wallShiftMm } from '../machines/bear/wall-shift.js';
import { radFromDeg } from '../maths/angle.js';
import { S_PER_MIN, restToRestS, secondsAtFeed, speedOfFeed } from '../maths/motion.js';
import type { Job } from '../model/job.js';
import type { RoughDirection } from './gap/moves.js';
import { countUp } from '../maths/tolerance.js';
import { type EdgeShares, fewestEdges } from './edge-changes.js';
import { type Stability, stabilityOf } from './stable.js';
import { levelAcceleration } from './timing.js';

/** What the choice has to know of the part. */
export interface GapSize {
  /** Smallest radius of wall that the cutter has to follow. mm */
  readonly seatRadiusMm: number;
  /** What is cut through, air below included. mm */
  readonly depthMm: number;
  /** Area of the stock round the outline. mm2 */
  readonly areaMm2: number;
  /** From the blank's rim to the root. mm */
  readonly gapDepthMm: number;
  /** Length of the outline. mm */
  readonly perimeterMm: number;
  readonly teeth: number;
}

/** One way of cutting. */
export interface Way {
  readonly spindleRpm: number;
  readonly engagementDeg: number;
  /** Engagement that passes are planned with: a hair less. rad */
  readonly planEngagementRad: number;
  readonly levels: number;
  readonly direction: RoughDirection;
  readonly conditions: CutConditions;
  /** Share of the peak that the cutter bears that plans keep: for rounding, and for the drives. */
  readonly forceShare: number;
  readonly feedMmPerMin: number;
  /** Thickest chip, and its cap at this depth. mm */
  readonly hMaxMm: number;
  readonly chipCapMm: number;
  /** Held by the chip's cap: a shallower level would be no quicker. */
  readonly atCap: boolean;
  readonly allowanceMm: number;
  /** Stock that roughing leaves beyond the allowance because the cutter is pushed off. mm */
  readonly pushedMm: number;
  /** Finishing's engagement in the gap when it takes what is left. rad */
  readonly finishRad: number;
  /** Share of what the cutter bears, and mean power at the cutter. */
  readonly cutterShare: number;
  readonly powerW: number;
  readonly odds: Odds;
  readonly chatterProbability: number;
  /** Lives of an edge that the cut takes, and how cutters share them. */
  readonly edgeLives: number;
  readonly edgeShares: EdgeShares;
  /** What the search took an edge's use to be over what it reckons by itself. */
  readonly edgeScale: number;
  /** Estimated time of all. s */
  readonly timeS: number;
}

/** What a cut of full engagement is to the drives. */
export interface DriveUse {
  /** Probability that neither axis loses steps: worked out when it is asked for. */
  readonly holds: () => number;
  /** Demand on the drives as the profile has them over what cutting may ask, on the worse axis. */
  readonly share: number;
}

/** What all ways of a job are weighed by: its outer bounds, and one function for each thing that bears
 *  the load, so that each can be looked at without the others. */
export interface Search {
  readonly job: Job;
  readonly size: GapSize;
  readonly limits: CutLimits;
  readonly direction: RoughDirection;
  /** Peak of a tooth that the cutter bears at a depth. N */
  readonly cutterN: (axialDepthMm: number) => number;
  readonly maxFeedMmPerMin: number;
  /** Power at the cutter at a speed. W */
  readonly powerW: (spindleRpm: number) => number;
  /** Thickest chip at a depth. mm */
  readonly chipMm: (axialDepthMm: number) => number;
  /** What a replay found of an edge's use over what was reckoned before it; 1 until then. */
  readonly edgeScale: number;
  /** Lives of an edge that a minute in the cut takes. */
  readonly edgeUse: (spindleRpm: number, phiRad: number, axialDepthMm: number) => number;
  /** @param feedAt  feed at an engagement, mm/min
   *  @param worn    force of the edge at its end over the force planned with */
  readonly drive: (
    cond: CutConditions,
    feedAt: (phiRad: number) => number,
    phiRad: number,
    worn: () => number,
  ) => DriveUse;
  readonly stability: (spindleRpm: number, phiRad: number) => Stability;
}

/** What the ways of a job are weighed by. */
export function searchOf(job: Job, size: GapSize, edgeScale = 1): Search {
  const { machine, material, cutter } = job;
  const limits = limitsOf(job);
  return {
    ...{ job, size, limits, edgeScale },
    // Work-hardening materials are not entered with a rubbing edge, so they are only cut in climb.
    direction: job.limits.roughing ?? (material.group === 'stainless' ? 'climb' : 'both-ways'),
    cutterN: (axialDepthMm) => cutterForceN(cutter, axialDepthMm),
    maxFeedMmPerMin: machine.maxFeedMmPerMin,
    powerW: (spindleRpm) => availablePowerW(machine, spindleRpm),
    chipMm: (axialDepthMm) => chipCapMm(material, cutter, axialDepthMm),
    edgeUse: (spindleRpm, phiRad, axialDepthMm) =>
      edgeScale * edgeUsePerMin(material, cutter, spindleRpm, phiRad, axialDepthMm),
    drive: driveUseOf(job, limits),
    stability: stabilityOf(job, limits),
  };
}

/** Engagements, as shares of the greatest, at which the drives are looked at: a smaller one is fed
 *  faster, and its swings may be the larger. */
export const DRIVE_LOOKED_AT = [1, 0.8, 0.6, 0.4] as const;

/** The drives by their odds, as a choice is made, and as a program is judged line by line. */
function driveUseOf({ machine }: Job, { driveForceN }: CutLimits): Search['drive'] {
  const [odds, load] = [new DriveOdds(machine), new DriveLoad(machine)];
  return (conditions, feedAt, phiRad, worn) => {
    const cut = (cond: CutConditions, share: number) => ({
      ...{ conditions: cond, feedMmPerMin: feedAt(share * phiRad), climb: true },
      intervals: [{ fromRad: 0, toRad: share * phiRad }],
    });
    const { x, y } = load.along(cut(conditions, 1));
    let known: number | undefined;
    const holds = (): number => {
      const atEnd = { ...conditions, wearFactor: worn() * conditions.wearFactor };
      const demands = odds.none();
      for (const share of DRIVE_LOOKED_AT) odds.add(demands, cut(atEnd, share));
      return odds.hold(demands);
    };
    return {
      holds: () => (known ??= holds()),
      share: Math.max(x / driveForceN.x, y / driveForceN.y),
    };
  };
}

/** The drives as if they were of no matter. */
export const FREE_DRIVE: Search['drive'] = () => ({ holds: () => 1, share: 0 });

/** Planned engagement stays this far under the limit: covers rounding to the output step. rad */
const ENGAGEMENT_MARGIN_RAD = radFromDeg(0.15);
/** Planned force as a share of the force allowed: covers rounding of feeds and positions. */
export const FORCE_SHARE = 0.99;
/** Engagements that are weighed, besides the outer bound itself. deg */
const ENGAGEMENTS_DEG = [45, 60, 75, 90, 105, 120];
/** Spindle speeds that are weighed, in equal ratios, and the step of a dial. rpm */
const SPEEDS = 6;
const RPM_STEP = 100;
/** Most levels that a plan is split into. */
export const MAX_LEVELS = 200;
/** A chip this close to its cap is at it; a floor over the cap is then no matter. */
const AT_CAP = 0.999;
/** Share of machines like this one on which a plan may be expected to chatter. It is heard, spoils
 *  edge and wall, and ends no cut: less would cost more time than it is worth. Judgement, no source. */
export const CHATTER_ACCEPTED = 0.15;
/** Ways as quick as the quickest, as a share of its time: inside what the estimate is good for. */
const AS_QUICK = 1.02;

/** The fit way that takes least time; where none is fit, the one that misses least. */
export interface Choice {
  readonly best: Way | null;
  /** The one with the least engagement in finishing, where all have too much. */
  readonly tightest: Way | null;
  /** Thickest chip of all ways; where none is fit because of the drives, about the thickest that they
   *  can push in one that does not bury the cutter. mm */
  readonly chipSeenMm: number;
  readonly fewestLevels: number;
}

/** @param mostS  ways that are sure to take longer are of no interest. s */
export function chooseWay(search: Search, mostS = Infinity): Choice {
  const { size, limits } = search;
  const fewest = fewestLevels(size.depthMm, limits.maxStepdownMm);
  let best: Way | null = null;
  let tightest: Way | null = null;
  let chipSeenMm = 0;
  let tooThin: { readonly pair: Pair; readonly levels: number; readonly hMm: number } | null = null;
  const floorMm = Math.min(limits.chipFloorMm, AT_CAP * limits.chipCapMm);
  const { riskShare } = search.job;
  // The drive is asked last, and only where a way would win if it held for sure.
  const hopeful: Search = { ...search, drive: FREE_DRIVE };
  for (const pair of pairsOf(search)) {
    const { chatter: chatterAt } = search.stability(pair.spindleRpm, pair.phiRad);
    for (let levels = fewest; levels <= MAX_LEVELS; levels++) {
      const fit = best !== null && missOf(best, riskShare) === 0;
      const boundS = fit ? Math.min(mostS, best!.timeS) : mostS;
      if (boundS < Infinity && leastTimeS(search, pair, levels) > AS_QUICK * boundS) break;
      if (fit && chatterAt(size.depthMm / levels) > CHATTER_ACCEPTED) continue;
      const open = fedOf(hopeful, pair, levels);
      chipSeenMm = Math.max(chipSeenMm, open.choice.hMaxMm);
      if (open.choice.hMaxMm < floorMm) continue;
      let way = wayOf(hopeful, pair, levels, chatterAt, open);
      if (!tightest || way.finishRad < tightest.finishRad) tightest = way;
      const opens = way.finishRad <= way.planEngagementRad;
      if (!opens || (best && !better(way, best, riskShare))) continue;
      const fed = fedOf(search, pair, levels, floorMm);
      const hMm = fed.choice.hMaxMm;
      if (hMm < floorMm) {
        if (hMm > (tooThin?.hMm ?? 0)) tooThin = { pair, levels, hMm };
        continue;
      }
      way = wayOf(search, pair, levels, chatterAt, fed);
      if (!best || better(way, best, riskShare)) best = way;
      if (way.atCap && missOf(way, riskShare) === 0) break;
    }
  }
  if (best === null && tooThin) {
    chipSeenMm = fedOf(search, tooThin.pair, tooThin.levels).choice.hMaxMm;
  }
  return { best, tightest: tooThin ? null : tightest, chipSeenMm, fewestLevels: fewest };
}

interface Pair {
  readonly spindleRpm: number;
  readonly engagementDeg: number;
  readonly phiRad: number;
}

/** Speeds and engagements to weigh, those that promise most first. */
function pairsOf({ job, limits }: Search): Pair[] {
  const bound = limits.maxEngagementDeg;
  const angles = [...ENGAGEMENTS_DEG.filter((deg) => deg < bound), bound];
  const pairs = angles.flatMap((engagementDeg) => {
    const phiRad = radFromDeg(engagementDeg) - ENGAGEMENT_MARGIN_RAD;
    return speedsFor(job, phiRad).map((spindleRpm) => ({ spindleRpm, engagementDeg, phiRad }));
  });
  const promise = (p: Pair): number => p.spindleRpm * (1 - cos(p.phiRad));
  return pairs.sort((a, b) => promise(b) - promise(a));
}

/** What a shallow cut allows of speed over what the range says. */
const SHALLOW = depthFactor(0, 1);

/** From the slowest to the fastest that spindle and material have in common. rpm */
export function speedsFor({ machine, material, cutter, limits }: Job, phiRad: number): number[] {
  if (limits.spindleRpm !== null) return [limits.spindleRpm];
  const { minRpm, maxRpm } = machine.spindle;
  const within = (rpm: number): number =>
    Math.min(maxRpm, Math.max(minRpm, RPM_STEP * Math.round(rpm / RPM_STEP)));
  const { low, high } = material.surfaceSpeedMPerMin;
  const least = within(rpmForSurfaceSpeed(low, cutter.diameterMm));
  const most = within(
    rpmForSurfaceSpeed(SHALLOW * surfaceSpeedAt(high, phiRad), cutter.diameterMm),
  );
  const ratio = most / least;
  const scale = Array.from({ length: SPEEDS }, (_, i) =>
    within(least * pow(ratio, i / (SPEEDS - 1))),
  );
  return [...new Set(scale)];
}

/** How far a way misses what makes it fit, 0 where it is. */
export function missOf(way: Way, risk: number): number {
  const chatter = Math.max(0, log(way.chatterProbability / CHATTER_ACCEPTED));
  return chatter + Math.max(0, log((1 - way.odds.all) / risk));
}

/** Misses closer than this are one miss. */
const SAME_MISS = 0.02;

function better(one: Way, other: Way, risk: number): boolean {
  const [a, b] = [missOf(one, risk), missOf(other, risk)];
  if (Math.abs(a - b) > SAME_MISS) return a < b;
  if (one.timeS * AS_QUICK < other.timeS) return true;
  if (other.timeS * AS_QUICK < one.timeS) return false;
  return asksOf(one) < asksOf(other);
}

/** What tells ways apart that are as quick: chatter, and what is used up of the edge. */
function asksOf(way: Way): number {
  return way.chatterProbability + 0.1 * way.edgeLives;
}

/** What the estimate of an edge's use may be short of what a replay finds: 0.67 to 1.26 of it were
 *  found on the examples and on machines whose drives decide. */
export const LIVES_MARGIN = 1.25;

/** Force of an edge after so many lives over the force planned with; 1 at least. */
export function wornOver({ limits }: Pick<Job, 'limits'>, lives: number): number {
  return Math.max(1, wornForce(lives) / limits.wearFactor);
}

/** The feed of a way, and what it was found by. */
type Fed = ReturnType<typeof fedOf>;

/** @param floorMm  a way with a thinner chip is of no use: no feed is sought for it */
function fedOf(search: Search, { spindleRpm, phiRad }: Pair, levels: number, floorMm = 0) {
  const { job, size } = search;
  const stepdownMm = size.depthMm / levels;
  const conditions = conditionsFor(job, spindleRpm, stepdownMm);
  const cutterN = search.cutterN(stepdownMm);
  const free = {
    ...search.limits,
    chipCapMm: search.chipMm(stepdownMm),
    forceLimitN: cutterN * FORCE_SHARE,
    maxFeedMmPerMin: search.maxFeedMmPerMin,
    powerLimitW: search.powerW(spindleRpm),
  };
  const roughAt = (feed: number): number => levels * levelTimeS(job, size, feed, phiRad);
  const wornAt = (feed: number): number => {
    const most = { spindleRpm, phiRad, finishRad: phiRad, levels, roughS: roughAt(feed) };
    const { edgeLives } = livesOf(search, most);
    // What the edge has served before is in the thrust of the machine: see `withLog`.
    // How many edges share them is not known yet: one of them is used for no more than it may be.
    return wornOver(job, Math.min(LIVES_MARGIN * edgeLives, livesFor(job.riskShare)));
  };
  const found = withDrive(search, conditions, phiRad, free, wornAt, floorMm);
  return { ...found, conditions, cutterN, chipCapMm: free.chipCapMm, roughAt };
}

/** One way, with everything that it asks. Nothing is weighed. */
export function wayOf(
  search: Search,
  pair: Pair,
  levels: number,
  chatterAt: (axialDepthMm: number) => number,
  fed: Fed = fedOf(search, pair, levels),
): Way {
  const { job, size } = search;
  const { spindleRpm, engagementDeg, phiRad } = pair;
  const { choice, forceLimitN, drive, conditions, cutterN, chipCapMm } = fed;
  const stepdownMm = conditions.axialDepthMm;
  const feedMmPerMin = choice.feedMmPerMin;
  const soft = wallCompliance(job.machine, job.cutter, spindleRpm);
  const arc = [{ fromRad: 0, toRad: phiRad }];
  const load = peakForce(conditions, feedMmPerMin, arc);
  const pushedMm = wallShiftMm(soft, load);
  const cutterShare = choice.resultantN / cutterN;
  const { direction } = search;
  const allowanceMm = allowanceFor(job, direction, conditions, feedMmPerMin, phiRad, soft);
  const [r, seat] = [job.cutter.diameterMm / 2, size.seatRadiusMm];
  const finishRad = seat > r ? engagementConcaveRad(allowanceMm + pushedMm, r, seat) : Math.PI;
  const roughS = fed.roughAt(feedMmPerMin);
  const endsWith = (edges: number) => {
    const spent = spentOn(search, { spindleRpm, phiRad, finishRad, levels, roughS }, edges);
    const { edgeLives, edgeShares, timeS } = spent;
    const livesAnEdge = edgeLives * edgeShares.most;
    const odds = oddsOf({
      driveHolds: drive.holds(),
      cutterShare: wornOver(job, livesAnEdge) * cutterShare,
      livesAnEdge,
      servedLives: edgeShares.servedLives,
      edges: edgeShares.edges,
      minutes: timeS / S_PER_MIN,
    });
    return { ...spent, odds };
  };
  let ends = endsWith(1);
  if (1 - ends.odds.all > job.riskShare) {
    // The edges keep their share of the risk: one more may make up for what takes more than its own.
    const more = endsWith(ends.edgeShares.edges + 1);
    if (1 - more.odds.all <= job.riskShare) ends = more;
  }
  return {
    ...{ spindleRpm, engagementDeg, planEngagementRad: phiRad, levels, direction, conditions },
    ...{ forceShare: forceLimitN / cutterN, feedMmPerMin },
    ...{ hMaxMm: choice.hMaxMm, chipCapMm },
    atCap: choice.limitedBy === 'chip' || choice.limitedBy === 'feed',
    ...{ cutterShare, powerW: load.powerW, allowanceMm, pushedMm, finishRad },
    ...{ ...ends, edgeScale: search.edgeScale },
    chatterProbability: chatterAt(stepdownMm),
  };
}

/** What decides how long a way takes, and what of an edge. */
interface Worked {
  readonly spindleRpm: number;
  readonly phiRad: number;
  readonly finishRad: number;
  readonly levels: number;
  readonly roughS: number;
}

/** Lives of an edge that roughing and finishing take, and the share and time of finishing. */
function livesOf(search: Search, { spindleRpm, phiRad, finishRad, levels, roughS }: Worked) {
  const stepdownMm = search.size.depthMm / levels;
  const finishS = finishTimeS(search, spindleRpm, finishRad);
  const perMin = (rad: number): number => search.edgeUse(spindleRpm, MEAN_SHARE * rad, stepdownMm);
  const finishing = finishS * perMin(finishRad);
  const edgeLives = (roughS * CUTTING_SHARE * perMin(phiRad) + finishing) / S_PER_MIN;
  const finishShare = edgeLives > 0 ? finishing / S_PER_MIN / edgeLives : 0;
  return { edgeLives, finishShare, finishS };
}

/** Lives of an edge that roughing and finishing take, edges and time of all. @param edges  at the least */
function spentOn(
  search: Search,
  worked: Worked,
  edges: number,
): Pick<Way, 'edgeLives' | 'edgeShares' | 'timeS'> {
  const { edgeLives, finishShare, finishS } = livesOf(search, worked);
  const { basis, riskShare } = search.job;
  const wear = { lives: edgeLives, finishShare, servedLives: basis?.servedLives ?? 0 };
  const edgeShares = fewestEdges(wear, riskShare, worked.levels, edges);
  const changesS = edgeShares.changesAfter.length * EDGE_CHANGE_S;
  return { edgeLives, edgeShares, timeS: worked.roughS + finishS + changesS };
}

/** What a force limit is lowered by until the drive keeps its share of the risk, how often, and how
 *  often the last step is then halved: to 2 % of the force. */
const LOWERED = 0.8;
const LOWERINGS = 12;
const HALVINGS = 3;
/** Most of what cutting may ask of a drive that is planned with: covers rounding of headings. */
const DRIVE_SHARE = 0.97;

/** Highest feed under the limits at which the drives keep their share of the risk; where its chip is
 *  thinner than a floor, one that they may not keep it at, with a chip that is, too. */
function withDrive(
  search: Search,
  conditions: CutConditions,
  phiRad: number,
  free: Required<FeedLimits>,
  wornAt: (feedMmPerMin: number) => number,
  floorMm: number,
) {
  const at = (forceLimitN: number) => {
    const choiceAt = (rad: number) => feedForLimits(conditions, rad, { ...free, forceLimitN });
    const choice = choiceAt(phiRad);
    const feedAt = (rad: number) => choiceAt(rad).feedMmPerMin;
    const drive = search.drive(conditions, feedAt, phiRad, () => wornAt(choice.feedMmPerMin));
    // The share first: it takes one cut on one drive, and the odds four on 64.
    const kept = drive.share <= DRIVE_SHARE && 1 - drive.holds() <= driveRisk(search.job.riskShare);
    return { choice, forceLimitN, drive, kept };
  };
  let found = at(free.forceLimitN);
  let lostN = found.forceLimitN;
  const isOpen = (): boolean => !found.kept && found.choice.hMaxMm >= floorMm;
  for (let i = 0; i < LOWERINGS && isOpen(); i++) {
    lostN = Math.min(found.forceLimitN, found.choice.resultantN);
    found = at(LOWERED * lostN);
  }
  for (let i = 0; i < HALVINGS && found.kept && lostN > found.forceLimitN; i++) {
    const between = at((lostN + found.forceLimitN) / 2);
    if (between.kept) found = between;
    else lostN = between.forceLimitN;
  }
  return found;
}

/** Time of one pass in a level, estimated, that is spent at the greatest engagement. Means over a
 *  pass, and share of a level's time in the cut. Measured on the examples. */
const MEAN_SHARE = 0.7;
const CUTTING_SHARE = 0.8;
/** To stop, change the cutter and touch off again. s. Common practice, no source. */
export const EDGE_CHANGE_S = 480;
/** Fixed cost of a level beside cutting: down, round to the first gap, back. s */
const LEVEL_OVERHEAD_S = 5;
/** Path that a level needs over the least possible one. Measured on the examples. */
const PATH_SURPLUS = 1.3;
/** Way between the end of a pass and the start of the next, there and back to rest. mm */
const TURN_MM = 0.7;
/** Times round that finishing takes. Measured on the examples. */
const FINISH_PASSES = 1.6;

/**
 * Time of one level, estimated: the path at its feed, and for every pass a stop and a short way
 * to the next one, which cost the more the faster the feed and the lazier the axes. s
 */
function levelTimeS(job: Job, size: GapSize, feedMmPerMin: number, phiRad: number): number {
  const a = levelAcceleration(job.machine);
  const depth = (job.cutter.diameterMm / 2) * (1 - cos(phiRad));
  const v = speedOfFeed(feedMmPerMin);
  const passes = size.teeth * Math.ceil(size.gapDepthMm / (0.75 * depth));
  const turn = v / a + restToRestS(a, TURN_MM);
  return (PATH_SURPLUS * size.areaMm2) / depth / v + passes * turn + size.teeth + LEVEL_OVERHEAD_S;
}

/** Highest feed that the chip's cap and the machine allow at an engagement and depth. mm/min */
function capFeed(search: Search, spindleRpm: number, phiRad: number, depthMm: number): number {
  const chip = search.chipMm(depthMm) / sin(Math.min(Math.PI / 2, phiRad));
  return Math.min(search.maxFeedMmPerMin, chip * search.job.cutter.flutes * spindleRpm);
}

/** Least time of so many levels, with finishing left out. s */
function leastTimeS(search: Search, { spindleRpm, phiRad }: Pair, levels: number): number {
  const feed = capFeed(search, spindleRpm, phiRad, search.size.depthMm / levels);
  return levels * levelTimeS(search.job, search.size, feed, phiRad);
}

function finishTimeS(search: Search, spindleRpm: number, finishRad: number): number {
  const { size, limits } = search;
  const levels = fewestLevels(size.depthMm, limits.maxStepdownMm);
  const feed = capFeed(search, spindleRpm, finishRad, size.depthMm / levels);
  return FINISH_PASSES * levels * secondsAtFeed(size.perimeterMm, feed);
}

/** Least allowance, and what is added to how far a conventional cut is pulled into the wall. mm.
 *  Common practice, no source. */
const LEAST_ALLOWANCE_MM = 0.1;
const PULL_MARGIN_MM = 0.03;
/** Over-travel of a light axis at a reversal, besides backlash. mm. Common practice, no source. */
const OVERTRAVEL_MM = 0.05;

function allowanceFor(
  { machine }: Job,
  direction: RoughDirection,
  cond: CutConditions,
  feedMmPerMin: number,
  phiRad: number,
  soft: WallCompliance,
): number {
  const pulledMm = direction === 'both-ways' ? pullInMm(cond, feedMmPerMin, phiRad, soft) : 0;
  const backlashMm = Math.max(machine.backlashMm.x, machine.backlashMm.y);
  return Math.max(LEAST_ALLOWANCE_MM, backlashMm + OVERTRAVEL_MM, pulledMm + PULL_MARGIN_MM);
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
  const fz = feedPerToothMm(feedMmPerMin, cond.cutter.flutes, cond.spindleRpm);
  const fzEff = effectiveFeedPerToothMm(fz, cond.runoutMm, cond.cutter.flutes);
  const t = Math.min(phiRad, Math.PI / 2);
  const h = fzEff * sin(t);
  const ft = kcNPerMm2(cond.material, h) * h * cond.axialDepthMm * cond.wearFactor;
  const peak = Math.max(0, ft * (sin(t) - radialRatio(h) * cos(t)));
  const cut = peakForce(cond, feedMmPerMin, [{ fromRad: 0, toRad: phiRad }], undefined, false);
  const mean = Math.max(0, -cut.meanNormalN);
  const swing = Math.max(0, peak - mean);
  return mean * soft.meanMmPerN + swing * soft.swingMmPerN + peak * soft.toolMmPerN;
}

export function conditionsFor(
  job: Pick<Job, 'material' | 'cutter' | 'machine' | 'limits'>,
  spindleRpm: number,
  axialDepthMm: number,
): CutConditions {
  return { ...edgeConditions(job), spindleRpm, axialDepthMm };
}

/** What of the conditions of a cut is the same all through a job. */
export function edgeConditions(
  job: Pick<Job, 'material' | 'cutter' | 'machine' | 'limits'>,
): Omit<CutConditions, 'spindleRpm' | 'axialDepthMm'> {
  return {
    material: job.material,
    cutter: job.cutter,
    runoutMm: job.machine.spindle.runoutMm,
    wearFactor: job.limits.wearFactor,
  };
}

/** Fewest even levels that keep a stepdown. */
export function fewestLevels(depthMm: number, maxStepdownMm: number): number {
  return Math.max(1, countUp(depthMm / maxStepdownMm));
}
