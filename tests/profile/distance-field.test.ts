import { describe, expect, test } from 'vitest';
import type { Loop, Pt } from '../../src/model/edges.js';
import { makeDistanceField } from '../../src/profile/geometry/distance-field.js';
import { circle } from '../../src/profile/geometry/edge.js';
import { inAir, loopBounds, loopFlatten, reverseLoop } from '../../src/profile/geometry/loop.js';
import { LONG } from '../cam/oracle/runs.js';
import {
  DISC,
  ELL,
  SCOOPED,
  rotateLoop,
  roundedRectangle,
  seeded,
  signedDistanceToLoop,
} from './shapes.js';

const SHAPES: Record<string, Loop> = {
  ell: rotateLoop(ELL, 0.3),
  ellSquare: ELL,
  scooped: SCOOPED,
  rounded: roundedRectangle(12, 7, 1.5),
  disc: DISC,
};

/** Even-odd ray test on a fine polygon: a separate way to tell inside from outside. */
function insidePolygon(flat: Float64Array, [x, y]: Pt): boolean {
  let inside = false;
  const n = flat.length / 2;
  for (let i = 0, j = n - 1; i < n; j = i++) {
    const xi = flat[2 * i] as number;
    const yi = flat[2 * i + 1] as number;
    const xj = flat[2 * j] as number;
    const yj = flat[2 * j + 1] as number;
    if (yi > y !== yj > y && x < ((xj - xi) * (y - yi)) / (yj - yi) + xi) inside = !inside;
  }
  return inside;
}

/** Least distance to the chords of a fine polygon. */
function polygonDistance(flat: Float64Array, [x, y]: Pt): number {
  let best = Infinity;
  const n = flat.length / 2;
  for (let i = 0, j = n - 1; i < n; j = i++) {
    const ax = flat[2 * j] as number;
    const ay = flat[2 * j + 1] as number;
    const dx = (flat[2 * i] as number) - ax;
    const dy = (flat[2 * i + 1] as number) - ay;
    const t = Math.min(1, Math.max(0, ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy)));
    best = Math.min(best, Math.hypot(x - ax - t * dx, y - ay - t * dy));
  }
  return best;
}

describe('distance field', () => {
  for (const [name, loop] of Object.entries(SHAPES)) {
    for (const sense of ['ccw', 'cw'] as const) {
      test(`${name} ${sense} against a fine polygon and against every edge, seed 11`, () => {
        const l = sense === 'ccw' ? loop : reverseLoop(loop);
        const field = makeDistanceField(l);
        const flat = loopFlatten(l, 1e-4);
        const box = loopBounds(l);
        const random = seeded(11);
        let insides = 0;
        const count = LONG ? 2000 : 500;
        for (let i = 0; i < count; i++) {
          const p: Pt = [
            box.minX - 15 + random() * (box.maxX - box.minX + 30),
            box.minY - 15 + random() * (box.maxY - box.minY + 30),
          ];
          const d = field(p[0], p[1]);
          expect(Math.abs(Math.abs(d) - polygonDistance(flat, p))).toBeLessThan(1.1e-4);
          expect(Math.abs(d - signedDistanceToLoop(l, p))).toBeLessThan(1e-12);
          if (Math.abs(d) < 2e-4) continue;
          const inside = insidePolygon(flat, p);
          if (inside) insides++;
          expect(inAir(l, p)).toBe(sense === 'ccw' ? !inside : inside);
          expect(d < 0).toBe(sense === 'ccw' ? inside : !inside);
        }
        expect(insides).toBeGreaterThan(count / 40);
      });
    }
  }

  test('points level with vertices and on chords are put on the right side', () => {
    // Lattice points: many lie in line with vertices, on chords of arcs and on the boundary.
    for (const loop of [ELL, SCOOPED, DISC]) {
      const field = makeDistanceField(loop);
      const flat = loopFlatten(loop, 1e-6);
      for (let x = -3; x <= 23; x++) {
        for (let y = -8; y <= 13; y++) {
          const d = field(x, y);
          if (Math.abs(d) < 1e-5) continue;
          const nudged: Pt = [x + 1.3e-6, y + 1.7e-6];
          expect(d < 0).toBe(insidePolygon(flat, nudged));
          expect(inAir(loop, [x, y])).toBe(d > 0);
        }
      }
    }
  });

  test('outline with a hole: material between them only', () => {
    const field = makeDistanceField(circle([0, 0], 10, true), circle([0, 0], 4, false));
    expect(field(0, 0)).toBeCloseTo(4, 12);
    expect(field(6, 0)).toBeCloseTo(-2, 12);
    expect(field(0, 9)).toBeCloseTo(-1, 12);
    expect(field(0, -13)).toBeCloseTo(3, 12);
    expect(field(300, 400)).toBeCloseTo(490, 9);
    expect([0, 1]).toContain(field.nearestEdge(9, 1));
    expect([2, 3]).toContain(field.nearestEdge(1, 1));
  });
});
