import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Edge, Loop, Pt } from '../../src/model/edges.js';
import { pointAt } from '../../src/profile/geometry/edge.js';

import {
  GeometryError,
  perimeter,
  reverseLoop,
  signedArea,
  validateLoop,
} from '../../src/profile/geometry/loop.js';
import { offsetLoop } from '../../src/profile/geometry/offset.js';
import { clipperOffsetAreas } from './clipper-oracle.js';
import {
  DISC,
  ELL,
  SCOOPED,
  mirrorLoop,
  polygon,
  rectangle,
  rotateLoop,
  roundedRectangle,
  signedDistanceToLoop,
  translateLoop,
} from './shapes.js';
import { runs } from '../cam/oracle/runs.js';

const SHAPES: Record<string, Loop> = {
  rectangle: rectangle(12, 7),
  rounded: roundedRectangle(12, 7, 1.5),
  ell: ELL,
  scooped: SCOOPED,
  disc: DISC,
  triangle: polygon([
    [0, 0],
    [9, 1],
    [2, 8],
  ]),
};

/** Brute force: every point of the offset is at the offset distance from the source, by looking
 *  at every edge. */
function worstDistanceError(source: Loop, offset: Loop, d: number): number {
  let worst = 0;
  for (const edge of offset) {
    for (let t = 0; t <= 1; t += 0.125) {
      worst = Math.max(worst, Math.abs(signedDistanceToLoop(source, pointAt(edge, t)) - d));
    }
  }
  return worst;
}

function offsetError(loop: Loop, d: number): GeometryError {
  try {
    offsetLoop(loop, d);
  } catch (e) {
    if (e instanceof GeometryError) return e;
    throw e;
  }
  throw new Error('offset did not throw');
}

describe('offsetLoop against brute-force distance', () => {
  for (const [name, shape] of Object.entries(SHAPES)) {
    for (const d of [0.3, 1, 1.9, -0.3, -1]) {
      test(`${name} by ${d}`, () => {
        const off = offsetLoop(shape, d);
        validateLoop(off);
        expect(worstDistanceError(shape, off, d)).toBeLessThan(1e-9);
        const hole = offsetLoop(reverseLoop(shape), -d);
        validateLoop(hole);
        expect(signedArea(hole)).toBeCloseTo(-signedArea(off), 9);
      });
    }
  }
});

describe('offsetLoop against closed forms', () => {
  // Steiner's formula for convex sets: area A + P d + pi d^2, perimeter P + 2 pi d.
  for (const name of ['rectangle', 'rounded', 'disc', 'triangle'] as const) {
    test(`Steiner area and perimeter, ${name}`, () => {
      const shape = SHAPES[name] as Loop;
      const d = 1.25;
      const off = offsetLoop(shape, d);
      expect(signedArea(off)).toBeCloseTo(
        signedArea(shape) + perimeter(shape) * d + Math.PI * d * d,
        9,
      );
      expect(perimeter(off)).toBeCloseTo(perimeter(shape) + 2 * Math.PI * d, 9);
    });
  }

  test('inner rectangle keeps sharp corners', () => {
    const off = offsetLoop(rectangle(12, 7), -1);
    expect(off).toHaveLength(4);
    expect(signedArea(off)).toBeCloseTo((12 - 2) * (7 - 2), 12);
  });

  test('outwards and back again gives a smooth loop back', () => {
    const shape = roundedRectangle(12, 7, 1.5);
    const back = offsetLoop(offsetLoop(shape, 2), -2);
    expect(back).toHaveLength(shape.length);
    back.forEach((edge, i) => {
      expect(edge.a[0]).toBeCloseTo((shape[i] as Edge).a[0], 12);
      expect(edge.a[1]).toBeCloseTo((shape[i] as Edge).a[1], 12);
    });
  });

  test('inputs are not mutated', () => {
    const shape = roundedRectangle(12, 7, 1.5);
    const before = JSON.stringify(shape);
    offsetLoop(shape, 1);
    expect(JSON.stringify(shape)).toBe(before);
  });
});

