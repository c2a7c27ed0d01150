/**
 * A real program for the study of synthetic machines: the shipped example, replayed, and laid out as
 * blocks of time with what it asks of the drives; the same made to ask for more or for less.
 */
import { opDemands } from '../../src/cam/demand.js';
import {
  type AxisLoads,
  type LoadTally,
  NO_LOAD,
  addTallies,
  tallyOf,
} from '../../src/machines/learn/load-history.js';
import type { Plan } from '../../src/post/plan.js';

/** Seconds at a demand of the cut and a force for moving the axis: [cut N, motion N, s] each. */
type Loads = readonly (readonly [cutN: number, motionN: number, seconds: number])[];
type Block = Readonly<Record<'x' | 'y', Loads>>;

const BLOCKS = 8;
/** Loads are gathered in steps of 1/20 in ln(cutting force) and 1/4 in ln(motion force). */
const CUT_STEPS = 20;
const MOTION_STEPS = 4;

/** What a plan's own program asks for, its cuts' demands as shares of the greatest. */
function blocksOf({ job, program: { ops }, replay }: Plan) {
  const none = new Float64Array(ops.length);
  const all = opDemands(ops, replay.loads, job.machine);
  const still = opDemands(ops, { driveXN: none, driveYN: none }, job.machine);
  const total = all.seconds.reduce((a, b) => a + b, 0);
  const maps = Array.from({ length: BLOCKS }, () => ({
    x: new Map<string, number>(),
    y: new Map<string, number>(),
  }));
  let [at, peakN] = [0, 0];
  const step = (n: number, perUnit: number): number =>
    n > 0 ? Math.exp(Math.round(Math.log(n) * perUnit) / perUnit) : 0;
  ops.forEach((_, i) => {
    const s = all.seconds[i]!;
    if (!(s > 0)) return;
    const block = maps[Math.min(BLOCKS - 1, Math.floor((BLOCKS * at) / total))]!;
    at += s;
    for (const axis of ['x', 'y'] as const) {
      const motionN = still[`${axis}N`][i]!;
      const cutN = all[`${axis}N`][i]! - motionN;
      peakN = Math.max(peakN, cutN);
      const key = JSON.stringify([step(cutN, CUT_STEPS), step(motionN, MOTION_STEPS)]);
      block[axis].set(key, (block[axis].get(key) ?? 0) + s);
    }
  });
  const flat = (map: ReadonlyMap<string, number>): Loads =>
    [...map].map(([key, s]) => [...(JSON.parse(key) as [number, number]), s]);
  return { peakN, blocks: maps.map(({ x, y }): Block => ({ x: flat(x), y: flat(y) })) };
}

export interface StudyBlock {
  readonly min: number;
  readonly loads: AxisLoads;
}

/** A program of a demand. */
export interface StudyProgram {
  readonly blocks: readonly StudyBlock[];
  readonly whole: AxisLoads;
  readonly minutes: number;
}

/** Steps of a family's programs, in ln(demand). */
const FAMILY_STEP = 0.01;
/** What programs ask a drive for: hardly anything, and more than any limit here. N */
const RANGE_N = [4, 400] as const;
type Pair = [number, number];

/** One plan's program in fewer, deeper levels or in more: demand goes with the depth, time against it. */
export class StudyFamily {
  private readonly made = new Map<number, StudyProgram>();
  private readonly blocks: readonly Block[];
  private readonly peakN: number;
  private readonly least: number;
  private readonly most: number;
  private readonly forceMinutes: number;

  constructor(plan: Plan) {
    ({ blocks: this.blocks, peakN: this.peakN } = blocksOf(plan));
    [this.least, this.most] = RANGE_N.map((n) => Math.round(Math.log(n) / FAMILY_STEP)) as Pair;
    this.forceMinutes = this.peakN * plan.summary.predicted.totalMin;
  }

  /** The one that asks most of those that will do, the least where none will: searched from `from` on.
   *  @returns  with its number, to start the next search at */
  hardest(
    does: (program: StudyProgram) => boolean,
    from: number,
  ): { program: StudyProgram; k: number } {
    const known = new Map<number, boolean>();
    const fits = (k: number): boolean => {
      if (k <= this.least || k > this.most) return k <= this.least;
      if (!known.has(k)) known.set(k, does(this.at(k)));
      return known.get(k)!;
    };
    let step = fits(from) ? 1 : -1;
    let [low, high] = [from, from];
    while (fits(low) === fits(high) && low >= this.least && high <= this.most) {
      if (step > 0) [low, high] = [high, high + step];
      else [low, high] = [low + step, low];
      step *= 2;
    }
    while (high - low > 1) {
      const middle = Math.floor((low + high) / 2);
      if (fits(middle)) low = middle;
      else high = middle;
    }
    const k = Math.min(this.most, Math.max(this.least, low));
    return { program: this.at(k), k };
  }

  private at(k: number): StudyProgram {
    const known = this.made.get(k);
    if (known) return known;
    const forceN = Math.exp(FAMILY_STEP * k);
    const minutes = this.forceMinutes / forceN;
    const total = this.blocks.reduce((sum, { x }) => sum + x.reduce((s, [, , t]) => s + t, 0), 0);
    const tally = (loads: Loads): LoadTally =>
      tallyOf(
        loads.map(([cutN, motionN, s]) => [
          (cutN * forceN) / this.peakN + motionN,
          (s * 60 * minutes) / total,
        ]),
      );
    const blocks = this.blocks.map(({ x, y }) => ({
      min: minutes / this.blocks.length,
      loads: { x: tally(x), y: tally(y) },
    }));
    const program = { blocks, whole: sumOf(blocks), minutes };
    this.made.set(k, program);
    return program;
  }
}

/** Loads of some blocks together. */
export function sumOf(blocks: readonly StudyBlock[]): AxisLoads {
  const of = (axis: 'x' | 'y') =>
    blocks.reduce<LoadTally>((sum, { loads }) => addTallies(sum, loads[axis]), NO_LOAD);
  return { x: of('x'), y: of('y') };
}
