/**
 * What is believed about the thrust limits of X and Y, as weights on a grid of ln(limit), and how
 * runs change it. Limits are thrust at standstill, as the loads are: what a move asks for at speed
 * is scaled up by what the axis has less of there.
 *
 * With m the error from moment to moment and e that of the run (both normal, of ln force), a
 * stretch with seconds t_b at load d_b is survived with probability
 *
 *   S(L, e) = prod_b Phi((ln L - e - ln d_b) / sigma_m) ^ (t_b / moment)
 *
 * so ln S is a function of ln L - e alone, and everything below is sums over one grid.
 */
import { exp, expm1 } from '../../maths/elementary.js';
import { OTHER_LOSSES_PER_HOUR } from '../bear/odds.js';
import type { AxisName } from '../../model/machine.js';
import {
  type AxisLoads,
  type LoadTally,
  NO_LOAD,
  NO_LOADS,
  binOf,
  forceOfBin,
  tallySeconds,
} from './load-history.js';
import { GRID_STEP, MOMENT_S, MOMENT_SIGMA, RUN_SIGMA } from './posterior-model.js';
import { logNormalCdf } from '../../maths/normal.js';

/** Median and spread of a limit before any run. */
export interface LimitPrior {
  readonly thrustN: number;
  /** Sigma of ln(limit). */
  readonly sigma: number;
}

export type ThrustPrior = Readonly<Record<LoadedAxis, LimitPrior>>;

/** Bins of one axis's limits. */
export interface AxisGrid {
  readonly first: number;
  readonly count: number;
}

/** Weights of pairs of limits: weight[i * y.count + j] for X at bin x.first + i, Y at bin
 *  y.first + j; sum 1. */
export interface Posterior {
  readonly x: AxisGrid;
  readonly y: AxisGrid;
  readonly weight: Float64Array;
}

export type LoadedAxis = 'x' | 'y';

/** What counts of a run that finished: it survived all of its load. */
export interface Finished {
  readonly outcome: 'finished';
  readonly held: AxisLoads;
}

/** What counts of a run that lost steps somewhere in a stretch, after all that came before. */
export interface Lost {
  readonly outcome: 'lost';
  /** Load survived before the stretch. */
  readonly held: AxisLoads;
  /** Load of the stretch in which the loss happened. */
  readonly suspect: AxisLoads;
  /** Axis that lost steps, Z without a load from cutting; null: not known. */
  readonly axis: AxisName | null;
}

export type Evidence = Finished | Lost;

const PRIOR_SIGMAS = 4.5;
/** ln Phi is looked up at whole grid steps; beyond this many sigmas it is 0. */
const SURE_SIGMAS = 8;
const TABLE_LOW = -800;
const TABLE_HIGH = Math.ceil((SURE_SIGMAS * MOMENT_SIGMA) / GRID_STEP);
/** ln Phi at (k + TABLE_LOW) grid steps, for one moment. */
const LOG_SURVIVAL = Float64Array.from(
  { length: TABLE_HIGH - TABLE_LOW + 1 },
  (_, k) => logNormalCdf(((k + TABLE_LOW) * GRID_STEP) / MOMENT_SIGMA) / MOMENT_S,
);

/** ln of the probability that one moment is survived, `steps` grid steps below the limit. */
export function logMoment(steps: number): number {
  const k = steps - TABLE_LOW;
  return k >= LOG_SURVIVAL.length ? 0 : LOG_SURVIVAL[Math.max(0, k)]! * MOMENT_S;
}

/** Every pair of limits: where it stands on both grids, and where its weight stands. */
function eachPair(
  { x, y }: Pick<Posterior, LoadedAxis>,
  visit: (i: number, j: number, k: number) => void,
): void {
  for (let i = 0; i < x.count; i++) {
    for (let j = 0; j < y.count; j++) visit(i, j, i * y.count + j);
  }
}

export function priorPosterior(prior: ThrustPrior): Posterior {
  const [x, y] = [priorAxis(prior.x), priorAxis(prior.y)];
  const weight = new Float64Array(x.count * y.count);
  eachPair({ x, y }, (i, j, k) => (weight[k] = x.weight[i]! * y.weight[j]!));
  return { x, y, weight };
}

function priorAxis({ thrustN, sigma }: LimitPrior) {
  const middle = binOf(thrustN);
  const reach = (PRIOR_SIGMAS * sigma) / GRID_STEP;
  const first = Math.floor(middle - reach);
  const count = Math.ceil(middle + reach) - first + 1;
  return { first, count, weight: bell(count, middle - first, sigma) };
}

/**
 * ln of the probability that a stretch is survived, for limits on the grid.
 * @returns index i is a limit (less the run's error) at bin `first + i`
 */
export function logSurvival(tally: LoadTally, first: number, count: number): Float64Array {
  const out = new Float64Array(count);
  for (const [bin, seconds] of tally) {
    for (let i = 0; i < count; i++) {
      const k = first + i - bin - TABLE_LOW;
      if (k >= LOG_SURVIVAL.length) break;
      out[i]! += seconds * LOG_SURVIVAL[Math.max(0, k)]!;
    }
  }
  return out;
}

/** Normal weights over grid steps about a place, of sum 1. */
function bell(count: number, middle: number, sigma: number): Float64Array {
  const w = Float64Array.from({ length: count }, (_, k) =>
    exp(-0.5 * (((k - middle) * GRID_STEP) / sigma) ** 2),
  );
  const sum = w.reduce((a, b) => a + b, 0);
  return w.map((v) => v / sum);
}

