/**
 * Why a cut takes as long as it does: each thing that bears the load, how much of it is used, and how
 * long the cut would take if that one were no matter.
 */
import { S_PER_MIN } from '../maths/motion.js';
import type { Job } from '../model/job.js';
import { wheelOf } from '../profile/wheel/sprocket.js';
import {
  CHATTER_ACCEPTED,
  FREE_DRIVE,
  type Search,
  type Way,
  chooseWay,
  searchOf,
} from './choose.js';
import { blankSize, gapSize, layPath } from './sequence.js';
import { driveRisk } from '../machines/bear/drive-meter.js';
import { livesFor } from '../machines/bear/edge.js';

/** What bears a load. */
export type Bearer = keyof typeof BEARERS;

/** What each is called. */
export const BEARERS = {
  cutter: 'cutter, peak of a tooth',
  drive: 'drive, chance of lost steps',
  stability: 'stability, chance of chatter',
  edge: 'edge, lives used',
  chip: 'chip, thickest',
  power: 'spindle, power',
  feed: 'feed',
  engagement: 'engagement',
  stepdown: 'stepdown',
} as const;

/** What would lift each. */
export const LIFTED_BY: Readonly<Record<Bearer, string>> = {
  cutter: 'a shorter stick-out or a thicker cutter',
  drive: 'a pull test that shows more thrust than is known, or stronger motors',
  stability:
    'a stiffer mount, taps that show the machine is better than its profile, or a shorter stick-out',
  edge: 'a thicker cutter, which is done in fewer minutes',
  chip: 'a thicker cutter, which takes thicker chips',
  power: 'a stronger spindle',
  feed: 'a machine that feeds faster',
  engagement: 'a higher max-engagement in job or machine, where its heat and chips can be borne',
  stepdown: 'a higher max-stepdown in job or machine, as far as the flutes reach',
};

export interface ExplainRow {
  readonly bearer: Bearer;
  readonly used: number;
  readonly limit: number;
  /** Used over limit. */
  readonly share: number;
  /** Estimated time of all if it were no matter. min; null where nothing else would be chosen */
  readonly withoutMin: number | null;
}

export interface Explanation {
  /** Estimated time of all as chosen. min */
  readonly timeMin: number;
  /** What costs most time first. */
  readonly rows: readonly ExplainRow[];
}

/** A limit of no matter: twice what could be asked for of any of them. */
const FREE = 1e6;

/** The search without one of its limits. */
const WITHOUT: Readonly<Record<Bearer, (search: Search) => Search>> = {
  cutter: (s) => ({ ...s, cutterN: () => FREE }),
  drive: (s) => ({ ...s, drive: FREE_DRIVE }),
  stability: (s) => ({ ...s, stability: () => ({ chatter: () => 0, margin: () => FREE }) }),
  edge: (s) => ({ ...s, edgeUse: () => 0 }),
  chip: (s) => ({ ...s, chipMm: (depthMm) => 2 * s.chipMm(depthMm) }),
  power: (s) => ({ ...s, powerW: () => FREE }),
  feed: (s) => ({ ...s, maxFeedMmPerMin: FREE }),
  engagement: (s) => ({
    ...s,
    limits: { ...s.limits, maxEngagementDeg: 180, maxEngagementRad: Math.PI },
  }),
  stepdown: (s) => ({ ...s, limits: { ...s.limits, maxStepdownMm: s.job.cutter.fluteLengthMm } }),
};

/** What a way uses of each, and how much there is. */
function usedOf(search: Search, way: Way): Readonly<Record<Bearer, readonly [number, number]>> {
  const { conditions, spindleRpm } = way;
  const { job, limits } = search;
  const depthMm = conditions.axialDepthMm;
  const cutterN = search.cutterN(depthMm);
  return {
    cutter: [way.cutterShare * cutterN, cutterN],
    drive: [1 - way.odds.drive, driveRisk(job.riskShare)],
    stability: [way.chatterProbability, CHATTER_ACCEPTED],
    edge: [way.edgeLives * way.edgeShares.most, livesFor(job.riskShare, way.edgeShares.edges)],
    chip: [way.hMaxMm, way.chipCapMm],
    power: [way.powerW, search.powerW(spindleRpm)],
    feed: [way.feedMmPerMin, search.maxFeedMmPerMin],
    engagement: [way.engagementDeg, limits.maxEngagementDeg],
    stepdown: [depthMm, limits.maxStepdownMm],
  };
}

/** @throws Refusal where the part cannot be cut this way on this machine */
export function explainJob(job: Job): Explanation & { readonly way: Way } {
  const profile = wheelOf(job);
  const { way } = layPath(job, profile).process;
  const search = searchOf(job, gapSize(job, profile, blankSize(job, profile)));
  return { ...explainWay(search, way), way };
}

/** @param way  what was chosen by the search */
export function explainWay(search: Search, way: Way): Explanation {
  const used = usedOf(search, way);
  const rows = (Object.keys(WITHOUT) as Bearer[]).map((bearer): ExplainRow => {
    const [value, limit] = used[bearer];
    const free = chooseWay(WITHOUT[bearer](search)).best;
    const withoutMin = free && free.timeS < way.timeS ? free.timeS / S_PER_MIN : null;
    return { bearer, used: value, limit, share: value / limit, withoutMin };
  });
  rows.sort((a, b) => (a.withoutMin ?? Infinity) - (b.withoutMin ?? Infinity) || b.share - a.share);
  return { timeMin: way.timeS / S_PER_MIN, rows };
}

/** What a way has used most of. */
export function bindingOf(search: Search, way: Way): Bearer {
  const used = Object.entries(usedOf(search, way)) as [Bearer, readonly [number, number]][];
  return used.reduce((a, b) => (b[1][0] / b[1][1] > a[1][0] / a[1][1] ? b : a))[0];
}
