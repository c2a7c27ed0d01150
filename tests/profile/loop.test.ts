import { describe, expect, test } from 'vitest';
import type { Loop } from '../../src/model/edges.js';
import { arc, circle, line } from '../../src/profile/geometry/edge.js';

import {
  type GeometryError,
  chordCount,
  loopBounds,
  loopFlatten,
  perimeter,
  reverseLoop,
  signedArea,
  validateLoop,
} from '../../src/profile/geometry/loop.js';
import { DISC, SCOOPED, rectangle, roundedRectangle } from './shapes.js';

function fault(loop: Loop): GeometryError {
  try {
    validateLoop(loop);
  } catch (e) {
    return e as GeometryError;
  }
  throw new Error('loop was accepted');
}

describe('validateLoop', () => {
  test('accepts sound loops', () => {
    for (const loop of [rectangle(2, 3), SCOOPED, DISC, reverseLoop(SCOOPED)]) validateLoop(loop);
  });

  test('names the faulty edge', () => {
    const r = rectangle(2, 3);
    expect(fault([])).toMatchObject({ code: 'loop-empty' });
    expect(fault(r.slice(0, 3))).toMatchObject({ code: 'loop-open', edgeIndex: 2 });
    expect(fault([...r.slice(0, 2), line([2, 3], [0, NaN]), line([0, NaN], [0, 0])])).toMatchObject(
      { code: 'edge-not-finite', edgeIndex: 2 },
    );
    expect(fault([line([0, 0], [1e-6, 0]), line([1e-6, 0], [0, 0])])).toMatchObject({
      code: 'edge-too-short',
      edgeIndex: 0,
    });
    expect(fault([line([0, 0], [2, 0]), arc([2, 0], [0, 0], [1.001, 0], true)])).toMatchObject({
      code: 'arc-radii-differ',
      edgeIndex: 1,
    });
    expect(fault([line([0, 0], [2, 0]), arc([2, 0], [0, 0], [1, 1], true)])).toMatchObject({
      code: 'arc-sweep',
      edgeIndex: 1,
    });
  });
});

describe('measures of a loop', () => {
  test('areas and lengths by the school formulas', () => {
    expect(signedArea(rectangle(3, 4))).toBe(12);
    expect(signedArea(DISC)).toBeCloseTo(Math.PI * 25, 12);
    expect(signedArea(reverseLoop(DISC))).toBeCloseTo(-Math.PI * 25, 12);
    expect(signedArea(SCOOPED)).toBeCloseTo(200 - (Math.PI * 16) / 2, 12);
    expect(signedArea(roundedRectangle(12, 7, 1.5))).toBeCloseTo(
      12 * 7 - (4 - Math.PI) * 1.5 ** 2,
      12,
    );
    expect(perimeter(DISC)).toBeCloseTo(10 * Math.PI, 12);
    expect(perimeter(roundedRectangle(12, 7, 1.5))).toBeCloseTo(
      2 * (9 + 4) + 2 * Math.PI * 1.5,
      12,
    );
  });

  test('bounds include the bulge of arcs', () => {
    expect(loopBounds(DISC)).toEqual({ minX: -2, minY: -7, maxX: 8, maxY: 3 });
    expect(loopBounds(SCOOPED)).toEqual({ minX: 0, minY: 0, maxX: 20, maxY: 10 });
  });

  test('flattening keeps the chord tolerance and converges on the area from inside', () => {
    const c = circle([0, 0], 10, true);
    for (const tol of [0.1, 1e-2, 1e-4]) {
      const flat = loopFlatten(c, tol);
      let area = 0;
      const n = flat.length / 2;
      for (let i = 0; i < n; i++) {
        const j = (i + 1) % n;
        const ax = flat[2 * i] as number;
        const ay = flat[2 * i + 1] as number;
        const bx = flat[2 * j] as number;
        const by = flat[2 * j + 1] as number;
        expect(Math.hypot(ax, ay)).toBeCloseTo(10, 12);
        expect(10 - Math.hypot((ax + bx) / 2, (ay + by) / 2)).toBeLessThanOrEqual(tol * 1.0001);
        area += (ax * by - ay * bx) / 2;
      }
      expect(area).toBeLessThan(100 * Math.PI);
      expect(area).toBeGreaterThan(100 * Math.PI - 20 * Math.PI * tol);
    }
    expect(chordCount(line([0, 0], [5, 0]), 1e-9)).toBe(1);
  });
});
