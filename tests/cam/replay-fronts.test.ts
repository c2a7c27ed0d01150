/** Fronts that are kept and grown, against fronts made anew each time. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Budget } from '../../src/cam/stock/replay/budget.js';
import { Fronts } from '../../src/cam/stock/replay/fronts.js';
import { Histories, makeSlabs } from '../../src/cam/stock/slabs.js';
import { StockFront } from '../../src/cam/stock/stock-front.js';
import { type PathPiece, linePiece } from '../../src/cam/stock/path-piece.js';
import { runs } from './oracle/runs.js';

const SETUP = {
  blankRadiusMm: 10,
  cutterRadiusMm: 1,
  holes: [{ x: 5, y: 5, radiusMm: 2 }],
};
/** Path number n: a line across the blank at a height of its own, and a gap in the list. */
const path = (n: number): (PathPiece | null)[] => {
  const y = -8 + 0.5 * n;
  return [linePiece(-12, y, 0, y), null, linePiece(0, y, 12, y)];
};

function scene(count = 4) {
  const budget = new Budget(1e9);
  const fronts = new Fronts(SETUP, budget);
  const levels = Array.from({ length: count - 1 }, (_, i) => -0.1 * (i + 1));
  const slabs = makeSlabs(levels, [], 0.1 * count);
  return { budget, fronts, slabs, histories: new Histories(slabs) };
}

/** What stands in a front: asked on a grid. */
const standing = (front: StockFront): string => {
  let text = '';
  for (let x = -9; x <= 9; x += 1.5) {
    for (let y = -9; y <= 9; y += 0.5) text += front.standsAt(x, y) ? '#' : '.';
  }
  return text;
};

describe('fronts', () => {
  it('property: are what a front made anew would be, whatever is swept in whatever order', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.nat(3), fc.nat(7), fc.boolean()), { minLength: 1, maxLength: 25 }),
        (steps) => {
          const { fronts, slabs, histories } = scene();
          for (let n = 0; n < 8; n++) expect(fronts.register(path(n))).toBe(n);
          const gone: number[][] = slabs.map(() => []);
          for (const [i, n, look] of steps) {
            const slab = slabs[i]!;
            fronts.sweep(slab, n, histories);
            gone[i]!.push(n);
            if (!look) continue;
            slabs.forEach((each, k) => {
              const fresh = new StockFront(SETUP);
              for (const p of gone[k]!.flatMap(path)) if (p) fresh.add(p);
              expect(standing(fronts.of(each))).toBe(standing(fresh));
            });
          }
        },
      ),
      { numRuns: Math.max(20, runs(100)) },
    );
  });

  it('are kept: the second look costs nothing, and slabs of equal history share one', () => {
    const { budget, fronts, slabs, histories } = scene();
    fronts.register(path(0));
    fronts.register(path(1));
    const [a, b, c] = slabs as [never, never, never];
    for (const slab of [a, b]) fronts.sweep(slab, 0, histories);
    const front = fronts.of(a);
    const spent = budget.spent;
    expect(fronts.of(a)).toBe(front);
    expect(fronts.of(b)).toBe(front);
    expect(budget.spent).toBe(spent);
    expect(fronts.of(c)).not.toBe(front);
    // A front for the caller to cut into is its own.
    expect(fronts.fresh([0])).not.toBe(front);
    expect(budget.spent).toBe(spent + 3);
  });

  it('grow where one slab has them, and stay where another has them, too', () => {
    const { budget, fronts, slabs, histories } = scene();
    for (const n of [0, 1, 2]) fronts.register(path(n));
    const [a, b] = slabs as [never, never];
    for (const slab of [a, b]) fronts.sweep(slab, 0, histories);
    const shared = fronts.of(a);
    fronts.sweep(a, 1, histories);
    expect(fronts.of(b)).toBe(shared);
    expect(shared.size).toBe(2);
    const own = fronts.of(a);
    expect(own).not.toBe(shared);
    expect(own.size).toBe(4);
    const spent = budget.spent;
    fronts.sweep(a, 2, histories);
    // Three pieces more, the empty one counted: not made anew.
    expect(budget.spent).toBe(spent + 3);
    expect(fronts.of(a)).toBe(own);
    expect(own.size).toBe(6);
    expect(budget.spent).toBe(spent + 3);
  });

  it('200 small ones are kept at a time, the oldest is given up', () => {
    const { budget, fronts, slabs, histories } = scene(210);
    // Each slab gets a history of its own.
    slabs.forEach((slab, i) => {
      fronts.register(path(i));
      fronts.sweep(slab, i, histories);
    });
    const first = slabs.slice(0, 200).map((slab) => fronts.of(slab));
    slabs.slice(0, 200).forEach((slab, i) => expect(fronts.of(slab)).toBe(first[i]));
    fronts.of(slabs[200]!);
    const spent = budget.spent;
    slabs.slice(1, 200).forEach((slab, i) => expect(fronts.of(slab)).toBe(first[i + 1]));
    expect(budget.spent).toBe(spent);
    expect(fronts.of(slabs[0]!)).not.toBe(first[0]);
    expect(budget.spent).toBe(spent + 3);
  });
});
