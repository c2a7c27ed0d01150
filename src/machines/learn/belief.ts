/**
 * What is believed about the thrust limits of X and Y, and how runs change it. Limits are thrust at
 * standstill, as the loads are: what a move asks for at speed is scaled up by what the axis has less
 * of there.
 *
 * Unknown are: both limits; for each bar of material the bias of its forces, b; the spread of runs, s;
 * and for each material the growth of force with the life of an edge, g. Everything is summed over
 * grids, exactly but for their steps:
 *
 *   p(x, y, s) = prior(x) prior(y) p(s) prod_materials sum_g p(g) prod_bars sum_b p(b) R(x - b, y - b; s, g)
 *
 * where R is what the runs of a bar say of the limits less its bias. Of a run that finished, or lost steps
 * on a known axis, it is a product of one factor for X and one for Y; only where the axis is not known
 * do they go together.
 */
import type { PerLoadedAxis } from '../../model/machine.js';
import { exp, hypot } from '../../maths/elementary.js';
import { binOf } from './load-history.js';
import { BAR_SIGMA, GRID_STEP, GROWTHS, SCATTER, bell, shares } from './posterior-model.js';
import { type Evidence, type RunSetting, otherChance, runTables } from './run-evidence.js';
import { type AxisGrid, type AxisRun, CASES, lnOf } from './survival.js';

/** Median and spread of a limit before any run. */
export interface LimitPrior {
  readonly thrustN: number;
  /** Sigma of ln(limit). */
  readonly sigma: number;
}

export type ThrustPrior = PerLoadedAxis<LimitPrior>;

/** What the runs of a bar say: ln of their probability, for each case and limit less the bar's bias. */
interface BarRuns {
  readonly material: string;
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** What does not come apart into X and Y: for each case and pair; null: nothing. */
  readonly pairs: Float64Array | null;
}

/** Weights of pairs of limits: index i * y.count + j. */
type Pairs = Float64Array;

const PRIOR_SIGMAS = 4;
/** Coarsest step of the grid of limits, in bins of the loads: 0.06, as fine as the least spread of runs
 *  with that of moments. */
const COARSEST = 3;

const cases = Array.from({ length: CASES }, (_, c) => ({
  s: Math.floor(c / GROWTHS.values.length),
  g: c % GROWTHS.values.length,
}));

export class Belief {
  readonly x: AxisGrid;
  readonly y: AxisGrid;
  private readonly prior: Pairs;
  private readonly bars: ReadonlyMap<string, BarRuns>;
  /** What other bars say of the limits less the bias of one, each case weighed. */
  private readonly contexts = new Map<string, readonly Pairs[]>();
  private readonly joints = new Map<string, readonly Pairs[]>();

  private constructor(from: Pick<Belief, 'x' | 'y'>, prior: Pairs, bars: Belief['bars']) {
    this.x = from.x;
    this.y = from.y;
    this.prior = prior;
    this.bars = bars;
  }

  /** Before any run. */
  static before(prior: ThrustPrior): Belief {
    const finest = Math.min(prior.x.sigma, prior.y.sigma);
    const step = Math.max(1, Math.min(COARSEST, Math.floor(finest / GRID_STEP / 2)));
    const of = ({ thrustN, sigma }: LimitPrior) => {
      const bins = (PRIOR_SIGMAS * hypot(sigma, BAR_SIGMA)) / GRID_STEP;
      const half = Math.ceil(bins / step);
      const first = Math.round(binOf(thrustN)) - half * step;
      const count = 2 * half + 1;
      const middle = (binOf(thrustN) - first) / step;
      return {
        grid: { first, step, count },
        weight: bell(count, middle, sigma / GRID_STEP / step),
      };
    };
    const [x, y] = [of(prior.x), of(prior.y)];
    const pairs = new Float64Array(x.grid.count * y.grid.count);
    pairs.forEach((_, k) => {
      pairs[k] = x.weight[Math.floor(k / y.grid.count)]! * y.weight[k % y.grid.count]!;
    });
    return new Belief({ x: x.grid, y: y.grid }, pairs, new Map());
  }

