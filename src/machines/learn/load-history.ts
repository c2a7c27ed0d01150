/**
 * How long a run asked how much thrust of an axis: seconds against newtons, on a grid of equal
 * steps in ln(newtons). Order within a run does not enter, so this is all that a log has to keep.
 */
import type { PerLoadedAxis } from '../../model/machine.js';
import { exp, log, rounded } from '../../maths/elementary.js';
import { type ValueOf, group, name, need } from '../../text/field.js';
import { GRID_STEP } from './posterior-model.js';

/** Seconds at each load: [bin, seconds], bins rising; bin k is a load of exp(k GRID_STEP) N. */
export type LoadTally = readonly (readonly [bin: number, seconds: number])[];

/** Thrust asked for, for each axis that cutting loads. */
export type AxisLoads = PerLoadedAxis<LoadTally>;

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
function tallyPeakN(tally: LoadTally): number {
  const last = tally.at(-1);
  return last ? forceOfBin(last[0]) : 0;
}

const PAIRS = {
  pattern: /^(?:\d{1,5}(?:\.\d+)? \d{1,7}(?:\.\d+)?(?:, ?(?=\d)|$))*$/,
  fix: 'write newtons and seconds, as "120.5 300, 130 45.2"',
};
const TALLY = need(
  name('list of loads', '120.5 300, 130 45.2', { max: 60_000, shape: PAIRS, empty: true }),
);

/** Loads in a file: newtons and seconds at standstill, for x and y. */
export const LOADS = group('loads', { x: TALLY, y: TALLY });

/** @param known  tallies by their text, to which these are added: one program is often run again */
export function loadsOf({ x, y }: ValueOf<typeof LOADS>, known: Map<string, LoadTally>): AxisLoads {
  const read = (text: string): LoadTally => {
    const tally = known.get(text) ?? tallyRead(text);
    known.set(text, tally);
    return tally;
  };
  return { x: read(x), y: read(y) };
}

function tallyRead(text: string): LoadTally {
  if (text === '') return NO_LOAD;
  return tallyOf(text.split(/, ?/).map((load) => load.split(' ').map(Number) as [number, number]));
}

/** Loads as they stand in a file. */
export function loadsText({ x, y }: AxisLoads): { readonly x: string; readonly y: string } {
  return { x: tallyText(x), y: tallyText(y) };
}

/** Loads below this share of the peak, seven sigmas of a moment, say nothing beside it and are written
 *  as one. */
const LOW_SHARE = 0.7;

/** Newtons to a tenth or finer: a bin is 2 % wide. */
function tallyText(tally: LoadTally): string {
  const low = LOW_SHARE * tallyPeakN(tally);
  const pairs: [number, number][] = [];
  let [seconds, sum] = [0, 0];
  for (const [bin, s] of tally) {
    if (forceOfBin(bin) >= low) pairs.push([forceOfBin(bin), s]);
    else [seconds, sum] = [seconds + s, sum + s * bin];
  }
  if (seconds > 0) pairs.unshift([forceOfBin(sum / seconds), seconds]);
  return pairs
    .map(([force, s]) => [rounded(force, force < 100 ? 2 : 1), rounded(s, 2)] as const)
    .filter(([, s]) => s > 0)
    .map((pair) => pair.join(' '))
    .join(', ');
}
