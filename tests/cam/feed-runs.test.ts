import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type FeedRun,
  type Reach,
  feedOver,
  feedRuns,
  reachable,
} from '../../src/cam/feed-runs.js';
import { motionTimes } from '../../src/cam/timing.js';
import type { Move } from '../../src/model/toolpath.js';
import { findMachine } from '../../src/machines/machines.js';
import { runs } from './oracle/runs.js';

const spacingMm = 0.1;

/** Travel at the least of the run's feeds, as far as the machine gets up to it, and the price. */
function costOf(
  list: readonly FeedRun[],
  price: number,
  feeds: readonly number[],
  reach?: Reach,
): number {
  let cost = 0;
  for (const run of list) {
    const feed = Math.min(...feeds.slice(run.from, run.to + 1));
    for (let k = run.from; k < run.to; k++) {
      const atFeed = (spacingMm * 60) / feed;
      cost += Math.max(atFeed, reach ? reach.seconds[k]! : 0);
    }
    cost += price;
  }
  return cost;
}

/** Every way to split the stations, tried one after the other. */
function cheapest(feeds: readonly number[], price: number, least: number, reach?: Reach): number {
  const n = feeds.length;
  let best = Infinity;
  for (let mask = 0; mask < 1 << (n - 2); mask++) {
    const cuts = [0];
    for (let k = 1; k < n - 1; k++) if (mask & (1 << (k - 1))) cuts.push(k);
    cuts.push(n - 1);
    const list = cuts.slice(1).map((to, i): FeedRun => {
      const from = cuts[i]!;
      return { from, to, feedMmPerMin: Math.min(...feeds.slice(from, to + 1)) };
    });
    if (list.length > 1 && list.some(({ from, to }) => to - from < least)) continue;
    best = Math.min(best, costOf(list, price, feeds, reach));
  }
  return best;
}

