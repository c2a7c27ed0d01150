import fc from 'fast-check';
import { expect, test } from 'vitest';
import { chipForForceMm, feedForLimits, feedTable } from '../../src/machines/feed.js';
import type { FeedLimits } from '../../src/machines/feed.js';
import { peakForce, toothResultantN } from '../../src/machines/force.js';
import type { CutConditions } from '../../src/machines/force.js';
import { cut, cutter3 } from './fixtures.js';
import { runs } from '../cam/oracle/runs.js';

const limits: FeedLimits = {
  chipCapMm: 0.012,
  chipFloorMm: 0.006,
  forceLimitN: 60,
  maxFeedMmPerMin: 1500,
};

const anyCond = fc
  .record({
    flutes: fc.integer({ min: 1, max: 6 }),
    mc: fc.double({ min: 0.14, max: 0.28, noNaN: true }),
    runoutMm: fc.double({ min: 0, max: 0.03, noNaN: true }),
    axialDepthMm: fc.double({ min: 0.05, max: 2, noNaN: true }),
    spindleRpm: fc.double({ min: 2000, max: 25_000, noNaN: true }),
    wearFactor: fc.double({ min: 1, max: 1.6, noNaN: true }),
  })
  .map(({ flutes, mc, ...rest }): CutConditions => ({
    ...cut,
    ...rest,
    material: { ...cut.material, mc },
    cutter: { ...cutter3, flutes },
  }));

const anyLimits = fc.record({
  chipCapMm: fc.double({ min: 0.004, max: 0.1, noNaN: true }),
  chipFloorMm: fc.constant(0.006),
  forceLimitN: fc.double({ min: 1, max: 1500, noNaN: true }),
  maxFeedMmPerMin: fc.double({ min: 100, max: 4000, noNaN: true }),
  powerLimitW: fc.double({ min: 1, max: 500, noNaN: true }),
});

const anyPhi = fc.double({ min: 0.02, max: Math.PI, noNaN: true });

test('property: every limit holds, and the named one is met', () => {
  const met: Record<string, number> = {};
  fc.assert(
    fc.property(anyCond, anyLimits, anyPhi, (cond, lim, phi) => {
      const choice = feedForLimits(cond, phi, lim);
      const load = peakForce(cond, choice.feedMmPerMin, [{ fromRad: 0, toRad: phi }]);
      const over = {
        chip: load.hMaxMm / lim.chipCapMm,
        force: load.resultantN / lim.forceLimitN,
        power: load.powerW / lim.powerLimitW,
        feed: choice.feedMmPerMin / lim.maxFeedMmPerMin,
      };
      // 1e-6: refinement of the peak in the several-teeth case.
      for (const share of Object.values(over)) expect(share).toBeLessThanOrEqual(1 + 1e-6);
      expect(over[choice.limitedBy]).toBeGreaterThan(1 - 1e-5);
      expect(choice.hMaxMm).toBeCloseTo(load.hMaxMm, 12);
      expect(Math.abs(choice.resultantN / load.resultantN - 1)).toBeLessThan(1e-6);
      expect(choice.belowFloor).toBe(load.hMaxMm < lim.chipFloorMm);
      met[choice.limitedBy] = (met[choice.limitedBy] ?? 0) + 1;
    }),
    { numRuns: runs(600) },
  );
  // Not an empty success: every kind of limit was the one met, often.
  for (const kind of ['chip', 'force', 'power', 'feed']) {
    expect(met[kind]).toBeGreaterThan(runs(600) / 50);
  }
});

test('property: the table never exceeds the true feed, and loses little', () => {
  let overlapping = 0;
  fc.assert(
    fc.property(
      anyCond,
      anyLimits,
      fc.array(anyPhi, { minLength: 30, maxLength: 30 }),
      (cond, lim, phis) => {
        const table = feedTable(cond, lim);
        for (const phi of phis) {
          const exact = feedForLimits(cond, phi, lim).feedMmPerMin;
          const got = table(phi);
          expect(got).toBeLessThanOrEqual(exact * (1 + 1e-7));
          expect(got).toBeGreaterThan(exact * 0.95);
          if (phi * cond.cutter.flutes <= 2 * Math.PI) expect(got).toBeCloseTo(exact, 9);
          else overlapping++;
        }
      },
    ),
    { numRuns: Math.max(20, runs(40)) },
  );
  expect(overlapping).toBeGreaterThan(10);
});

