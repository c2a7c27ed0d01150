/** Slabs between the depths that a program travels at, and their histories; figures by hand. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Budget, ReplayLimit } from '../../src/cam/stock/replay/budget.js';
import { Histories, makeSlabs } from '../../src/cam/stock/slabs.js';
import { runs } from './oracle/runs.js';

/** As many levels as a program may have. */
const MAX_DEPTHS = 1000;

const bounds = (levels: readonly number[], slants: readonly number[], thickness: number) =>
  makeSlabs(levels, slants, thickness).map((slab) => [slab.topMm, slab.bottomMm]);

describe('slabs', () => {
  it('lie between the depths travelled at, from the face to the underside', () => {
    expect(bounds([-2, -1, -2, -1], [], 3)).toEqual([
      [0, -1],
      [-1, -2],
      [-2, -3],
    ]);
    expect(bounds([], [], 3)).toEqual([[0, -3]]);
    expect(bounds([], [-1.5], 3)).toEqual([
      [0, -1.5],
      [-1.5, -3],
    ]);
    const [slab] = makeSlabs([], [], 3);
    expect(slab).toEqual({ topMm: 0, bottomMm: -3, swept: new Set(), history: 0 });
  });

  it('what is above the face, at it or under the blank bounds none', () => {
    expect(bounds([5, 0, -1e-4, -3, -3.1, -9], [2, 0, -4], 3)).toEqual([[0, -3]]);
    expect(bounds([-1.1e-4], [], 3)).toEqual([
      [0, -1.1e-4],
      [-1.1e-4, -3],
    ]);
    expect(bounds([-2.9], [], 3)).toHaveLength(2);
  });

  it('depths within 0.0001 mm are one, the upper', () => {
    expect(bounds([-1, -1.00009, -2], [], 3)).toEqual([
      [0, -1],
      [-1, -2],
      [-2, -3],
    ]);
    expect(bounds([-1, -1.0002], [], 3)).toHaveLength(3);
    // Also of the two kinds together.
    expect(bounds([-1], [-1.00009], 3)).toHaveLength(2);
  });

  it('as many levels as a program may have, and not one more', () => {
    const levels = (n: number) => Array.from({ length: n }, (_, i) => -0.001 * (i + 1));
    expect(bounds(levels(MAX_DEPTHS), [], 3)).toHaveLength(1001);
    expect(() => bounds(levels(MAX_DEPTHS + 1), [], 3)).toThrow(ReplayLimit);
    expect(() => bounds(levels(MAX_DEPTHS + 1), [], 3)).toThrow(/more than 1000 different depths/);
    // Those that count once or not at all are not counted.
    expect(bounds([...levels(MAX_DEPTHS), ...levels(MAX_DEPTHS), 4, -5], [], 3)).toHaveLength(1001);
  });

  it('depths of slants are thinned to a hundred, levels never', () => {
    const slants = (n: number) => Array.from({ length: n }, (_, i) => -0.01 * (i + 1));
    expect(bounds([], slants(100), 9)).toHaveLength(101);
    // Every other one, the first of all kept.
    const thinned = bounds([], slants(150), 9);
    expect(thinned).toHaveLength(76);
    expect(thinned[0]![1]).toBeCloseTo(-0.01, 12);
    expect(thinned[1]![1]).toBeCloseTo(-0.03, 12);
    expect(bounds([-1.5005], slants(150), 9)).toHaveLength(77);
    expect(bounds([], slants(201), 9)).toHaveLength(68);
  });

  it('property: they lie on each other, and every level is the bottom of one', () => {
    const depth = fc.double({ min: -6, max: 1, noNaN: true });
    fc.assert(
      fc.property(fc.array(depth), fc.array(depth), (levels, slants) => {
        const slabs = bounds(levels, slants, 5);
        expect(slabs[0]![0]).toBe(0);
        expect(Math.abs(slabs.at(-1)![1]! + 5)).toBeLessThanOrEqual(1e-4);
        slabs.forEach(([top, bottom], i) => {
          expect(top! - bottom!).toBeGreaterThan(1e-4);
          if (i > 0) expect(top).toBe(slabs[i - 1]![1]);
        });
        for (const z of levels) {
          if (z >= -1e-4 || z <= -5) continue;
          expect(slabs.some(([, bottom]) => Math.abs(bottom! - z) <= 1e-4)).toBe(true);
        }
      }),
      { numRuns: Math.max(50, runs(200)) },
    );
  });
});

describe('histories', () => {
  it('are equal where the same paths have gone through in the same order', () => {
    const [a, b, c] = makeSlabs([-1, -2], [], 3) as [never, never, never];
    const slabs = [a, b, c] as ReturnType<typeof makeSlabs>;
    const histories = new Histories(slabs);
    expect(histories.count(0)).toBe(3);
    const go = (i: number, path: number): number => {
      histories.sweep(slabs[i]!, path);
      return slabs[i]!.history;
    };
    const first = go(0, 7);
    expect(first).not.toBe(0);
    expect([histories.count(0), histories.count(first)]).toEqual([2, 1]);
    expect(go(1, 7)).toBe(first);
    expect(histories.count(first)).toBe(2);
    const other = go(2, 8);
    expect(other).not.toBe(first);
    expect(histories.count(0)).toBe(0);
    // 7 then 8 is not 8 then 7.
    const both = go(0, 8);
    expect(go(2, 7)).not.toBe(both);
    expect(go(1, 8)).toBe(both);
    expect([histories.count(first), histories.count(both)]).toEqual([0, 2]);
    expect([...slabs[0]!.swept]).toEqual([7, 8]);
    expect([...slabs[2]!.swept]).toEqual([8, 7]);
    expect(histories.count(999)).toBe(0);
  });
});

describe('work', () => {
  it('up to the limit, named when it is passed', () => {
    const budget = new Budget(10);
    budget.spend(4);
    budget.spend(6);
    expect(budget.spent).toBe(10);
    expect(() => budget.spend(0.5)).toThrow(ReplayLimit);
    try {
      new Budget(3).spend(4);
      expect.unreachable();
    } catch (error) {
      expect(error).toMatchObject({
        name: 'ReplayLimit',
        limit: 3,
        message: 'the program has more than 3 places to look at, the limit of the replay',
      });
    }
    const usual = new Budget();
    usual.spend(8_000_000);
    expect(() => usual.spend(1)).toThrow(/8000000 places/);
  });
});
