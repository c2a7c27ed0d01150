/**
 * Which directions of the rim are in material, asked one by one: the oracle measures distances from
 * points on the rim to the curves travelled, and knows nothing of marks, cells or stretches.
 * Directions within 0.0002 mm of an edge are left out: there either answer is right.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type BlankHole, type RimStretches, StockFront } from '../../src/cam/stock/stock-front.js';
import { type PathPiece, arcPiece, linePiece, pieceAt } from '../../src/cam/stock/path-piece.js';
import { type Curve, arcCurve, distanceTo, lineCurve } from './oracle/curves.js';
import { runs } from './oracle/runs.js';

const TURN = 2 * Math.PI;
const NEAR_MM = 2e-4;

function curveOf(p: PathPiece, until = 1): Curve {
  const [bx, by] = pieceAt(p, until);
  if (p.radiusMm === 0) return lineCurve(p.ax, p.ay, bx, by);
  return arcCurve(p.ax, p.ay, bx, by, p.cx, p.cy, p.sweepRad * until);
}

/** Arc about a centre from one angle through a signed sweep. */
function arcAbout(cx: number, cy: number, radius: number, from: number, sweep: number): PathPiece {
  const at = (a: number) => [cx + radius * Math.cos(a), cy + radius * Math.sin(a)] as const;
  const [ax, ay] = at(from);
  const [bx, by] = Math.abs(sweep) >= TURN ? [ax, ay] : at(from + sweep);
  return arcPiece(ax, ay, bx, by, cx, cy, sweep > 0);
}

interface Scene {
  readonly blank: number;
  readonly r: number;
  readonly holes?: readonly BlankHole[];
  readonly swept: readonly PathPiece[];
  readonly at: readonly [number, number];
  /** Piece being travelled, and how far along it the cutter is. */
  readonly own?: readonly [PathPiece, number];
}

const inside = (rim: RimStretches, angle: number): boolean => {
  for (let i = 0; i < rim.count; i++) {
    for (const a of [angle, angle + TURN]) {
      if (a > rim.angles[2 * i]! && a < rim.angles[2 * i + 1]!) return true;
    }
  }
  return false;
};

/** Asks 720 directions; returns how many are in material. */
function compare({ blank, r, holes = [], swept, at: [x, y], own }: Scene): number {
  const front = new StockFront({ blankRadiusMm: blank, cutterRadiusMm: r, holes });
  for (const piece of swept) front.add(piece);
  const rim = front.rimInMaterial(x, y, own?.[0] ?? null);
  for (let i = 0; i < rim.count; i++) {
    const [from, to] = [rim.angles[2 * i]!, rim.angles[2 * i + 1]!];
    expect(from).toBeGreaterThanOrEqual(0);
    expect(from).toBeLessThan(2 * TURN);
    expect(to).toBeGreaterThan(from);
    expect(to - from).toBeLessThanOrEqual(TURN);
  }
  const curves = swept.map((p) => curveOf(p));
  const mine = own ? curveOf(own[0], own[1]) : null;
  let standing = 0;
  for (let k = 0; k < 720; k++) {
    const angle = (TURN * (k + 0.37)) / 720;
    const px = x + r * Math.cos(angle);
    const py = y + r * Math.sin(angle);
    // How far inside the material the point is; negative where it is in air.
    let deep = blank - Math.hypot(px, py);
    for (const h of holes) deep = Math.min(deep, Math.hypot(px - h.x, py - h.y) - h.radiusMm);
    // Once it is in air nothing more makes it stand.
    for (const curve of curves) {
      if (deep < -NEAR_MM) break;
      deep = Math.min(deep, distanceTo(curve, px, py) - r);
    }
    if (Math.abs(deep) < NEAR_MM) continue;
    if (mine) {
      // The rim is always as far as r from where the cutter is: only what is nearer is swept.
      const before = distanceTo(mine, px, py) - r;
      if (before < -NEAR_MM) deep = -1;
      else if (before < -1e-9) continue;
      // Abreast of a small arc the rim leaves its edge slowly: the end of the cut is not sharp.
      else if (inside(rim, angle - 1e-3) !== inside(rim, angle + 1e-3)) continue;
    }
    if (deep > 0) standing++;
    if (inside(rim, angle) !== deep > 0) {
      expect.fail(
        `${angle.toFixed(4)} rad is ${deep.toFixed(5)} mm deep: ${JSON.stringify({ blank, r, holes, swept, x, y, own })}`,
      );
    }
  }
  return standing;
}

