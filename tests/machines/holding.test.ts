import { describe, expect, it, test } from 'vitest';
import {
  axialForceAgainstTurningN,
  boltForPreload,
  boltTorqueNm,
  chuckForceN,
  clampForceN,
  frictionOnSteel,
  holdingNeed,
  ringMeanRadiusMm,
  stressAreaMm2,
  tapeMayHold,
} from '../../src/machines/bear/holding.js';

const LBF = 4.4482216152605; // exact definition of the pound-force, N
const FT_LB = 1.3558179483314; // N m

describe('studs of strap clamps', () => {
  // Source: Carr Lane, Clamping force calculations: stud, torque ft lb, tension lb. The torques are
  // printed as whole foot-pounds and the tensions to 100 lb: 7 %, of the half inch stud 1 %.
  const rows: [number, number, number, number][] = [
    [1 / 4, 4, 1000, 0.07],
    [5 / 16, 9, 1800, 0.07],
    [3 / 8, 16, 2600, 0.07],
    [1 / 2, 38, 4600, 0.01],
  ];
  for (const [inches, footPounds, tensionLb, tol] of rows) {
    it(`${inches} in stud`, () => {
      const torque = boltTorqueNm(tensionLb * LBF, inches * 25.4) / FT_LB;
      expect(Math.abs(torque / footPounds - 1)).toBeLessThan(tol);
    });
  }

  it('torque for the half inch stud', () => {
    // 4600 lb at 0.5 in, K 0.2: 38.33 ft lb.
    expect(boltTorqueNm(4600 * LBF, 12.7) / FT_LB).toBeCloseTo(38.33, 2);
  });
});

test('friction clamping: the clamp must carry the cut over mu, and the axial pull first', () => {
  // Rule: mu (F_clamp - F_axial) faces >= S F_cut (Carr Lane; statics).
  for (const faces of [1, 2] as const) {
    const clamp = clampForceN(80, 0.12, faces, 2.5, 30);
    expect(0.12 * (clamp - 30) * faces).toBeCloseTo(2.5 * 80, 9);
  }
});

test('chuck: jaw force over the lever of cut and grip radius', () => {
  // Roehm RN-1391 coefficient for a smooth ground work surface in smooth jaws: 0.07.
  expect(chuckForceN(100, 40, 20, 0.07, 1.5)).toBeCloseTo((1.5 * 100 * 2) / 0.07, 9);
});

test('friction ring: mean radius by numerical integration', () => {
  // Independent: torque of even pressure over the ring, summed by thin rings.
  for (const [a, b] of [
    [7, 13],
    [0, 10],
    [9.999, 10],
  ] as const) {
    let moment = 0;
    let force = 0;
    const n = 20_000;
    for (let i = 0; i < n; i++) {
      const r = a + ((b - a) * (i + 0.5)) / n;
      moment += r * r;
      force += r;
    }
    expect(ringMeanRadiusMm(a, b)).toBeCloseTo(moment / force, 6);
  }
});

test('bolt stress areas', () => {
  // Source: ISO 898-1, nominal stress area of coarse threads, from memory:
  // M6 20.1, M8 36.6, M10 58.0, M12 84.3, M16 157 mm2.
  const rows: [number, number, number][] = [
    [6, 1, 20.1],
    [8, 1.25, 36.6],
    [10, 1.5, 58.0],
    [12, 1.75, 84.3],
    [16, 2, 157],
  ];
  for (const [d, pitch, area] of rows) {
    expect(Math.abs(stressAreaMm2(d, pitch) / area - 1)).toBeLessThan(0.004);
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
    faces: 1,
    located: true,
    safety: 2.5,
  } as const;

  it('the axial force holds the torque with its safety factor', () => {
    const need = holdingNeed(input);
    expect(need.cutTorqueNm).toBeCloseTo(2.7, 9);
    const left = need.axialForceN - 2.5 * 25;
    // Statics: the torque held by friction is mu F r.
    expect(0.12 * left * need.meanRadiusMm).toBeCloseTo(2.5 * 2700, 6);
    expect(left).toBeCloseTo(
      axialForceAgainstTurningN(100, 27, 0.12, need.meanRadiusMm, 1, 2.5),
      9,
    );
    expect(need.bolt?.diameterMm).toBe(6);
  });

  it('an unlocated plate needs more than a located one', () => {
    const plate = holdingNeed({ ...input, located: false });
    expect(plate.axialForceN).toBeCloseTo(holdingNeed(input).axialForceN + (2.5 * 100) / 0.12, 6);
  });

  it('bolt: the smallest at half of yield or less; none for an absurd force', () => {
    for (const preload of [500, 3000, 9000, 25_000, 49_000]) {
      const bolt = boltForPreload(preload);
      expect(bolt).not.toBeNull();
      expect(bolt!.yieldShare).toBeLessThanOrEqual(0.5);
      // F = T / (K d), K 0.2 of a dry thread.
      expect((1000 * bolt!.torqueNm) / (0.2 * bolt!.diameterMm)).toBeCloseTo(preload, 6);
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
