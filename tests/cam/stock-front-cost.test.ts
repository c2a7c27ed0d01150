/**
 * What a query costs, counted: pieces looked at, and those of which the edges were laid on the rim. Each
 * figure follows from where the pieces lie; what is out of reach is told by distances to the rim itself.
 */
import { describe, expect, it } from 'vitest';
import { type PathPiece, arcPiece, linePiece } from '../../src/cam/stock/path-piece.js';
import { StockFront } from '../../src/cam/stock/stock-front.js';

const TURN = 2 * Math.PI;
const ORIGIN = [0, 0] as const;

interface Scene {
  readonly swept: readonly PathPiece[];
  readonly at?: readonly [number, number];
  readonly own?: PathPiece;
  readonly blank?: number;
}

function frontOf(swept: readonly PathPiece[], blank = 10): StockFront {
  const front = new StockFront({ blankRadiusMm: blank, cutterRadiusMm: 1 });
  for (const piece of swept) front.add(piece);
  return front;
}

/** What one query of a front costs. */
function ask(front: StockFront, [x, y]: readonly [number, number] = ORIGIN, own?: PathPiece) {
  const [visits, laid] = [front.visits, front.laid];
  const engagedRad = front.engagedRad(x, y, own);
  return { visits: front.visits - visits, laid: front.laid - laid, engagedRad };
}

const cost = ({ swept, at, own, blank }: Scene) => ask(frontOf(swept, blank), at, own);

/** Lines in a row from a place along a direction, each of the same length. */
function row(x: number, y: number, angle: number, count: number, lengthMm: number): PathPiece[] {
  const at = (k: number): [number, number] => [
    x + k * lengthMm * Math.cos(angle),
    y + k * lengthMm * Math.sin(angle),
  ];
  return Array.from({ length: count }, (_, k) => linePiece(...at(k), ...at(k + 1)));
}

const circle = (x: number, y: number, radius: number): PathPiece =>
  arcPiece(x, y + radius, x, y + radius, x, y, true);

describe('edges are laid', () => {
  it('of what comes nearer than two radii, and of nothing else', () => {
    const laid = (piece: PathPiece) => cost({ swept: [piece] }).laid;
    // Beside it, ahead of its end and behind its start: a rim of 1 mm, a path 1 mm to each side.
    for (const [out, near] of [
      [linePiece(-5, 2, 5, 2), linePiece(-5, 1.99, 5, 1.99)],
      [linePiece(-5, -2, 5, -2), linePiece(-5, -1.99, 5, -1.99)],
      [linePiece(1, 0.5, 9, 0.5), linePiece(0.99, 0.5, 9, 0.5)],
      [linePiece(-9, 0.5, -1, 0.5), linePiece(-9, 0.5, -0.99, 0.5)],
      // Round outside of it, and round about it.
      [circle(0, 7, 5), circle(0, 6.99, 5)],
      [circle(0, 3, 5), circle(0, 3.01, 5)],
    ] as const) {
      expect([laid(out), laid(near)], JSON.stringify(out)).toEqual([0, 1]);
    }
  });

  it('of an arc being travelled once it has begun', () => {
    const own = circle(0, 0, 5);
    expect(cost({ swept: [], own, at: [0, 5] }).laid).toBe(0);
    expect(cost({ swept: [], own, at: [-5, 0] }).laid).toBe(1);
  });

  it('of nothing once all is taken: the newest that takes it all is the last one looked at', () => {
    const star = Array.from({ length: 12 }, (_, k) => {
      const a = 0.1 + k / 2;
      return linePiece(9 * Math.cos(a), 9 * Math.sin(a), 1.5 * Math.cos(a), 1.5 * Math.sin(a));
    });
    const here = linePiece(9, 0, 0, 0);
    expect(cost({ swept: [...star, here] })).toEqual({ visits: 1, laid: 1, engagedRad: 0 });
    // The last of a row of ten is the first that is looked at in it.
    const last = row(0.9, 0, Math.PI, 10, 0.09);
    expect(cost({ swept: [...star, ...last] })).toMatchObject({ visits: 2, laid: 1 });
    // Out of the blank there is nothing to take.
    expect(cost({ swept: star, at: [11.5, 0] })).toMatchObject({ visits: 0, laid: 0 });
  });

  it('first of what met the rim at the place before, and of each once', () => {
    const covers = linePiece(9, 0, 0, 0);
    const beside = Array.from({ length: 9 }, (_, k) => linePiece(-9, 0.2 * k - 2, 9, 0.2 * k - 2));
    const front = frontOf([covers, ...beside.map((p) => ({ ...p, ay: p.ay + 20, by: p.by + 20 }))]);
    expect(ask(front)).toMatchObject({ engagedRad: 0 });
    expect(ask(front)).toEqual({ visits: 0, laid: 1, engagedRad: 0 });
    // Twelve lines all round, 1.98 mm away: each takes acos(0.98) to either side of its foot.
    const round = Array.from({ length: 12 }, (_, k) => {
      const [c, s] = [Math.cos((k * TURN) / 12), Math.sin((k * TURN) / 12)];
      return linePiece(1.98 * c + 0.6 * s, 1.98 * s - 0.6 * c, 1.98 * c - 0.6 * s, 1.98 * s + 0.6 * c); // prettier-ignore
    });
    const ring = frontOf(round);
    for (let k = 0; k < 3; k++) {
      const { visits, laid, engagedRad } = ask(ring);
      expect([visits, laid]).toEqual([12, 12]);
      expect(engagedRad).toBeCloseTo(TURN - 24 * Math.acos(0.98), 9);
    }
  });
});