/** Weights of the run's error on the grid, -reach .. reach. */
export function errorWeights(sigma: number): Float64Array {
  const reach = Math.max(1, Math.ceil((4 * sigma) / GRID_STEP));
  return bell(2 * reach + 1, reach, sigma);
}

/**
 * Probabilities of what a run did on one axis, for each limit on the grid.
 * @param sigma  spread of the error common to the run
 * @returns      that all before the suspect stretch was survived, and that it was and the stretch
 *   was not
 */
export function axisRun(
  held: LoadTally,
  suspect: LoadTally,
  { first, count }: AxisGrid,
  sigma: number,
) {
  const w = errorWeights(sigma);
  const reach = (w.length - 1) / 2;
  const alive = logSurvival(held, first - reach, count + 2 * reach).map(exp);
  const gone = logSurvival(suspect, first - reach, count + 2 * reach);
  for (let i = 0; i < gone.length; i++) gone[i] = -alive[i]! * expm1(gone[i]!);
  const overError = (values: Float64Array): Float64Array =>
    new Float64Array(count).map((_, i) => {
      let sum = 0;
      for (let k = 0; k < w.length; k++) sum += w[k]! * values[i + k]!;
      return sum;
    });
  return { held: overError(alive), lost: overError(gone) };
}

/** A posterior after one more run, and how well the run fits in. */
export interface Update {
  readonly posterior: Posterior;
  /** Probability that the loss had nothing to do with cutting force; null when nothing was lost. */
  readonly otherCause: number | null;
  /** Probability of what was seen, as believed before. */
  readonly evidence: number;
}

/** Takes one run into account. @param sigma  spread of the error common to the run */
export function updatePosterior(before: Posterior, run: Evidence, sigma: number): Update {
  const { held, suspect } = run.outcome === 'lost' ? run : { held: run.held, suspect: NO_LOADS };
  const x = axisRun(held.x, suspect.x, before.x, sigma);
  const y = axisRun(held.y, suspect.y, before.y, sigma);
  const axis = run.outcome === 'lost' ? run.axis : 'none';
  const byForce = (i: number, j: number): number => {
    if (axis === 'none') return x.held[i]! * y.held[j]!;
    if (axis === 'x') return x.lost[i]! * y.held[j]!;
    if (axis === 'y') return x.held[i]! * y.lost[j]!;
    return axis === 'z' ? 0 : x.lost[i]! * y.held[j]! + x.held[i]! * y.lost[j]!;
  };
  // Other causes strike any of three axes alike, at any time alike.
  const seconds = Math.max(tallySeconds(suspect.x), tallySeconds(suspect.y));
  const otherChance = axis === 'none' ? 0 : otherLoss(seconds) / (axis === null ? 1 : 3);
  const weight = new Float64Array(before.weight.length);
  let [evidence, others] = [0, 0];
  eachPair(before, (i, j, k) => {
    const w = before.weight[k]!;
    if (w === 0) return;
    const other = otherChance * x.held[i]! * y.held[j]!;
    weight[k] = w * (byForce(i, j) + other);
    evidence += weight[k]!;
    others += w * other;
  });
  // Beyond what the grid can tell apart a run is not believed.
  const told = evidence > 0;
  const posterior = told ? { ...before, weight: weight.map((w) => w / evidence) } : before;
  const otherCause = axis === 'none' ? null : told ? others / evidence : 1;
  return { posterior, otherCause, evidence: told ? evidence : 0 };
}

/** Probability that something other than cutting force strikes within a stretch. */
export function otherLoss(seconds: number): number {
  return -expm1((-OTHER_LOSSES_PER_HOUR * Math.max(MOMENT_S, seconds)) / 3600);
}

/**
 * Weights of one axis's limit alone.
 * @param across  what each limit of the other axis counts; left out: all of them in full
 */
export function marginal(
  posterior: Posterior,
  axis: LoadedAxis,
  across?: Float64Array,
): { first: number; weight: Float64Array } {
  const { first, count } = posterior[axis];
  const weight = new Float64Array(count);
  eachPair(posterior, (i, j, k) => {
    const [own, other] = axis === 'x' ? [i, j] : [j, i];
    weight[own]! += posterior.weight[k]! * (across?.[other] ?? 1);
  });
  return { first, weight };
}

/** Limit below which it lies with the given probability. N */
export function limitQuantileN(posterior: Posterior, axis: LoadedAxis, p: number): number {
  const { first, weight } = marginal(posterior, axis);
  let below = 0;
  for (let i = 0; i < weight.length; i++) {
    const next = below + weight[i]!;
    // The weight of a bin stands for the width of one step about it.
    if (next >= p) return forceOfBin(first + i - 0.5 + (p - below) / weight[i]!);
    below = next;
  }
  return forceOfBin(first + weight.length - 0.5);
}

/** Limit with 5, 50 and 95 % below it. N */
export type LimitBand = Readonly<Record<'p5' | 'p50' | 'p95', number>>;

export function limitBand(posterior: Posterior, axis: LoadedAxis): LimitBand {
  const at = (p: number): number => limitQuantileN(posterior, axis, p);
  return { p5: at(0.05), p50: at(0.5), p95: at(0.95) };
}

/**
 * Probability that a program with these loads finishes, as far as cutting force decides it.
 * Other causes are not counted.
 */
export function finishProbability(posterior: Posterior, loads: AxisLoads): number {
  const x = axisRun(loads.x, NO_LOAD, posterior.x, RUN_SIGMA).held;
  const y = axisRun(loads.y, NO_LOAD, posterior.y, RUN_SIGMA).held;
  let sum = 0;
  eachPair(posterior, (i, j, k) => (sum += posterior.weight[k]! * x[i]! * y[j]!));
  return Math.min(1, sum);
}