describe('runs of constant feed', () => {
  const feedsArb = fc.array(fc.integer({ min: 50, max: 1500 }), { minLength: 2, maxLength: 12 });

  it('cost as little as the cheapest of all ways to split', () => {
    fc.assert(
      fc.property(
        feedsArb,
        fc.constantFrom(0, 0.006, 0.05, 1),
        fc.integer({ min: 1, max: 5 }),
        (feeds, pricePerRunS, least) => {
          const minRunMm = least * spacingMm;
          const list = feedRuns(feeds, spacingMm, { pricePerRunS, minRunMm });
          const cost = costOf(list, pricePerRunS, feeds);
          expect(cost).toBeCloseTo(cheapest(feeds, pricePerRunS, least), 9);
        },
      ),
      { numRuns: runs(300) },
    );
  });

  it('cover every station once, never over what one of them allows, none too short', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 50, max: 1500 }), { minLength: 2, maxLength: 120 }),
        fc.integer({ min: 1, max: 8 }),
        (feeds, least) => {
          const options = { pricePerRunS: 0.01, minRunMm: least * spacingMm };
          const list = feedRuns(feeds, spacingMm, options);
          expect(list[0]!.from).toBe(0);
          expect(list[list.length - 1]!.to).toBe(feeds.length - 1);
          list.forEach((run, i) => {
            if (i > 0) expect(run.from).toBe(list[i - 1]!.to);
            for (let k = run.from; k <= run.to; k++) {
              expect(run.feedMmPerMin).toBeLessThanOrEqual(feeds[k]!);
            }
            if (list.length > 1) expect(run.to - run.from).toBeGreaterThanOrEqual(least);
          });
        },
      ),
      { numRuns: runs(200) },
    );
  });

  it('one feed where nothing is gained by two; two where a slow place is short', () => {
    const options = { pricePerRunS: 0.01, minRunMm: 0.2 };
    expect(feedRuns(new Array<number>(40).fill(600), spacingMm, options)).toEqual([
      { from: 0, to: 39, feedMmPerMin: 600 },
    ]);
    const feeds = [
      ...new Array<number>(30).fill(900),
      200,
      200,
      ...new Array<number>(30).fill(900),
    ];
    const list = feedRuns(feeds, spacingMm, options);
    expect(list.map((run) => run.feedMmPerMin)).toEqual([900, 200, 900]);
    expect(feedRuns([700], spacingMm, options)).toEqual([]);
  });

  it('the same with what the machine reaches, for every row of three feeds', () => {
    // Up, down, dip and bump: after a slow place the machine is still slow where it need not be.
    const limits = { accelerationMmPerS2: 100, entryMmPerMin: 200, exitMmPerMin: Infinity };
    for (let row = 0; row < 3 ** 6; row++) {
      const feeds = [1, 3, 9, 27, 81, 243].map((d) => [150, 700, 1500][Math.floor(row / d) % 3]!);
      const reach = reachable(feeds, spacingMm, limits);
      for (const least of [1, 2]) {
        const options = { pricePerRunS: 0.004, minRunMm: least * spacingMm, reach };
        const list = feedRuns(feeds, spacingMm, options);
        const best = cheapest(feeds, options.pricePerRunS, least, reach);
        expect(costOf(list, options.pricePerRunS, feeds, reach), feeds.join()).toBeCloseTo(best, 9);
      }
    }
  });

  it('a stretch shorter than a run is one all the same, none is none', () => {
    expect(feedRuns([700, 500, 900], spacingMm, { pricePerRunS: 0, minRunMm: 1 })).toEqual([
      { from: 0, to: 2, feedMmPerMin: 500 },
    ]);
    expect(feedRuns([], spacingMm, { pricePerRunS: 0, minRunMm: 1 })).toEqual([]);
  });

  it('the same with what the machine reaches', () => {
    fc.assert(
      fc.property(
        feedsArb,
        limitsArb,
        fc.constantFrom(0, 0.006, 0.05),
        fc.integer({ min: 1, max: 3 }),
        (feeds, limits, pricePerRunS, least) => {
          const reach = reachable(feeds, spacingMm, limits);
          const minRunMm = least * spacingMm;
          const list = feedRuns(feeds, spacingMm, { pricePerRunS, minRunMm, reach });
          const cost = costOf(list, pricePerRunS, feeds, reach);
          expect(cost).toBeCloseTo(cheapest(feeds, pricePerRunS, least, reach), 9);
          for (const run of list) {
            expect(run.feedMmPerMin).toBe(feedOver(feeds, reach, run.from, run.to));
          }
        },
      ),
      { numRuns: runs(200) },
    );
  });
});

const limitsArb = fc.record({
  accelerationMmPerS2: fc.constantFrom(50, 200, 1000),
  entryMmPerMin: fc.constantFrom(0, 300, Infinity),
  exitMmPerMin: fc.constantFrom(0, 300, Infinity),
});