describe('offsetLoop properties', () => {
  test('commutes with rotation, translation and mirror; area grows with distance', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...Object.values(SHAPES)),
        fc.double({ min: 0.05, max: 1.4, noNaN: true }),
        fc.double({ min: 0, max: 6.3, noNaN: true }),
        (shape, d, angle) => {
          const off = offsetLoop(shape, d);
          const moved = (l: Loop): Loop => translateLoop(mirrorLoop(rotateLoop(l, angle)), 3, -7);
          const other = offsetLoop(moved(shape), d);
          validateLoop(other);
          expect(signedArea(other)).toBeCloseTo(signedArea(off), 8);
          expect(perimeter(other)).toBeCloseTo(perimeter(off), 8);
          expect(signedArea(off)).toBeGreaterThan(signedArea(shape));
          expect(signedArea(offsetLoop(shape, d + 0.1))).toBeGreaterThan(signedArea(off));
          // Steiner's formula bounds the area of any simple loop from above.
          expect(signedArea(off)).toBeLessThan(
            signedArea(shape) + perimeter(shape) * d + Math.PI * d * d + 1e-9,
          );
        },
      ),
      { numRuns: runs(200) },
    );
  });

  test('random convex polygons: Steiner formula', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0.15, max: 1, noNaN: true }), { minLength: 3, maxLength: 12 }),
        fc.double({ min: 0.01, max: 20, noNaN: true }),
        (steps, d) => {
          const total = steps.reduce((a, b) => a + b, 0);
          let angle = 0;
          const points = steps.map((s): Pt => {
            angle += (s / total) * 2 * Math.PI;
            return [10 * Math.cos(angle), 6 * Math.sin(angle)];
          });
          const shape = polygon(points);
          const off = offsetLoop(shape, d);
          validateLoop(off);
          const steiner = signedArea(shape) + perimeter(shape) * d + Math.PI * d * d;
          expect(Math.abs(signedArea(off) - steiner)).toBeLessThan(1e-9 * steiner);
        },
      ),
      { numRuns: runs(200) },
    );
  });
});

describe('offsetLoop against clipper-lib on the flattened loop', () => {
  // clipper-lib: an independent polygon library, integer coordinates.
  const CHORD_MM = 1e-5;
  for (const [name, shape] of Object.entries(SHAPES)) {
    for (const d of [0.8, -0.8]) {
      test(`${name} by ${d}`, () => {
        const areas = clipperOffsetAreas(shape, d, CHORD_MM);
        expect(areas).toHaveLength(1);
        const off = offsetLoop(shape, d);
        // Chords within CHORD_MM all along the boundary, once for the source, once for the result.
        const allowed = 2 * CHORD_MM * perimeter(off);
        expect(Math.abs((areas[0] as number) - signedArea(off))).toBeLessThan(allowed);
      });
    }
  }
});

describe('offsetLoop refusals', () => {
  test('concave arc tighter than the offset: names the edge and its radius', () => {
    const e = offsetError(SCOOPED, 4.5);
    expect(e.code).toBe('offset-radius');
    expect(e.edgeIndex).toBe(3);
    expect(e.limit).toBe(4);
  });

  test('edge swallowed in a concave corner: limit is the largest offset that works', () => {
    // A notch 2 wide and 1 deep: its floor vanishes at d = 1.
    const notch = polygon([
      [0, 0],
      [10, 0],
      [10, 5],
      [6, 5],
      [6, 4],
      [4, 4],
      [4, 5],
      [0, 5],
    ]);
    const e = offsetError(notch, 1.2);
    expect(['offset-corner', 'offset-crosses']).toContain(e.code);
    expect(e.limit).toBeCloseTo(1, 4);
    validateLoop(offsetLoop(notch, 0.99));
  });

  test('walls that face each other across a gap: crossing found, limit is half the gap', () => {
    // C-shape: mouth 2 wide at the right, chamber 6 high inside.
    const c = polygon([
      [0, 0],
      [12, 0],
      [12, 5],
      [9, 5],
      [9, 3],
      [3, 3],
      [3, 9],
      [9, 9],
      [9, 7],
      [12, 7],
      [12, 12],
      [0, 12],
    ]);
    const e = offsetError(c, 1.3);
    expect(e.code).toBe('offset-crosses');
    expect(e.limit).toBeCloseTo(1, 4);
  });

  test('a shape offset inwards past its middle is refused', () => {
    expect(offsetError(rectangle(4, 10), -2.5).limit).toBeCloseTo(2, 4);
    expect(offsetError(DISC, -5.5)).toMatchObject({ code: 'offset-radius', limit: 5 });
  });

  test('distance that is not finite', () => {
    expect(() => offsetLoop(DISC, NaN)).toThrow(RangeError);
  });
});