/** Even over the range: doubles would crowd about 0. */
const coordinate = (most: number) =>
  fc.integer({ min: -1e6 * most, max: 1e6 * most }).map((v) => v / 1e6);
const piece: fc.Arbitrary<PathPiece> = fc.oneof(
  fc
    .tuple(coordinate(9), coordinate(9), coordinate(9), coordinate(9))
    .filter(([ax, ay, bx, by]) => Math.hypot(bx - ax, by - ay) > 0.01)
    .map(([ax, ay, bx, by]) => linePiece(ax, ay, bx, by)),
  fc
    .record({
      cx: coordinate(6),
      cy: coordinate(6),
      // Smaller than the cutter, as large, larger.
      radius: fc.oneof(
        fc.constant(1.5),
        coordinate(7).map((v) => 0.05 + Math.abs(v)),
      ),
      from: coordinate(4),
      sweep: fc.oneof(fc.constantFrom(TURN, -TURN, Math.PI, -Math.PI), coordinate(6.2)),
    })
    .filter(({ sweep, radius }) => Math.abs(sweep) * radius > 0.01)
    .map(({ cx, cy, radius, from, sweep }) => arcAbout(cx, cy, radius, from, sweep)),
);

describe('directions of the rim', () => {
  it('property: after any pieces, anywhere about the blank', () => {
    let met = 0;
    fc.assert(
      fc.property(
        fc.array(piece, { minLength: 1, maxLength: 4 }),
        fc.constantFrom(0.4, 1, 1.5),
        fc.tuple(coordinate(8), coordinate(8)),
        fc.boolean(),
        (swept, r, at, pierced) => {
          const holes = pierced ? [{ x: 1, y: -2, radiusMm: 1.2 }] : [];
          if (compare({ blank: 6, r, holes, swept, at }) > 0) met++;
        },
      ),
      { numRuns: Math.max(150, runs(800)) },
    );
    expect(met).toBeGreaterThan(30);
  });

  it('property: along a piece of its own, before and beside others', () => {
    let met = 0;
    fc.assert(
      fc.property(
        fc.array(piece, { maxLength: 3 }),
        piece,
        // Between the ends: where a full turn closes, start and end are one place.
        fc.integer({ min: 1, max: 999 }).map((v) => v / 1000),
        fc.constantFrom(0.4, 1, 1.5),
        (swept, own, share, r) => {
          const [x, y] = pieceAt(own, share);
          if (compare({ blank: 6, r, swept, at: [x, y], own: [own, share] }) > 0) met++;
        },
      ),
      { numRuns: Math.max(150, runs(800)) },
    );
    expect(met).toBeGreaterThan(30);
  });

  it('at the start of a piece of its own all is still there, a little on half of it', () => {
    const starts = [
      linePiece(0.5, -1, 0.5, 2),
      linePiece(0.5, -1, 0.5, -3),
      linePiece(-1, 0.5, 2, 0.5),
      arcAbout(0, 0, 2, 0.3, 3),
      arcAbout(0, 0, 2, 0, -3),
      arcAbout(0, 0, 0.4, Math.PI / 2, 3),
    ];
    for (const own of starts) {
      const swept: PathPiece[] = [];
      expect(compare({ blank: 6, r: 1, swept, at: [own.ax, own.ay], own: [own, 0] })).toBe(720);
      for (const share of [0.02, 0.1, 0.3]) {
        const [x, y] = pieceAt(own, share);
        const standing = compare({ blank: 6, r: 1, swept, at: [x, y], own: [own, share] });
        expect(standing).toBeGreaterThan(300);
        expect(standing).toBeLessThan(400);
      }
    }
  });

  it('one piece of each kind, from all sides', () => {
    const kinds = [
      linePiece(-1, 0, 1, 0),
      linePiece(1, 2, 1, 2.3),
      linePiece(0.5, 0.5, 0.5, 0.5),
      arcAbout(0, 0, 2, 0.3, 1),
      arcAbout(0, 0, 2, 0.3, -1),
      arcAbout(0, 0, 2, 0.3, 4),
      arcAbout(0, 0, 2, 0.3, -4),
      arcAbout(0, 0, 2, 1, TURN),
      arcAbout(0, 0, 0.4, 1, -TURN),
      arcAbout(0, 0, 0.4, 0, 2),
      arcAbout(0, 0, 1.5, 0.1, 2.5),
      arcAbout(0, 0, 1, 0.7, -3),
    ];
    let met = 0;
    for (const one of kinds) {
      for (let i = -4; i <= 4; i++) {
        for (let j = -4; j <= 4; j++) {
          const at = [0.9 * i + 0.013, 0.9 * j - 0.007] as const;
          if (compare({ blank: 4, r: 1, swept: [one], at }) > 0) met++;
        }
      }
    }
    expect(met).toBeGreaterThan(400);
  });

  it('where the cutter has stood, in a hole, out of the blank, and round a pin', () => {
    const none = (scene: Omit<Scene, 'blank' | 'r'>, blank = 6) =>
      expect(compare({ blank, r: 1, ...scene })).toBe(0);
    none({ swept: [linePiece(-3, 0, 3, 0)], at: [3, 0] });
    none({ swept: [arcAbout(0, 0, 2, 0, 2)], at: [2, 0] });
    none({ swept: [], at: [7, 0] });
    none({ swept: [], at: [0, -7.5] });
    none({ swept: [], holes: [{ x: 0, y: 0, radiusMm: 2 }], at: [1, 0] });
    // The cutter is larger than blank and hole: the rim goes round the pin.
    none({ swept: [], at: [0.1, 0] }, 0.7);
    const round = { blank: 6, r: 1, swept: [], holes: [{ x: 0.2, y: 0, radiusMm: 0.5 }] };
    expect(compare({ ...round, at: [0.1, 0] })).toBe(720);
    expect(compare({ blank: 6, r: 1, swept: [], at: [1, 2] })).toBe(720);
  });

  it('long pieces that begin and end far from the blank', () => {
    for (const swept of [
      [linePiece(-400, 2, 400, 2.5)],
      [linePiece(3, -90, 3, 500)],
      [arcAbout(0, -200, 202, 1.2, 0.9)],
      [arcAbout(0, 300, 303, -1.2, -0.9)],
      [arcAbout(0, -200, 202, 0, TURN)],
      [linePiece(50, 50, 60, 50), arcAbout(80, 0, 10, 0, TURN)],
    ]) {
      for (let i = -6; i <= 6; i++) {
        for (const j of [-5.5, -2.1, 1.3, 2.2, 3.4, 5.9]) {
          compare({ blank: 6, r: 1, swept, at: [i + 0.01, j] });
        }
      }
    }
  });
});

