/**
 * What binds at each entry: of all that bears the cut there, the one nearest its limit, and how near.
 * Engagement is chosen to be met and the chip fed to be met, so either binds only where nothing that
 * breaks, stalls, chatters or bends is as near.
 */
import { radFromDeg } from '../../maths/angle.js';
import { stabilityOf } from '../../cam/stable.js';
import type { PageData, PageFigures } from './page-data.js';
import { ROLES } from './track.js';

/** In the order in which one is named where two are as near. */
export const BEARERS = ['stability', 'drive', 'cutter', 'wall', 'chip', 'engagement'] as const;
export type Bearer = (typeof BEARERS)[number];

export const BEARER_NAMES: Readonly<Record<Bearer, string>> = {
  stability: 'Chatter',
  drive: 'Drive',
  cutter: 'Cutter',
  wall: 'Wall, form error',
  chip: 'Chip of the edge',
  engagement: 'Engagement',
};

export interface Bearing {
  /** Used over limit of what binds; 0 where nothing is cut. */
  readonly share: Float32Array;
  /** Index in {@link BEARERS}; means nothing where the share is 0. */
  readonly which: Uint8Array;
  /** The same of those alone that a cut is not chosen to meet: by these places differ. */
  readonly load: Float32Array;
  readonly loadBy: Uint8Array;
}

/** Bearers that every cut is chosen to meet stand last. */
const CHOSEN_TO_MEET = ['chip', 'engagement'] as const satisfies readonly Bearer[];

/** Shares that differ by less are as near. */
const AS_NEAR = 0.02;

const known = new WeakMap<PageData, Bearing>();

/** Worked out once for a plan. */
export function bearingOf(data: PageData): Bearing {
  let bearing = known.get(data);
  if (!bearing) known.set(data, (bearing = reckon(data)));
  return bearing;
}

/** "Chatter, 99 % of its limit"; empty where nothing is cut. */
export function bindsAt(data: PageData, entry: number): string {
  const { share, which } = bearingOf(data);
  if (!(share[entry]! > 0)) return '';
  const percent = (100 * share[entry]!).toFixed(0);
  return `${BEARER_NAMES[BEARERS[which[entry]!]!]}, ${percent} % of its limit`;
}

function reckon(data: PageData): Bearing {
  const count = data.track.line.length;
  const bearing = {
    ...{ share: new Float32Array(count), which: new Uint8Array(count) },
    ...{ load: new Float32Array(count), loadBy: new Uint8Array(count) },
  };
  const shares = sharesOf(data);
  const used = BEARERS.map((bearer) => shares[bearer]);
  const here = new Float64Array(BEARERS.length);
  const loads = BEARERS.length - CHOSEN_TO_MEET.length;
  for (let i = 0; i < count; i++) {
    if (!(data.track.engagementRad[i]! > 0)) continue;
    let most = 0;
    let by = 0;
    for (let k = 0; k < here.length; k++) {
      here[k] = used[k]!(i);
      most = Math.max(most, here[k]!);
      if (k < loads && here[k]! > here[by]!) by = k;
    }
    bearing.share[i] = most;
    bearing.which[i] = here.findIndex((share) => share > most - AS_NEAR);
    bearing.load[i] = here[by]!;
    bearing.loadBy[i] = by;
  }
  return bearing;
}

/** What an entry uses of each of them, over its limit. */
function sharesOf({ figures, track }: PageData): Record<Bearer, (entry: number) => number> {
  const { limits } = figures.summary;
  const { x, y } = figures.process.driveForceN;
  const finishing = mostPush(track);
  const chatters = chatterOf(figures);
  const wallShare = figures.finish.errorMm / figures.job.limits.toleranceMm;
  return {
    stability: (i) =>
      chatters(track.engagementRad[i]!, track.axialMm[i]!) / limits.chatterProbability,
    drive: (i) => Math.max(track.driveXN[i]! / x, track.driveYN[i]! / y),
    cutter: (i) => track.resultantN[i]! / limits.peakForceN,
    // The cutter is pushed off in proportion to the push; what roughing leaves, finishing takes.
    wall: (i) =>
      ROLES[track.role[i]!] === 'finish' ? (wallShare * track.resultantN[i]!) / finishing : 0,
    chip: (i) => track.chipMm[i]! / limits.chipMm,
    engagement: (i) => track.engagementRad[i]! / radFromDeg(limits.maxEngagementDeg),
  };
}

/** Greatest push of a tooth while finishing. N */
function mostPush({ role, resultantN }: PageData['track']): number {
  let most = 0;
  resultantN.forEach((n, i) => {
    if (ROLES[role[i]!] === 'finish') most = Math.max(most, n);
  });
  return most;
}

/** Engagements are taken as the next multiple of this: the depth that is stable hardly differs. */
const STEP_DEG = 15;

/** Probability of chatter at an engagement and a depth, at the speed of the plan. */
function chatterOf({ job, process }: PageFigures): (phiRad: number, axialMm: number) => number {
  const stability = stabilityOf(job, process);
  const at = new Map<number, ReturnType<typeof stability>>();
  const chances = new Map<number, number>();
  return (phiRad, axialMm) => {
    const step = Math.ceil(phiRad / radFromDeg(STEP_DEG) - 1e-6);
    const key = 1e4 * step + Math.round(1e3 * axialMm);
    let chance = chances.get(key);
    if (chance === undefined) {
      let cut = at.get(step);
      if (!cut) at.set(step, (cut = stability(process.spindleRpm, step * radFromDeg(STEP_DEG))));
      chances.set(key, (chance = cut.chatter(axialMm)));
    }
    return chance;
  };
}