describe('what the machine reaches', () => {
  it('is the least of what each feed, the entry and the exit let it have, by v^2 = u^2 + 2 a s', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 50, max: 3000 }), { minLength: 2, maxLength: 60 }),
        limitsArb,
        (feeds, limits) => {
          const a = limits.accelerationMmPerS2 * 3600;
          const reach = reachable(feeds, spacingMm, limits);
          feeds.forEach((feed, k) => {
            const ends = [
              { u: limits.entryMmPerMin, s: k * spacingMm },
              { u: limits.exitMmPerMin, s: (feeds.length - 1 - k) * spacingMm },
              ...feeds.map((u, j) => ({ u, s: Math.abs(k - j) * spacingMm })),
            ];
            const most = Math.min(...ends.map(({ u, s }) => Math.sqrt(u * u + 2 * a * s)));
            expect(reach.atStations[k]).toBeCloseTo(Math.min(feed, most), 6);
          });
        },
      ),
      { numRuns: runs(100) },
    );
  });

  it('between two stations: from rest to rest over s the top is sqrt(a s)', () => {
    const limits = { accelerationMmPerS2: 200, entryMmPerMin: 0, exitMmPerMin: 0 };
    // 200 mm/s2 over 0.5 mm: 10 mm/s at the middle, and 2 x 10 / 200 s in all.
    const reach = reachable([3000, 3000], 0.5, limits);
    expect(reach.between[0]).toBeCloseTo(600, 9);
    expect(reach.seconds[0]).toBeCloseTo(0.1, 9);
    // A feed below the top is kept.
    expect(reachable([300, 3000], 0.5, limits).between[0]).toBe(300);
  });

  it('at one speed a stretch takes its length over that speed', () => {
    // 0.5 mm at 600 mm/min, 10 mm/s: 0.05 s.
    const limits = { accelerationMmPerS2: 200, entryMmPerMin: 600, exitMmPerMin: 600 };
    const reach = reachable([600, 600, 600], 0.5, limits);
    expect(reach.between).toHaveLength(2);
    expect(reach.seconds[0]).toBeCloseTo(0.05, 12);
    expect(reach.seconds[1]).toBeCloseTo(0.05, 12);
    // From 600 to 0 at 200 mm/s2 takes 0.25 mm: v^2 = 2 a s. Over 0.5 mm the top lies between.
    const stops = reachable([3000, 3000], 0.5, { ...limits, exitMmPerMin: 0 });
    expect(stops.between[0]).toBeCloseTo(60 * Math.sqrt((10 ** 2 + 2 * 200 * 0.5) / 2), 9);
  });

  it('a run is fed at the least of its feeds, or at what the machine gets up to on it', () => {
    const feeds = [3000, 2000, 3000, 3000];
    // From rest to rest over 1.5 mm at 200 mm/s2: sqrt(a s) = 17.32 mm/s in the middle.
    const limits = { accelerationMmPerS2: 200, entryMmPerMin: 0, exitMmPerMin: 0 };
    const reach = reachable(feeds, 0.5, limits);
    expect(feedOver(feeds, reach, 0, 3)).toBeCloseTo(60 * Math.sqrt(200 * 1.5), 6);
    // On the first 0.5 mm: from rest, with what it has at 0.5 mm, v^2 = 2 a s.
    expect(feedOver(feeds, reach, 0, 1)).toBeCloseTo(60 * Math.sqrt(2 * 200 * 0.5), 6);
    expect(feedOver(feeds, undefined, 0, 3)).toBe(2000);
    expect(feedOver([900, 400, 500], reachable([900, 400, 500], 50, limits), 0, 2)).toBe(400);
    // A run of one station has no length to gain speed on: its feed is as allowed.
    expect(feedOver(feeds, reach, 1, 1)).toBe(2000);
    expect(feedOver(feeds, reach, 0, 0)).toBe(3000);
  });

  it('feeds that are not reached are not asked for, and nothing is lost by that', () => {
    const machine = findMachine('belt-gantry-light');
    const a = Math.min(machine.accelerationMmPerS2.x, machine.accelerationMmPerS2.y);
    const limits = { accelerationMmPerS2: a, entryMmPerMin: 0, exitMmPerMin: 0 };
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 200, max: 3000 }), { minLength: 4, maxLength: 80 }),
        (feeds) => {
          const reach = reachable(feeds, spacingMm, limits);
          const list = feedRuns(feeds, spacingMm, { pricePerRunS: 0.006, minRunMm: 0.25, reach });
          const time = (feedOf: (run: FeedRun) => number): number =>
            motionTimes(
              [0, 0, 0],
              list.map((run): Move => {
                const to = [run.to * spacingMm, 0, 0] as const;
                return { kind: 'line', to, feedMmPerMin: feedOf(run), role: 'cut' };
              }),
              machine,
            ).totalS;
          const asked = time((run) => Math.min(...feeds.slice(run.from, run.to + 1)));
          expect(time((run) => run.feedMmPerMin)).toBeLessThan(asked * (1 + 1e-9));
        },
      ),
      { numRuns: runs(100) },
    );
  });
});