describe('where a piece lies against the cells', () => {
  it('lines at every offset, the cutter at every distance it can meet them from', () => {
    let met = 0;
    for (let offset = 0; offset < 1; offset += 0.07) {
      // Two steps of a cell each, so that most of the line lies between the steps.
      const level = linePiece(-1 + offset / 3, offset, 0.99 + offset / 3, offset);
      const upright = linePiece(offset, -1, offset, 0.98);
      for (const away of [-1.97, -1.6, -1.1, 0.4, 1.2, 1.55, 1.9]) {
        for (const along of [-0.5, 0.03, 0.51]) {
          const blank = 6;
          met += compare({ blank, r: 1, swept: [level], at: [along, offset + away] });
          met += compare({ blank, r: 1, swept: [upright], at: [offset + away, along] });
        }
      }
      // Ahead of and behind its ends, where only the last step comes near.
      for (const x of [level.bx + 1.9, level.bx + 1.4, level.ax - 1.9, level.ax - 1.4]) {
        met += compare({ blank: 6, r: 1, swept: [level], at: [x, offset + 0.03] });
      }
    }
    expect(met).toBeGreaterThan(100_000);
  });

  it('what stands, point by point: in the blank, in neither hole, out of reach of the path', () => {
    const holes = [
      { x: 2.5, y: 1.5, radiusMm: 1.1 },
      { x: -3, y: 2, radiusMm: 0.7 },
    ];
    for (const r of [0.7, 1.3]) {
      const front = new StockFront({ blankRadiusMm: 6, cutterRadiusMm: r, holes });
      front.add(linePiece(-4, -3, 3, -2));
      const path = lineCurve(-4, -3, 3, -2);
      for (let x = -6.5; x <= 6.5; x += 0.25) {
        for (let y = -6.5; y <= 6.5; y += 0.25) {
          const [px, py] = [x + 0.011, y + 0.007];
          const d = distanceTo(path, px, py);
          const blank = Math.hypot(px, py) < 6;
          const solid = holes.every((h) => Math.hypot(px - h.x, py - h.y) > h.radiusMm);
          expect(front.standsAt(px, py), `${px} ${py}`).toBe(blank && solid && d > r);
          if (blank && d < 2 * r) expect(front.distanceToPath(px, py)).toBeCloseTo(d, 9);
        }
      }
    }
  });

  it('distances to a long line outside of the blank, as far as two cutter radii', () => {
    for (const r of [0.4, 1, 1.5]) {
      const front = new StockFront({ blankRadiusMm: 6, cutterRadiusMm: r });
      const x = 6 + 1.9 * r;
      front.add(linePiece(x, -50, x, 50));
      expect(front.distanceToPath(5.95, 0)).toBeCloseTo(x - 5.95, 9);
      expect(front.standsAt(5.95, 0)).toBe(true);
    }
  });
});

