import fc from 'fast-check';
import { expect, test } from 'vitest';
import { norm2 } from '../../src/maths/angle.js';

test('is the hypotenuse: whole-number triangles exactly, others to the last bits (Math.hypot)', () => {
  expect(norm2(3, 4)).toBe(5);
  expect(norm2(-20, 21)).toBe(29);
  expect(norm2(0, 0)).toBe(0);
  const length = fc.double({ min: -1e4, max: 1e4, noNaN: true });
  fc.assert(
    fc.property(length, length, (x, y) => {
      const exact = Math.hypot(x, y);
      // Squares of lengths below 1e-150 are lost; a micrometre is 1e-3.
      expect(Math.abs(norm2(x, y) - exact)).toBeLessThanOrEqual(4e-16 * exact + 1e-150);
    }),
  );
});
