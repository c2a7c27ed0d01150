import { describe, expect, test } from 'vitest';
import { logNormalCdf, normalDensity, smearedDensity } from '../../src/maths/normal.js';

/** P(a < Z < b): an even spread over it, read at 0, has this much in all. */
const share = (a: number, b: number): number => smearedDensity(0, a, b, 1) * (b - a);
/** P(Z > z): nothing is farther out than 40. */
const tail = (z: number): number => share(z, 40);

describe('normal distribution', () => {
  // Abramowitz and Stegun, Handbook of Mathematical Functions, table 26.1 (from memory).
  test.each([
    [0, 0.5],
    [0.5, 0.3085375387259869],
    [1, 0.15865525393145707],
    [2, 0.022750131948179209],
    [2.5, 0.0062096653257761323],
    [3, 0.0013498980316300933],
    [5, 2.866515718791939e-7],
    [10, 7.619853024160527e-24],
  ])('upper tail at %f', (z, q) => {
    expect(Math.abs(tail(z) / q - 1)).toBeLessThan(1e-12);
    expect(tail(-z)).toBeCloseTo(1 - q, 14);
  });

  test('the two expansions meet', () => {
    const jump = tail(2.5 - 1e-9) - tail(2.5 + 1e-9);
    expect(jump).toBeCloseTo(2e-9 * normalDensity(2.5), 15);
  });

  test('an interval is the integral of the density, in the middle and far out', () => {
    for (const [a, b] of [
      [-1.3, 0.4],
      [2, 2.2],
      [-7, -6],
      [6, 7],
      [-0.1, 9],
    ] as const) {
      let sum = 0;
      const n = 20000;
      for (let i = 0; i < n; i++) sum += normalDensity(a + ((b - a) * (i + 0.5)) / n);
      expect(share(a, b) / ((sum * (b - a)) / n)).toBeCloseTo(1, 6);
    }
  });

  test('an even spread read with an error: by brute force, and its limits', () => {
    const brute = (x: number, low: number, high: number, sd: number): number => {
      let sum = 0;
      const n = 20000;
      for (let i = 0; i < n; i++) {
        sum += normalDensity((x - (low + ((high - low) * (i + 0.5)) / n)) / sd) / sd / n;
      }
      return sum;
    };
    for (const x of [4.3, 4.6, 4.9, 5.4]) {
      expect(smearedDensity(x, 4.5, 5.1, 0.05) / brute(x, 4.5, 5.1, 0.05)).toBeCloseTo(1, 5);
    }
    expect(smearedDensity(4.55, 4.5, 4.5, 0.05)).toBeCloseTo(normalDensity(1) / 0.05, 9);
    expect(smearedDensity(4.8, 4.5, 5.1, 1e-4)).toBeCloseTo(1 / 0.6, 6);
  });

  // Abramowitz and Stegun, Handbook of Mathematical Functions, table 26.1: P(x) to 15 places.
  test.each([
    [0, 0.5],
    [0.5, 0.691462461274013],
    [1, 0.841344746068543],
    [2, 0.977249868051821],
    [3, 0.99865010196837],
  ])('logarithm of the share below %s', (x, p) => {
    expect(tail(-x)).toBeCloseTo(p, 14);
    expect(Math.exp(logNormalCdf(x))).toBeCloseTo(p, 14);
    expect(Math.exp(logNormalCdf(-x))).toBeCloseTo(1 - p, 14);
  });

  // Abramowitz and Stegun, table 26.2: -log10 Q(x) for large x.
  test.each([
    [5, 6.54265],
    [10, 23.11805],
    [20, 88.5601],
    [50, 544.96634],
  ])('logarithm of the tail at %s', (x, minusLog10) => {
    expect(-logNormalCdf(-x) / Math.LN10).toBeCloseTo(minusLog10, 5);
  });

  test('the share below has the density as its slope, across the places where the method changes', () => {
    for (let z = -12; z < 9; z += 0.37) {
      const h = 1e-5;
      const slope = (Math.exp(logNormalCdf(z + h)) - Math.exp(logNormalCdf(z - h))) / (2 * h);
      const want = normalDensity(z);
      expect(Math.abs(slope - want)).toBeLessThan(1e-5 * want + 1e-11);
    }
    for (const z of [-2.5, 0, 2.5]) {
      expect(logNormalCdf(z - 1e-12) / logNormalCdf(z + 1e-12)).toBeCloseTo(1, 9);
    }
  });
});
