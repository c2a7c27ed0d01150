import { describe, expect, test } from 'vitest';
import { leastSquares } from '../../src/maths/least-squares.js';
import { directionRad, roundOf, sizeMm, sureness } from '../../src/profile/inspect/round.js';
import { seeded } from './seeded.js';

const DEG = 180 / Math.PI;
/** Gathered oracle "eccentricity and phase, 16 gaps"; true 0.100 mm at 37.5 deg. */
const GAPS = [
  0.58, 0.61, 0.59, 0.59, 0.57, 0.53, 0.48, 0.46, 0.42, 0.39, 0.4, 0.42, 0.43, 0.47, 0.52, 0.54,
];

describe('readings round a turn', () => {
  test('sixteen gaps: 0.1026 mm at 38.58 deg, raw 0.22', () => {
    const round = roundOf(GAPS, 0.01)!;
    expect(round.meanMm).toBeCloseTo(0.5, 4);
    expect(round.shift.a).toBeCloseTo(0.08024, 4);
    expect(round.shift.b).toBeCloseTo(0.06402, 4);
    expect(sizeMm(round.shift)).toBeCloseTo(0.1026, 4);
    expect(Math.abs(directionRad(round.shift) * DEG - 38.58)).toBeLessThan(0.05);
    expect(round.totalMm).toBeCloseTo(0.22, 9);
    // The oracle's 0.0084 is of the first harmonic alone; with the second out it can only be less.
    expect(round.scatterMm).toBeLessThan(0.0092);
    // sd of e is residual x sqrt(2 / z): NIST.
    expect(round.shift.sdMm).toBeGreaterThan(0.008 * Math.sqrt(2 / 16));
    expect(round.shift.sdMm).toBeLessThan(0.0101 * Math.sqrt(2 / 16));
    expect(sureness(round.shift)).toBeGreaterThan(0.9999);
  });

  test('tooth errors that alternate are no shift', () => {
    const round = roundOf(
      Array.from({ length: 12 }, (_, i) => 1 + 0.02 * (i % 2)),
      0.01,
    )!;
    expect(sizeMm(round.shift)).toBeLessThan(1e-9);
    expect(round.totalMm).toBeCloseTo(0.02, 9);
    expect(sureness(round.shift)).toBeLessThan(1e-6);
  });

  test('an oval and missing readings, against a search by brute force', () => {
    const at = (i: number) => (2 * Math.PI * i) / 11;
    const made = (i: number) => 0.07 * Math.cos(at(i) - 1.1) + 0.03 * Math.cos(2 * at(i) - 0.4);
    const readings = Array.from({ length: 11 }, (_, i) => (i === 3 || i === 8 ? null : made(i)));
    const { shift, oval } = roundOf(readings, 0.01)!;
    expect(sizeMm(shift)).toBeCloseTo(0.07, 9);
    expect(directionRad(shift)).toBeCloseTo(1.1, 9);
    expect(sizeMm(oval!)).toBeCloseTo(0.03, 9);
    // No other shift and oval of a grid about the answer leaves less.
    const left = (a: number, b: number): number =>
      readings.reduce<number>((sum, value, i) => {
        if (value === null) return sum;
        const rest = value - a * Math.cos(at(i)) - b * Math.sin(at(i));
        return sum + (rest - 0.03 * Math.cos(2 * at(i) - 0.4)) ** 2;
      }, 0);
    for (const da of [-0.01, 0, 0.01]) {
      for (const db of [-0.01, 0, 0.01]) {
        expect(left(shift.a, shift.b)).toBeLessThanOrEqual(left(shift.a + da, shift.b + db));
      }
    }
  });

  test('the stated error holds: two of three shifts within it a part', () => {
    const random = seeded(8);
    let inside = 0;
    for (let k = 0; k < 1000; k++) {
      const readings = Array.from(
        { length: 15 },
        (_, i) => 0.05 * Math.cos((2 * Math.PI * i) / 15) + 0.01 * random.normal(),
      );
      const { shift } = roundOf(readings, 0.01)!;
      if (Math.abs(shift.a - 0.05) < shift.sdMm) inside++;
    }
    // 68.3 % of a normal error lies within one deviation.
    expect(Math.abs(inside / 1000 - 0.683)).toBeLessThan(0.05);
  });

  test('too few tell nothing', () => {
    expect(roundOf([1, null, 2, 3], 0.01)).toBeNull();
  });
});

test('least squares: a line through four points, by hand', () => {
  // y = 1, 2, 2, 4 at x = 0, 1, 2, 3: slope 0.9, intercept 0.9; residuals 0.1, 0.2, -0.7, 0.4.
  const fit = leastSquares(
    [0, 1, 2, 3].map((x) => [1, x]),
    [1, 2, 2, 4],
  )!;
  expect(fit.values[0]).toBeCloseTo(0.9, 12);
  expect(fit.values[1]).toBeCloseTo(0.9, 12);
  expect(fit.residuals.map((r) => +r.toFixed(9))).toEqual([0.1, 0.2, -0.7, 0.4]);
  // Variance of a slope is 1 / sum (x - mean)^2 = 1 / 5.
  expect(fit.covariance[1]![1]).toBeCloseTo(0.2, 12);
  expect(
    leastSquares(
      [
        [1, 1],
        [1, 1],
      ],
      [1, 2],
    ),
  ).toBeNull();
});
