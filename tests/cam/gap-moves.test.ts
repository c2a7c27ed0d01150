import { describe, expect, it } from 'vitest';
import { type RoughDirection, gapMoves } from '../../src/cam/gap-moves.js';
import { GapTooTight } from '../../src/cam/gap-front.js';
import { StockFront } from '../../src/cam/stock-front.js';
import { runs } from './oracle/runs.js';
import { forGaps, gapInput } from './random-gap.js';
import { walk } from './walk.js';

const DEG = Math.PI / 180;
/** Feeds that tell which engagement they were chosen for. */
const feedFor = (phi: number): number => 1000 * (4 - phi);
const chosenFor = (feed: number): number => 4 - feed / 1000;
const LINK_FEED = 5000;

/** The moves of random gaps, walked through an exact stock front. */
function walkGaps(direction: RoughDirection): { links: number; cuts: number } {
  const seen = { links: 0, cuts: 0 };
  forGaps(runs(15), (c, profile, plan) => {
    const input = gapInput(c, profile);
    const r = input.cutterRadiusMm;
    let way;
    try {
      way = gapMoves({
        plan,
        halfPitchRad: Math.PI / c.teeth,
        travelRadiusMm: plan.ring.radiusMm + 0.2,
        pillar: null,
        direction,
        feed: feedFor,
        linkFeedMmPerMin: LINK_FEED,
        accelerationMmPerS2: 200,
      });
    } catch (error) {
      if (!(error instanceof GapTooTight)) throw error;
      return;
    }
    const front = new StockFront({ blankRadiusMm: input.stockRadiusMm, cutterRadiusMm: r });
    for (const { move, peakRad } of walk(front, way.start, way.moves)) {
      if (move.role === 'link') {
        seen.links++;
        expect(move.feedMmPerMin).toBe(LINK_FEED);
        // In air but for the skin of a tolerance along a wall.
        expect(peakRad / DEG).toBeLessThan(6);
      }
      // Cuts, and leads, which touch what a slant onto the front comes to.
      if (move.role !== 'link') {
        if (move.role === 'cut') seen.cuts++;
        expect(peakRad / DEG).toBeLessThan(c.limitDeg + 0.6);
        expect(peakRad).toBeLessThan(chosenFor(move.feedMmPerMin) + 1 * DEG);
      }
    }
  });
  return seen;
}

describe('moves of random gaps', () => {
  it.each(['both-ways', 'climb'] as const)(
    '%s: links in air, every cut at a feed for what it meets',
    (direction) => {
      const { links, cuts } = walkGaps(direction);
      expect(links).toBeGreaterThan(runs(50));
      expect(cuts).toBeGreaterThan(runs(200));
    },
  );
});
