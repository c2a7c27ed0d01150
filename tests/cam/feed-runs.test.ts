import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type FeedRun, feedRuns } from '../../src/cam/feed-runs.js';
import { runs } from './oracle/runs.js';

const spacingMm = 0.1;

function costOf(list: readonly FeedRun[], price: number): number {
  let cost = 0;
  for (const run of list) {
    cost += ((run.to - run.from) * spacingMm * 60) / run.feedMmPerMin + price;
  }
  return cost;
}

/** Every way to split the stations, tried one after the other. */
function cheapest(feeds: readonly number[], price: number, least: number): number {
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
    best = Math.min(best, costOf(list, price));
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
          expect(costOf(list, pricePerRunS)).toBeCloseTo(cheapest(feeds, pricePerRunS, least), 9);
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
});
