/**
 * A real program for the study of synthetic machines: the shipped example, replayed, and laid out as
 * blocks of time with what it asks of the drives; the same made to ask for more or for less.
 */
import { opDemands } from '../../src/cam/demand.js';
import type { Job } from '../../src/model/job.js';
import type { Plan } from '../../src/post/plan.js';
import type { AxisLoads } from '../../src/machines/learn/load-history.js';
import { tallyOf } from '../../src/machines/learn/load-history.js';

/** Seconds at a demand of the cut and a force for moving the axis: flat [cut N, motion N, s, ...]. */
type Loads = Float64Array;

export interface StudyProgram {
  /** What the cut asks of a drive at most, as a load at standstill. N */
  readonly forceN: number;
  readonly totalMin: number;
  /** Blocks of the program in order, each with its share of the time. */
  readonly blocks: readonly { readonly min: number; readonly x: Loads; readonly y: Loads }[];
  /** All blocks together. */
  readonly whole: { readonly x: Loads; readonly y: Loads };
}

const BLOCKS = 12;
/** Loads are gathered in steps of 1/20 in ln(cutting force) and 1/4 in ln(motion force). */
const CUT_STEPS = 20;
const MOTION_STEPS = 4;

/** A plan's own program. */
export function programOf({ job, program, replay }: Plan): StudyProgram {
  return layOut(job, program.ops, replay.loads);
}

/** A program with all demands of its cuts and all times multiplied. */
function scaled(program: StudyProgram, force: number, time: number): StudyProgram {
  const loads = (list: Loads): Loads =>
    list.map((value, i) => [force * value, value, time * value][i % 3]!);
  const both = ({ x, y }: { readonly x: Loads; readonly y: Loads }) => ({
    x: loads(x),
    y: loads(y),
  });
  return {
    forceN: force * program.forceN,
    totalMin: time * program.totalMin,
    blocks: program.blocks.map((block) => ({ min: time * block.min, ...both(block) })),
    whole: both(program.whole),
  };
}

/** The same with cuts that ask a drive for so much at most and take so long: another material, a thicker
 *  part. */
export function harder(program: StudyProgram, forceN: number, minutes: number): StudyProgram {
  return scaled(program, forceN / program.forceN, minutes / program.totalMin);
}

/** The same in fewer, deeper levels or in more: demand goes with the depth, time against it. */
export function deeper(program: StudyProgram, forceN: number): StudyProgram {
  return scaled(program, forceN / program.forceN, program.forceN / forceN);
}

/** With every feed halved: half the chip asks for 2^-(1 - mc) of the force, and takes twice as long. */
export function atHalfFeed(program: StudyProgram, mc: number): StudyProgram {
  return scaled(program, 2 ** (mc - 1), 2);
}

function layOut(
  job: Job,
  ops: Plan['program']['ops'],
  loads: Plan['replay']['loads'],
): StudyProgram {
  const none = new Float64Array(ops.length);
  const all = opDemands(ops, loads, job.machine);
  const still = opDemands(ops, { driveXN: none, driveYN: none }, job.machine);
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
    forceN: peakN,
    totalMin: total / 60,
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
