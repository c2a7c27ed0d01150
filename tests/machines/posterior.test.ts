import { describe, expect, it } from 'vitest';
import { NO_LOAD, tallyOf } from '../../src/machines/learn/load-history.js';
import { MOMENT_SIGMA, RUN_SIGMA } from '../../src/machines/learn/posterior-model.js';
import {
  type Evidence,
  finishProbability,
  limitBand,
  limitQuantileN,
  marginal,
  priorPosterior,
  updatePosterior,
} from '../../src/machines/learn/posterior.js';

const prior = (thrustN: number, sigma: number) =>
  priorPosterior({ x: { thrustN, sigma }, y: { thrustN, sigma } });
/** A load between two bins is shared by them, which costs a probability at most this. */
const GRID_ERROR = 1e-3;
const none = { x: NO_LOAD, y: NO_LOAD };

/** Mean and sigma of ln(limit) on an axis. */
function moments(p: ReturnType<typeof prior>, axis: 'x' | 'y') {
  const { first, weight } = marginal(p, axis);
  let [mean, square] = [0, 0];
  weight.forEach((w, i) => {
    const ln = 0.02 * (first + i);
    mean += w * ln;
    square += w * ln * ln;
  });
  return { mean, sigma: Math.sqrt(square - mean * mean) };
}

