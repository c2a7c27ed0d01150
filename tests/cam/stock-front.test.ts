import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type BlankHole, StockFront } from '../../src/cam/stock/stock-front.js';
import {
  type PathPiece,
  arcPiece,
  linePiece,
  pieceAt,
  pieceLengthMm,
} from '../../src/cam/stock/path-piece.js';
import { DEG, tables } from '../machines/fixtures.js';
import { areaOf, common, disc, sweptBy, union } from './oracle/clipper.js';
import { type Curve, arcCurve, distanceTo, lineCurve } from './oracle/curves.js';
import { runs } from './oracle/runs.js';

const full = (cx: number, cy: number, radius: number): PathPiece =>
  arcPiece(cx + radius, cy, cx + radius, cy, cx, cy, false);

describe('engagement of a steady cut', () => {
  /**
   * Sandvik Coromant, Threading manual p. 117 (formulas), numbers of the oracle table: rim sampled
   * at 40 001 points with every earlier cutter position subtracted.
   */
  const rows = tables.engagement.rows as [string, number | null, number, number, number, number][];
  it.each(rows)('%s R %s r %s ae %s', (shape, wall, r, ae, formulaDeg, bruteDeg) => {
    let deg: number;
    if (shape === 'convex') {
      const R = wall!;
      const front = new StockFront({ blankRadiusMm: R + ae, cutterRadiusMm: r });
      // Half a turn in: the piece itself has swept what lies behind.
      deg = front.engagedRad(-(R + r), 0, full(0, 0, R + r)) / DEG;
    } else if (shape === 'concave') {
      const R = wall!;
      const holes: BlankHole[] = [{ x: 0, y: 0, radiusMm: R - ae }];
      const front = new StockFront({ blankRadiusMm: R + 20, cutterRadiusMm: r, holes });
      const rho = R - r;
      // An inside arc is climbed counter-clockwise.
      const piece =
        rho > 0 ? arcPiece(rho, 0, rho, 0, 0, 0, true) : linePiece(rho, 0, rho + 1e-9, 0);
      deg = front.engagedRad(-rho, 0, piece) / DEG;
    } else {
      const front = new StockFront({ blankRadiusMm: 60, cutterRadiusMm: r });
      front.add(linePiece(-80, 0, 80, 0));
      deg = front.engagedRad(0, -ae, linePiece(-80, -ae, 80, -ae)) / DEG;
    }
    expect(Math.abs(deg - formulaDeg)).toBeLessThan(0.001);
    expect(Math.abs(deg - bruteDeg)).toBeLessThan(0.1);
  });

  it('a slot is half a turn, on a line and on an arc', () => {
    const front = new StockFront({ blankRadiusMm: 40, cutterRadiusMm: 1.5 });
    expect(front.engagedRad(0, 3, linePiece(-60, 3, 60, 3))).toBeCloseTo(Math.PI, 9);
    // On an arc the disc of a moment ago cuts off the same half: its heading is the tangent.
    expect(front.engagedRad(-10, 0, full(0, 0, 10))).toBeCloseTo(Math.PI, 9);
  });

  it('an arc of the radius of the cutter, whose rim runs through the centre of the arc', () => {
    const holes: BlankHole[] = [{ x: 0, y: 0, radiusMm: 2.85 }];
    const front = new StockFront({ blankRadiusMm: 30, cutterRadiusMm: 1.5, holes });
    const half = arcPiece(1.5, 0, -1.5, 0, 0, 0, true);
    for (const t of [0.2, 0.4, 0.5, 0.6, 0.8, 0.999]) {
      const [x, y] = pieceAt(half, t);
      // On the rim |p| = 2 r cos(angle / 2): in the hole where that is less than its radius.
      expect(front.engagedRad(x, y, half)).toBeCloseTo(2 * Math.acos(2.85 / 3), 6);
    }
  });

  it('air is air: outside the blank, in a hole, and where the cutter has stood before', () => {
    const holes: BlankHole[] = [{ x: 5, y: 0, radiusMm: 3 }];
    const front = new StockFront({ blankRadiusMm: 20, cutterRadiusMm: 1.5, holes });
    expect(front.engagedRad(21.5, 0)).toBe(0);
    expect(front.engagedRad(21.4, 0)).toBeGreaterThan(0);
    expect(front.engagedRad(5, 0)).toBe(0);
    expect(front.engagedRad(6.6, 0)).toBeGreaterThan(0);
    front.add(linePiece(-10, -10, -10, 10));
    expect(front.engagedRad(-10, 3)).toBe(0);
    expect(front.engagedRad(-10, 10)).toBe(0);
  });
});

