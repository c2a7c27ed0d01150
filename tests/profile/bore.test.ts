import { LONG } from '../cam/oracle/runs.js';
import { Refusal } from '../../src/model/refusal.js';
import { describe, expect, test } from 'vitest';
import type { Pt } from '../../src/model/edges.js';
import {
  type BoreSpec,
  boreLoop,
  boreReachMm,
  keyway,
  largestClearCutterRadiusMm,
  routedCornerFoul,
} from '../../src/profile/wheel/bore.js';
import { makeDistanceField } from '../../src/profile/geometry/distance-field.js';

import { standardKey } from '../../src/profile/standard/keys.js';
import {
  GeometryError,
  loopBounds,
  signedArea,
  validateLoop,
} from '../../src/profile/geometry/loop.js';
import { offsetLoop } from '../../src/profile/geometry/offset.js';

const ROUND: BoreSpec = {
  shape: 'round',
  diameterMm: 14,
  acrossFlatMm: null,
  keyWidthMm: null,
  keyDepthMm: null,
};
const FLAT: BoreSpec = { ...ROUND, shape: 'd-flat', acrossFlatMm: 12.5 };
const KEYED: BoreSpec = { ...ROUND, shape: 'keyed' };

describe('boreLoop', () => {
  test('clockwise, with the area of the shape', () => {
    for (const bore of [ROUND, FLAT, KEYED]) validateLoop(boreLoop(bore));
    expect(signedArea(boreLoop(ROUND))).toBeCloseTo(-Math.PI * 49, 9);
    // Circle less the segment of half angle acos(5.5 / 7).
    const half = Math.acos(5.5 / 7);
    expect(signedArea(boreLoop(FLAT))).toBeCloseTo(
      -(Math.PI * 49 - 49 * (half - Math.sin(2 * half) / 2)),
      9,
    );
    expect(loopBounds(boreLoop(FLAT)).maxX).toBeCloseTo(12.5 - 7, 12);
    expect(loopBounds(boreLoop(FLAT)).minX).toBeCloseTo(-7, 12);
    // Across the flat, and the width of the flat: 2 sqrt(r^2 - (h - r)^2).
    const flat = boreLoop(FLAT)[0];
    expect(Math.abs((flat?.b[1] as number) - (flat?.a[1] as number))).toBeCloseTo(
      2 * Math.sqrt(7 ** 2 - (12.5 - 7) ** 2),
      12,
    );
  });

  test('a cutter follows each of them inside', () => {
    for (const bore of [ROUND, FLAT, KEYED]) validateLoop(offsetLoop(boreLoop(bore), 1.5));
    expect(() => offsetLoop(boreLoop(KEYED), 2.6)).toThrow(GeometryError);
  });

  test('impossible figures are refused by name', () => {
    const bad: [BoreSpec, RegExp][] = [
      [{ ...FLAT, acrossFlatMm: 14 }, /across-flat 14 mm/],
      [{ ...FLAT, acrossFlatMm: 6.9 }, /between 7 and 14/],
      [{ ...FLAT, acrossFlatMm: null }, /no across-flat/],
      [{ ...ROUND, diameterMm: 0 }, /bore diameter 0/],
      [{ ...KEYED, keyWidthMm: 14, keyDepthMm: 2 }, /key width 14/],
      [{ ...KEYED, keyWidthMm: 5, keyDepthMm: 0 }, /key depth 0/],
      [{ ...KEYED, diameterMm: 5 }, /no standard key/],
      [{ ...KEYED, diameterMm: 60 }, /no standard key/],
    ];
    for (const [bore, text] of bad) {
      expect(() => boreLoop(bore)).toThrow(Refusal);
      expect(() => boreLoop(bore)).toThrow(text);
    }
  });
});

