/** Which moves of a suspect stretch most likely lost the steps. */
import { LOADED_AXES, type LoadedAxis, type PerLoadedAxis } from '../../model/machine.js';
import { exp, expm1 } from '../../maths/elementary.js';
import { sum } from '../../maths/sample.js';
import { type AxisLoads, NO_LOAD, binOf } from './load-history.js';
import { MOMENT_S } from './posterior-model.js';
import type { Belief } from './belief.js';
import { axisWeights } from './posterior.js';
import { type RunSetting, otherLoss } from './run-evidence.js';
import { afterErrors, axisRun, logMoment, logSurvival } from './survival.js';

/** Moves of a stretch, in order; arrays of equal length. */
export interface SuspectMoves {
  /** Thrust asked of each axis. N */
  readonly demandN: PerLoadedAxis<Float64Array>;
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
function directionChance(travel: number, direction: '+' | '-' | null): number {
  if (direction === null) return 1;
  const behind = direction === '+' ? -travel : travel;
  return 0.5 + (FALLS_BACK - 0.5) * behind;
}

/**
 * Probability of each move of the stretch to be the one.
 * @param before     what was believed before this run
 * @param run        load of the run before the stretch, and what it was run on
 * @param axis       null: not known which
 * @param direction  which way the machine ended up off; null: not known
 */
export function likelyCauses(
  before: Belief,
  run: RunSetting & { readonly held: AxisLoads },
  moves: SuspectMoves,
  axis: LoadedAxis | null,
  direction: '+' | '-' | null,
): Causes {
  const byMove = new Float64Array(moves.seconds.length);
  const share = { x: 0, y: 0 };
  let alive = 0;
  for (const one of axis === null ? LOADED_AXES : [axis]) {
    const found = axisCauses(before, run, moves, one, direction);
    found.byMove.forEach((p, i) => (byMove[i]! += p));
    share[one] = sum(found.byMove);
    alive = Math.max(alive, found.alive);
  }
  const chance = otherLoss(sum(moves.seconds)) / (axis === null ? 1 : 3);
  const other = chance * alive * (direction === null ? 1 : 0.5);
  const total = share.x + share.y + other;
  const scale = total > 0 ? 1 / total : 0;
  return {
    byMove: byMove.map((p) => p * scale),
    other: total > 0 ? other * scale : 1,
    axis: { x: share.x * scale, y: share.y * scale },
  };
}

/** Joint probability that all before was survived and that move i was not. */
function axisCauses(
  before: Belief,
  run: RunSetting & { readonly held: AxisLoads },
  moves: SuspectMoves,
  axis: LoadedAxis,
  direction: '+' | '-' | null,
): { byMove: Float64Array; alive: number } {
  // Limits of this axis less the run's errors, the other one having survived what came before.
  const other = axis === 'x' ? 'y' : 'x';
  const across = axisRun(run.held[other], NO_LOAD, before[other], run.edge).held;
  const weights = axisWeights(before, axis, run, across);
  const { first, weight: alive } = afterErrors(weights, before[axis], run.edge);
  const survival = logSurvival(run.held[axis], first, alive.length);
  for (let i = 0; i < alive.length; i++) alive[i]! *= exp(survival[i]!);
  const start = sum(alive);
  const byMove = moves.demandN[axis].map((forceN, m) => {
    const moments = moves.seconds[m]! / MOMENT_S;
    if (!(forceN > 0) || !(moments > 0)) return 0;
    const bin = Math.round(binOf(forceN));
    let lost = 0;
    for (let i = 0; i < alive.length; i++) {
      const ln = logMoment(first + i - bin);
      if (ln === 0) break;
      const gone = -alive[i]! * expm1(moments * ln);
      lost += gone;
      alive[i]! -= gone;
    }
    return lost * directionChance(moves.travel[axis][m]!, direction);
  });
  return { byMove, alive: start };
}
