/**
 * How likely loads are to be survived.
 *
 * With m the error from moment to moment and e that of the run (both normal, of ln force), and h what
 * the edge makes of ln force, a stretch with seconds t_b at load d_b is survived by a limit L with
 * probability
 *
 *   S(L - e) = prod_b prod_h Phi((ln L - e - h - ln d_b) / sigma_m) ^ (t_b / moment / stations)
 *
 * with the edge looked at in a few stations of its way from the state at the start to that at the end:
 * a log does not keep which load came when. The run's error is taken over by a sum.
 */
import { exp, expm1, log as ln } from '../../maths/elementary.js';
import { logNormalCdf } from '../../maths/normal.js';
import type { LoadTally } from './load-history.js';
import { GRID_STEP, GROWTHS, MOMENT_S, MOMENT_SIGMA, SCATTER, bell } from './posterior-model.js';

/** What is known of the edge in a run. */
export interface EdgeUse {
  /** Lives used of it before the run, 0 for a new one. */
  readonly beforeLives: number;
  /** Lives that the run took, to its end or to the loss. */
  readonly tookLives: number;
  /** Force over that of a sharp edge with which the run's loads are reckoned. */
  readonly wearFactor: number;
}

/** Limits on a grid of ln(newtons): every `step`-th bin of the loads from `first`. */
export interface AxisGrid {
  readonly first: number;
  readonly step: number;
  readonly count: number;
}

/** Combinations of the unknowns: scatter of runs (outer) and growth of force (inner). */
export const CASES = SCATTER.values.length * GROWTHS.values.length;

/** ln Phi is looked up at whole bins; beyond this many sigmas it is 0. */
const SURE_SIGMAS = 8;
const TABLE_LOW = -800;
const TABLE_HIGH = Math.ceil((SURE_SIGMAS * MOMENT_SIGMA) / GRID_STEP);
/** ln Phi at (k + TABLE_LOW) bins, for a second. */
const LOG_SURVIVAL = Float64Array.from(
  { length: TABLE_HIGH - TABLE_LOW + 1 },
  (_, k) => logNormalCdf(((k + TABLE_LOW) * GRID_STEP) / MOMENT_SIGMA) / MOMENT_S,
);

/** ln of the probability that one moment is survived, `bins` bins below the limit. */
export function logMoment(bins: number): number {
  const k = bins - TABLE_LOW;
  return k >= LOG_SURVIVAL.length ? 0 : LOG_SURVIVAL[Math.max(0, k)]! * MOMENT_S;
}

/**
 * ln of the probability that a stretch is survived, for limits less all errors of the run.
 * @returns index i is a limit at bin `first + i`
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

/** Errors common to a run for each value of its spread: weights over -reach, -reach + stride ... */
const ERRORS = SCATTER.values.map((sigma) => {
  const bins = sigma / GRID_STEP;
  const stride = bins < 4 ? 1 : 2;
  const half = Math.ceil((4 * bins) / stride);
  return { stride, reach: half * stride, weights: bell(2 * half + 1, half, bins / stride) };
});
const MOST_REACH = Math.max(...ERRORS.map(({ reach }) => reach));

/** Places in a run at which its edge is looked at. */
const STATIONS = 3;

/** Bins by which the edge raises the force over the loads, at stations through the run and at its end:
 *  one list for each growth. */
function edgeBins(edge: EdgeUse | null): { readonly way: number[]; readonly end: number }[] {
  return GROWTHS.values.map((growth) => {
    if (edge === null) return { way: [0], end: 0 };
    const { beforeLives, tookLives, wearFactor } = edge;
    const at = (share: number): number => {
      const lives = beforeLives + share * tookLives;
      return ln((1 + growth * lives) / wearFactor) / GRID_STEP;
    };
    const way = Array.from({ length: STATIONS }, (_, k) => at((k + 0.5) / STATIONS));
    return { way: at(0) === at(1) ? [at(0)] : way, end: at(1) };
  });
}

/** Probabilities of what a run did on one axis, for each case and each limit on the grid: that all
 *  before the suspect stretch was survived, and that it was and the stretch was not (empty where there
 *  was no load to lose steps by). */
export interface AxisRun {
  readonly held: Float64Array;
  readonly lost: Float64Array;
  /** ln of `held`. */
  readonly heldLn: Float64Array;
}

/** Least probability that is kept. */
const LEAST = 1e-300;

/** ln of a probability, of the least that is kept where it is none. */
export function lnOf(p: number): number {
  return p === 1 ? 0 : ln(Math.max(LEAST, p));
}

