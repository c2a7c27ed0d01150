import { describe, expect, it } from 'vitest';
import { type RoughDirection, gapMoves } from '../../src/cam/gap/moves.js';
import { type GapPlan, GapTooTight, planGap } from '../../src/cam/gap/front.js';
import { StockFront } from '../../src/cam/stock/stock-front.js';
import type { Wheel } from '../../src/profile/wheel/sprocket.js';
import { runs } from './oracle/runs.js';
import { type GapCase, forGaps, gapInput, profileOf } from './random-gap.js';
import { walk } from './walk.js';

const DEG = Math.PI / 180;
/** Feeds that tell which engagement they were chosen for. */
const feedFor = (phi: number): number => 1000 * (4 - phi);
const chosenFor = (feed: number): number => 4 - feed / 1000;
const LINK_FEED = 5000;

interface Seen {
  /** Gaps whose moves were walked, and those that the planner gave up. */
  walked: number;
  tight: number;
  links: number;
  cuts: number;
}

/** The moves of a gap, walked through an exact stock front. */
function walkGap(
  c: GapCase,
  profile: Wheel,
  plan: GapPlan,
  direction: RoughDirection,
  seen: Seen,
): void {
  const input = gapInput(c, profile);
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
    seen.tight++;
    return;
  }
  seen.walked++;
  const front = new StockFront({
    blankRadiusMm: input.stockRadiusMm,
    cutterRadiusMm: input.cutterRadiusMm,
  });
  for (const { move, peakRad } of walk(front, way.start, way.moves)) {
    if (move.role === 'link') {
      seen.links++;
      expect(move.feedMmPerMin).toBe(LINK_FEED);
      // In air but for the skin of a tolerance along a wall.
      expect(peakRad / DEG).toBeLessThan(6);
    } else {
      // Cuts, and leads, which touch what a slant onto the front comes to.
      if (move.role === 'cut') seen.cuts++;
      expect(peakRad / DEG).toBeLessThan(c.limitDeg + 0.6);
      expect(peakRad).toBeLessThan(chosenFor(move.feedMmPerMin) + 1 * DEG);
    }
  }
}

describe('moves of random gaps', () => {
  it.each(['both-ways', 'climb'] as const)(
    '%s: links in air, every cut at a feed for what it meets',
    (direction) => {
      const seen = { walked: 0, tight: 0, links: 0, cuts: 0 };
      const { planned } = forGaps(runs(15), (c, profile, plan) => {
        walkGap(c, profile, plan, direction, seen);
      });
      expect(seen.walked + seen.tight).toBe(planned);
      expect(seen.walked).toBeGreaterThan(runs(15) / 3);
      expect(seen.links).toBeGreaterThan(runs(50));
      expect(seen.cuts).toBeGreaterThan(runs(200));
    },
  );

  // A seat with 0.05 mm of room: an arc drawn on over a straight bit beside it would bulge by 0.01 mm,
  // which is 12 deg of engagement there.
  it('the same where the last passes are arcs of a tenth of a millimetre', () => {
    const c: GapCase = {
      chain: '04C (25)',
      form: 'link-sweep',
      teeth: 23,
      tipRoundingMm: 0,
      flankReliefMm: 0,
      cutterRadiusMm: 1.5,
      allowanceMm: 0.1,
      limitDeg: 75,
    };
    const profile = profileOf(c)!;
    const seen = { walked: 0, tight: 0, links: 0, cuts: 0 };
    walkGap(c, profile, planGap(gapInput(c, profile)), 'climb', seen);
    expect(seen.cuts).toBeGreaterThan(50);
  });
});