  /** With one more run. @param tables  of the run, where they are known already */
  with(run: Evidence, { x, y } = runTables(this, run)): Belief {
    const key = barKey(run);
    const old = this.bars.get(key);
    const axis = run.outcome === 'lost' ? run.axis : 'none';
    const other = otherChance(run);
    const grown = (was: Float64Array | undefined, run: AxisRun, loses: boolean) => {
      const { held, heldLn, lost } = run;
      const said = loses ? held.map((p, i) => lnOf((lost[i] ?? 0) + other * p)) : heldLn;
      return was ? was.map((sum, i) => sum + said[i]!) : said;
    };
    const bar: BarRuns = {
      material: run.material,
      x: grown(old?.x, x, axis === 'x'),
      y: grown(old?.y, y, axis === 'y'),
      pairs:
        axis === null || axis === 'both'
          ? this.pairsOf(old?.pairs ?? null, x, y, axis === 'both', other)
          : (old?.pairs ?? null),
    };
    const next = new Belief(this, this.prior, new Map([...this.bars, [key, bar]]));
    const context = this.contexts.get(key);
    if (context) next.contexts.set(key, context);
    return next;
  }

  /** A loss on X or on Y, or on both, or by something else, over that both held. */
  private pairsOf(
    was: Float64Array | null,
    x: AxisRun,
    y: AxisRun,
    both: boolean,
    other: number,
  ): Float64Array {
    const [nx, ny] = [this.x.count, this.y.count];
    const ratio = ({ held, lost }: AxisRun) => held.map((p, i) => (p > 0 ? (lost[i] ?? 0) / p : 0));
    const [rx, ry] = [ratio(x), ratio(y)];
    const out = new Float64Array(CASES * nx * ny);
    let at = 0;
    for (let c = 0; c < CASES; c++) {
      for (let i = c * nx; i < (c + 1) * nx; i++) {
        for (let j = c * ny; j < (c + 1) * ny; j++, at++) {
          const lost = both ? rx[i]! * ry[j]! : rx[i]! + ry[j]!;
          out[at] = (was?.[at] ?? 0) + lnOf(lost + other);
        }
      }
    }
    return out;
  }

  /** Weights of the limits less the bias of a bar, for each case; all of them sum to 1. */
  joint(setting: Pick<RunSetting, 'material' | 'bar'>): readonly Pairs[] {
    const key = barKey(setting);
    const known = this.joints.get(key);
    if (known) return known;
    const context = this.contextOf(key, setting.material);
    const bar = this.bars.get(key);
    const made = bar ? this.told(bar, context) : context;
    let sum = 0;
    for (const pairs of made) for (let k = 0; k < pairs.length; k++) sum += pairs[k]!;
    // Beyond what the grid can tell apart runs are not believed.
    const joint = sum > 0 ? made.map((pairs) => divided(pairs, sum)) : context;
    this.joints.set(key, joint);
    return joint;
  }

  /** What a bar's runs say, up to one factor: for each case a weight of each pair.
   *  @param over  weights to multiply with */
  private told({ x, y, pairs }: BarRuns, over?: readonly Pairs[]): Pairs[] {
    const [nx, ny] = [this.x.count, this.y.count];
    const top = pairs ? this.greatestSum(x, y, pairs) : mostOf(x) + mostOf(y);
    const [mx, my] = [mostOf(x), top - mostOf(x)];
    const [ex, ey] = [x.map((v) => exp(v - mx)), y.map((v) => exp(v - my))];
    return cases.map((_, c) => {
      const out = new Float64Array(nx * ny);
      for (let i = 0, k = 0; i < nx; i++) {
        const inX = c * nx + i;
        for (let j = c * ny; j < (c + 1) * ny; j++, k++) {
          const said = pairs
            ? exp(x[inX]! + y[j]! + pairs[c * nx * ny + k]! - top)
            : ex[inX]! * ey[j]!;
          out[k] = over ? said * over[c]![k]! : said;
        }
      }
      return out;
    });
  }

  private greatestSum(x: Float64Array, y: Float64Array, pairs: Float64Array): number {
    const [nx, ny] = [this.x.count, this.y.count];
    let top = -Infinity;
    for (let i = 0, k = 0; i < CASES * nx; i++) {
      const from = Math.floor(i / nx) * ny;
      for (let j = from; j < from + ny; j++, k++) top = Math.max(top, x[i]! + y[j]! + pairs[k]!);
    }
    return top;
  }

  /** What all that is known but a bar's own runs says of the limits less its bias. */
  private contextOf(key: string, material: string): readonly Pairs[] {
    const known = this.contexts.get(key);
    if (known) return known;
    const smeared = new Map<Pairs, Pairs>();
    const context = this.overBars(key, material).map((pairs, c) => {
      const done = smeared.get(pairs) ?? this.smear(pairs);
      smeared.set(pairs, done);
      const { s, g } = cases[c]!;
      return divided(done, 1 / (SCATTER.weights[s]! * GROWTHS.weights[g]!));
    });
    this.contexts.set(key, context);
    return context;
  }

