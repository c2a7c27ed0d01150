/** The likely moves of a loss, gathered into places that a person can look at. */
import { type Causes, likelyCauses } from '../../machines/learn/causes.js';
import type { StretchKind } from '../../machines/learn/lowload.js';
import type { AxisLoads } from '../../machines/learn/load-history.js';
import type { Posterior } from '../../machines/learn/posterior.js';
import type { AxisName } from '../../model/machine.js';
import { type OpRange, type ProgramRun, sectionOf, suspectMoves } from './run.js';

/** Moves in a row at one tooth gap of one section. */
export interface LikelyPlace {
  readonly probability: number;
  readonly fromLine: number;
  readonly toLine: number;
  readonly section: string;
  /** Direction of the nearest tooth gap, counter-clockwise from +X. deg */
  readonly gapDeg: number;
  readonly fromMin: number;
  readonly toMin: number;
  /** Greatest thrust asked for in these moves. N */
  readonly peakN: number;
}

export interface LossCauses {
  readonly places: readonly LikelyPlace[];
  /** Probability that cutting force did it. */
  readonly byForce: number;
  readonly axis: Causes['axis'];
  readonly kind: StretchKind;
  /** Greatest thrust asked for in the stretch, on the axis that lost (or either). N */
  readonly peakN: number;
}

/**
 * @param before  what was believed before this run
 * @param sigma   spread of the run's error
 */
export function lossCauses(
  run: ProgramRun,
  range: OpRange,
  held: AxisLoads,
  before: Posterior,
  axis: AxisName | null,
  direction: '+' | '-' | null,
  sigma: number,
): LossCauses {
  const moves = suspectMoves(run, range);
  const kind = stretchKind(run, range, axis);
  const of = axis === 'x' ? [moves.demandN.x] : axis === 'y' ? [moves.demandN.y] : [];
  const demands = axis === null ? [moves.demandN.x, moves.demandN.y] : of;
  let peakN = 0;
  for (const values of demands) for (const n of values) peakN = Math.max(peakN, n);
  if (axis === 'z') return { places: [], byForce: 0, axis: { x: 0, y: 0 }, kind, peakN };
  const causes = likelyCauses(before, held, moves, axis, direction, sigma);
  return {
    places: gather(run, range, causes.byMove, demands),
    byForce: 1 - causes.other,
    axis: causes.axis,
    kind,
    peakN,
  };
}

function gather(
  run: ProgramRun,
  range: OpRange,
  byMove: Float64Array,
  demands: readonly Float64Array[],
): LikelyPlace[] {
  const { teeth } = run.planned.job.sprocket;
  const places: LikelyPlace[] = [];
  let key = '';
  for (let i = 0; i < byMove.length; i++) {
    const at = range.first + i;
    const op = run.ops[at]!;
    if (!('to' in op)) continue;
    const middle = Math.atan2((op.from[1] + op.to[1]) / 2, (op.from[0] + op.to[0]) / 2);
    const gap = (Math.round((middle * teeth) / (2 * Math.PI)) + teeth) % teeth;
    const section = sectionOf(run, op.line);
    const peakN = Math.max(...demands.map((values) => values[i]!));
    const last = places[places.length - 1];
    if (last && key === `${section}|${gap}`) {
      places[places.length - 1] = {
        ...last,
        probability: last.probability + byMove[i]!,
        toLine: op.line,
        toMin: run.endMin[at]!,
        peakN: Math.max(last.peakN, peakN),
      };
      continue;
    }
    key = `${section}|${gap}`;
    places.push({
      probability: byMove[i]!,
      fromLine: op.line,
      toLine: op.line,
      section,
      gapDeg: (360 * gap) / teeth,
      fromMin: at > 0 ? run.endMin[at - 1]! : 0,
      toMin: run.endMin[at]!,
      peakN,
    });
  }
  return places.sort((a, b) => b.probability - a.probability);
}

function stretchKind(run: ProgramRun, range: OpRange, axis: AxisName | null): StretchKind {
  const { rapidMmPerMin } = run.planned.job.machine;
  const index = { x: 0, y: 1, z: 2 } as const;
  const axes = axis === null ? (['x', 'y'] as const) : ([axis] as const);
  const going = [0, 0, 0];
  let [rapidS, totalS, slowest, fastest, reversals] = [0, 0, Infinity, 0, 0];
  for (let i = range.first; i <= range.last; i++) {
    const op = run.ops[i]!;
    const s = run.demands.seconds[i]!;
    if (!('from' in op)) continue;
    totalS += s;
    if (op.op === 'rapid') rapidS += s;
    for (const one of axes) {
      const k = index[one];
      const d = op.to[k]! - op.from[k]!;
      if (Math.abs(d) < 1e-6) continue;
      const way = Math.sign(d);
      if (going[k] === -way) reversals++;
      going[k] = way;
      const mean = s > 0 ? (60 * Math.abs(d)) / s : 0;
      const feed = op.op === 'rapid' ? rapidMmPerMin[one] : op.feedMmPerMin;
      slowest = Math.min(slowest, mean);
      fastest = Math.max(fastest, Math.min(feed, Math.max(mean, 1)));
    }
  }
  return {
    axis,
    rapidS,
    totalS,
    slowestMmPerMin: Number.isFinite(slowest) ? slowest : 0,
    fastestMmPerMin: fastest,
    reversals,
  };
}
