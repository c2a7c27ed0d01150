import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { frontPieces, intoRoom, onFront, outOfRoom } from '../../src/cam/gap/front-shape.js';
import { GapEngagement } from '../../src/cam/gap/engagement.js';
import { type GapPass, GapTooTight, planGap } from '../../src/cam/gap/front.js';
import type { PlanarMove } from '../../src/cam/planar.js';
import { alongSide, gapSide, lengthOnSide, outOfSide, sidePieces } from '../../src/cam/gap/side.js';
import { StockFront } from '../../src/cam/stock/stock-front.js';
import { pieceAt, pieceLengthMm } from '../../src/cam/stock/path-piece.js';
import { edgeLength, pointAt, tangentAt } from '../../src/profile/geometry/edge.js';
import type { Edge, Pt } from '../../src/model/edges.js';
import {
  type Curve,
  CurveGrid,
  type OutlineEdge,
  distanceTo,
  edgeCurve,
  pointsAlong,
} from './oracle/curves.js';
import { runs } from './oracle/runs.js';
import { type GapCase, forGaps, gapCaseArb, gapInput, profileOf } from './random-gap.js';
import { leastDistance, piecesOf, walk } from './walk.js';

const DEG = Math.PI / 180;
/** Way in air before and after a pass. */
const LEAD_MM = 0.08;

/** Distances from points to the outline up to a reach, by code of the tests. */
function outlineGrid(outline: readonly OutlineEdge[], reach: number): CurveGrid {
  const grid = new CurveGrid(reach);
  for (const edge of outline) grid.add(edgeCurve(edge), [...pointsAlong(edge, 0.2), edge.b], 0.2);
  return grid;
}

function edgeGap(a: Edge, b: Edge): number {
  return Math.hypot(b.a[0] - a.b[0], b.a[1] - a.b[1]);
}

/** Moves of a pass along its own front, from high to low, with a lead in air at either end. */
function passMoves(pass: GapPass): { start: Pt; moves: PlanarMove[] } {
  const from = pass.highMm + LEAD_MM;
  const moves = frontPieces(pass.front, from, pass.lowMm - LEAD_MM).map((edge): PlanarMove => {
    const rest = { to: edge.b, feedMmPerMin: 1, role: 'cut' as const };
    return edge.kind === 'line'
      ? { kind: 'line', ...rest }
      : { kind: 'arc', c: edge.c, ccw: edge.ccw, ...rest };
  });
  return { start: onFront(pass.front, from), moves };
}

describe('passes of random gaps, walked through an exact stock front', () => {
  it('keep the engagement limit, the allowance, and leave no more than it', () => {
    const count = forGaps(runs(30), (c, profile, plan) => {
      const input = gapInput(c, profile);
      const { cutterRadiusMm: r, allowanceMm } = input;
      const keepOff = r + allowanceMm;
      const grid = outlineGrid(profile.outline, r + 0.5);
      const front = new StockFront({ blankRadiusMm: input.stockRadiusMm, cutterRadiusMm: r });
      let before = Infinity;
      for (const pass of plan.passes) {
        expect(pass.front.bottomMm).toBeLessThan(before);
        before = pass.front.bottomMm;
        const { start, moves } = passMoves(pass);
        expect(leastDistance(start, moves, grid)).toBeGreaterThan(keepOff - 1e-5);
        let peak = 0;
        let area = 0;
        for (const { peakRad, areaMm2 } of walk(front, start, moves)) {
          peak = Math.max(peak, peakRad);
          area += areaMm2;
        }
        expect(peak / DEG).toBeLessThan(c.limitDeg + 0.6);
        expect(peak / DEG).toBeLessThan(pass.peakEngagementRad / DEG + 0.6);
        expect(area).toBeGreaterThan(0);
      }
      // Below the tips the whole of the gap is down to the allowance.
      let worst = 0;
      let seen = 0;
      for (const edge of profile.gap) {
        for (const [x, y] of pointsAlong(edge, 0.03)) {
          if (Math.hypot(x, y) > profile.tipDiameterMm / 2 - 0.35) continue;
          worst = Math.max(worst, front.distanceToPath(x, y) - keepOff);
          seen++;
        }
      }
      expect(seen).toBeGreaterThan(50);
      expect(worst).toBeLessThan(0.003);
    });
    // Not all refused: most of the cases are cuttable.
    expect(count.planned).toBeGreaterThan(0.6 * (count.planned + count.tight));
  });
});

describe('what the planner measures, against the stock front', () => {
  it('engagement at points of a pass given the passes before it', () => {
    let compared = 0;
    forGaps(runs(15), (c, profile, plan) => {
      const input = gapInput(c, profile);
      const r = input.cutterRadiusMm;
      const measure = new GapEngagement(r);
      const front = new StockFront({ blankRadiusMm: input.stockRadiusMm, cutterRadiusMm: r });
      plan.passes.forEach((pass, k) => {
        const before = [plan.ring, ...plan.passes.slice(0, k).map((p) => p.front)];
        const { start, moves } = passMoves(pass);
        const pieces = piecesOf(start, moves);
        let s = pass.highMm + LEAD_MM;
        for (const [, piece] of pieces) {
          const length = pieceLengthMm(piece);
          const [x, y] = pieceAt(piece, 0.5);
          const planned = measure.at(pass.front, s - length / 2, before).totalRad / DEG;
          const met = front.engagedRad(x, y, piece) / DEG;
          // A touch of a few degrees may come and go within the tolerance of the fronts.
          if (Math.max(planned, met) > 15) {
            expect(met).toBeLessThan(planned + 0.6);
            compared++;
          }
          s -= length;
        }
        for (const [, piece] of pieces) front.add(piece);
      });
    });
    expect(compared).toBeGreaterThan(runs(200));
  });
});

