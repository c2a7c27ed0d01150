/**
 * What runs say of thrust limits, by plain drawing: many machines, each with limits, bias of its bars,
 * spread of its runs, growth of its edges and an error for each run and axis, all from the distributions
 * in words; each weighed by the probability that it does what was seen. Knows nothing of the program's
 * grids: distribution functions and random numbers only.
 */
import { logNormalCdf } from '../../../src/maths/normal.js';
import { seeded } from '../random.js';

/** Loads of an axis: [newtons, seconds]. */
type Loads = readonly (readonly [forceN: number, seconds: number])[];

export interface DrawnRun {
  readonly bar: string;
  readonly material: string;
  /** Lives of the edge before and after, and the wear that the loads have; null: as the loads. */
  readonly edge: { readonly from: number; readonly to: number; readonly has: number } | null;
  readonly held: { readonly x: Loads; readonly y: Loads };
  /** Stretch in which steps were lost, and on which axis; null: none were. */
  readonly lost: { readonly x: Loads; readonly y: Loads; readonly on: 'x' | 'y' | null } | null;
}

export interface Spreads {
  readonly thrustN: number;
  readonly sigma: number;
  readonly bar: number;
  readonly run: number;
  readonly runSpread: number;
  readonly growth: number;
  readonly growthSpread: number;
  readonly moment: number;
  readonly otherPerHour: number;
}

export interface DrawnBelief {
  /** Quantiles of the limit of X. N */
  readonly p5: number;
  readonly p50: number;
  readonly p95: number;
  /** Probability that the last run, not counted as evidence, is held. */
  readonly holds: number;
  /** Draws that the weights are worth. */
  readonly worth: number;
}

export function limitsByDraws(
  runs: readonly DrawnRun[],
  next: DrawnRun,
  spreads: Spreads,
  draws: number,
): DrawnBelief {
  const random = seeded(5);
  const log = (sigma: number) => Math.exp(sigma * random.normal());
  const limits: { lnX: number; weight: number }[] = [];
  let [sum, squares, holds] = [0, 0, 0];
  for (let n = 0; n < draws; n++) {
    const own = {
      x: spreads.thrustN * log(spreads.sigma),
      y: spreads.thrustN * log(spreads.sigma),
    };
    const bars = new Map<string, number>();
    const growths = new Map<string, number>();
    const runSigma = spreads.run * log(spreads.runSpread);
    const of = (map: Map<string, number>, key: string, make: () => number): number => {
      if (!map.has(key)) map.set(key, make());
      return map.get(key)!;
    };
    /** ln of the probability that loads are held on an axis, over the way of the edge. */
    const survives = (
      loads: Loads,
      run: DrawnRun,
      axis: 'x' | 'y',
      error: number,
      end: boolean,
    ) => {
      const growth = of(growths, run.material, () => spreads.growth * log(spreads.growthSpread));
      const bias = of(bars, run.bar, () => spreads.bar * random.normal());
      const places = run.edge && !end ? 8 : 1;
      let ln = 0;
      for (let k = 0; k < places; k++) {
        const share = end ? 1 : (k + 0.5) / places;
        const edge = run.edge;
        const worn = edge
          ? (1 + growth * (edge.from + share * (edge.to - edge.from))) / edge.has
          : 1;
        for (const [forceN, seconds] of loads) {
          const z = Math.log(own[axis] / (forceN * worn)) - bias - error;
          ln += (seconds / places) * logNormalCdf(z / spreads.moment);
        }
      }
      return ln;
    };
    const chance = (run: DrawnRun): number => {
      const error = { x: runSigma * random.normal(), y: runSigma * random.normal() };
      const held = (['x', 'y'] as const).map((axis) =>
        survives(run.held[axis], run, axis, error[axis], false),
      );
      const alive = Math.exp(held[0]! + held[1]!);
      if (!run.lost) return alive;
      const { on } = run.lost;
      const [x, y] = (['x', 'y'] as const).map(
        (axis) => -Math.expm1(survives(run.lost![axis], run, axis, error[axis], true)),
      );
      const seconds = run.lost.x.reduce((s, [, t]) => s + t, 0);
      const other = -Math.expm1((-spreads.otherPerHour * seconds) / 3600) / (on === null ? 1 : 3);
      const force = on === 'x' ? x! : on === 'y' ? y! : x! + y!;
      return alive * (force + other);
    };
    const weight = runs.reduce((w, run) => (w > 0 ? w * chance(run) : 0), 1);
    if (weight === 0) continue;
    sum += weight;
    squares += weight * weight;
    holds += weight * chance(next);
    limits.push({ lnX: Math.log(own.x), weight });
  }
  limits.sort((a, b) => a.lnX - b.lnX);
  const at = (p: number): number => {
    let below = 0;
    return Math.exp(limits.find(({ weight }) => (below += weight) >= p * sum)!.lnX);
  };
  return {
    p5: at(0.05),
    p50: at(0.5),
    p95: at(0.95),
    holds: holds / sum,
    worth: sum ** 2 / squares,
  };
}
