/**
 * How long a run asked how much thrust of an axis: seconds against newtons, on a grid of equal
 * steps in ln(newtons). Order within a run does not enter, so this is all that a log has to keep.
 */
import { exp, log } from '../../maths/elementary.js';
import { type ValueOf, figure, group, list, need, pair } from '../../text/field.js';
import { GRID_STEP } from './posterior-model.js';

/** Seconds at each load: [bin, seconds], bins rising; bin k is a load of exp(k GRID_STEP) N. */
export type LoadTally = readonly (readonly [bin: number, seconds: number])[];

/** Thrust asked for, for each axis that cutting loads. */
export type AxisLoads = Readonly<Record<'x' | 'y', LoadTally>>;

/** Loads outside this are put at its ends. N */
const LEAST_N = 1;
const MOST_N = 100_000;
const LAST_BIN = Math.ceil(log(MOST_N) / GRID_STEP);

export function binOf(forceN: number): number {
  return log(Math.min(MOST_N, Math.max(LEAST_N, forceN))) / GRID_STEP;
}

export function forceOfBin(bin: number): number {
  return exp(bin * GRID_STEP);
}

export const NO_LOAD: LoadTally = [];
export const NO_LOADS: AxisLoads = { x: NO_LOAD, y: NO_LOAD };

/** A tally from loads in newtons: [[force N, seconds], ...]. */
export function tallyOf(loads: readonly (readonly [forceN: number, seconds: number])[]): LoadTally {
  const some = loads.filter(([forceN, seconds]) => forceN > 0 && seconds > 0);
  return sumOf(some.map(([forceN, seconds]) => [binOf(forceN), seconds]));
}

export function addTallies(a: LoadTally, b: LoadTally): LoadTally {
  return sumOf([...a, ...b]);
}

/** Seconds between two bins are shared between them. */
function sumOf(loads: LoadTally): LoadTally {
  const sum = new Float64Array(LAST_BIN + 2);
  for (const [at, seconds] of loads) {
    const bin = Math.floor(at);
    sum[bin]! += seconds * (1 - (at - bin));
    sum[bin + 1]! += seconds * (at - bin);
  }
  return [...sum.entries()].filter(([, seconds]) => seconds > 0);
}

/** All of the tally's seconds. */
export function tallySeconds(tally: LoadTally): number {
  return tally.reduce((sum, [, seconds]) => sum + seconds, 0);
}

/** The highest load in a tally, 0 when there is none. N */
export function tallyPeakN(tally: LoadTally): number {
  const last = tally.at(-1);
  return last ? forceOfBin(last[0]) : 0;
}

/** More loads than an axis has bins between the least and the greatest thrust. */
const MOST_LOADS = 2000;
const LOAD = pair(
  'a load [newtons, seconds]',
  figure('load', 1e-6, 50_000, 'N'),
  figure('time', 0, 1e7, 's'),
);
const TALLY = need(list('loads [newtons, seconds]', LOAD, { max: MOST_LOADS }));

/** Loads in a file: [newtons, seconds] at standstill, for x and y. */
export const LOADS = group('loads', { x: TALLY, y: TALLY });

export function loadsOf({ x, y }: ValueOf<typeof LOADS>): AxisLoads {
  return { x: tallyOf(x), y: tallyOf(y) };
}
