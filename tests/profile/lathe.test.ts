import { expect, test } from 'vitest';
import { lubricationFor, ratingShare } from '../../src/profile/drive/lubrication.js';
import { reamDrillMm, reamerLimitsMm } from '../../src/profile/wheel/lathe.js';

test('limits of a reamer: 10 D8, 10.040 to 10.062 mm, takes one of 10.050 to 10.058', () => {
  // Dormer, reaming tolerance limits, the worked case.
  const { minMm, maxMm } = reamerLimitsMm({ minMm: 10.04, maxMm: 10.062 });
  expect(maxMm).toBeCloseTo(10.058, 6);
  expect(minMm).toBeCloseTo(10.05, 6);
});

test('stock for reaming lies in the printed ranges, and the drill leaves it', () => {
  // Under-sizes of reaming: 0-5 mm 0.1 to 0.2; 5-20 0.2 to 0.3; 21-50 0.3 to 0.5; over 50 0.5 to 1.0;
  // drill = size - (stock + 0.05).
  for (const [d, low, high] of [
    [4, 0.1, 0.2],
    [14, 0.2, 0.3],
    [25, 0.3, 0.5],
    [60, 0.5, 1.0],
  ] as const) {
    // The drill goes by tenths.
    const left = d - reamDrillMm(d) - 0.05;
    expect(left).toBeGreaterThanOrEqual(low - 1e-9);
    expect(left).toBeLessThan(high + 0.1);
  }
});

test('oiling by speed: by hand to 0.5 m/s, drip to 1.5, a bath to the maker table, then a jet', () => {
  // Kettenfabrik Unna; McGuire Bearing: baths for No. 40, 60 and 100 to 2300, 1800, 1300 ft/min.
  const ftPerMin = 0.3048 / 60;
  expect(lubricationFor(12.7, 0.5)).toBe('manual');
  expect(lubricationFor(12.7, 1.5)).toBe('drip');
  for (const [pitchMm, ft] of [
    [12.7, 2300],
    [19.05, 1800],
    [31.75, 1300],
  ] as const) {
    expect(lubricationFor(pitchMm, 0.995 * ft * ftPerMin)).toBe('bath');
    expect(lubricationFor(pitchMm, 1.01 * ft * ftPerMin)).toBe('forced');
  }
  // Less oil never leaves more of the rating, and enough of it leaves all.
  const shares = (['none', 'manual', 'drip', 'bath'] as const).map((o) => ratingShare(12.7, 5, o));
  expect(shares).toEqual([...shares].sort((a, b) => a - b));
  expect(shares[3]).toBe(1);
});
