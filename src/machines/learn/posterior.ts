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
import type { AxisLoads, LoadTally } from './load-history.js';
import { NO_LOAD, binOf, forceOfBin } from './load-history.js';
import {
  GRID_STEP,
  MOMENT_S,
  MOMENT_SIGMA,
  OTHER_LOSSES_PER_HOUR,
  RUN_SIGMA,
} from './posterior-model.js';
import { logNormalCdf } from '../../maths/normal.js';

/** Median and spread of a limit before any run. */
export interface LimitPrior {
  readonly thrustN: number;
  /** Sigma of ln(limit). */
  readonly sigma: number;
}

export interface ThrustPrior {
  readonly x: LimitPrior;
  readonly y: LimitPrior;
}

/** Weights of pairs of limits: weight[i * ny + j] for X at bin x0 + i, Y at bin y0 + j; sum 1. */
export interface Posterior {
  readonly x0: number;
  readonly nx: number;
  readonly y0: number;
  readonly ny: number;
  readonly weight: Float64Array;
}

export type LoadedAxis = 'x' | 'y';

/** What a run showed, as its probability for each pair of limits on the grid. */
export interface Likelihood {
  /** Of what was seen, with cutting force behind it; X at bin x0 + i, Y at bin y0 + j. */
  readonly byForce: (i: number, j: number) => number;
  /** Of the same with something else behind it; null for a run that lost nothing. */
  readonly otherwise: ((i: number, j: number) => number) | null;
}

/** How a kind of evidence counts and how the log writes it down. */
export interface EvidenceKind<Counted, Logged extends Counted = Counted> {
  /** @param sigma  spread of the error common to the run */
  likelihood(run: Counted, before: Posterior, sigma: number): Likelihood;
  /** Entries of the log in the order they are written. */
  words(run: Logged): Readonly<Record<string, string>>;
  loads(run: Logged): Readonly<Record<string, AxisLoads>>;
}

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

export function priorPosterior(prior: ThrustPrior): Posterior {
  const x = priorAxis(prior.x);
  const y = priorAxis(prior.y);
  const weight = new Float64Array(x.weight.length * y.weight.length);
  for (let i = 0; i < x.weight.length; i++) {
    for (let j = 0; j < y.weight.length; j++) {
      weight[i * y.weight.length + j] = x.weight[i]! * y.weight[j]!;
    }
  }
  return { x0: x.first, nx: x.weight.length, y0: y.first, ny: y.weight.length, weight };
}

function priorAxis({ thrustN, sigma }: LimitPrior): { first: number; weight: Float64Array } {
  const middle = binOf(thrustN);
  const reach = (PRIOR_SIGMAS * sigma) / GRID_STEP;
  const first = Math.floor(middle - reach);
  const weight = new Float64Array(Math.ceil(middle + reach) - first + 1);
  let sum = 0;
  for (let i = 0; i < weight.length; i++) {
    weight[i] = Math.exp(-0.5 * (((first + i - middle) * GRID_STEP) / sigma) ** 2);
    sum += weight[i]!;
  }
  return { first, weight: weight.map((w) => w / sum) };
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

/** Weights of the run's error on the grid, -reach .. reach. */
export function errorWeights(sigma: number): Float64Array {
  const reach = Math.max(1, Math.ceil((4 * sigma) / GRID_STEP));
  const w = Float64Array.from({ length: 2 * reach + 1 }, (_, k) =>
    Math.exp(-0.5 * (((k - reach) * GRID_STEP) / sigma) ** 2),
  );
  const sum = w.reduce((a, b) => a + b, 0);
  return w.map((v) => v / sum);
}

/** Probabilities of what a run did on one axis, for each limit on the grid. */
export interface AxisRun {
  /** All before the suspect stretch was survived. */
  readonly held: Float64Array;
  /** That, and the suspect stretch was not. */
  readonly lost: Float64Array;
}

/** @param sigma  spread of the error common to the run */
export function axisRun(
  held: LoadTally,
  suspect: LoadTally,
  { first, count }: AxisGrid,
  sigma: number,
): AxisRun {
  const w = errorWeights(sigma);
  const reach = (w.length - 1) / 2;
  const alive = logSurvival(held, first - reach, count + 2 * reach).map(Math.exp);
  const gone = logSurvival(suspect, first - reach, count + 2 * reach);
  for (let i = 0; i < gone.length; i++) gone[i] = -alive[i]! * Math.expm1(gone[i]!);
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

/** Takes one run into account. */
export function reweigh(before: Posterior, { byForce, otherwise }: Likelihood): Update {
  const { nx, ny } = before;
  const weight = new Float64Array(nx * ny);
  let total = 0;
  let others = 0;
  for (let i = 0; i < nx; i++) {
    for (let j = 0; j < ny; j++) {
      const w = before.weight[i * ny + j]!;
      if (w === 0) continue;
      const other = otherwise === null ? 0 : otherwise(i, j);
      const value = w * (byForce(i, j) + other);
      weight[i * ny + j] = value;
      total += value;
      others += w * other;
    }
  }
  // Beyond what the grid can tell apart a run is not believed.
  const posterior = total > 0 ? { ...before, weight: weight.map((w) => w / total) } : before;
  const otherCause = otherwise === null ? null : total > 0 ? others / total : 1;
  return { posterior, otherCause, evidence: total > 0 ? total : 0 };
}

/** Probability that something other than cutting force strikes within a stretch. */
export function otherLoss(seconds: number): number {
  return -Math.expm1((-OTHER_LOSSES_PER_HOUR * Math.max(MOMENT_S, seconds)) / 3600);
}

/** Bins of one axis's limits. */
export interface AxisGrid {
  readonly first: number;
  readonly count: number;
}

export function gridOf({ x0, nx, y0, ny }: Posterior, axis: LoadedAxis): AxisGrid {
  return axis === 'x' ? { first: x0, count: nx } : { first: y0, count: ny };
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
  const { nx, ny, weight } = posterior;
  const { first, count } = gridOf(posterior, axis);
  const out = new Float64Array(count);
  for (let i = 0; i < nx; i++) {
    for (let j = 0; j < ny; j++) {
      const share = across === undefined ? 1 : across[axis === 'x' ? j : i]!;
      out[axis === 'x' ? i : j]! += weight[i * ny + j]! * share;
    }
  }
  return { first, weight: out };
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
export interface LimitBand {
  readonly p5: number;
  readonly p50: number;
  readonly p95: number;
}

export function limitBand(posterior: Posterior, axis: LoadedAxis): LimitBand {
  const at = (p: number): number => limitQuantileN(posterior, axis, p);
  return { p5: at(0.05), p50: at(0.5), p95: at(0.95) };
}

/**
 * Probability that a program with these loads finishes, as far as cutting force decides it.
 * Other causes are not counted.
 */
export function finishProbability(
  posterior: Posterior,
  loads: AxisLoads,
  sigma: number = RUN_SIGMA,
): number {
  const { nx, ny, weight } = posterior;
  const [x, y] = (['x', 'y'] as const).map(
    (axis) => axisRun(loads[axis], NO_LOAD, gridOf(posterior, axis), sigma).held,
  ) as [Float64Array, Float64Array];
  let sum = 0;
  for (let i = 0; i < nx; i++) {
    for (let j = 0; j < ny; j++) sum += weight[i * ny + j]! * x[i]! * y[j]!;
  }
  return Math.min(1, sum);
}