describe('edges', () => {
  it('that only touch take nothing and part nothing: the whole rim is 0 to a turn', () => {
    const whole = (x: number, y: number, radiusMm: number, r = 2) => {
      const holes: BlankHole[] = radiusMm > 0 ? [{ x, y, radiusMm }] : [];
      const front = new StockFront({ blankRadiusMm: 5, cutterRadiusMm: r, holes });
      const { count, angles } = front.rimInMaterial(radiusMm > 0 ? 0 : x, radiusMm > 0 ? 0 : y);
      return [count, angles[0], angles[1]];
    };
    const turn = [1, 0, 2 * Math.PI];
    expect(whole(1, 1, 0)).toEqual(turn);
    // The rim touches that of the blank: 3 + 2 = 5.
    expect(whole(3, 0, 0)).toEqual(turn);
    // Holes that touch it from outside, from inside, and in its middle.
    expect(whole(3, 0, 1)).toEqual(turn);
    expect(whole(0, 1.5, 0.5)).toEqual(turn);
    expect(whole(0, 0, 1)).toEqual(turn);
    // A path two radii away.
    const front = new StockFront({ blankRadiusMm: 5, cutterRadiusMm: 0.5 });
    front.add(linePiece(1, -5, 1, 5));
    const { count, angles } = front.rimInMaterial(0, 0);
    expect([count, angles[0], angles[1]]).toEqual(turn);
  });

  it('stand: of the blank, of a hole and of what is swept', () => {
    const holes: BlankHole[] = [{ x: 3, y: 4, radiusMm: 2 }];
    const front = new StockFront({ blankRadiusMm: 13, cutterRadiusMm: 1, holes });
    front.add(linePiece(-8, -1, 8, -1));
    // 5-12-13; 3 + 2; 1 mm beside the path.
    expect([front.standsAt(5, 12), front.standsAt(5, 12.001)]).toEqual([true, false]);
    expect([front.standsAt(5, 4), front.standsAt(4.999, 4)]).toEqual([true, false]);
    expect([front.standsAt(0, 0), front.standsAt(0, -0.001)]).toEqual([true, false]);
  });

  it('of 60 holes round the rim part it in 60', () => {
    const holes = Array.from({ length: 60 }, (_, k): BlankHole => {
      const a = ((k + 0.5) * Math.PI) / 30;
      return { x: 10 * Math.cos(a), y: 10 * Math.sin(a), radiusMm: 0.2 };
    });
    const front = new StockFront({ blankRadiusMm: 30, cutterRadiusMm: 10, holes });
    // The chord from a hole's middle to where its edge meets the rim is 0.2 mm. Half a stretch
    // before 0 and half after it.
    expect(front.engagedRad(0, 0)).toBeCloseTo(2 * Math.PI - 60 * 4 * Math.asin(0.01), 9);
    expect(front.rimInMaterial(0, 0).count).toBe(61);
  });
});