test('air is fed at the maximum; a limit of 0 stops; no depth is free of force', () => {
  expect(feedForLimits(cut, 0, limits)).toMatchObject({ feedMmPerMin: 1500, limitedBy: 'feed' });
  expect(feedTable(cut, limits)(0)).toBe(1500);
  const none = feedForLimits(cut, 1, { ...limits, forceLimitN: 0 });
  expect(none).toMatchObject({ feedMmPerMin: 0, limitedBy: 'force', belowFloor: true });
  expect(feedForLimits(cut, 3, { ...limits, forceLimitN: -5 }).feedMmPerMin).toBe(0);
  expect(feedForLimits(cut, 1, { ...limits, powerLimitW: 0 }).feedMmPerMin).toBe(0);
  const shallow = feedForLimits({ ...cut, axialDepthMm: 0 }, 1, limits);
  expect(shallow.limitedBy).toBe('chip');
});

test('constant chip on an arc slows the centre by sin(straight) / sin(arc)', () => {
  // Derived: R 4.298, r 3, ae 0.2: engagement 21.04 deg straight, 38.34 deg in the arc, ratio 0.58.
  const lim = { ...limits, forceLimitN: 1e9, maxFeedMmPerMin: 1e9 };
  const straight = feedForLimits(cut, (21.039 * Math.PI) / 180, lim).feedMmPerMin;
  const arc = feedForLimits(cut, (38.336 * Math.PI) / 180, lim).feedMmPerMin;
  expect(arc / straight).toBeCloseTo(0.58, 2);
});

test('property: chip for force inverts the tooth force over all three ranges of the radial share', () => {
  const ranges = new Set<string>();
  fc.assert(
    fc.property(anyCond, fc.double({ min: 0.1, max: 5000, noNaN: true }), (cond, limitN) => {
      const h = chipForForceMm(cond, limitN);
      expect(toothResultantN(cond, h)).toBeLessThanOrEqual(limitN);
      expect(toothResultantN(cond, h)).toBeGreaterThan(limitN * (1 - 1e-8));
      ranges.add(h < 0.015 ? 'thin' : h < 0.05 ? 'medium' : 'thick');
    }),
    { numRuns: Math.max(150, runs(300)) },
  );
  expect(ranges.size).toBe(3);
});

test('no limit of force, no depth and no power limit leave the others in force', () => {
  // Slot, several teeth in the cut: 4 flutes over half a turn.
  const four = { ...cut, cutter: { ...cutter3, flutes: 4 } };
  for (const phi of [1, Math.PI]) {
    for (const cond of [four, { ...four, axialDepthMm: 0 }]) {
      const free = { ...limits, forceLimitN: Infinity, maxFeedMmPerMin: 1e6 };
      const choice = feedForLimits(cond, phi, free);
      // The cap on the chip: 0.012 mm a tooth, over the sine of the angle up to 90 degrees.
      const feed = (0.012 / Math.sin(Math.min(phi, Math.PI / 2))) * 4 * 10_000;
      expect(choice.limitedBy).toBe('chip');
      expect(choice.feedMmPerMin).toBeCloseTo(feed, 6);
      expect(choice.hMaxMm).toBeCloseTo(0.012, 12);
      expect(choice.belowFloor).toBe(false);
      expect(feedForLimits(cond, phi, { ...free, forceLimitN: 0 }).feedMmPerMin).toBe(0);
      expect(feedTable(cond, free)(phi)).toBeLessThanOrEqual(feed * (1 + 1e-12));
    }
  }
  const air = feedForLimits(cut, 0, limits);
  expect(air).toMatchObject({ hMaxMm: 0, resultantN: 0, belowFloor: false });
});

test('wear makes the feed for a force smaller, and the feed for a power by the same law', () => {
  // Power and force go as the wear factor times chip^(1 - mc), so chips go as wear^(-1 / (1 - mc)).
  const worn = { ...cut, wearFactor: 1.4 };
  const share = 1.4 ** (-1 / (1 - cut.material.mc));
  expect(chipForForceMm(worn, 5) / chipForForceMm(cut, 5)).toBeCloseTo(share, 9);
  const byPower = {
    ...limits,
    chipCapMm: 1,
    forceLimitN: 1e6,
    maxFeedMmPerMin: 1e6,
    powerLimitW: 5,
  };
  const [fresh, dull] = [cut, worn].map((cond) => feedForLimits(cond, 1, byPower));
  expect(fresh!.limitedBy).toBe('power');
  expect(dull!.feedMmPerMin / fresh!.feedMmPerMin).toBeCloseTo(share, 6);
});