describe('a row of short pieces', () => {
  /** Past the cutter, 2.95 mm away at least. */
  const away = (count: number, lengthMm: number) => row(2.95, 0, Math.PI / 2, count, lengthMm);

  it('out of reach is one look, up to 32 of them and a radius long', () => {
    const looks = (swept: readonly PathPiece[]) => cost({ swept }).visits;
    expect([1, 4, 5, 8].map((n) => looks(away(n, 0.25)))).toEqual([1, 1, 2, 2]);
    expect([32, 33, 40].map((n) => looks(away(n, 1 / 64)))).toEqual([1, 2, 2]);
    expect(looks(away(1, 1.5))).toBe(1);
    // Each begins where the last one ends, or is on its own.
    const apart = away(4, 0.25).map((p, k) => ({ ...p, ax: 2.95 + k / 100, bx: 2.95 + k / 100 }));
    expect(looks(apart)).toBe(4);
  });

  it('of which some are in reach is a look at each, and one piece is one look', () => {
    expect(cost({ swept: row(1.9, 0, 0, 10, 0.09) })).toMatchObject({ visits: 10 });
    expect(cost({ swept: [linePiece(-9, 1, 9, 1)] })).toMatchObject({ visits: 1 });
  });

  it('is out of reach where it is farther than a radius from all of the rim that is left', () => {
    // Far inside of a blank all of the rim; at its edge the part that lies in the blank.
    for (const [x, y] of [
      [0, 0],
      [10.3, 0],
      [0, 9.6],
      [-7, -7.3],
    ] as const) {
      // prettier-ignore
      const angles = Array.from({ length: 240 }, (_, k) => (k * TURN) / 240);
      const standing = angles
        .map((a) => [x + Math.cos(a), y + Math.sin(a)] as const)
        .filter(([px, py]) => Math.hypot(px, py) < 10);
      let [out, near] = [0, 0];
      for (let k = 0; k < 60; k++) {
        const [angle, mm] = [k * 2.4, 0.2 + (k % 24) / 8];
        const [px, py] = [x + mm * Math.cos(angle), y + mm * Math.sin(angle)];
        // The circle about a row: round the middle of its first piece as far as its end.
        const swept = row(px, py, k, 8, 0.06);
        const [mx, my] = [px + 0.03 * Math.cos(k), py + 0.03 * Math.sin(k)];
        let away = Infinity;
        for (const p of standing) away = Math.min(away, Math.hypot(p[0] - mx, p[1] - my) - 0.45);
        if (Math.abs(away - 1) < 0.02) continue;
        const { visits } = cost({ swept, at: [x, y] });
        if (away > 1) {
          // Listed as what could be in reach, or not at all.
          expect(visits, `${px} ${py} ${k}`).toBeLessThanOrEqual(1);
          out += visits;
        } else {
          expect(visits, `${px} ${py} ${k}`).toBeGreaterThan(0);
          if (visits > 1) near++;
        }
      }
      expect(out).toBeGreaterThan(5);
      expect(near).toBeGreaterThan(15);
    }
  });

  it('is looked at piece by piece for a distance', () => {
    const front = frontOf([...row(1, 0, 0, 10, 0.09), linePiece(-2, 0, -9, 0)]);
    const before = front.visits;
    expect(front.distanceToPath(0, 0)).toBeCloseTo(1, 12);
    expect(front.visits - before).toBe(11);
  });
});