  /** Weights of the limits from the bars but one, for each case of that one's material. */
  private overBars(but: string | null, material: string | null): readonly Pairs[] {
    const groups = new Map<string, BarRuns[]>();
    for (const [key, bar] of this.bars) {
      if (key !== but) groups.set(bar.material, [...(groups.get(bar.material) ?? []), bar]);
    }
    let byCase: readonly Pairs[] = cases.map(() => this.prior);
    for (const [name, bars] of groups) {
      const own = name === material;
      // One bar may be moved after its growths are summed: both are sums.
      const told = (bar: BarRuns): readonly Pairs[] =>
        own || bars.length > 1
          ? this.told(bar).map((pairs) => this.smear(pairs))
          : eachSpread(overGrowth(this.told(bar)), (pairs) => this.smear(pairs));
      const product = bars.map(told).reduce((a, b) => a.map((pairs, c) => times(pairs, b[c]!)));
      const said = own || bars.length === 1 ? product : overGrowth(product);
      const made = new Map<Pairs, Pairs>();
      byCase = scaled(
        byCase.map((pairs, c) => {
          const shared = !own && c % GROWTHS.values.length > 0 ? made.get(said[c]!) : undefined;
          const done = shared ?? times(pairs, said[c]!);
          made.set(said[c]!, done);
          return done;
        }),
      );
    }
    return byCase;
  }

  /** Pairs moved along their diagonal by a bar's bias. */
  private smear(pairs: Pairs): Pairs {
    const [nx, ny] = [this.x.count, this.y.count];
    const steps = BAR_SIGMA / GRID_STEP / this.x.step;
    const half = Math.ceil(3.5 * steps);
    const weights = bell(2 * half + 1, half, steps);
    const out = new Float64Array(pairs.length);
    for (let b = -half; b <= half; b++) {
      const w = weights[b + half]!;
      for (let i = Math.max(0, -b); i < Math.min(nx, nx - b); i++) {
        const [to, from] = [i * ny, (i + b) * ny + b];
        for (let j = Math.max(0, -b); j < Math.min(ny, ny - b); j++) {
          out[to + j]! += w * pairs[from + j]!;
        }
      }
    }
    return out;
  }

  /** Weights of the limits themselves, and of the spread of runs. */
  limits(): { readonly pairs: Pairs; readonly scatter: Float64Array } {
    const byCase = overGrowth(this.overBars(null, null));
    const pairs = new Float64Array(this.prior.length);
    const scatter = SCATTER.weights.map((share, s) => {
      const own = byCase[s * GROWTHS.values.length]!;
      let sum = 0;
      for (let k = 0; k < pairs.length; k++) {
        const w = share * own[k]!;
        pairs[k]! += w;
        sum += w;
      }
      return sum;
    });
    return { pairs: shares(pairs), scatter: shares(scatter) };
  }
}

function barKey({ material, bar }: Pick<RunSetting, 'material' | 'bar'>): string {
  return JSON.stringify([material, bar]);
}

/** Summed over the growth of force, the same then for each. */
function overGrowth(byCase: readonly Pairs[]): readonly Pairs[] {
  const count = GROWTHS.values.length;
  const sums = SCATTER.values.map((_, s) => {
    const sum = new Float64Array(byCase[0]!.length);
    GROWTHS.weights.forEach((share, g) => {
      const pairs = byCase[s * count + g]!;
      for (let k = 0; k < sum.length; k++) sum[k]! += share * pairs[k]!;
    });
    return sum;
  });
  return cases.map(({ s }) => sums[s]!);
}

/** One change for all cases of a spread of runs, which are one array. */
function eachSpread(byCase: readonly Pairs[], change: (pairs: Pairs) => Pairs): readonly Pairs[] {
  const changed = SCATTER.values.map((_, s) => change(byCase[s * GROWTHS.values.length]!));
  return cases.map(({ s }) => changed[s]!);
}

function times(a: Pairs, b: Pairs): Pairs {
  const out = new Float64Array(a.length);
  for (let k = 0; k < out.length; k++) out[k] = a[k]! * b[k]!;
  return out;
}

function divided(pairs: Pairs, by: number): Pairs {
  const out = new Float64Array(pairs.length);
  for (let k = 0; k < out.length; k++) out[k] = pairs[k]! / by;
  return out;
}

function mostOf(values: Float64Array): number {
  let most = -Infinity;
  for (const value of values) most = Math.max(most, value);
  return most;
}

/** All divided by the greatest. */
function scaled(byCase: readonly Pairs[]): readonly Pairs[] {
  const arrays = new Set(byCase);
  const most = Math.max(...[...arrays].map(mostOf));
  if (!(most > 0)) return byCase;
  for (const pairs of arrays) for (let k = 0; k < pairs.length; k++) pairs[k]! /= most;
  return byCase;
}
