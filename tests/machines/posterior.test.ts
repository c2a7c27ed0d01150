import { describe, expect, it } from 'vitest';
import { Belief } from '../../src/machines/learn/belief.js';
import { NO_LOAD, tallyOf } from '../../src/machines/learn/load-history.js';
import { limitBand, otherCause, thrustToCome } from '../../src/machines/learn/posterior.js';
import type { Evidence, RunSetting } from '../../src/machines/learn/run-evidence.js';
import { normalCdf } from '../../src/maths/normal.js';
import { LONG } from '../cam/oracle/runs.js';
import { finishProbability } from './finishes.js';
import { type DrawnRun, type Spreads, limitsByDraws } from './oracle/limits-by-draws.js';

const before = (thrustN: number, sigma: number) =>
  Belief.before({ x: { thrustN, sigma }, y: { thrustN, sigma } });
const steel: RunSetting = { material: 'steel', bar: null, edge: null };
const none = { x: NO_LOAD, y: NO_LOAD };
/** A load between two bins is shared by them, and unknowns are looked at in five places: a probability
 *  is off by no more than this. */
const GRID_ERROR = 2e-3;

/** What is assumed, in words of our own (see the model): sigmas of ln(force). */
const SPREADS: Spreads = {
  thrustN: 280,
  sigma: 0.4,
  ...{ bar: 0.2, run: 0.1, runSpread: 0.5, growth: 0.5, growthSpread: 0.6, moment: 0.05 },
  otherPerHour: 0.01,
};

/** Mean over the spread of runs, log-normal about 0.1 by half, by the midpoint rule. */
function overRunSigma(of: (sigma: number) => number): number {
  let [sum, weights] = [0, 0];
  for (let z = -4; z <= 4; z += 0.02) {
    const w = Math.exp(-0.5 * z * z);
    sum += w * of(SPREADS.run * Math.exp(SPREADS.runSpread * z));
    weights += w;
  }
  return sum / weights;
}

