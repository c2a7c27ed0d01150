/**
 * Whether cuts of a job chatter. A job that is planned again, with other teeth or another blank, asks
 * for the same machines in the same cuts; to work them out anew took a third of a plan.
 */
import { chattering } from '../machines/bear/chattering.js';
import { type CutLimits, limitsOf } from '../machines/bear/limits.js';
import {
  type StabilitySetup,
  chatterAt,
  stabilityMargin,
  stabilitySetup,
  stableDepths,
} from '../machines/bear/stability.js';
import { scoresOf } from '../machines/learn/heard.js';
import { log, sin } from '../maths/elementary.js';
import type { Job } from '../model/job.js';

/** Stability of a cut at one speed and engagement. */
export interface Stability {
  /** Probability of chatter at a depth. */
  readonly chatter: (axialDepthMm: number) => number;
  /** Depth at which half of such machines chatter, over a depth. */
  readonly margin: (axialDepthMm: number) => number;
}

/** Machines of the last jobs, each with the depths of the cuts asked for. Each holds some 5 MB. */
interface Known {
  readonly setup: StabilitySetup;
  readonly depths: Map<string, { readonly mm: Float64Array; readonly ln: Float64Array }>;
}
const known = new Map<string, Known>();
const MOST_KEPT = 4;

function knownOf(job: Omit<Job, 'controller'>): Known {
  const { machine, material, cutter, limits } = job;
  const slowest = limits.spindleRpm ?? machine.spindle.minRpm;
  const about = chattering(machine, cutter, material, limits.wearFactor, slowest);
  const key = JSON.stringify([about, machine.heard]);
  let found = known.get(key);
  if (!found) {
    const setup = stabilitySetup({ ...about, scores: scoresOf(machine) });
    found = { setup, depths: new Map() };
    if (known.size >= MOST_KEPT) known.clear();
    known.set(key, found);
  }
  return found;
}

/** Depths at which machines like this one begin to chatter, with the edge that forces are planned
 *  with. */
export function stabilityOf(
  job: Omit<Job, 'controller'>,
  { chipCapMm: capMm }: Pick<CutLimits, 'chipCapMm'> = limitsOf(job),
): (spindleRpm: number, phiRad: number) => Stability {
  const found = knownOf(job);
  return (rpm, phiRad) => {
    const feedPerToothMm = capMm / sin(Math.min(Math.PI / 2, phiRad));
    const key = `${rpm} ${phiRad} ${feedPerToothMm}`;
    // Most ways of a choice are too slow to be asked whether they chatter.
    const depths = () => {
      let made = found.depths.get(key);
      if (!made) {
        const mm = stableDepths(found.setup, { rpm, phiRad, feedPerToothMm });
        made = { mm, ln: mm.map(log) };
        found.depths.set(key, made);
      }
      return made;
    };
    return {
      chatter: (axialDepthMm) => chatterAt(depths().ln, axialDepthMm),
      margin: (axialDepthMm) => stabilityMargin(depths().mm, axialDepthMm),
    };
  };
}
