import { describe, expect, it, test } from 'vitest';
import {
  boltForPreload,
  chuckForceN,
  clampingAskedN,
  clampingNeedN,
  frictionOnSteel,
  tapeMayHold,
} from '../../src/machines/bear/holding.js';

const LBF = 4.4482216152605; // exact definition of the pound-force, N
const FT_LB = 1.3558179483314; // N m

describe('torque of a dry bolt', () => {
  // Source: Carr Lane, Clamping force calculations: stud, torque ft lb, tension lb. Rounded in the
  // source: 1 % for the half inch stud, 7 % for the others (their torques are printed as whole
  // foot-pounds and the tensions to 100 lb).
  const rows: [number, number, number, number][] = [
    [1 / 4, 4, 1000, 0.07],
    [5 / 16, 9, 1800, 0.07],
    [3 / 8, 16, 2600, 0.07],
    [1 / 2, 38, 4600, 0.01],
  ];
  // Torque is proportional to diameter and tension, so inch studs say it of metric bolts, too.
  const bolt = boltForPreload(3000)!;
  const perMmN = bolt.torqueNm / (bolt.diameterMm * bolt.preloadN);
  for (const [inches, footPounds, tensionLb, tol] of rows) {
    it(`${inches} in stud`, () => {
      const torqueNm = perMmN * inches * 25.4 * tensionLb * LBF;
      expect(Math.abs(torqueNm / (footPounds * FT_LB) - 1)).toBeLessThan(tol);
    });
  }
});

test('chuck: jaw force over the lever of cut and grip radius', () => {
  // Roehm RN-1391 coefficient for a smooth ground work surface in smooth jaws: 0.07.
  expect(chuckForceN(100, 40, 20, 0.07, 1.5)).toBeCloseTo((1.5 * 100 * 2) / 0.07, 9);
});

test('bolt stress areas', () => {
  // Source: ISO 898-1, nominal stress area of coarse threads, from memory:
  // M6 20.1, M8 36.6, M10 58.0, M12 84.3, M16 157 mm2; yield of class 8.8 640 N/mm2.
  const rows: [number, number][] = [
    [6, 20.1],
    [8, 36.6],
    [10, 58.0],
    [12, 84.3],
    [16, 157],
  ];
  for (const [d, areaMm2] of rows) {
    // A little below half of its yield: the smallest that may take it.
    const bolt = boltForPreload(0.49 * 640 * areaMm2)!;
    expect(bolt.diameterMm).toBe(d);
    expect(Math.abs(bolt.yieldShare / 0.49 - 1)).toBeLessThan(0.004);
  }
});

describe('holding a sprocket blank', () => {
  const input = {
    cutForceN: 100,
    axialPullN: 25,
    cutRadiusMm: 27,
    ringInnerRadiusMm: 7,
    ringOuterRadiusMm: 13,
    friction: frictionOnSteel('steel'),
    located: true,
    safety: 2.5,
  } as const;

  it('holds the torque with its safety factor on any ring, summed by thin rings', () => {
    for (const [a, b] of [
      [7, 13],
      [0, 10],
      [9.999, 10],
    ] as const) {
      const needN = clampingNeedN({ ...input, ringInnerRadiusMm: a, ringOuterRadiusMm: b });
      // Independent: even pressure over the ring; friction of each thin ring at its own radius.
      let moment = 0;
      let area = 0;
      const n = 20_000;
      for (let i = 0; i < n; i++) {
        const r = a + ((b - a) * (i + 0.5)) / n;
        moment += r * r;
        area += r;
      }
      // What the pull of the helix leaves presses: 2.5 times 25 N are taken off.
      const heldNmm = 0.12 * (needN - 2.5 * 25) * (moment / area);
      expect(heldNmm / (2.5 * 100 * 27)).toBeCloseTo(1, 6);
    }
  });

  it('an unlocated plate needs the force against sliding on top', () => {
    const plateN = clampingNeedN({ ...input, located: false });
    // mu F >= S F_cut (Carr Lane; statics).
    expect(0.12 * (plateN - clampingNeedN(input))).toBeCloseTo(2.5 * 100, 6);
  });

  it('asks for what a jam takes where that is little more than the cut needs', () => {
    // 7.0 kN for 6.8 kN: 3 % more; a quarter more is still asked for, not a hair beyond.
    expect(clampingAskedN(6800, 7000)).toBe(7000);
    expect(clampingAskedN(6800, 1.25 * 6800)).toBe(1.25 * 6800);
    expect(clampingAskedN(6800, 1.2501 * 6800)).toBe(6800);
    expect(clampingAskedN(6800, 5000)).toBe(6800);
  });

  it('bolt: the smallest at half of yield or less; none for an absurd force', () => {
    for (const preload of [500, 3000, 9000, 25_000, 49_000]) {
      const bolt = boltForPreload(preload);
      expect(bolt).not.toBeNull();
      expect(bolt!.yieldShare).toBeLessThanOrEqual(0.5);
      expect((bolt!.torqueNm * 1000) / (0.2 * bolt!.diameterMm)).toBeCloseTo(preload, 6);
    }
    expect(boltForPreload(500)!.diameterMm).toBe(4);
    expect(boltForPreload(49_000)!.diameterMm).toBe(16);
    expect(boltForPreload(60_000)).toBeNull();
  });
});

test('tape and glue are refused for steel, stainless, iron and copper alloys', () => {
  // Source: 3M static design guide 1.7 kPa against the pulls above; common practice.
  expect(['steel', 'stainless', 'iron', 'copper'].some((g) => tapeMayHold(g as 'steel'))).toBe(
    false,
  );
  expect(tapeMayHold('plastic')).toBe(true);
  expect(tapeMayHold('aluminium')).toBe(true);
});
