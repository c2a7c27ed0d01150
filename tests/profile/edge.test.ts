import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { ArcEdge, Edge, Pt } from '../../src/model/edges.js';
import {
  arcsBySweep,
  distanceToEdge,
  edgeLength,
  edgeRadius,
  edgeSweepRad,
  line,
  mapEdge,
  mirrorEdge,
  nearestOnEdge,
  pointAt,
  reverseEdge,
  rotatePt,
  splitEdge,
  tangentAt,
} from '../../src/profile/geometry/edge.js';
import { edgeBounds } from '../../src/profile/geometry/loop.js';

const coordinate = fc.double({ min: -50, max: 50, noNaN: true });
const point = fc.tuple(coordinate, coordinate);
const anyArc = fc
  .record({
    c: point,
    r: fc.double({ min: 0.1, max: 40, noNaN: true }),
    from: fc.double({ min: -4, max: 4, noNaN: true }),
    sweep: fc.double({ min: 0.01, max: Math.PI, noNaN: true }),
    ccw: fc.boolean(),
  })
  .map(({ c, r, from, sweep, ccw }): ArcEdge => {
    const a: Pt = [c[0] + r * Math.cos(from), c[1] + r * Math.sin(from)];
    return arcsBySweep(a, c, ccw ? sweep : -sweep)[0] as ArcEdge;
  });
const anyEdge: fc.Arbitrary<Edge> = fc.oneof(
  anyArc,
  fc
    .tuple(point, point)
    .filter(([a, b]) => Math.hypot(a[0] - b[0], a[1] - b[1]) > 0.01)
    .map(([a, b]) => line(a, b)),
);

describe('edge', () => {
  test('length and nearest point agree with dense sampling', () => {
    fc.assert(
      fc.property(anyEdge, point, (edge, p) => {
        const n = 400;
        let length = 0;
        let least = Infinity;
        for (let i = 0; i <= n; i++) {
          const q = pointAt(edge, i / n);
          if (i > 0) {
            const o = pointAt(edge, (i - 1) / n);
            length += Math.hypot(q[0] - o[0], q[1] - o[1]);
          }
          least = Math.min(least, Math.hypot(q[0] - p[0], q[1] - p[1]));
        }
        // A chord of angle s / n is short by (s / n)^2 / 24 of the arc.
        expect(Math.abs(edgeLength(edge) - length)).toBeLessThan(
          1e-9 + (edgeLength(edge) * (Math.PI / n) ** 2) / 23,
        );
        const near = nearestOnEdge(edge, p);
        expect(near.distanceMm).toBeLessThanOrEqual(least + 1e-9);
        expect(near.distanceMm).toBeGreaterThanOrEqual(least - edgeLength(edge) / n);
        expect(Math.abs(distanceToEdge(edge, p[0], p[1]) - near.distanceMm)).toBeLessThan(1e-9);
        const again = pointAt(edge, near.t);
        expect(Math.hypot(again[0] - near.point[0], again[1] - near.point[1])).toBeLessThan(1e-9);
      }),
    );
  });

  test('tangent is the derivative of the point', () => {
    fc.assert(
      fc.property(anyEdge, fc.double({ min: 0.01, max: 0.99, noNaN: true }), (edge, t) => {
        const h = 1e-5;
        const p = pointAt(edge, t - h);
        const q = pointAt(edge, t + h);
        const l = Math.hypot(q[0] - p[0], q[1] - p[1]);
        const u = tangentAt(edge, t);
        expect(u[0]).toBeCloseTo((q[0] - p[0]) / l, 5);
        expect(u[1]).toBeCloseTo((q[1] - p[1]) / l, 5);
      }),
    );
  });

  test('reverse, split and rigid motions keep what they should', () => {
    fc.assert(
      fc.property(anyEdge, fc.double({ min: 0.05, max: 0.95, noNaN: true }), (edge, t) => {
        const back = reverseEdge(edge);
        expect(back.a).toBe(edge.b);
        expect(edgeLength(back)).toBeCloseTo(edgeLength(edge), 9);
        const [first, second] = splitEdge(edge, t);
        expect(first.b).toBe(second.a);
        expect(edgeLength(first)).toBeCloseTo(t * edgeLength(edge), 8);
        expect(edgeLength(first) + edgeLength(second)).toBeCloseTo(edgeLength(edge), 8);
        for (const moved of [
          mapEdge(edge, (p) => rotatePt(p, 1.1, [3, 4])),
          mapEdge(edge, (p) => [p[0] - 7, p[1] + 2]),
          mirrorEdge(edge),
        ]) {
          expect(edgeLength(moved)).toBeCloseTo(edgeLength(edge), 8);
        }
        const m = pointAt(edge, t);
        const mirrored = pointAt(mirrorEdge(edge), t);
        expect(mirrored[0]).toBeCloseTo(m[0], 9);
        expect(mirrored[1]).toBeCloseTo(-m[1], 9);
      }),
    );
  });

  test('bounds hold every point and touch the extremes', () => {
    fc.assert(
      fc.property(anyEdge, (edge) => {
        const box = edgeBounds(edge);
        let minX = Infinity;
        let maxY = -Infinity;
        for (let i = 0; i <= 500; i++) {
          const q = pointAt(edge, i / 500);
          minX = Math.min(minX, q[0]);
          maxY = Math.max(maxY, q[1]);
        }
        const slack = edge.kind === 'arc' ? edgeRadius(edge) * 1e-4 : 1e-9;
        expect(minX).toBeGreaterThanOrEqual(box.minX - 1e-9);
        expect(minX - box.minX).toBeLessThan(slack);
        expect(maxY).toBeLessThanOrEqual(box.maxY + 1e-9);
        expect(box.maxY - maxY).toBeLessThan(slack);
      }),
    );
  });

  test('arcs about half and whole turns, and a hair to each side, split into at most half turns', () => {
    for (const turn of [Math.PI, 2 * Math.PI, -Math.PI, -2 * Math.PI]) {
      for (const hair of [0, 1e-6, -1e-6]) {
        const pieces = arcsBySweep([2, 0], [0, 0], turn + hair);
        const total = pieces.reduce((s, e) => s + edgeSweepRad(e), 0);
        expect(total).toBeCloseTo(Math.abs(turn + hair), 9);
        for (const e of pieces) expect(edgeSweepRad(e)).toBeLessThanOrEqual(Math.PI + 1e-9);
      }
    }
    expect(arcsBySweep([2, 0], [0, 0], Math.PI)).toHaveLength(1);
    expect(arcsBySweep([2, 0], [0, 0], Math.PI + 1e-6)).toHaveLength(2);
  });
});
