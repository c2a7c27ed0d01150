/**
 * How long a run asked how much thrust of an axis: seconds against newtons, on a grid of equal
 * steps in ln(newtons). Order within a run does not enter, so this is all that a log has to keep.
 */
import { GRID_STEP } from './posterior-model.js';

/** Seconds at each load: [bin, seconds], bins rising; bin k is a load of exp(k GRID_STEP) N. */
export type LoadTally = readonly (readonly [bin: number, seconds: number])[];

/** Thrust asked for, for each axis that cutting loads. */
export interface AxisLoads {
  readonly x: LoadTally;
  readonly y: LoadTally;
}

/** Loads outside this are put at its ends. N */
const LEAST_N = 1;
const MOST_N = 100_000;
const LAST_BIN = Math.ceil(Math.log(MOST_N) / GRID_STEP);

export function binOf(forceN: number): number {
  return Math.log(Math.min(MOST_N, Math.max(LEAST_N, forceN))) / GRID_STEP;
}

export function forceOfBin(bin: number): number {
  return Math.exp(bin * GRID_STEP);
}

/** Collects seconds at loads. Each load is shared between the two bins beside it. */
export class TallyBuilder {
  private readonly seconds = new Float64Array(LAST_BIN + 2);

  add(forceN: number, seconds: number): this {
    if (!(forceN > 0) || !(seconds > 0)) return this;
    const at = binOf(forceN);
    const bin = Math.floor(at);
    const share = at - bin;
    this.seconds[bin]! += seconds * (1 - share);
    this.seconds[bin + 1]! += seconds * share;
    return this;
  }

  addTally(tally: LoadTally): this {
    for (const [bin, seconds] of tally) this.seconds[bin]! += seconds;
    return this;
  }

  tally(): LoadTally {
    const list: [number, number][] = [];
    this.seconds.forEach((seconds, bin) => {
      if (seconds > 0) list.push([bin, seconds]);
    });
    return list;
  }
}

export const NO_LOAD: LoadTally = [];

/** A tally from loads in newtons: [[force N, seconds], ...]. */
export function tallyOf(loads: readonly (readonly [forceN: number, seconds: number])[]): LoadTally {
  const builder = new TallyBuilder();
  for (const [forceN, seconds] of loads) builder.add(forceN, seconds);
  return builder.tally();
}

export function addTallies(a: LoadTally, b: LoadTally): LoadTally {
  return new TallyBuilder().addTally(a).addTally(b).tally();
}

/** All of the tally's seconds. */
export function tallySeconds(tally: LoadTally): number {
  return tally.reduce((sum, [, seconds]) => sum + seconds, 0);
}

/** The highest load in a tally, 0 when there is none. N */
export function tallyPeakN(tally: LoadTally): number {
  const last = tally[tally.length - 1];
  return last === undefined ? 0 : forceOfBin(last[0]);
}
