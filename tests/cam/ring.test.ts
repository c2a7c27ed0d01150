import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { planRing, rimInDisc } from '../../src/cam/ring.js';
import { StockFront } from '../../src/cam/stock/stock-front.js';
import { linePiece } from '../../src/cam/stock/path-piece.js';
import { runs } from './oracle/runs.js';
import { walk } from './walk.js';

const DEG = Math.PI / 180;

/** Feeds that tell which engagement they were chosen for. */
const feedFor = (phi: number): number => 1000 * (4 - phi);
const chosenFor = (feed: number): number => 4 - feed / 1000;

const ringArb = fc.record({
  wallRadiusMm: fc.double({ min: 5, max: 90, noNaN: true }),
  extraMm: fc.double({ min: 0.05, max: 6, noNaN: true }),
  cutterRadiusMm: fc.constantFrom(0.75, 1, 1.5, 2, 3),
  limitDeg: fc.constantFrom(30, 45, 60, 75, 90),
  touchRad: fc.double({ min: 0, max: 1, noNaN: true }),
});

describe('ring of stock round the tips', () => {
  it('every pass, its way in and its way out keep the limit, at a feed for what they meet', () => {
    let passes = 0;
    fc.assert(
      fc.property(ringArb, ({ wallRadiusMm, extraMm, cutterRadiusMm: r, limitDeg, touchRad }) => {
        const blankRadiusMm = wallRadiusMm + extraMm;
        const ring = planRing({
          blankRadiusMm,
          wallRadiusMm,
          cutterRadiusMm: r,
          maxEngagementRad: limitDeg * DEG,
          touchRad,
          feed: feedFor,
          linkFeedMmPerMin: 1,
        });
        const front = new StockFront({ blankRadiusMm, cutterRadiusMm: r });
        expect(Math.hypot(...ring.start)).toBeGreaterThan(blankRadiusMm + r);
        for (const { move, peakRad } of walk(front, ring.start, ring.moves, 0.2)) {
          expect(peakRad / DEG).toBeLessThan(limitDeg + 0.2);
          if (move.role === 'cut')
            expect(peakRad).toBeLessThan(chosenFor(move.feedMmPerMin) + 0.2 * DEG);
          // Out of the cut the rim parts from the wall; a link is in air.
          if (move.role === 'lead') expect(peakRad / DEG).toBeLessThan(1);
          if (move.role === 'link') expect(peakRad).toBe(0);
        }
        const end = ring.moves.at(-1)?.to ?? ring.start;
        expect(front.engagedRad(end[0], end[1])).toBe(0);
        passes += ring.moves.filter((move) => move.role === 'lead').length;
        // What is left is thinner than one more pass, and nothing stands outside it.
        expect(ring.stockRadiusMm).toBeLessThanOrEqual(blankRadiusMm + 1e-12);
        expect(ring.stockRadiusMm).toBeGreaterThanOrEqual(wallRadiusMm);
        for (let k = 0; k < 64; k++) {
          const a = (2 * Math.PI * k) / 64;
          const at = (radius: number): boolean =>
            front.standsAt(radius * Math.cos(a), radius * Math.sin(a));
          expect(at(ring.stockRadiusMm + 1e-6)).toBe(false);
          expect(at(ring.stockRadiusMm - 1e-3)).toBe(true);
        }
        const last = rimInDisc(wallRadiusMm + r, r, ring.stockRadiusMm);
        // One-sided: a full turn at the wall's radius would keep the limit.
        expect(last / DEG).toBeLessThan(limitDeg + 0.1);
      }),
      { numRuns: runs(40) },
    );
    // Not an empty success: thin rims have no pass, thick ones several.
    expect(passes).toBeGreaterThan(runs(40) / 8);
  });

  // Blanks many times the wheel: the way in of a small pass cannot begin outside the whole blank.
  it.each([
    [125.15, 24],
    [250.15, 24],
    [60.2, 9],
  ])(
    'from %d mm radius down to %d mm: arcs keep their radius, ways in begin in air',
    (blank, wall) => {
      const r = 1.5;
      const ring = planRing({
        blankRadiusMm: blank,
        wallRadiusMm: wall,
        cutterRadiusMm: r,
        maxEngagementRad: 60 * DEG,
        touchRad: 0.2,
        feed: feedFor,
        linkFeedMmPerMin: 1,
      });
      let at = ring.start;
      // What the turns before have left, whose centre is the wheel's axis.
      let [stock, turned] = [blank, 0];
      for (const move of ring.moves) {
        const air = move.role === 'link' ? [at, move.to] : at === ring.start ? [at] : [];
        for (const p of air) expect(Math.hypot(...p)).toBeGreaterThan(stock + r);
        if (move.kind === 'arc') {
          const radius = Math.hypot(at[0] - move.c[0], at[1] - move.c[1]);
          const end = Math.hypot(move.to[0] - move.c[0], move.to[1] - move.c[1]);
          // The writer takes arcs whose two radii are within 0.001 mm.
          expect(Math.abs(radius - end)).toBeLessThan(1e-6);
          if (move.role === 'cut' && Math.hypot(...move.c) < 1e-9) turned = radius;
          if (move.role === 'lead') stock = turned - r;
        }
        at = move.to;
      }
      // Less than a whole step stands: 60 degrees on a flat wall is r (1 - cos 60) = 0.75 mm.
      expect(ring.stockRadiusMm - wall).toBeLessThan(0.76);
      expect(stock).toBeCloseTo(ring.stockRadiusMm, 9);
    },
  );

  it('the rim in a disc is that of the stock front', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 5, max: 60, noNaN: true }),
        fc.double({ min: 0.5, max: 3, noNaN: true }),
        fc.double({ min: -0.99, max: 0.99, noNaN: true }),
        (stock, r, share) => {
          const centre = stock + share * r;
          const front = new StockFront({ blankRadiusMm: stock, cutterRadiusMm: r });
          // Both sides of the normal without a path behind; one side is half of it.
          expect(2 * rimInDisc(centre, r, stock)).toBeCloseTo(front.engagedRad(centre, 0), 6);
          const onWay = linePiece(centre, -200, centre, 200);
          expect(front.engagedRad(centre, 0, onWay)).toBeLessThanOrEqual(
            rimInDisc(centre, r, stock) + 1e-6,
          );
        },
      ),
      { numRuns: runs(100) },
    );
  });
});
