import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { ArcEdge, Edge, Pt } from '../../src/model/edges.js';
import { arc, arcsBySweep, line, nearestOnEdge, pointAt } from '../../src/profile/geometry/edge.js';
import { edgeIntersections } from '../../src/profile/geometry/intersect.js';
import { runs } from '../cam/oracle/runs.js';

const coordinate = fc.integer({ min: -1e6, max: 1e6 }).map((n) => n / 1e5);
const point = fc.tuple(coordinate, coordinate);
const anyEdge: fc.Arbitrary<Edge> = fc.oneof(
  fc
    .tuple(point, point)
    .filter(([a, b]) => Math.hypot(a[0] - b[0], a[1] - b[1]) > 0.5)
    .map(([a, b]) => line(a, b)),
  fc
    .tuple(
      point,
      fc.integer({ min: 1000, max: 12_000 }).map((n) => n / 1e3),
      fc.integer({ min: 0, max: 6000 }).map((n) => n / 1e3),
      fc.double({ min: 0.3, max: Math.PI, noNaN: true }),
      fc.boolean(),
    )
    .map(([c, r, from, sweep, ccw]) => {
      const a: Pt = [c[0] + r * Math.cos(from), c[1] + r * Math.sin(from)];
      return arcsBySweep(a, c, ccw ? sweep : -sweep)[0] as ArcEdge;
    }),
);

/** Crossings seen by dense sampling: changes of side of the second edge's carrier that happen
 *  within its ends. `unsure` where the sampling cannot decide. */
function sampledCrossings(first: Edge, second: Edge): { count: number; unsure: boolean } {
  const n = 3000;
  const side = (p: Pt): number =>
    second.kind === 'line'
      ? (second.b[0] - second.a[0]) * (p[1] - second.a[1]) -
        (second.b[1] - second.a[1]) * (p[0] - second.a[0])
      : Math.hypot(p[0] - second.c[0], p[1] - second.c[1]) -
        Math.hypot(second.a[0] - second.c[0], second.a[1] - second.c[1]);
  let count = 0;
  let unsure = false;
  let before = side(first.a);
  for (let i = 1; i <= n; i++) {
    const p = pointAt(first, i / n);
    const now = side(p);
    if (before > 0 !== now > 0) {
      const near = nearestOnEdge(second, p);
      const step = 40 / n;
      const toEnd = Math.min(near.t, 1 - near.t);
      if (toEnd > 0 && near.distanceMm < step) count++;
      if (toEnd < 0.02) unsure = true;
      if (i < 5 || i > n - 5) unsure = true;
    }
    before = now;
  }
  return { count, unsure };
}

describe('edgeIntersections', () => {
  test('every point found lies on both edges, and none is missed against dense sampling', () => {
    let counted = 0;
    fc.assert(
      fc.property(anyEdge, anyEdge, (first, second) => {
        const hits = edgeIntersections(first, second);
        for (const hit of hits) {
          expect(nearestOnEdge(first, hit.point).distanceMm).toBeLessThan(1.1e-5);
          expect(nearestOnEdge(second, hit.point).distanceMm).toBeLessThan(1.1e-5);
          const p = pointAt(first, hit.t);
          expect(Math.hypot(p[0] - hit.point[0], p[1] - hit.point[1])).toBeLessThan(2e-5);
        }
        const sampled = sampledCrossings(first, second);
        // Two crossings closer than the sampling step, or a graze, are not seen by it.
        const apart = hits.length < 2 || Math.abs((hits[0]?.t ?? 0) - (hits[1]?.t ?? 0)) > 0.05;
        if (!sampled.unsure && apart && hits.every((h) => h.t > 0.02 && h.t < 0.98)) {
          expect(hits.length).toBeGreaterThanOrEqual(sampled.count);
          if (hits.every((h) => h.u > 0.02 && h.u < 0.98)) expect(sampled.count).toBe(hits.length);
          counted += sampled.count;
        }
      }),
      { numRuns: runs(1500) },
    );
    expect(counted).toBeGreaterThan(runs(50));
  });

  test('touches, shared stretches, parallels', () => {
    const half = arc([1, 0], [-1, 0], [0, 0], true);
    expect(edgeIntersections(half, line([-2, 1], [2, 1]))).toMatchObject([{ t: 0.5, u: 0.5 }]);
    expect(edgeIntersections(half, line([-2, 1.001], [2, 1.001]))).toHaveLength(0);
    expect(edgeIntersections(half, line([-2, -0.5], [2, -0.5]))).toHaveLength(0);
    expect(edgeIntersections(line([0, 0], [4, 0]), line([0, 1], [4, 1]))).toHaveLength(0);
    const shared = edgeIntersections(line([0, 0], [4, 0]), line([3, 0], [9, 0]));
    expect(shared.map((h) => h.point)).toEqual([
      [3, 0],
      [4, 0],
    ]);
    // Arcs that only share an end.
    const next = arc([-1, 0], [1, 0], [0, 0], true);
    expect(edgeIntersections(half, next)).toHaveLength(2);
    // Inner tangent circles of radius 5 and 2.
    const big = arc([5, 0], [-5, 0], [0, 0], true);
    const small = arc([5, 0], [1, 0], [3, 0], true);
    expect(edgeIntersections(big, small).map((h) => h.t)).toEqual([0]);
  });
});
