/** What can be asked of what is believed about thrust limits. */
import { type LoadedAxis, perLoadedAxis, type PerLoadedAxis } from '../../model/machine.js';
import type { Belief } from './belief.js';
import { type LoadTally, NO_LOAD, forceOfBin, tallyOf } from './load-history.js';
import { MOMENT_S } from './posterior-model.js';
import { type Evidence, type RunSetting, otherChance, runTables } from './run-evidence.js';
import { type AxisRun, CASES, axisRun } from './survival.js';

/**
 * Probability that a loss had nothing to do with cutting force; null when nothing was lost.
 * @param before  what was believed before it
 */
export function otherCause(before: Belief, run: Evidence): number | null {
  if (run.outcome !== 'lost') return null;
  if (run.axis === 'z') return 1;
  const { x, y } = runTables(before, run);
  const sumOf = (ofX: Float64Array, ofY: Float64Array) =>
    axisWeights(before, 'x', run, ofY).reduce((sum, w, i) => sum + w * ofX[i]!, 0);
  const other = otherChance(run) * sumOf(x.held, y.held);
  const both = run.axis === 'both';
  const without = (axis: LoadedAxis, { lost }: AxisRun) => run.axis === axis || lost.length === 0;
  const noX = without('y', x) || (both && y.lost.length === 0);
  const onX = noX ? 0 : sumOf(x.lost, both ? y.lost : y.held);
  const force = both ? onX : onX + (without('x', y) ? 0 : sumOf(x.held, y.lost));
  return force + other > 0 ? other / (force + other) : 1;
}

/**
 * Weights of one axis's limit less the bias of a bar, for each case: index case * count + limit.
 * @param across  what each limit of the other axis counts in each case; left out: all in full
 */
export function axisWeights(
  belief: Belief,
  axis: LoadedAxis,
  setting: Pick<RunSetting, 'material' | 'bar'>,
  across?: Float64Array,
): Float64Array {
  const [nx, ny] = [belief.x.count, belief.y.count];
  const out = new Float64Array(CASES * belief[axis].count);
  belief.joint(setting).forEach((pairs, c) => {
    for (let i = c * nx, k = 0; i < (c + 1) * nx; i++) {
      for (let j = c * ny; j < (c + 1) * ny; j++, k++) {
        const [own, other] = axis === 'x' ? [i, j] : [j, i];
        out[own]! += across ? pairs[k]! * across[other]! : pairs[k]!;
      }
    }
  });
  return out;
}

/** Limit with 5, 50 and 95 % below it. N */
export type LimitBand = Readonly<Record<'p5' | 'p50' | 'p95', number>>;

export function limitBand(belief: Belief, axis: LoadedAxis): LimitBand {
  const { first, step, count } = belief[axis];
  const weight = new Float64Array(count);
  belief.limits().pairs.forEach((w, k) => {
    weight[axis === 'x' ? Math.floor(k / belief.y.count) : k % belief.y.count]! += w;
  });
  const below = (p: number): number => {
    let sum = 0;
    const at = weight.findIndex((w) => (sum += w) >= p);
    const i = at < 0 ? count - 1 : at;
    // The weight of a place stands for the width of one step about it.
    const share = weight[i]! > 0 ? 1 - Math.max(0, sum - p) / weight[i]! : 1;
    return forceOfBin(first + step * (i - 0.5 + share));
  };
  return { p5: below(0.05), p50: below(0.5), p95: below(0.95) };
}

/** Load that an axis bears in a run to come but for a risk, everything that is not known of it summed over. N */
export type LoadToCome = (risk: number) => number;

/** @param seconds  for which a load is asked for */
export function thrustToCome(
  belief: Belief,
  next: RunSetting,
  seconds: number,
): PerLoadedAxis<LoadToCome> {
  return perLoadedAxis((axis) => loadToCome(belief, axis, next, seconds));
}

function loadToCome(
  belief: Belief,
  axis: LoadedAxis,
  next: RunSetting,
  seconds: number,
): LoadToCome {
  const weights = axisWeights(belief, axis, next);
  const lost = (loadN: number): number => {
    const tally: LoadTally = tallyOf([[loadN, Math.max(MOMENT_S, seconds)]]);
    const { held } = axisRun(tally, NO_LOAD, belief[axis], next.edge);
    return 1 - held.reduce((sum, p, i) => sum + p * weights[i]!, 0);
  };
  return (risk) => {
    let { first: low } = belief[axis];
    let high = low + belief[axis].step * belief[axis].count;
    low -= high - low;
    while (high - low > 0.05) {
      const middle = (low + high) / 2;
      if (lost(forceOfBin(middle)) <= risk) low = middle;
      else high = middle;
    }
    return forceOfBin(low);
  };
}