describe('posterior of thrust limits', () => {
  it('begins with the log-normal it was given', () => {
    // Percentiles of the normal distribution: z(0.95) = 1.644854 (Abramowitz and Stegun, 26.5).
    const band = limitBand(prior(280, 0.4), 'x');
    expect(band.p50).toBeCloseTo(280, 0);
    expect(band.p95 / 280).toBeCloseTo(Math.exp(1.644854 * 0.4), 2);
    expect(band.p5 / 280).toBeCloseTo(Math.exp(-1.644854 * 0.4), 2);
  });

  it('follows the skew-normal distribution after one moment survived', () => {
    // Density phi(u) Phi(alpha u) has mean delta sqrt(2/pi) and variance 1 - 2 delta^2 / pi with
    // delta = alpha / sqrt(1 + alpha^2): A. Azzalini, A class of distributions which includes the
    // normal ones, Scand. J. Statist. 12, 1985. A load equal to the median, survived for one
    // moment with errors of RUN_SIGMA and MOMENT_SIGMA, is that with u = ln(L / median) / sigma.
    const sigma = 0.4;
    const alpha = sigma / Math.hypot(RUN_SIGMA, MOMENT_SIGMA);
    const delta = alpha / Math.hypot(1, alpha);
    const held = { x: tallyOf([[280, 1]]), y: NO_LOAD };
    const { posterior, evidence } = updatePosterior(
      prior(280, sigma),
      { outcome: 'finished', held },
      RUN_SIGMA,
    );
    const { mean, sigma: after } = moments(posterior, 'x');
    expect(mean).toBeCloseTo(Math.log(280) + sigma * delta * Math.sqrt(2 / Math.PI), 3);
    expect(after).toBeCloseTo(sigma * Math.sqrt(1 - (2 * delta * delta) / Math.PI), 3);
    expect(Math.abs(evidence - 0.5)).toBeLessThan(GRID_ERROR);
    // The other axis has learned nothing.
    expect(moments(posterior, 'y').sigma).toBeCloseTo(sigma, 3);
  });

  it('mirrors it after one moment lost', () => {
    const sigma = 0.4;
    const alpha = sigma / Math.hypot(RUN_SIGMA, MOMENT_SIGMA);
    const delta = alpha / Math.hypot(1, alpha);
    const suspect = { x: tallyOf([[280, 1]]), y: NO_LOAD };
    const run: Evidence = { outcome: 'lost', held: none, suspect, axis: 'x' };
    const { posterior, otherCause } = updatePosterior(prior(280, sigma), run, RUN_SIGMA);
    const want = Math.log(280) - sigma * delta * Math.sqrt(2 / Math.PI);
    expect(moments(posterior, 'x').mean).toBeCloseTo(want, 3);
    expect(otherCause).toBeLessThan(1e-4);
  });

  it('knows the probability of finishing in closed form for one load', () => {
    // ln L - e - m - ln d is normal, so P = Phi(ln(median / d) / sqrt(sum of variances)).
    const p = prior(280, 0.3);
    const spread = Math.hypot(0.3, RUN_SIGMA, MOMENT_SIGMA);
    const d = 280 * Math.exp(-spread);
    // Phi(1) and its square, Abramowitz and Stegun table 26.1.
    const one = finishProbability(p, { x: tallyOf([[d, 1]]), y: NO_LOAD });
    expect(Math.abs(one - 0.8413447)).toBeLessThan(GRID_ERROR);
    const both = finishProbability(p, { x: tallyOf([[d, 1]]), y: tallyOf([[d, 1]]) });
    expect(Math.abs(both - 0.8413447 ** 2)).toBeLessThan(2 * GRID_ERROR);
    expect(finishProbability(p, none)).toBeCloseTo(1, 12);
  });

  it('does not depend on how a move is split, nor on the order of runs', () => {
    const whole = tallyOf([[150, 40]]);
    const split = tallyOf(Array.from({ length: 400 }, () => [150, 0.1] as const));
    const p = prior(280, 0.4);
    expect(finishProbability(p, { x: split, y: NO_LOAD })).toBeCloseTo(
      finishProbability(p, { x: whole, y: NO_LOAD }),
      10,
    );
    const a: Evidence = { outcome: 'finished', held: { x: whole, y: whole } };
    const b: Evidence = {
      outcome: 'lost',
      held: none,
      suspect: { x: tallyOf([[200, 30]]), y: tallyOf([[120, 30]]) },
      axis: null,
    };
    const both = (one: Evidence, two: Evidence) =>
      updatePosterior(updatePosterior(p, one, RUN_SIGMA).posterior, two, RUN_SIGMA).posterior;
    const ab = both(a, b);
    const ba = both(b, a);
    expect(limitQuantileN(ab, 'x', 0.3)).toBeCloseTo(limitQuantileN(ba, 'x', 0.3), 6);
    expect(limitQuantileN(ab, 'y', 0.3)).toBeCloseTo(limitQuantileN(ba, 'y', 0.3), 6);
  });

  it('says that a loss at a tenth of the limit was something else, and believes no less', () => {
    const p = prior(280, 0.2);
    const suspect = { x: tallyOf([[28, 60]]), y: tallyOf([[28, 60]]) };
    for (const axis of ['x', 'y', null] as const) {
      const run: Evidence = { outcome: 'lost', held: none, suspect, axis };
      const update = updatePosterior(p, run, RUN_SIGMA);
      expect(update.otherCause).toBeGreaterThan(0.999);
      expect(limitBand(update.posterior, 'x').p5 / limitBand(p, 'x').p5).toBeGreaterThan(0.99);
    }
    const z = updatePosterior(p, { outcome: 'lost', held: none, suspect, axis: 'z' }, RUN_SIGMA);
    expect(z.otherCause).toBe(1);
  });

  it('puts an unknown axis on the one that was nearer to its limit', () => {
    const p = prior(280, 0.4);
    const suspect = { x: tallyOf([[260, 20]]), y: tallyOf([[90, 20]]) };
    const { posterior } = updatePosterior(
      p,
      { outcome: 'lost', held: none, suspect, axis: null },
      RUN_SIGMA,
    );
    expect(limitBand(posterior, 'x').p50).toBeLessThan(250);
    expect(limitBand(posterior, 'y').p50).toBeGreaterThan(260);
  });

  it('moves the limit one way only: up by runs survived, down by losses at a higher load', () => {
    let p = prior(280, 0.4);
    let last = limitBand(p, 'x').p50;
    for (const n of [180, 220, 260]) {
      const held = { x: tallyOf([[n, 100]]), y: NO_LOAD };
      p = updatePosterior(p, { outcome: 'finished', held }, RUN_SIGMA).posterior;
      const now = limitBand(p, 'x').p50;
      expect(now).toBeGreaterThan(last);
      last = now;
    }
    const suspect = { x: tallyOf([[300, 5]]), y: NO_LOAD };
    const run: Evidence = { outcome: 'lost', held: none, suspect, axis: 'x' };
    expect(limitBand(updatePosterior(p, run, RUN_SIGMA).posterior, 'x').p50).toBeLessThan(last);
  });

  it('keeps what it was given and stays finite for what it cannot believe', () => {
    const p = prior(280, 0.1);
    const copy = p.weight.slice();
    const held = { x: tallyOf([[5000, 1000]]), y: NO_LOAD };
    const update = updatePosterior(p, { outcome: 'finished', held }, RUN_SIGMA);
    expect(p.weight).toEqual(copy);
    expect(update.posterior.weight.every(Number.isFinite)).toBe(true);
  });
});
