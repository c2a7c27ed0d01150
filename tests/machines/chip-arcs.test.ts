/** The part of an engagement in which teeth make chips, against asking each angle of the half turn. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ToothSum } from '../../src/machines/load/teeth.js';
import { runs } from '../cam/oracle/runs.js';

const TURN = 2 * Math.PI;
const MAX_ARCS = 32;

function arcsOf(...intervals: (readonly [number, number])[]): [number, number][] {
  const arcs = new ToothSum().arcs;
  arcs.set(intervals.map(([fromRad, toRad]) => ({ fromRad, toRad })));
  return listed(arcs);
}

const listed = (arcs: ToothSum['arcs']): [number, number][] =>
  Array.from({ length: arcs.count }, (_, i) => [arcs.from[i]!, arcs.to[i]!]);

describe('arcs that make a chip', () => {
  it('clipped to the half turn ahead, in order, overlaps and touching ends joined', () => {
    expect(arcsOf([0.5, 1])).toEqual([[0.5, 1]]);
    expect(arcsOf([-1, 1], [2, 4])).toEqual([
      [0, 1],
      [2, Math.PI],
    ]);
    expect(arcsOf([2, 2.5], [0.5, 1])).toEqual([
      [0.5, 1],
      [2, 2.5],
    ]);
    expect(arcsOf([1, 2], [0.5, 1])).toEqual([[0.5, 2]]);
    expect(arcsOf([0.5, 2], [1, 1.5])).toEqual([[0.5, 2]]);
    expect(arcsOf([1, 1.5], [0.5, 2])).toEqual([[0.5, 2]]);
    expect(arcsOf([1, 2], [1, 1.5])).toEqual([[1, 2]]);
    expect(arcsOf([2.5, 3], [0.1, 0.3], [1, 2], [0.2, 0.5])).toEqual([
      [0.1, 0.5],
      [1, 2],
      [2.5, 3],
    ]);
    expect(arcsOf([-2, -0.1], [1, 1], [3.5, 6])).toEqual([]);
    expect(arcsOf()).toEqual([]);
  });

  it('whole turns on or back are the same arc, also where it passes from one turn to the next', () => {
    for (const turns of [-3, -1, 1, 2]) {
      const [[from, to]] = arcsOf([0.5 + turns * TURN, 1 + turns * TURN]) as [[number, number]];
      expect(from).toBeCloseTo(0.5, 12);
      expect(to).toBeCloseTo(1, 12);
    }
    // From 3 rad on through the far side to 1 rad of the next turn.
    const [first, second] = arcsOf([3, TURN + 1]);
    expect(first).toEqual([0, expect.closeTo(1, 12)]);
    expect(second).toEqual([3, Math.PI]);
    expect(arcsOf([-Math.PI, Math.PI])).toEqual([[0, Math.PI]]);
    expect(arcsOf([-1, -1 + TURN])).toEqual([[0, Math.PI]]);
  });

  it('one arc from the wall on, whatever was there before', () => {
    const arcs = new ToothSum().arcs;
    arcs.set([
      { fromRad: 0.5, toRad: 1 },
      { fromRad: 2, toRad: 3 },
    ]);
    arcs.setSingle(0.7);
    expect(listed(arcs)).toEqual([[0, 0.7]]);
    arcs.setSingle(4);
    expect(listed(arcs)).toEqual([[0, Math.PI]]);
    for (const nothing of [0, -1, NaN]) {
      arcs.setSingle(nothing);
      expect(listed(arcs)).toEqual([]);
    }
  });

  it('as many as there is room for, and not one more', () => {
    const many = (n: number): [number, number][] =>
      Array.from({ length: n }, (_, i) => [0.05 * i + 0.01, 0.05 * i + 0.03]);
    expect(arcsOf(...many(MAX_ARCS))).toEqual(many(MAX_ARCS));
    expect(arcsOf(...many(MAX_ARCS).reverse())).toEqual(many(MAX_ARCS));
    expect(() => arcsOf(...many(MAX_ARCS + 1))).toThrow(/more than 32 engagement intervals/);
  });

  it('property: an angle is in one of them if it is in one of the intervals', () => {
    const interval = fc
      .tuple(
        fc.double({ min: -9, max: 9, noNaN: true }),
        fc.double({ min: 0, max: TURN, noNaN: true }),
      )
      .map(([from, span]) => [from, from + span] as const);
    fc.assert(
      fc.property(fc.array(interval, { minLength: 1, maxLength: 6 }), (intervals) => {
        const arcs = arcsOf(...intervals);
        arcs.forEach(([from, to], i) => {
          expect(from).toBeGreaterThanOrEqual(i === 0 ? 0 : arcs[i - 1]![1]);
          expect(to).toBeGreaterThan(from);
          expect(to).toBeLessThanOrEqual(Math.PI);
        });
        for (let k = 1; k < 200; k++) {
          const t = (k * Math.PI) / 200;
          const near = intervals.flat().some((end) => Math.abs(Math.sin((end - t) / 2)) < 1e-9);
          if (near) continue;
          const inside = intervals.some(([from, to]) =>
            [-2, -1, 0, 1, 2].some((n) => t + n * TURN > from && t + n * TURN < to),
          );
          expect(arcs.some(([from, to]) => t > from && t < to)).toBe(inside);
        }
      }),
      { numRuns: Math.max(50, runs(200)) },
    );
  });
});