describe('standard keys', () => {
  // DIN 6885-1, https://engineeringhardware.com/guide/standard/din-6885-parallel-keys/ and a second
  // extract; bore top to keyway floor = d + t2, its example 10 mm: 11.4.
  test.each([
    [8, 2, 1.0],
    [10, 3, 1.4],
    [12, 4, 1.8],
    [14, 5, 2.3],
    [17, 5, 2.3],
    [20, 6, 2.8],
    [25, 8, 3.3],
    [38, 10, 3.3],
    [44, 12, 3.3],
    [50, 14, 3.8],
  ])('DIN 6885-1, %d mm shaft', (d, b, t2) => {
    const key = standardKey(d);
    expect(key.standard).toMatch(/DIN 6885-1/);
    expect(key.widthMm).toBe(b);
    expect(key.hubDepthMm).toBe(t2);
    // Key stands between the two floors with some room: t1 + t2 > h.
    expect(key.shaftDepthMm + key.hubDepthMm).toBeGreaterThan(key.heightMm);
  });

  test('DIN example: 10 mm bore, 11.4 mm to the floor', () => {
    const box = loopBounds(boreLoop({ ...KEYED, diameterMm: 10 }));
    expect(box.maxX - box.minX).toBeCloseTo(11.4, 12);
  });

  // rylesprocket.com, tolerances for custom sprockets: shaft (in), key width, keyway depth.
  test.each([
    [0.5, 1 / 8, 1 / 16],
    [9 / 16, 1 / 8, 1 / 16],
    [5 / 8, 3 / 16, 3 / 32],
    [3 / 4, 3 / 16, 3 / 32],
    [1, 1 / 4, 1 / 8],
    [1.25, 1 / 4, 1 / 8],
    [1.375, 5 / 16, 5 / 32],
  ])('inch, %d in shaft', (d, w, depth) => {
    const key = standardKey(d * 25.4);
    expect(key.widthMm).toBeCloseTo(w * 25.4, 9);
    expect(key.hubDepthMm).toBeCloseTo(depth * 25.4, 9);
  });

  test('the farthest corner of the keyway is what the wall is measured from', () => {
    const { widthMm, depthMm } = keyway(KEYED);
    expect(boreReachMm(KEYED)).toBeCloseTo(Math.hypot(7 + depthMm, widthMm / 2), 12);
    expect(boreReachMm(FLAT)).toBe(7);
  });
});

/**
 * Brute force: a cutter of radius R has cleared a point if some centre within R of it is at least R
 * from the bore's wall. Deepest penetration of the given points into what it has not cleared.
 */
function bruteFoul(bore: BoreSpec, cutter: number, shaft: readonly Pt[]): number {
  const wall = makeDistanceField(boreLoop(bore));
  const box = loopBounds(boreLoop(bore));
  const step = 0.005;
  const centres: Pt[] = [];
  // The corner with y > 0; only centres near the wall matter.
  for (let x = box.maxX - cutter - 0.6; x < box.maxX; x += step) {
    for (let y = 0; y < box.maxY; y += step) {
      const d = wall(x, y);
      if (d >= cutter - 1e-9 && d < cutter + 0.02) centres.push([x, y]);
    }
  }
  let worst = 0;
  for (const p of shaft) {
    let nearest = Infinity;
    for (const c of centres) nearest = Math.min(nearest, Math.hypot(p[0] - c[0], p[1] - c[1]));
    worst = Math.max(worst, nearest - cutter);
  }
  return worst;
}

/** Corner of the shaft's flat, rounded with radius s: points of the rounding. */
function shaftCorner(bore: BoreSpec, s: number): Pt[] {
  const r = bore.diameterMm / 2;
  const x = (bore.acrossFlatMm as number) - r - s;
  const y = Math.sqrt((r - s) ** 2 - x ** 2);
  const points: Pt[] = [];
  for (let k = 0; k <= 20; k++) {
    const a = (Math.atan2(y, x) * k) / 20;
    points.push([x + s * Math.cos(a), y + s * Math.sin(a)]);
  }
  return points;
}

