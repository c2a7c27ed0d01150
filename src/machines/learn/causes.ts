/** Which moves of a suspect stretch most likely lost the steps. */
import { type AxisLoads, type LoadTally, TallyBuilder, binOf } from './load-history.js';
import { MOMENT_S } from './posterior-model.js';
import {
  type LoadedAxis,
  type Posterior,
  errorWeights,
  logMoment,
  logSurvival,
  otherLoss,
} from './posterior.js';

/** Moves of a stretch, in order; arrays of equal length. */
export interface SuspectMoves {
  /** Thrust asked of each axis. N */
  readonly demandN: { readonly x: Float64Array; readonly y: Float64Array };
  readonly seconds: Float64Array;
  /** Signed share of the travel along each axis, -1..1. */
  readonly travel: { readonly x: Float64Array; readonly y: Float64Array };
}

export interface Causes {
  /** Probability that a move lost the steps by cutting force; index as in the moves. */
  readonly byMove: Float64Array;
  /** Probability that something else did. Sums to 1 with all of `byMove`. */
  readonly other: number;
  /** Probability of each axis, where it was not known. */
  readonly axis: { readonly x: number; readonly y: number };
}

/**
 * How much likelier an axis is to end up behind its travel than ahead of it: a motor that loses
 * its step falls back. Common practice, no source; 0.9 leaves room for a cutter that pulls.
 */
const FALLS_BACK = 0.9;

/** Probability of the direction seen, given the share of travel along the axis. */
export function directionChance(travel: number, direction: '+' | '-' | null): number {
  if (direction === null) return 1;
  const behind = direction === '+' ? -travel : travel;
  return 0.5 + (FALLS_BACK - 0.5) * behind;
}

/**
 * Probability of each move of the stretch to be the one.
 * @param before     what was believed before this run
 * @param held       load of the run before the stretch
 * @param axis       null: not known
 * @param direction  which way the machine ended up off; null: not known
 * @param sigma      spread of the run's error
 */
export function likelyCauses(
  before: Posterior,
  held: AxisLoads,
  moves: SuspectMoves,
  axis: LoadedAxis | null,
  direction: '+' | '-' | null,
  sigma: number,
): Causes {
  const byMove = new Float64Array(moves.seconds.length);
  const share = { x: 0, y: 0 };
  const axes: LoadedAxis[] = axis === null ? ['x', 'y'] : [axis];
  const alive = { x: 0, y: 0 };
  for (const one of axes) {
    const found = axisCauses(before, held, moves, one, direction, sigma);
    found.byMove.forEach((p, i) => (byMove[i] = byMove[i]! + p));
    share[one] = found.byMove.reduce((a, b) => a + b, 0);
    alive[one] = found.alive;
  }
  const stretch = stretchLoads(moves);
  const other =
    (otherLoss(stretch) / (axis === null ? 1 : 3)) *
    Math.max(alive.x, alive.y) *
    (direction === null ? 1 : 0.5);
  const total = share.x + share.y + other;
  const scale = total > 0 ? 1 / total : 0;
  return {
    byMove: byMove.map((p) => p * scale),
    other: total > 0 ? other * scale : 1,
    axis: { x: share.x * scale, y: share.y * scale },
  };
}

function stretchLoads(moves: SuspectMoves): AxisLoads {
  const build = (axis: LoadedAxis): LoadTally => {
    const builder = new TallyBuilder();
    moves.seconds.forEach((s, i) => builder.add(Math.max(1, moves.demandN[axis][i]!), s));
    return builder.tally();
  };
  return { x: build('x'), y: build('y') };
}

/** Joint probability that all before was survived and that move i was not. */
function axisCauses(
  before: Posterior,
  held: AxisLoads,
  moves: SuspectMoves,
  axis: LoadedAxis,
  direction: '+' | '-' | null,
  sigma: number,
): { byMove: Float64Array; alive: number } {
  const weights = heldWeights(before, held, axis, sigma);
  const w = errorWeights(sigma);
  const reach = (w.length - 1) / 2;
  // Weight of each limit less the run's error, after what was survived.
  const first = weights.first - reach;
  const alive = new Float64Array(weights.weight.length + 2 * reach);
  weights.weight.forEach((p, i) => {
    for (let k = 0; k < w.length; k++) alive[i + k]! += p * w[k]!;
  });
  const g = logSurvival(held[axis], first, alive.length);
  let start = 0;
  for (let i = 0; i < alive.length; i++) {
    alive[i]! *= Math.exp(g[i]!);
    start += alive[i]!;
  }
  const byMove = new Float64Array(moves.seconds.length);
  const demand = moves.demandN[axis];
  for (let m = 0; m < byMove.length; m++) {
    const force = demand[m]!;
    const moments = moves.seconds[m]! / MOMENT_S;
    if (!(force > 0) || !(moments > 0)) continue;
    const bin = Math.round(binOf(force));
    let lost = 0;
    for (let i = 0; i < alive.length; i++) {
      const ln = logMoment(first + i - bin);
      if (ln === 0) break;
      const gone = -alive[i]! * Math.expm1(moments * ln);
      lost += gone;
      alive[i]! -= gone;
    }
    byMove[m] = lost * directionChance(moves.travel[axis][m]!, direction);
  }
  return { byMove, alive: start };
}

/** Weights of one axis's limit, with the other axis having survived what came before. */
function heldWeights(
  before: Posterior,
  held: AxisLoads,
  axis: LoadedAxis,
  sigma: number,
): { first: number; weight: Float64Array } {
  const { x0, nx, y0, ny, weight } = before;
  const along = axis === 'x' ? { first: x0, n: nx } : { first: y0, n: ny };
  const across = axis === 'x' ? { first: y0, n: ny } : { first: x0, n: nx };
  const w = errorWeights(sigma);
  const reach = (w.length - 1) / 2;
  const g = logSurvival(held[axis === 'x' ? 'y' : 'x'], across.first - reach, across.n + 2 * reach);
  const survived = new Float64Array(across.n);
  for (let j = 0; j < across.n; j++) {
    for (let k = 0; k < w.length; k++) survived[j]! += w[k]! * Math.exp(g[j + k]!);
  }
  const out = new Float64Array(along.n);
  for (let i = 0; i < along.n; i++) {
    for (let j = 0; j < across.n; j++) {
      out[i]! += weight[axis === 'x' ? i * ny + j : j * ny + i]! * survived[j]!;
    }
  }
  return { first: along.first, weight: out };
}
