/** Edges share a cut as evenly as whole levels allow, against every sharing there is. */
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { fewestEdges, shareEdges } from '../../src/cam/edge-changes.js';
import { edgeHolds } from '../../src/machines/bear/edge.js';

/** What the edge that bears most bears, with changes after so many levels. */
function mostOf(after: readonly number[], levels: number, finishShare: number): number {
  const level = (1 - finishShare) / levels;
  const ends = [0, ...after, levels];
  const each = ends.slice(1).map((end, i) => (end - ends[i]!) * level);
  each[each.length - 1]! += finishShare;
  return Math.max(...each);
}

/** Every choice of so many levels out of those with another after them. */
function* choices(count: number, from: number, levels: number): Generator<number[]> {
  if (count === 0) return yield [];
  for (let first = from; first < levels; first++) {
    for (const rest of choices(count - 1, first + 1, levels)) yield [first, ...rest];
  }
}

it('property: no other sharing of the levels spares the edge that bears most', () => {
  const cases = fc
    .tuple(fc.integer({ min: 1, max: 9 }), fc.double({ min: 0, max: 0.9, noNaN: true }))
    .chain(([levels, finishShare]) =>
      fc.record({
        levels: fc.constant(levels),
        finishShare: fc.constant(finishShare),
        edges: fc.integer({ min: 1, max: levels }),
      }),
    );
  fc.assert(
    fc.property(cases, ({ edges, levels, finishShare }) => {
      const { changesAfter, most } = shareEdges(edges, levels, finishShare);
      const after = changesAfter.map((level) => level + 1);
      expect(new Set(after).size).toBe(edges - 1);
      expect(mostOf(after, levels, finishShare)).toBeCloseTo(most, 9);
      const least = Math.min(
        ...[...choices(edges - 1, 1, levels)].map((one) => mostOf(one, levels, finishShare)),
      );
      expect(most).toBeLessThan(least + 1e-9);
    }),
    { numRuns: 200 },
  );
});

it('takes as many edges as keep their share of the risk, three fifths, all together', () => {
  for (const lives of [0.5, 1, 2.3, 3]) {
    const { edges, most } = fewestEdges({ lives, finishShare: 0.2 }, 0.02, 40);
    expect(edgeHolds(lives * most) ** edges).toBeGreaterThan(1 - 0.6 * 0.02);
    if (edges === 1) continue;
    const fewer = shareEdges(edges - 1, 40, 0.2);
    expect(edgeHolds(lives * fewer.most) ** (edges - 1)).toBeLessThan(1 - 0.6 * 0.02);
  }
});

it('asks for no more changes than there are levels to change between', () => {
  expect(fewestEdges({ lives: 30, finishShare: 0.2 }, 0.02, 3)).toMatchObject({
    edges: 3,
    changesAfter: [0, 1],
  });
  // Half of it is finishing, which has one edge whatever roughing has.
  expect(fewestEdges({ lives: 30, finishShare: 0.5 }, 0.02, 5)).toMatchObject({
    edges: 2,
    changesAfter: [3],
  });
  expect(fewestEdges({ lives: 30, finishShare: 0.2 }, 0.02, 1)).toEqual({
    edges: 1,
    changesAfter: [],
    most: 1,
    servedLives: 0,
  });
});

it('goes on with an edge that has served before where it lasts to the end, and else begins with a new one', () => {
  // One edge may be used for 2 exp(-0.35 2.257) = 0.908 lives at 2 % (tests/machines/edge.test.ts).
  const first = (lives: number, served: number) =>
    fewestEdges({ lives, finishShare: 0.2, servedLives: served }, 0.02, 40);
  expect(first(0.5, 0.4)).toEqual({
    edges: 1,
    changesAfter: [],
    most: 0.9 / 0.5,
    servedLives: 0.4,
  });
  expect(first(0.5, 0.41)).toEqual(first(0.5, 0));
  expect(first(1.2, 0.1)).toEqual(first(1.2, 0));
});
