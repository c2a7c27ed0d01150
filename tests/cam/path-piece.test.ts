import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type PathPiece,
  arcPiece,
  linePiece,
  distanceToPiece,
  nearOrigin,
  partOfPiece,
  pieceAt,
  pieceLengthMm,
} from '../../src/cam/stock/path-piece.js';
import { runs } from './oracle/runs.js';

const coordinate = fc.double({ min: -30, max: 30, noNaN: true });
const line = fc.tuple(coordinate, coordinate, coordinate, coordinate).map((p) => linePiece(...p));
const arc = fc
  .tuple(
    coordinate,
    coordinate,
    fc.double({ min: 0.5, max: 40, noNaN: true }),
    fc.double({ min: -4, max: 4, noNaN: true }),
    fc.double({ min: 0.01, max: 2 * Math.PI, noNaN: true }),
    fc.boolean(),
  )
  .map(([cx, cy, r, from, sweep, ccw]) => {
    const to = from + (ccw ? sweep : -sweep);
    const at = (a: number): [number, number] => [cx + r * Math.cos(a), cy + r * Math.sin(a)];
    return arcPiece(...at(from), ...at(to), cx, cy, ccw);
  });

const covered = (piece: PathPiece, radius: number, share: number, slack: number): boolean =>
  nearOrigin(piece, radius).some(([from, to]) => share >= from - slack && share <= to + slack);

describe('parts of a path near the origin', () => {
  it('are those that dense sampling finds', () => {
    const radii = fc.double({ min: 1, max: 40, noNaN: true });
    let inside = 0;
    let outside = 0;
    fc.assert(
      fc.property(fc.oneof(line, arc), radii, (piece, radius) => {
        for (let i = 0; i <= 200; i++) {
          const share = i / 200;
          const [x, y] = pieceAt(piece, share);
          const d = Math.hypot(x, y);
          if (d < radius - 1e-6) {
            inside++;
            expect(covered(piece, radius, share, 1e-9)).toBe(true);
          } else if (d > radius + 1e-6) {
            outside++;
            expect(covered(piece, radius, share, -1e-9)).toBe(false);
          }
        }
        for (const [from, to] of nearOrigin(piece, radius)) {
          expect(from).toBeGreaterThanOrEqual(0);
          expect(to).toBeLessThanOrEqual(1);
          expect(from).toBeLessThanOrEqual(to);
        }
      }),
      { numRuns: runs(1000) },
    );
    expect(inside).toBeGreaterThan(1000);
    expect(outside).toBeGreaterThan(1000);
  });

  it('hold for full turns, points and arcs round the origin', () => {
    expect(nearOrigin(arcPiece(5, 0, 5, 0, 0, 0, true), 6)).toEqual([[0, 1]]);
    expect(nearOrigin(arcPiece(5, 0, 5, 0, 0, 0, true), 4)).toEqual([]);
    expect(nearOrigin(linePiece(3, 0, 3, 0), 4)).toEqual([[0, 1]]);
    expect(nearOrigin(linePiece(3, 0, 3, 0), 2)).toEqual([]);
    // A turn about (10, 0) from its far side comes in at the same angle before and after.
    const spans = nearOrigin(arcPiece(20, 0, 20, 0, 10, 0, true), 5);
    expect(spans).toHaveLength(1);
    // Cosine rule: 10 from both to the crossing, 5 from the origin.
    const half = Math.acos((100 + 100 - 25) / 200) / (2 * Math.PI);
    expect(spans[0]![0]).toBeCloseTo(0.5 - half, 9);
    expect(spans[0]![1]).toBeCloseTo(0.5 + half, 9);
    // From its near side it begins inside and ends inside.
    const two = nearOrigin(arcPiece(0, 0, 0, 0, 10, 0, false), 5);
    expect(two.map(([a, b]) => [a, b].map((v) => Number(v.toFixed(9))))).toEqual([
      [0, Number(half.toFixed(9))],
      [Number((1 - half).toFixed(9)), 1],
    ]);
  });

  it('of a line across the whole world are found exactly', () => {
    const [[from, to]] = nearOrigin(linePiece(-1e7, 3, 1e7, 3), 5) as [[number, number]];
    expect((to - from) * 2e7).toBeCloseTo(8, 6);
    expect(from * 2e7 - 1e7).toBeCloseTo(-4, 6);
  });
});

describe('one piece', () => {
  it('is as far from a point as the nearest of many places of it', () => {
    fc.assert(
      fc.property(fc.oneof(line, arc), coordinate, coordinate, (piece, x, y) => {
        let nearest = Infinity;
        for (let i = 0; i <= 2000; i++) {
          const [px, py] = pieceAt(piece, i / 2000);
          nearest = Math.min(nearest, Math.hypot(x - px, y - py));
        }
        const found = distanceToPiece(x, y, piece);
        expect(found).toBeLessThan(nearest + 1e-9);
        expect(found).toBeGreaterThan(nearest - pieceLengthMm(piece) / 2000 - 1e-9);
      }),
      { numRuns: runs(100) },
    );
  });

  it('in part begins and ends where it would be; a part of no length is no full turn', () => {
    const whole = arcPiece(5, 0, -3, 4, 0, 0, true);
    const part = partOfPiece(whole, 0.25, 0.75);
    for (const [mine, its] of [
      [0, 0.25],
      [0.5, 0.5],
      [1, 0.75],
    ] as const) {
      pieceAt(part, mine).forEach((v, k) => expect(v).toBeCloseTo(pieceAt(whole, its)[k]!, 9));
    }
    expect(pieceLengthMm(partOfPiece(whole, 0.5, 0.5 + 1e-12))).toBeLessThan(1e-9);
    expect(partOfPiece(whole, 0.5, 0.5).radiusMm).toBe(0);
  });
});