describe('corners left by a round cutter', () => {
  test('d-flat: formula against brute force', () => {
    const corners = [
      [2.5, 0.3],
      [1.5, 0],
      [1.5, 0.5],
      [1.5, 1],
      [0.5, 0],
    ] as const;
    for (const [cutter, corner] of LONG ? corners : corners.slice(0, 2)) {
      const { foulMm, cornerRadiusMm } = routedCornerFoul(FLAT, cutter, corner);
      expect(cornerRadiusMm).toBe(cutter);
      // Grid of 0.005 mm: the nearest centre may be that far off along both axes.
      const brute = bruteFoul(FLAT, cutter, shaftCorner(FLAT, corner));
      expect(Math.abs(foulMm - brute), `cutter ${cutter}, corner ${corner}`).toBeLessThan(0.006);
      expect(foulMm).toBeGreaterThan(0);
    }
  });

  test('keyed: square corner of two straight walls, less the room over the key', () => {
    // No room (key figures of the job): sharp key, fillet R fouls by R (sqrt 2 - 1).
    const own = { ...KEYED, keyWidthMm: 5, keyDepthMm: 2.3 };
    expect(routedCornerFoul(own, 1.5, 0).foulMm).toBeCloseTo(1.5 * (Math.SQRT2 - 1), 12);
    expect(routedCornerFoul(own, 1.5, 0.4).foulMm).toBeCloseTo(1.1 * (Math.SQRT2 - 1), 12);
    // DIN key 5 x 5 for 14 mm: stands 5 - 3 = 2 out of the shaft, 0.3 under a floor at 2.3.
    expect(keyway(KEYED).topClearanceMm).toBeCloseTo(0.3, 12);
    const top: Pt[] = [[7 + 2.3 - 0.3, 2.5]];
    const { foulMm } = routedCornerFoul(KEYED, 1.5, 0);
    expect(foulMm).toBeCloseTo(Math.hypot(1.5, 1.2) - 1.5, 12);
    expect(Math.abs(foulMm - bruteFoul(KEYED, 1.5, top))).toBeLessThan(0.006);
    expect(routedCornerFoul(KEYED, 0.3, 0).foulMm).toBe(0);
  });

  test('round bore and corners at least as round as the cutter foul nothing', () => {
    expect(routedCornerFoul(ROUND, 1.5, 0)).toEqual({
      cornerRadiusMm: null,
      foulMm: 0,
    });
    expect(routedCornerFoul(ROUND, 8, 0).foulMm).toBe(Infinity);
    expect(routedCornerFoul(FLAT, 1.5, 1.5).foulMm).toBe(0);
    expect(routedCornerFoul(KEYED, 2.6, 0).foulMm).toBe(Infinity);
    expect(() => routedCornerFoul(FLAT, 0, 0)).toThrow(RangeError);
  });

  test('foul grows with the cutter and shrinks with the corner; the largest clear one is found', () => {
    let before = -1;
    for (let cutter = 0.25; cutter <= 4; cutter += 0.25) {
      const { foulMm } = routedCornerFoul(FLAT, cutter, 0.2);
      expect(foulMm).toBeGreaterThanOrEqual(before);
      expect(routedCornerFoul(FLAT, cutter, 0.3).foulMm).toBeLessThanOrEqual(foulMm);
      before = foulMm;
    }
    expect(largestClearCutterRadiusMm(FLAT, 0.75)).toBeCloseTo(0.75, 6);
    const largest = largestClearCutterRadiusMm(FLAT, 0.5);
    expect(routedCornerFoul(FLAT, largest, 0.5).foulMm).toBe(0);
    expect(routedCornerFoul(FLAT, largest + 0.01, 0.5).foulMm).toBeGreaterThan(0);
    expect(largestClearCutterRadiusMm(ROUND, 0)).toBe(7);
  });
});