/** A path of lines and arcs in and about a blank: each piece starts where the last one ended. */
const pathArb = fc
  .array(
    fc.record({
      kind: fc.constantFrom('line' as const, 'arc' as const),
      // On the output step of a program, as replays meet them.
      x: fc.integer({ min: -9000, max: 9000 }).map((um) => um / 1000),
      y: fc.integer({ min: -9000, max: 9000 }).map((um) => um / 1000),
      bulge: fc.double({ min: 0.15, max: 6, noNaN: true }),
      ccw: fc.boolean(),
      long: fc.boolean(),
    }),
    { minLength: 1, maxLength: 12 },
  )
  .map((steps) => {
    const pieces: PathPiece[] = [];
    let at: [number, number] = [8, 8];
    for (const s of steps) {
      const chord = Math.hypot(s.x - at[0], s.y - at[1]);
      if (chord < 0.05) continue;
      if (s.kind === 'line') pieces.push(linePiece(at[0], at[1], s.x, s.y));
      else {
        // Centre beside the chord's middle, so that the radii agree to rounding.
        const off = s.bulge * (s.long ? 1 : -1);
        const cx = (at[0] + s.x) / 2 - (off * (s.y - at[1])) / chord;
        const cy = (at[1] + s.y) / 2 + (off * (s.x - at[0])) / chord;
        pieces.push(arcPiece(at[0], at[1], s.x, s.y, cx, cy, s.ccw));
      }
      at = [s.x, s.y];
    }
    return pieces;
  })
  .filter((pieces) => pieces.length > 0);

function curveOf(p: PathPiece, until = 1): Curve {
  const [bx, by] = pieceAt(p, until);
  if (p.radiusMm === 0) return lineCurve(p.ax, p.ay, bx, by);
  return arcCurve(p.ax, p.ay, bx, by, p.cx, p.cy, p.sweepRad * until);
}

describe('random paths', () => {
  const R = 7;
  const coordinate = fc.double({ min: -8, max: 8, noNaN: true });
  const holes: BlankHole[] = [{ x: 1.5, y: -2, radiusMm: 1.2 }];

  it('the rim in material is that of dense sampling', () => {
    let cuts = 0;
    fc.assert(
      fc.property(
        pathArb,
        fc.double({ min: 0.4, max: 2, noNaN: true }),
        fc.double({ min: 0.05, max: 0.98, noNaN: true }),
        (pieces, r, f) => {
          const front = new StockFront({ blankRadiusMm: R, cutterRadiusMm: r, holes });
          const own = pieces[pieces.length - 1]!;
          for (const piece of pieces.slice(0, -1)) front.add(piece);
          const [x, y] = pieceAt(own, f);
          const before = [...pieces.slice(0, -1).map((p) => curveOf(p)), curveOf(own, f)];
          const n = 3600;
          let inMaterial = 0;
          let edges = 0;
          let last: boolean | null = null;
          for (let k = 0; k < n; k++) {
            const a = (2 * Math.PI * (k + 0.5)) / n;
            const px = x + r * Math.cos(a);
            const py = y + r * Math.sin(a);
            let stands = Math.hypot(px, py) < R;
            for (const h of holes) stands &&= Math.hypot(px - h.x, py - h.y) > h.radiusMm;
            for (let i = 0; stands && i < before.length; i++) {
              const isOwn = i === before.length - 1;
              // A rim that lies on the edge of an earlier cut meets nothing; its own it always lies on.
              stands = distanceTo(before[i]!, px, py) >= r + (isOwn ? -1e-9 : 1e-9);
            }
            if (stands) inMaterial++;
            if (last !== null && stands !== last) edges++;
            last = stands;
          }
          const sampled = (2 * Math.PI * inMaterial) / n;
          const found = front.engagedRad(x, y, own);
          if (found > 0.1) cuts++;
          expect(Math.abs(found - sampled)).toBeLessThan(((edges + 2) * 2 * Math.PI) / n + 2e-3);
        },
      ),
      { numRuns: runs(300) },
    );
    expect(cuts).toBeGreaterThan(runs(60));
  });

  it('material stands where no disc has been, at its exact distance', () => {
    fc.assert(
      fc.property(
        pathArb,
        fc.double({ min: 0.4, max: 2, noNaN: true }),
        fc.array(fc.tuple(coordinate, coordinate), {
          minLength: 20,
          maxLength: 20,
        }),
        (pieces, r, places) => {
          const front = new StockFront({ blankRadiusMm: R, cutterRadiusMm: r, holes });
          for (const piece of pieces) front.add(piece);
          for (const [x, y] of places) {
            let d = Infinity;
            for (const piece of pieces) d = Math.min(d, distanceTo(curveOf(piece), x, y));
            const found = front.distanceToPath(x, y);
            if (d < 2 * r - 1e-6 && Math.hypot(x, y) < R) expect(found).toBeCloseTo(d, 6);
            else expect(found).toBeGreaterThan(d - 1e-6);
            const inBlank =
              Math.hypot(x, y) < R && Math.hypot(x - holes[0]!.x, y - holes[0]!.y) > 1.2;
            if (Math.abs(d - r) > 1e-9) expect(front.standsAt(x, y)).toBe(inBlank && d > r);
          }
        },
      ),
      { numRuns: runs(200) },
    );
  });

  it('turned about the axis, everything stays', () => {
    fc.assert(
      fc.property(
        pathArb,
        fc.double({ min: -3, max: 3, noNaN: true }),
        fc.double({ min: 0.05, max: 0.98, noNaN: true }),
        (pieces, turn, f) => {
          const c = Math.cos(turn);
          const s = Math.sin(turn);
          const rot = (x: number, y: number): [number, number] => [c * x - s * y, s * x + c * y];
          const turned = pieces.map((p) => {
            const [ax, ay] = rot(p.ax, p.ay);
            const [bx, by] = rot(p.bx, p.by);
            if (p.radiusMm === 0) return linePiece(ax, ay, bx, by);
            const [cx, cy] = rot(p.cx, p.cy);
            return arcPiece(ax, ay, bx, by, cx, cy, p.sweepRad > 0);
          });
          const engaged = (list: PathPiece[]): number => {
            const front = new StockFront({ blankRadiusMm: R, cutterRadiusMm: 1.5 });
            for (const piece of list.slice(0, -1)) front.add(piece);
            const own = list[list.length - 1]!;
            const [x, y] = pieceAt(own, f);
            return front.engagedRad(x, y, own);
          };
          expect(Math.abs(engaged(pieces) - engaged(turned))).toBeLessThan(1e-4);
        },
      ),
      { numRuns: runs(300) },
    );
  });
});

