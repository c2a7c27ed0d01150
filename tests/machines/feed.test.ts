import fc from 'fast-check';
import { describe, expect, it, test, vi } from 'vitest';
import { chipForForceMm, feedForLimits, feedTable } from '../../src/machines/load/feed.js';
import type { FeedLimits } from '../../src/machines/load/feed.js';
import { peakForce, toothResultantN } from '../../src/machines/load/force.js';
import type { CutConditions } from '../../src/machines/load/force.js';
import { ToothSum } from '../../src/machines/load/teeth.js';
import { cut, cutter3 } from './fixtures.js';
import { runs } from '../cam/oracle/runs.js';

const limits: FeedLimits = {
  chipCapMm: 0.012,
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
      // The chip's cap is met exactly, to rounding; the others from inside.
      expect(over.chip).toBeLessThanOrEqual(1 + 1e-14);
      expect(over.force).toBeLessThanOrEqual(1);
      expect(over.power).toBeLessThanOrEqual(1);
      expect(over.feed).toBeLessThanOrEqual(1);
      // Closed forms to 1e-8; where several teeth cut, a search that stops within 1e-7.
      const several = phi * cond.cutter.flutes > 2 * Math.PI && choice.limitedBy === 'force';
      expect(over[choice.limitedBy]).toBeGreaterThan(1 - (several ? 3e-7 : 1e-8));
      expect(choice.hMaxMm).toBeCloseTo(load.hMaxMm, 12);
      expect(Math.abs(choice.resultantN / load.resultantN - 1)).toBeLessThan(1e-6);
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
  expect(none).toMatchObject({ feedMmPerMin: 0, limitedBy: 'force' });
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
      expect(feedForLimits(cond, phi, { ...free, forceLimitN: 0 }).feedMmPerMin).toBe(0);
      expect(feedTable(cond, free)(phi)).toBeLessThanOrEqual(feed * (1 + 1e-12));
    }
  }
  const air = feedForLimits(cut, 0, limits);
  expect(air).toMatchObject({ hMaxMm: 0, resultantN: 0 });
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

