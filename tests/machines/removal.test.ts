import fc from 'fast-check';
import { expect, test } from 'vitest';
import { peakForce } from '../../src/machines/load/force.js';
import type { CutConditions } from '../../src/machines/load/force.js';
import { bestStraightRemoval } from '../../src/machines/load/feed.js';
import { cut, cutter3 } from './fixtures.js';
import { runs } from '../cam/oracle/runs.js';

type RemovalLimits = Parameters<typeof bestStraightRemoval>[1];

/**
 * Brute force: every pair on a grid of stepover and feed is priced with the full force model and
 * kept if it breaks no limit. Shares no search with the code under test.
 */
function gridBest(cond: CutConditions, lim: RemovalLimits, n: number): number {
  const r = cond.cutter.diameterMm / 2;
  let best = 0;
  for (let i = 1; i <= n; i++) {
    const phi = Math.min(Math.PI, lim.maxEngagementRad) * (i / n) ** 2;
    const ae = r * (1 - Math.cos(phi));
    // Feeds 2 % apart, fastest first, until one breaks no limit or cannot win any more.
    for (let feed = lim.maxFeedMmPerMin; ; feed /= 1.02) {
      const rate = cond.axialDepthMm * ae * feed;
      if (rate <= best) break;
      const load = peakForce(cond, feed, [{ fromRad: 0, toRad: phi }]);
      if (load.hMaxMm > lim.chipCapMm || load.resultantN > lim.forceLimitN) continue;
      if (lim.powerLimitW !== undefined && load.powerW > lim.powerLimitW) continue;
      best = rate;
      break;
    }
  }
  return best;
}

test('property: no pair of a grid beats it, and the grid comes close to it', () => {
  const limitedBy = new Set<string>();
  fc.assert(
    fc.property(
      fc.record({
        flutes: fc.integer({ min: 1, max: 6 }),
        runoutMm: fc.double({ min: 0, max: 0.03, noNaN: true }),
        axialDepthMm: fc.double({ min: 0.1, max: 1, noNaN: true }),
        maxEngagementRad: fc.double({ min: 0.4, max: 3.2, noNaN: true }),
        forceLimitN: fc.double({ min: 10, max: 400, noNaN: true }),
        chipCapMm: fc.double({ min: 0.005, max: 0.03, noNaN: true }),
        maxFeedMmPerMin: fc.double({ min: 200, max: 2000, noNaN: true }),
        powerLimitW: fc.double({ min: 3, max: 200, noNaN: true }),
      }),
      ({ flutes, runoutMm, axialDepthMm, ...lim }) => {
        const cond = { ...cut, runoutMm, axialDepthMm, cutter: { ...cutter3, flutes } };
        const best = bestStraightRemoval(cond, lim);
        const grid = gridBest(cond, lim, 100);
        expect(best.removalMm3PerMin).toBeGreaterThanOrEqual(grid * (1 - 2e-3));
        // The grid's own coarseness: 2 % in feed, and at small engagements some % in stepover.
        expect(grid).toBeGreaterThan(best.removalMm3PerMin * 0.85);
        expect(best.removalMm3PerMin).toBeCloseTo(axialDepthMm * best.aeMm * best.feedMmPerMin, 9);
        expect(best.feedMmPerMin).toBeLessThanOrEqual(lim.maxFeedMmPerMin);
        expect(best.phiRad).toBeLessThanOrEqual(lim.maxEngagementRad * (1 + 1e-12));
        const load = peakForce(cond, best.feedMmPerMin, [{ fromRad: 0, toRad: best.phiRad }]);
        expect(load.resultantN).toBeLessThanOrEqual(lim.forceLimitN * (1 + 1e-6));
        expect(load.hMaxMm).toBeLessThanOrEqual(lim.chipCapMm * (1 + 1e-9));
        expect(load.powerW).toBeLessThanOrEqual(lim.powerLimitW * (1 + 1e-9));
        limitedBy.add(best.limitedBy);
      },
    ),
    { numRuns: Math.max(15, runs(50)) },
  );
  expect(limitedBy.size).toBeGreaterThanOrEqual(3);
});