describe('many pieces', () => {
  it('short ones in a row, lines and arcs, wherever they are asked about', () => {
    let [met, engaged] = [0, 0];
    for (const [r, length] of [
      [1, 0.03],
      [0.3, 0.05],
      [2, 0.3],
    ] as const) {
      // Round and round, 0.4 r farther out each turn, past the rim of the blank and back.
      const swept = Array.from({ length: 160 }, (_, i): PathPiece => {
        const at = (k: number) => {
          const a = (k * length) / r;
          return [(1 + 0.07 * a * r) * Math.cos(a), (1 + 0.07 * a * r) * Math.sin(a)] as const;
        };
        const [[ax, ay], [bx, by]] = [at(i), at(i + 1)];
        if (i % 3 > 0) return linePiece(ax, ay, bx, by);
        // A flat arc of the same ends, its centre far to the left.
        const [mx, my] = [(ax + bx) / 2 - 3 * (by - ay), (ay + by) / 2 + 3 * (bx - ax)];
        return arcPiece(ax, ay, bx, by, mx, my, true);
      });
      for (let k = 0; k < 24; k += 2) {
        const at = [(k % 5) * 0.5 * r - r, Math.floor(k / 5) * 0.6 * r - r] as const;
        if (compare({ blank: 4, r, swept, at }) > 0) met++;
        const [last, at1] = [swept[159 - k]!, 159 - k];
        const front = new StockFront({ blankRadiusMm: 4, cutterRadiusMm: r });
        for (const piece of swept.slice(0, 100)) front.add(piece);
        const whole = new StockFront({ blankRadiusMm: 4, cutterRadiusMm: r });
        for (const piece of swept.slice(0, at1)) whole.add(piece);
        // What counts as swept, too, is as good as swept.
        const trail = swept.slice(100, at1).reverse();
        const rest = [...front.rimInMaterial(last.bx, last.by, last, trail).angles];
        const all = whole.rimInMaterial(last.bx, last.by, last);
        engaged += all.count;
        for (let i = 0; i < 2 * all.count; i++) expect(rest[i]!).toBeCloseTo(all.angles[i]!, 6);
      }
    }
    expect(met).toBeGreaterThan(20);
    expect(engaged).toBeGreaterThan(20);
  });

  it('short ones across the axis, and in from outside of the blank, from all sides', () => {
    /** Ten lines of 0.09 mm in a row from a distance along a direction, inwards: one block of pieces. */
    const row = (fromMm: number, a: number): PathPiece[] =>
      Array.from({ length: 10 }, (_, i) => {
        const at = (k: number) => fromMm - 0.09 * k;
        const [c, s] = [Math.cos(a), Math.sin(a)];
        return linePiece(at(i) * c, at(i) * s, at(i + 1) * c, at(i + 1) * s);
      });
    for (const a of [0, 0.5, Math.PI / 2, 2, Math.PI, 4, 5.5]) {
      const place = (mm: number) => [mm * Math.cos(a), mm * Math.sin(a)] as const;
      // Within reach of the last pieces only, 2 r beyond the end of the row.
      for (const mm of [-2.3, -1.5, 0, 1.5, 2.3]) {
        expect(compare({ blank: 10, r: 1, swept: row(0.45, a), at: place(mm) })).toBeLessThan(720);
      }
      // The first is too far out for any place that meets the blank, the last ends 0.3 mm over its rim.
      for (const mm of [8.3, 9.4, 10.2]) {
        expect(compare({ blank: 10, r: 1, swept: row(11.2, a), at: place(mm) })).toBeGreaterThan(0);
      }
    }
  });

  it('short ones far from each other, and arcs with the cutter in their centre', () => {
    const dots = Array.from({ length: 9 }, (_, k) => {
      const [x, y] = [3 * (k % 3) - 3, 3 * Math.floor(k / 3) - 3];
      return linePiece(x, y, x + 0.05, y);
    });
    for (const { ax, ay } of dots) {
      expect(compare({ blank: 6, r: 1, swept: dots, at: [ax + 0.7, ay + 0.5] })).toBeLessThan(720);
    }
    for (const radius of [0.4, 1, 1.5]) {
      for (const sweep of [1, -2.5, 4, TURN]) {
        const swept = [arcAbout(0.5, 0.5, radius, 0.3, sweep)];
        expect(compare({ blank: 6, r: 1, swept, at: [0.5, 0.5] })).toBeLessThan(720);
      }
    }
  });

  it('one that begins beside the end of the last, level with it in X or in Y, leaves that end round', () => {
    const first = linePiece(-5, 0, 5, 0);
    for (const next of [linePiece(5, 8, -5, 8), linePiece(9, 0, 9, 5), linePiece(5, 0, 5, 5)]) {
      const at = [5.7, -0.3] as const;
      expect(compare({ blank: 20, r: 1, swept: [first, next], at })).toBeGreaterThan(0);
    }
  });

  it('a comb of 600 arcs: each is where it was put', () => {
    const front = new StockFront({ blankRadiusMm: 60, cutterRadiusMm: 0.4 });
    // Half circles of radius 0.3 in 24 rows of 25, 4 mm apart, no two within reach of each other.
    const place = (i: number) => [-48 + 4 * (i % 25), -48 + 4 * Math.floor(i / 25)] as const;
    for (let i = 0; i < 600; i++) front.add(arcAbout(...place(i), 0.3, 0, Math.PI));
    for (let i = 0; i < 600; i++) {
      const [x, y] = place(i);
      if (Math.hypot(x, y) > 55) continue;
      const one = new StockFront({ blankRadiusMm: 60, cutterRadiusMm: 0.4 });
      one.add(arcAbout(x, y, 0.3, 0, Math.PI));
      // Above the arc's middle: what one front with this arc alone says, and it is not all.
      const engaged = front.engagedRad(x, y + 0.75);
      expect(engaged).toBeCloseTo(one.engagedRad(x, y + 0.75), 9);
      expect(engaged).toBeLessThan(TURN - 0.5);
    }
  });

  it('are kept all, and those out of reach cost a look but change nothing', () => {
    const front = new StockFront({ blankRadiusMm: 30, cutterRadiusMm: 1 });
    // A comb of 700 short lines: more than the room made at first.
    const teeth = Array.from({ length: 700 }, (_, i) =>
      linePiece(-25 + 0.07 * i, -3, -25 + 0.07 * i, 3),
    );
    for (const tooth of teeth) front.add(tooth);
    expect(front.size).toBe(700);
    for (const x of [-24, -3.3, 0, 11.1, 23]) {
      expect(front.engagedRad(x, 0)).toBe(0);
      expect(front.standsAt(x, 3.9)).toBe(false);
      expect(front.standsAt(x, 4.1)).toBe(true);
      // Half over the edge of the comb: the rim beyond Y4 stands, 2 acos(0.5) of it.
      expect(front.engagedRad(x, 3.5)).toBeGreaterThan(2 * Math.acos(0.5) - 0.05);
      expect(front.engagedRad(x, 3.5)).toBeLessThan(2 * Math.acos(0.5) + 0.05);
    }
    const before = front.visits;
    front.engagedRad(0, 0);
    expect(front.visits - before).toBeGreaterThan(0);
    expect(front.visits - before).toBeLessThan(120);
    expect(front.distanceToPath(-25, 9)).toBe(Infinity);
  });
});