describe('several teeth in the cut', () => {
  const overlapping = (flutes: number, more: Partial<CutConditions> = {}): CutConditions => ({
    ...cut,
    ...more,
    cutter: { ...cutter3, flutes },
  });
  const free = { ...limits, chipCapMm: 1e6, maxFeedMmPerMin: 1e9 };

  it('the search settles in a few looks at the force, wherever it has to go', () => {
    const looks = vi.spyOn(ToothSum.prototype, 'findPeaks');
    let most = 0;
    let all = 0;
    let cases = 0;
    for (const flutes of [3, 4, 6, 8]) {
      for (const phi of [2.2, 2.7, Math.PI]) {
        for (const forceLimitN of [0.5, 5, 50, 300, 2000]) {
          for (const mc of [0.14, 0.26]) {
            looks.mockClear();
            const cond = overlapping(flutes, { material: { ...cut.material, mc } });
            const choice = feedForLimits(cond, phi, { ...free, forceLimitN });
            expect(choice.limitedBy).toBe('force');
            expect(choice.resultantN / forceLimitN).toBeLessThanOrEqual(1);
            expect(choice.resultantN / forceLimitN).toBeGreaterThan(1 - 3e-7);
            // One look is for the resultant that is reported.
            const needed = looks.mock.calls.length - 1;
            most = Math.max(most, needed);
            all += needed;
            cases++;
          }
        }
      }
    }
    looks.mockRestore();
    expect(most).toBeLessThanOrEqual(6);
    expect(all / cases).toBeLessThan(4);
  });

  it('a limit of nothing needs no look, no limit and no depth leave the others in force', () => {
    const looks = vi.spyOn(ToothSum.prototype, 'findPeaks');
    feedForLimits(overlapping(4), 3, { ...free, forceLimitN: 0 });
    expect(looks).toHaveBeenCalledTimes(0);
    // Nor does no limit, nor no depth: the one look is for the resultant that is reported.
    feedForLimits(overlapping(4), 3, { ...limits, forceLimitN: Infinity });
    expect(looks).toHaveBeenCalledTimes(1);
    feedForLimits(overlapping(4, { axialDepthMm: 0 }), 3, limits);
    expect(looks).toHaveBeenCalledTimes(2);
    looks.mockRestore();
    // Slot: the thickest chip is the feed per tooth, 2 mm x 4 x 10 000.
    const wide = { ...limits, chipCapMm: 2, maxFeedMmPerMin: 1e9 };
    for (const [cond, forceLimitN] of [
      [overlapping(4), Infinity],
      [overlapping(4, { axialDepthMm: 0 }), 60],
      [overlapping(4, { axialDepthMm: 0 }), Infinity],
    ] as const) {
      const choice = feedForLimits(cond, Math.PI, { ...wide, forceLimitN });
      expect(choice.limitedBy).toBe('chip');
      expect(choice.feedMmPerMin).toBeCloseTo(80_000, 6);
    }
  });

  it('the table is made once, when it is first asked for, and lies just under the true feed', () => {
    const looks = vi.spyOn(ToothSum.prototype, 'findPeaks');
    for (const flutes of [3, 4, 7]) {
      const cond = overlapping(flutes);
      const lim = { ...free, forceLimitN: 40 };
      const from = (2 * Math.PI) / flutes;
      looks.mockClear();
      const table = feedTable(cond, lim);
      for (const phi of [0, 0.1, from / 2, from]) table(phi);
      expect(looks).toHaveBeenCalledTimes(0);
      table(3);
      expect(looks.mock.calls.length).toBeGreaterThan(360);
      looks.mockClear();
      const cell = (Math.PI - from) / 180;
      const places = Array.from(
        { length: 40 },
        (_, i) => from + 1e-9 + (i * (Math.PI - from)) / 40,
      );
      const got = [...places, Math.PI, 4].map(table);
      expect(looks).toHaveBeenCalledTimes(0);
      expect(got.at(-1)).toBe(got.at(-2));
      places.forEach((phi, i) => {
        const exact = (at: number): number =>
          feedForLimits(cond, Math.min(Math.PI, Math.max(from + 1e-9, at)), lim).feedMmPerMin;
        const around = [-1, -0.75, -0.5, -0.25, 0, 0.25, 0.5, 0.75, 1].map((k) =>
          exact(phi + k * cell),
        );
        expect(got[i]!).toBeLessThanOrEqual(exact(phi));
        // A cell's least feed less 0.1 %: no lower than what is found within a cell either way.
        expect(got[i]!).toBeGreaterThan(0.9989 * Math.min(...around));
      });
    }
    looks.mockRestore();
  });
});

test('air has no feed but the greatest, also behind the wall', () => {
  for (const phi of [0, -0.1, -3]) {
    expect(feedForLimits(cut, phi, limits)).toMatchObject({ feedMmPerMin: 1500, resultantN: 0 });
    expect(feedTable(cut, limits)(phi)).toBe(1500);
  }
});

test('where two limits meet at one feed, that of the machine is named first, force last', () => {
  const free = { ...limits, chipCapMm: 1e6, forceLimitN: 1e9, maxFeedMmPerMin: 1e9 };
  const only = { chip: { chipCapMm: 0.012 }, power: { powerLimitW: 5 }, force: { forceLimitN: 9 } };
  for (const [name, lim] of Object.entries(only)) {
    const choice = feedForLimits(cut, 1, { ...free, ...lim });
    expect(choice.limitedBy).toBe(name);
    const { feedMmPerMin } = choice;
    const both = feedForLimits(cut, 1, { ...free, ...lim, maxFeedMmPerMin: feedMmPerMin });
    expect(both).toMatchObject({ limitedBy: 'feed', feedMmPerMin });
  }
});

test('one tooth at a time: closed form while chips are thin, and no force is no limit', () => {
  // Ft = kc1.1 ap wear h^(1-mc), Fr the same up to 15 um: F = sqrt(2) Ft; 1e-9 is kept inside.
  const scale = 2500 * 0.3;
  for (const h of [0.001, 0.008, 0.0149]) {
    const limitN = Math.SQRT2 * scale * h ** (1 - 0.26);
    expect(Math.abs(chipForForceMm(cut, limitN) / h / (1 - 1e-9) - 1)).toBeLessThan(1e-13);
  }
  expect(chipForForceMm(cut, Infinity)).toBe(Infinity);
  expect(chipForForceMm({ ...cut, axialDepthMm: 0 }, 60)).toBe(Infinity);
  expect(chipForForceMm(cut, 0)).toBe(0);
  expect(chipForForceMm(cut, NaN)).toBe(0);
});
