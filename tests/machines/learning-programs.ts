/**
 * Real programs for the study of synthetic machines: the shipped example planned at a row of forces,
 * replayed, and laid out as blocks of time with the loads in them.
 */
import { Refusal } from '../../src/model/refusal.js';
import { readFileSync } from 'node:fs';
import { opDemands } from '../../src/cam/demand.js';
import { replay } from '../../src/cam/stock/replay.js';
import { readJob } from '../../src/job/load.js';
import { planParts } from '../../src/plan/plan.js';
import { blankStart } from '../../src/plan/start.js';
import { type Job } from '../../src/model/job.js';
import type { AxisLoads } from '../../src/machines/learn/load-history.js';
import { tallyOf } from '../../src/machines/learn/load-history.js';
import { motionForceN, thrustAtN } from '../../src/machines/bear/thrust.js';
import type { CanonicalOp } from '../../src/model/op.js';
import { filesFrom } from '../job/job-text.js';

/** Seconds at a cutting force and a force for moving the axis: flat [cut N, motion N, s, ...]. */
type Loads = Float64Array;

export interface StudyProgram {
  /** Cutting force that it was planned for. N */
  readonly forceN: number;
  readonly totalMin: number;
  readonly peakN: number;
  /** Blocks of the program in order, each with its share of the time. */
  readonly blocks: readonly { readonly min: number; readonly x: Loads; readonly y: Loads }[];
  /** All blocks together. */
  readonly whole: { readonly x: Loads; readonly y: Loads };
}

const BLOCKS = 12;
/** Loads are gathered in steps of 1/40 in ln(cutting force) and 1/8 in ln(motion force). */
const CUT_STEPS = 40;
const MOTION_STEPS = 8;

export function exampleJob(): Job {
  return readJob(
    readFileSync('examples/nursery-barrow.yaml', 'utf8'),
    'nursery-barrow.yaml',
    filesFrom(),
  );
}

/** The job planned for a force; null where it cannot be. */
export function programAt(job: Job, forceN: number): StudyProgram | null {
  const { machine } = job;
  const fast = machine.maxFeedMmPerMin;
  // A machine with so much thrust on both axes that the share gives the force asked for.
  const share = 0.5;
  const scale = (axis: 'x' | 'y') => {
    const factor = (forceN / share + motionForceN(machine, axis)) / thrustAtN(machine, axis, fast);
    return machine.thrustN[axis].map(([feed, thrust]) => [feed, thrust * factor] as const);
  };
  const strong = {
    ...machine,
    thrustN: { x: scale('x'), y: scale('y'), z: machine.thrustN.z },
    limits: { ...machine.limits, thrustShare: share },
  };
  try {
    const planned = planParts({ ...job, machine: strong });
    return layOut(job, planned.program.ops, planned.replay.loads, forceN);
  } catch (error) {
    if (error instanceof Refusal) return null;
    throw error;
  }
}

/** The job's own program with every feed halved 0, 1, .. `most` times, each replayed anew. */
export function halvedPrograms(job: Job, most: number): StudyProgram[] {
  const planned = planParts(job);
  const setup = blankStart(job, planned.profile, planned.cam.blank, planned.cam.field).setup;
  return Array.from({ length: most + 1 }, (_, times) => {
    const factor = 0.5 ** times;
    const ops = planned.program.ops.map((op): CanonicalOp =>
      op.op === 'feed' || op.op === 'arc' ? { ...op, feedMmPerMin: op.feedMmPerMin * factor } : op,
    );
    const { loads } = replay(ops, setup, { stepMm: 0.2 });
    return layOut(job, ops, loads, NaN);
  });
}

function layOut(
  job: Job,
  ops: readonly CanonicalOp[],
  loads: { readonly xN: Float64Array; readonly yN: Float64Array },
  forceN: number,
): StudyProgram {
  const none = new Float64Array(ops.length);
  const all = opDemands(ops, loads, job.machine);
  const still = opDemands(ops, { xN: none, yN: none }, job.machine);
  const total = all.seconds.reduce((a, b) => a + b, 0);
  const blocks = Array.from({ length: BLOCKS }, () => ({
    s: 0,
    x: new Map<number, number>(),
    y: new Map<number, number>(),
  }));
  let at = 0;
  let peakN = 0;
  const step = (n: number, perUnit: number): number =>
    n > 0 ? Math.round(Math.log(n) * perUnit) : 0;
  for (let i = 0; i < ops.length; i++) {
    const s = all.seconds[i]!;
    if (!(s > 0)) continue;
    const block = blocks[Math.min(BLOCKS - 1, Math.floor((BLOCKS * at) / total))]!;
    at += s;
    block.s += s;
    for (const axis of ['x', 'y'] as const) {
      const motion = still[`${axis}N`][i]!;
      const cut = all[`${axis}N`][i]! - motion;
      peakN = Math.max(peakN, cut);
      const key = step(Math.max(0, cut), CUT_STEPS) * 1000 + step(motion, MOTION_STEPS);
      block[axis].set(key, (block[axis].get(key) ?? 0) + s);
    }
  }
  const whole = { x: new Map<number, number>(), y: new Map<number, number>() };
  for (const block of blocks) {
    for (const axis of ['x', 'y'] as const) {
      for (const [key, s] of block[axis]) whole[axis].set(key, (whole[axis].get(key) ?? 0) + s);
    }
  }
  const flat = (map: ReadonlyMap<number, number>): Loads =>
    Float64Array.from(
      [...map].flatMap(([key, s]) => {
        const [cut, motion] = [Math.floor(key / 1000), key % 1000];
        const force = (k: number, perUnit: number) => (k === 0 ? 0 : Math.exp(k / perUnit));
        return [force(cut, CUT_STEPS), force(motion, MOTION_STEPS), s];
      }),
    );
  return {
    forceN,
    totalMin: total / 60,
    peakN,
    blocks: blocks.map((b) => ({ min: b.s / 60, x: flat(b.x), y: flat(b.y) })),
    whole: { x: flat(whole.x), y: flat(whole.y) },
  };
}

/** Loads of a block or of the whole, cutting forces multiplied. */
export function scaledLoads(loads: { x: Loads; y: Loads }, scale: number): AxisLoads {
  const build = (list: Loads) => {
    const loads: [number, number][] = [];
    for (let i = 0; i < list.length; i += 3) {
      loads.push([scale * list[i]! + list[i + 1]!, list[i + 2]!]);
    }
    return tallyOf(loads);
  };
  return { x: build(loads.x), y: build(loads.y) };
}