describe('fronts', () => {
  const c: GapCase = {
    chain: '420',
    form: 'iso606-mid',
    teeth: 12,
    tipRoundingMm: 0.2,
    flankReliefMm: 0,
    cutterRadiusMm: 1.5,
    allowanceMm: 0.1,
    limitDeg: 60,
  };
  const profile = profileOf(c)!;
  const input = gapInput(c, profile);
  const { passes } = planGap(input);
  const rootMm = input.rootRadiusMm + input.cutterRadiusMm + input.allowanceMm;
  // The last one, which lies at the root, and ones farther and farther out.
  const fronts = [1, 2, 5, 9].map((k) => passes.at(-k)!.front);

  it.each(fronts)('bottom at $bottomMm: one curve, joined, mirrored about the axis', (front) => {
    expect(onFront(front, 0)[0]).toBeCloseTo(front.bottomMm, 9);
    const pieces = frontPieces(front, 3, -3);
    let length = 0;
    pieces.forEach((piece, i) => {
      length += edgeLength(piece);
      const next = pieces[i + 1];
      if (!next) return;
      expect(edgeGap(piece, next)).toBeLessThan(1e-6);
      const [ax, ay] = tangentAt(piece, 1);
      const [bx, by] = tangentAt(next, 0);
      expect(ax * bx + ay * by).toBeGreaterThan(Math.cos(2 * DEG));
    });
    expect(length).toBeCloseTo(6, 5);
    for (const s of [0.3, 1, 2, 2.9]) {
      const p = onFront(front, s);
      const q = onFront(front, -s);
      expect(q[0]).toBeCloseTo(p[0], 9);
      expect(q[1]).toBeCloseTo(-p[1], 9);
    }
  });

  it.each(fronts)('bottom at $bottomMm: distance out of the room, by brute force', (front) => {
    const curves: Curve[] = frontPieces(front, 12, -12).map((edge) => edgeCurve(edge));
    for (const s of [-4, -2.5, -1, -0.2, 0, 0.7, 1.9, 3, 4]) {
      const p = onFront(front, s);
      const n = intoRoom(front, s);
      for (const off of [0.05, 0.4, 1, 1.5]) {
        const x = p[0] - off * n[0];
        const y = p[1] - off * n[1];
        let d = Infinity;
        for (const curve of curves) d = Math.min(d, distanceTo(curve, x, y));
        expect(outOfRoom(front, x, y)).toBeCloseTo(d, 3);
        expect(outOfRoom(front, p[0] + 0.02 * n[0], p[1] + 0.02 * n[1])).toBeLessThan(0);
      }
    }
  });

  it('steps are wide in the open and narrow in the seat', () => {
    const bottoms = passes.map((pass) => pass.front.bottomMm);
    const steps = bottoms.slice(1).map((b, i) => bottoms[i]! - b);
    // A straight wall would allow r (1 - cos 60 deg) = 0.75 mm; the last but one is held by the seat.
    expect(Math.max(...steps)).toBeGreaterThan(0.45);
    expect(steps[steps.length - 2]!).toBeLessThan(0.75 * Math.max(...steps));
    expect(bottoms[bottoms.length - 1]).toBeCloseTo(rootMm, 9);
  });

  it('a cutter as wide as the gap is too tight, and says so', () => {
    expect(() => planGap({ ...input, cutterRadiusMm: 4 })).toThrow(GapTooTight);
    expect(() => planGap({ ...input, maxEngagementRad: 8 * DEG })).toThrow(/steps of 0\.0\d+ mm/);
    // 0.03 mm of room left in the seat.
    const cutterRadiusMm = profile.seatRadiusMm - input.allowanceMm - 0.03;
    expect(() => planGap({ ...input, cutterRadiusMm })).toThrow(
      /a circle of 0\.030 mm at the root/,
    );
  });
});

describe('bound along one flank', () => {
  it('is the parallel curve of the outline, at its exact distance, from axis to tip', () => {
    let fitted = 0;
    fc.assert(
      fc.property(gapCaseArb, fc.double({ min: 0.01, max: 0.99, noNaN: true }), (c, share) => {
        const profile = profileOf(c);
        if (!profile) return;
        const keepOff = c.cutterRadiusMm + c.allowanceMm;
        if (keepOff > 0.95 * profile.seatRadiusMm) return;
        fitted++;
        const side = gapSide(profile.gap, c.tipRoundingMm, keepOff);
        const length = share * side.lengthMm;
        const { p, heading } = alongSide(side, length);
        const grid = outlineGrid(profile.gap, keepOff + 0.2);
        expect(grid.distance(p[0], p[1])).toBeCloseTo(keepOff, 5);
        expect(Math.hypot(heading[0], heading[1])).toBeCloseTo(1, 9);
        expect(lengthOnSide(side, p)).toBeCloseTo(length, 4);
        expect(outOfSide(side, p[0], p[1])).toBeCloseTo(0, 5);
        // Out of the room is towards the tooth, on the left of the way out.
        const [x, y] = [p[0] - 0.05 * heading[1], p[1] + 0.05 * heading[0]];
        expect(outOfSide(side, x, y)).toBeCloseTo(0.05, 2);
        const pieces = sidePieces(side, 0.2 * length, length);
        let sum = 0;
        for (const piece of pieces) sum += edgeLength(piece);
        expect(sum).toBeCloseTo(0.8 * length, 5);
        const end = pointAt(pieces[pieces.length - 1]!, 1);
        expect(Math.hypot(end[0] - p[0], end[1] - p[1])).toBeLessThan(1e-6);
      }),
      { numRuns: runs(150) },
    );
    // A case whose seat the cutter does not go into says nothing.
    expect(fitted).toBeGreaterThan(runs(150) / 4);
  });
});