describe('belief about thrust limits', () => {
  it('begins with the log-normal it was given', () => {
    // Percentiles of the normal distribution: z(0.95) = 1.644854 (Abramowitz and Stegun, 26.5).
    const band = limitBand(before(280, 0.4), 'x');
    expect(band.p50).toBeCloseTo(280, 0);
    expect(band.p95 / 280).toBeCloseTo(Math.exp(1.644854 * 0.4), 2);
    expect(band.p5 / 280).toBeCloseTo(Math.exp(-1.644854 * 0.4), 2);
  });

  it('knows in closed form what one moment survived or lost says of the next', () => {
    const load = tallyOf([[280, 1]]);
    const held: Evidence = { ...steel, outcome: 'finished', held: { x: load, y: NO_LOAD } };
    const belief = before(280, SPREADS.sigma);
    expect(Math.abs(finishProbability(belief, held.held, steel) - 0.5)).toBeLessThan(GRID_ERROR);
    const lost: Evidence = {
      ...{ ...steel, outcome: 'lost', held: none, otherHeld: false },
      ...{ suspect: { x: load, y: NO_LOAD }, axis: 'x' },
    };
    // Two equal moments in two runs: the orthant probability 1/4 + asin(rho) / (2 pi) of two normals
    // that share limit and bar (W. F. Sheppard, 1899), so the second holds with twice that.
    const shared = SPREADS.sigma ** 2 + SPREADS.bar ** 2;
    const again = overRunSigma((sigma) => {
      const rho = shared / (shared + sigma ** 2 + SPREADS.moment ** 2);
      return 0.25 + Math.asin(rho) / (2 * Math.PI);
    });
    const next = finishProbability(belief.with(held), held.held, steel);
    expect(Math.abs(next - 2 * again)).toBeLessThan(2 * GRID_ERROR);
    const after = finishProbability(belief.with(lost), held.held, steel);
    expect(Math.abs(after - (1 - 2 * again))).toBeLessThan(2 * GRID_ERROR);
    // In another bar of the same steel only the limit is shared.
    const other = overRunSigma((sigma) => {
      const rho = SPREADS.sigma ** 2 / (shared + sigma ** 2 + SPREADS.moment ** 2);
      return 0.25 + Math.asin(rho) / (2 * Math.PI);
    });
    const inOther = finishProbability(belief.with(held), held.held, { ...steel, bar: 'B' });
    expect(Math.abs(inOther - 2 * other)).toBeLessThan(2 * GRID_ERROR);
    // The other axis has learned nothing.
    expect(limitBand(belief.with(lost), 'y').p50).toBeCloseTo(280, 0);
    expect(otherCause(belief, lost)).toBeLessThan(1e-4);
  });

  it('knows the probability of finishing in closed form for one load', () => {
    // ln L - b - e - m - ln d is normal, so P = Phi(ln(median / d) / sqrt(sum of variances)).
    const belief = before(280, 0.3);
    const want = (d: number) =>
      overRunSigma((s) =>
        normalCdf(Math.log(280 / d) / Math.hypot(0.3, SPREADS.bar, s, SPREADS.moment)),
      );
    const toCome = thrustToCome(belief, steel, 1).x;
    for (const d of [100, 150, 200, 280]) {
      const loads = { x: tallyOf([[d, 1]]), y: NO_LOAD };
      const p = finishProbability(belief, loads, steel);
      expect(Math.abs(p - want(d))).toBeLessThan(GRID_ERROR);
      expect(toCome(1 - p) / d).toBeCloseTo(1, 2);
    }
    expect(finishProbability(belief, none, steel)).toBeCloseTo(1, 12);
  });

  it('takes the force of a used edge for what it is', () => {
    // Nothing is taken and the growth is known on average: a new edge asks 1 / 1.3 of loads for a worn one.
    const belief = before(280, 0.3);
    const loads = { x: tallyOf([[200, 1]]), y: NO_LOAD };
    const at = (beforeLives: number, wearFactor: number) =>
      finishProbability(belief, loads, {
        ...steel,
        edge: { beforeLives, tookLives: 0, wearFactor },
      });
    const sharp = { x: tallyOf([[200 / 1.3, 1]]), y: NO_LOAD };
    expect(at(0, 1.3)).toBeCloseTo(finishProbability(belief, sharp, steel), 3);
    expect(at(0, 1)).toBeCloseTo(finishProbability(belief, loads, steel), 9);
    expect(at(1, 1)).toBeLessThan(at(0.5, 1));
  });

  it('does not depend on how a move is split, nor on the order of runs', () => {
    const whole = tallyOf([[150, 40]]);
    const split = tallyOf(Array.from({ length: 400 }, () => [150, 0.1] as const));
    const belief = before(280, 0.4);
    expect(finishProbability(belief, { x: split, y: NO_LOAD }, steel)).toBeCloseTo(
      finishProbability(belief, { x: whole, y: NO_LOAD }, steel),
      10,
    );
    const a: Evidence = { ...steel, bar: 'B', outcome: 'finished', held: { x: whole, y: whole } };
    const b: Evidence = {
      ...{ ...steel, outcome: 'lost', held: none, axis: null, otherHeld: false },
      suspect: { x: tallyOf([[200, 30]]), y: tallyOf([[120, 30]]) },
    };
    const [ab, ba] = [belief.with(a).with(b), belief.with(b).with(a)];
    for (const axis of ['x', 'y'] as const) {
      expect(limitBand(ab, axis).p5).toBeCloseTo(limitBand(ba, axis).p5, 6);
    }
  });

  it('says that a loss at a tenth of the limit was something else, and believes no less', () => {
    const belief = before(280, 0.2);
    const load = tallyOf([[28, 60]]);
    for (const axis of ['x', 'y', null, 'z'] as const) {
      const run: Evidence = {
        ...{ ...steel, outcome: 'lost', held: none, otherHeld: false },
        ...{ suspect: { x: load, y: load }, axis },
      };
      expect(otherCause(belief, run)).toBeGreaterThan(0.99);
      const ratio = limitBand(belief.with(run), 'x').p5 / limitBand(belief, 'x').p5;
      expect(ratio).toBeGreaterThan(0.99);
    }
  });

  it('puts an unknown axis on the one that was nearer to its limit, and both on both', () => {
    const suspect = { x: tallyOf([[260, 20]]), y: tallyOf([[120, 20]]) };
    const after = (axis: 'x' | 'both' | null, otherHeld = false) =>
      before(280, 0.4).with({
        ...{ ...steel, outcome: 'lost', held: none, suspect, axis, otherHeld },
      });
    const p50 = (belief: Belief) => [limitBand(belief, 'x').p50, limitBand(belief, 'y').p50];
    const [x, y] = p50(after(null));
    expect(x).toBeLessThan(260);
    expect(y).toBeGreaterThan(250);
    expect(p50(after('both'))[1]).toBeLessThan(200);
    // An axis that was seen to hold is known to bear more.
    expect(p50(after('x', true))[1]).toBeGreaterThan(p50(after('x'))[1]!);
  });

  it('keeps what it was given and stays finite for what it cannot believe', () => {
    const belief = before(280, 0.1);
    const held = { x: tallyOf([[5000, 1000]]), y: NO_LOAD };
    const after = belief.with({ ...steel, outcome: 'finished', held });
    expect(limitBand(belief, 'x').p50).toBeCloseTo(280, 0);
    expect(Object.values(limitBand(after, 'x')).every(Number.isFinite)).toBe(true);
    expect(finishProbability(after, held, steel)).toBeGreaterThanOrEqual(0);
  });
});