describe('area taken along a path', () => {
  /** Integral over travel of the forward part of the rim in material: r (sin to - sin from). */
  function takenMm2(front: StockFront, pieces: readonly PathPiece[], stepMm: number): number {
    const r = front.cutterRadiusMm;
    let area = 0;
    for (const piece of pieces) {
      const length = pieceLengthMm(piece);
      const n = Math.ceil(length / stepMm);
      for (let s = 0; s < n; s++) {
        const [x, y, tx, ty] = pieceAt(piece, (s + 0.5) / n);
        const heading = Math.atan2(ty, tx);
        const rim = front.rimInMaterial(x, y, piece);
        for (let i = 0; i < rim.count; i++) {
          const from = rim.angles[2 * i]! - heading;
          const to = rim.angles[2 * i + 1]! - heading;
          area += (length / n) * r * (Math.sin(to) - Math.sin(from));
        }
      }
      front.add(piece);
    }
    return area;
  }

  it('is that of the union of swept discs, by clipper-lib', () => {
    const R = 7;
    const r = 1.3;
    fc.assert(
      fc.property(pathArb, (pieces) => {
        const outside = Math.hypot(pieces[0]!.ax, pieces[0]!.ay) > R + r;
        expect(outside).toBe(true);
        const front = new StockFront({ blankRadiusMm: R, cutterRadiusMm: r });
        const taken = takenMm2(front, pieces, 0.01);
        let swept = sweptBy(pointsOf(pieces[0]!), r);
        for (const piece of pieces.slice(1)) swept = union(swept, sweptBy(pointsOf(piece), r));
        const exact = areaOf(common(disc(0, 0, R), swept));
        expect(Math.abs(taken - exact)).toBeLessThan(0.005 * exact + 0.01);
      }),
      { numRuns: runs(40) },
    );
  });

  function pointsOf(piece: PathPiece): [number, number][] {
    // Chord error under 1e-4 mm.
    const turn = piece.radiusMm > 0 ? Math.acos(1 - Math.min(1, 1e-4 / piece.radiusMm)) : 1;
    const n = piece.radiusMm > 0 ? Math.ceil(Math.abs(piece.sweepRad) / turn) : 1;
    return Array.from({ length: n + 1 }, (_, i) => {
      const [x, y] = pieceAt(piece, i / n);
      return [x, y];
    });
  }
});