test('with chip limiting and no runout the rate goes as tan(phi / 2): the limit is best', () => {
  const best = bestStraightRemoval(cut, {
    maxEngagementRad: Math.PI / 3,
    forceLimitN: 1e9,
    chipCapMm: 0.012,
    maxFeedMmPerMin: 1e9,
  });
  expect(best.phiRad).toBeCloseTo(Math.PI / 3, 6);
  // ap r (1 - cos phi) z n cap / sin phi = ap r z n cap tan(phi / 2)
  expect(best.removalMm3PerMin).toBeCloseTo(
    0.3 * 1.5 * 3 * 10_000 * 0.012 * Math.tan(Math.PI / 6),
    6,
  );
});

test('large runout moves the best away from the engagement limit', () => {
  // Derived: feed per tooth is max(h / sin phi - TIR, h / (z sin phi)), so with a runout near the
  // chip that force allows a narrower cut that is fed faster can win.
  const lim = {
    maxEngagementRad: Math.PI / 2,
    forceLimitN: 60,
    chipCapMm: 1,
    maxFeedMmPerMin: 1e9,
  };
  const cond = { ...cut, runoutMm: 0.006, cutter: { ...cutter3, flutes: 6 } };
  const best = bestStraightRemoval(cond, lim);
  expect(best.removalMm3PerMin).toBeGreaterThanOrEqual(
    gridBest(cond, { ...lim, maxFeedMmPerMin: 20_000 }, 200) * (1 - 2e-3),
  );
});

test('inside the limit: the place where runout and chip balance, in closed form', () => {
  // One tooth cuts at a time (6 flutes, up to 60 degrees) and force allows a chip h, so the feed
  // goes as h / sin phi - TIR while that is the greater branch, and the rate as
  // tan(phi / 2) h - (1 - cos phi) TIR. Its derivative is zero where sin phi (1 + cos phi) = h / TIR.
  for (const share of [1.05, 1.2, 1.28]) {
    const runoutMm = 0.008;
    const h = share * runoutMm;
    const forceLimitN = Math.SQRT2 * 2500 * 0.3 * h ** (1 - 0.26);
    const cond = { ...cut, runoutMm, cutter: { ...cutter3, flutes: 6 } };
    const lim = { maxEngagementRad: Math.PI / 3, forceLimitN, chipCapMm: 1, maxFeedMmPerMin: 1e9 };
    let [lo, hi] = [0, Math.PI / 3];
    for (let i = 0; i < 60; i++) {
      const phi = (lo + hi) / 2;
      if (Math.sin(phi) * (1 + Math.cos(phi)) < share) lo = phi;
      else hi = phi;
    }
    const best = bestStraightRemoval(cond, lim);
    // The top is flat: rounding of the rate alone moves the place by some 1e-8.
    expect(Math.abs(best.phiRad - lo)).toBeLessThan(1e-5);
    const feed = 6 * 10_000 * (h / Math.sin(lo) - runoutMm);
    expect(best.feedMmPerMin / feed).toBeCloseTo(1, 5);
    expect(best.aeMm).toBeCloseTo(1.5 * (1 - Math.cos(lo)), 5);
    expect(best.limitedBy).toBe('force');
    const rate = 0.3 * 1.5 * (1 - Math.cos(lo)) * feed;
    expect(best.removalMm3PerMin / rate).toBeCloseTo(1, 8);
  }
});

test('at the limit of engagement it is the limit itself, to the last digit, however slow', () => {
  for (const spindleRpm of [10_000, 1]) {
    for (const maxEngagementRad of [Math.PI / 3, 1, Math.PI, 5]) {
      const best = bestStraightRemoval(
        { ...cut, spindleRpm },
        { maxEngagementRad, forceLimitN: 1e9, chipCapMm: 0.012, maxFeedMmPerMin: 1e9 },
      );
      expect(best.phiRad).toBe(Math.min(Math.PI, maxEngagementRad));
    }
  }
});