describe('the same by plain drawing', () => {
  const loads = (n: number) => ({
    x: [
      [n, 600],
      [0.9 * n, 900],
    ] as const,
    y: [
      [0.9 * n, 600],
      [0.7 * n, 900],
    ] as const,
  });
  const run = (n: number, bar: string, from: number, on?: 'x' | null): DrawnRun => ({
    ...{ bar, material: 'steel', held: loads(n), edge: { from, to: from + 0.25, has: 1.3 } },
    lost: on === undefined ? null : { ...loads(1.15 * n), on },
  });
  const seen = ({ material, bar, edge, held, lost }: DrawnRun): Evidence => {
    const tallies = (of: Pick<DrawnRun['held'], 'x' | 'y'>) => ({
      x: tallyOf(of.x),
      y: tallyOf(of.y),
    });
    const { from, to, has } = edge!;
    const head = {
      ...{ material, bar, held: tallies(held) },
      edge: { beforeLives: from, tookLives: to - from, wearFactor: has },
    };
    if (!lost) return { ...head, outcome: 'finished' };
    return { ...head, outcome: 'lost', axis: lost.on, otherHeld: false, suspect: tallies(lost) };
  };
  const DRAWS = LONG ? 100_000 : 4000;

  it.each<[string, DrawnRun[]]>([
    ['no run', []],
    ['a cutter', [0, 0.25, 0.5, 0.75].map((from) => run(120 + 40 * from, 'A', from))],
    ['a loss', [run(120, 'A', 0), run(130, 'A', 0.25, 'x')]],
    ['axis unknown, then another bar', [run(130, 'A', 0.25, null), run(90, 'B', 0)]],
  ])('%s', (_, runs) => {
    const next = run(100, 'A', 0.5);
    const drawn = limitsByDraws(runs, next, SPREADS, DRAWS);
    const belief = runs.reduce((was, one) => was.with(seen(one)), before(280, SPREADS.sigma));
    const band = limitBand(belief, 'x');
    const to = seen(next);
    const holds = finishProbability(belief, to.held, to);
    // Four standard errors of the draws: of a share, and of quantiles of a distribution as wide.
    const error = (p: number) => 4 * Math.sqrt((p * (1 - p)) / drawn.worth);
    expect(Math.abs(holds - drawn.holds)).toBeLessThan(error(holds) + GRID_ERROR);
    const width = Math.log(drawn.p95 / drawn.p5) / 3.29;
    for (const [key, density] of [
      ['p5', 0.103],
      ['p50', 0.399],
      ['p95', 0.103],
    ] as const) {
      const p = Number(key.slice(1)) / 100;
      const off = Math.abs(Math.log(band[key] / drawn[key]));
      expect(off).toBeLessThan((error(p) * width) / density + 0.02);
    }
  });
});