export function axisRun(
  held: LoadTally,
  suspect: LoadTally,
  grid: AxisGrid,
  edge: EdgeUse | null,
): AxisRun {
  const { first, step, count } = grid;
  const places = (count - 1) * step + 1;
  const bins = edgeBins(edge);
  const shifts = bins.flatMap(({ way, end }) => [...way, end]);
  // Limits less the run's error, and less what the edge does.
  const from = first - MOST_REACH;
  const low = from - Math.ceil(Math.max(0, ...shifts));
  const high = first + places + MOST_REACH + Math.ceil(Math.max(0, ...shifts.map((b) => -b))) + 1;
  const heldLog = logSurvival(held, low, high - low);
  const lostLog = suspect.length > 0 ? logSurvival(suspect, low, high - low) : null;
  const out = {
    held: new Float64Array(CASES * count),
    lost: new Float64Array(lostLog ? CASES * count : 0),
  };
  const width = places + 2 * MOST_REACH;
  const growths = bins.length;
  bins.forEach(({ way, end }, g) => {
    const alive = new Float64Array(width);
    for (const shift of way) addShifted(alive, heldLog, from - low - shift, 1 / way.length);
    for (let i = 0; i < width; i++) alive[i] = exp(alive[i]!);
    const gone = lostLog && new Float64Array(width);
    if (gone) {
      addShifted(gone, lostLog, from - low - end, 1);
      for (let i = 0; i < width; i++) gone[i] = -alive[i]! * expm1(gone[i]!);
    }
    const same = g > 0 && sameWay(bins[g - 1]!, bins[g]!);
    SCATTER.values.forEach((_, s) => {
      const at = (s * growths + g) * count;
      if (same) {
        out.held.copyWithin(at, at - count, at);
        if (gone) out.lost.copyWithin(at, at - count, at);
        return;
      }
      overErrors(alive, s, grid, out.held, at);
      if (gone) overErrors(gone, s, grid, out.lost, at);
    });
  });
  return { ...out, heldLn: out.held.map(lnOf) };
}

function sameWay(a: { way: number[] }, b: { way: number[] }): boolean {
  return a.way.every((bin, i) => bin === b.way[i]);
}

/** out[i] += share * values[i + offset], straight between two places. */
function addShifted(out: Float64Array, values: Float64Array, offset: number, share: number): void {
  const whole = Math.floor(offset);
  const rest = offset - whole;
  for (let i = 0; i < out.length; i++) {
    const a = values[i + whole]!;
    out[i]! += share * (rest > 0 ? a + rest * (values[i + whole + 1]! - a) : a);
  }
}

/** Values averaged over the run's error, at each limit of the grid. */
function overErrors(
  values: Float64Array,
  s: number,
  { step, count }: AxisGrid,
  out: Float64Array,
  at: number,
): void {
  const { stride, reach, weights } = ERRORS[s]!;
  for (let i = 0; i < count; i++) {
    let place = i * step + MOST_REACH - reach;
    let sum = 0;
    for (let k = 0; k < weights.length; k++, place += stride) sum += weights[k]! * values[place]!;
    out[at + i] = sum;
  }
}

/** Weights of what is left of limits after the errors of a run, at its end: bins from `first`. */
export function afterErrors(weights: Float64Array, grid: AxisGrid, edge: EdgeUse | null) {
  const bins = edgeBins(edge).map(({ end }) => end);
  const low = Math.floor(Math.min(...bins.map((b) => -b))) - MOST_REACH;
  const high = Math.ceil(Math.max(...bins.map((b) => -b))) + MOST_REACH + 1;
  const places = (grid.count - 1) * grid.step + 1;
  const out = new Float64Array(places + high - low);
  for (let c = 0; c < CASES; c++) {
    const { stride, reach, weights: errors } = ERRORS[Math.floor(c / bins.length)]!;
    const shift = -bins[c % bins.length]! - reach - low;
    const whole = Math.floor(shift);
    const rest = shift - whole;
    for (let i = 0; i < grid.count; i++) {
      const w = weights[c * grid.count + i]!;
      if (w === 0) continue;
      let place = i * grid.step + whole;
      for (let k = 0; k < errors.length; k++, place += stride) {
        out[place]! += w * errors[k]! * (1 - rest);
        out[place + 1]! += w * errors[k]! * rest;
      }
    }
  }
  return { first: grid.first + low, weight: out };
}