describe('pieces', () => {
  it('length, place and heading of a full turn and of arcs either way', () => {
    const turn = full(2, 1, 3);
    expect(pieceLengthMm(turn)).toBeCloseTo(6 * Math.PI, 12);
    const [x, y, tx, ty] = pieceAt(turn, 0.25);
    expect([x, y, tx, ty].map((v) => Number(v.toFixed(9)))).toEqual([2, -2, -1, -0]);
    const quarter = arcPiece(1, 0, 0, 1, 0, 0, true);
    expect(pieceLengthMm(quarter)).toBeCloseTo(Math.PI / 2, 12);
    expect(pieceLengthMm(arcPiece(1, 0, 0, 1, 0, 0, false))).toBeCloseTo(1.5 * Math.PI, 12);
  });

  it('a heading along a line is of length 1; without length there is none', () => {
    const [x, y, tx, ty] = pieceAt(linePiece(1, 2, 4, 6), 0.5);
    expect([x, y]).toEqual([2.5, 4]);
    expect([tx, ty].map((v) => Number(v.toFixed(12)))).toEqual([0.6, 0.8]);
    expect(pieceAt(linePiece(1, 2, 1, 2), 0.5)).toEqual([1, 2, 0, 0]);
  });

  it('the heading at the end of an arc is the tangent there, either way round', () => {
    for (const deg of [10, 75, 130, 200, 290]) {
      const a = deg * DEG;
      const from = [3 * Math.cos(a - 1), 3 * Math.sin(a - 1)] as const;
      const to = [3 * Math.cos(a), 3 * Math.sin(a)] as const;
      const there = pieceAt(arcPiece(from[0], from[1], to[0], to[1], 0, 0, true), 1);
      expect(there[2]).toBeCloseTo(-Math.sin(a), 9);
      expect(there[3]).toBeCloseTo(Math.cos(a), 9);
      const back = pieceAt(arcPiece(from[0], from[1], to[0], to[1], 0, 0, false), 1);
      expect(back[2]).toBeCloseTo(Math.sin(a), 9);
      expect(back[3]).toBeCloseTo(-Math.cos(a), 9);
    }
  });

  it('ends where it was told to, even where rounding put that off the circle', () => {
    const piece = arcPiece(1, 0, 0, 1.0004, 0, 0, true);
    const [x, y] = pieceAt(piece, 1);
    expect([x, y]).toEqual([0, 1.0004]);
  });
});

describe('a path travelled twice', () => {
  it('meets nothing the second time, wherever the samples fall', () => {
    // Found by random jobs: where the rim touches outer and inner edge of a swept arc at once, the
    // middle of a stretch fell exactly on the touch and the whole stretch was left standing.
    const front = new StockFront({ blankRadiusMm: 45, cutterRadiusMm: 1 });
    const piece = {
      ax: -22.218,
      ay: -30.715,
      bx: -24.166,
      by: -29.208,
      cx: -23.5669,
      cy: -30.446,
      radiusMm: 1.3754607264476875,
      sweepRad: 2.218341479350558,
    };
    front.add(piece);
    const centre = (x: number, y: number): number => Math.atan2(y - piece.cy, x - piece.cx);
    for (let k = 1; k < 900; k++) {
      const [x, y] = pieceAt(piece, k / 1000);
      // A little ahead of the wall's normal: swept the first time, so in material no more.
      const ahead = centre(x, y) + 0.05;
      const rim = front.rimInMaterial(x, y);
      for (let i = 0; i < rim.count; i++) {
        for (const turn of [0, 2 * Math.PI]) {
          const a = ahead + turn;
          expect(a > rim.angles[2 * i]! && a < rim.angles[2 * i + 1]!).toBe(false);
        }
      }
    }
  });
});
