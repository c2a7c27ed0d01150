import { describe, expect, it } from 'vitest';
import { logNormalCdf, normalDensity } from '../../src/machines/learn/posterior-normal.js';

describe('normal distribution', () => {
  // Abramowitz and Stegun, Handbook of Mathematical Functions, table 26.1: P(x) to 15 places.
  it.each([
    [0, 0.5],
    [0.5, 0.691462461274013],
    [1, 0.841344746068543],
    [2, 0.977249868051821],
    [3, 0.99865010196837],
  ])('Phi(%s) as in the handbook', (x, p) => {
    expect(Math.exp(logNormalCdf(x))).toBeCloseTo(p, 14);
    expect(Math.exp(logNormalCdf(-x))).toBeCloseTo(1 - p, 14);
  });

  // Abramowitz and Stegun, table 26.2: -log10 Q(x) for large x.
  it.each([
    [5, 6.54265],
    [10, 23.11805],
    [20, 88.5601],
    [50, 544.96634],
  ])('tail at %s as in the handbook', (x, minusLog10) => {
    expect(-logNormalCdf(-x) / Math.LN10).toBeCloseTo(minusLog10, 5);
  });

  it('has the density as its slope, across the places where the method changes', () => {
    for (let z = -12; z < 9; z += 0.37) {
      const h = 1e-5;
      const slope = (Math.exp(logNormalCdf(z + h)) - Math.exp(logNormalCdf(z - h))) / (2 * h);
      const want = normalDensity(z);
      expect(Math.abs(slope - want)).toBeLessThan(1e-5 * want + 1e-11);
    }
    for (const z of [-3, 3, 8.5]) {
      expect(logNormalCdf(z - 1e-12) / logNormalCdf(z + 1e-12)).toBeCloseTo(1, 9);
    }
  });
});
