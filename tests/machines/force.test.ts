import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import { engagementConcaveRad } from '../../src/machines/load/engagement.js';
import { engagementStraightRad } from './walls.js';
import {
  machineLoad,
  peakForce,
  resultantAtFeedPerToothN,
  resultantPeakN,
  toothResultantN,
} from '../../src/machines/load/force.js';
import type { CutConditions } from '../../src/machines/load/force.js';
import { radialRatio } from '../../src/machines/load/chip.js';
import type { EngagementInterval } from '../../src/model/machine.js';
import { DEG, cut, cutter3, steel, tables } from './fixtures.js';

interface Brute {
  resultantN: number;
  pushN: number;
  xN: number;
  yN: number;
  meanPushN: number;
  powerW: number;
}

/**
 * Independent replay in the part plane: a cutter that turns clockwise seen from +Z is stepped
 * through one pitch; each tooth in material gets a force against its own motion and one towards
 * the cutter's axis. No resolved formulas: positions, velocities and dot products only.
 * @param side  +1: intervals from the right-hand normal; -1: from the left-hand one
 */
function replay(
  cond: CutConditions,
  fzMm: number,
  intervals: readonly EngagementInterval[],
  headingRad: number,
  side: 1 | -1,
  steps = 20_000,
): Brute {
  const z = cond.cutter.flutes;
  const travel = [Math.cos(headingRad), Math.sin(headingRad)] as const;
  const wall = [side * travel[1], -side * travel[0]] as const;
  const out = { resultantN: 0, pushN: 0, xN: 0, yN: 0, meanPushN: 0, powerW: 0 };
  const speed = (Math.PI * cond.cutter.diameterMm * cond.spindleRpm) / 60_000; // m/s
  for (let s = 0; s < steps; s++) {
    let fx = 0;
    let fy = 0;
    let tangential = 0;
    for (let k = 0; k < z; k++) {
      const t = (((s + 0.5) / steps) * 2 * Math.PI) / z + (k * 2 * Math.PI) / z;
      const inside = intervals.some((interval) =>
        [t, t - 2 * Math.PI].some((a) => a >= interval.fromRad && a <= interval.toRad),
      );
      if (!inside) continue;
      // Unit vector from the axis to the tooth: t from the wall normal towards the travel.
      const p = [
        Math.cos(t) * wall[0] + Math.sin(t) * travel[0],
        Math.cos(t) * wall[1] + Math.sin(t) * travel[1],
      ] as const;
      // Clockwise: velocity is p turned by -90 degrees.
      const v = [p[1], -p[0]] as const;
      // Chip: how far the centre moves towards the tooth per tooth period.
      const h = fzMm * (p[0] * travel[0] + p[1] * travel[1]);
      if (h <= 0) continue;
      const ft =
        cond.material.kc11NPerMm2 *
        Math.pow(h, 1 - cond.material.mc) *
        cond.axialDepthMm *
        cond.wearFactor;
      const fr = ft * radialRatio(h);
      fx += -ft * v[0] - fr * p[0];
      fy += -ft * v[1] - fr * p[1];
      tangential += ft;
    }
    const push = -(fx * wall[0] + fy * wall[1]);
    out.resultantN = Math.max(out.resultantN, Math.hypot(fx, fy));
    out.pushN = Math.max(out.pushN, push);
    out.xN = Math.max(out.xN, Math.abs(fx));
    out.yN = Math.max(out.yN, Math.abs(fy));
    out.meanPushN += push / steps;
    out.powerW += (tangential * speed) / steps;
  }
  return out;
}

function feedFor(cond: CutConditions, fzMm: number): number {
  return fzMm * cond.cutter.flutes * cond.spindleRpm;
}

function expectSame(got: number, brute: number, scale: number, tol = 2e-4): void {
  expect(Math.abs(got - brute)).toBeLessThan(tol * scale + 1e-9);
}

describe('planning example: 42CrMo4, 3 mm, four flutes, 10 000 rpm', () => {
  // Source: tables.planningExample.source. Tolerances are half of the printed last digit.
  const cond: CutConditions = { ...cut, cutter: { ...cutter3, flutes: 4 }, wearFactor: 1.3 };
  for (const row of tables.planningExample.rows) {
    const [R, phiDeg, hMaxUm, hMeanUm, ft, powerW, f03, f10, um03, um10] = row;
    it(R === null ? 'straight wall' : `seat of ${R} mm`, () => {
      const phi =
        R === null ? engagementStraightRad(0.15, 1.5) : engagementConcaveRad(0.15, 1.5, R);
      expect(Math.abs(phi / DEG - phiDeg)).toBeLessThan(0.006);
      const load = peakForce(cond, 480, [{ fromRad: 0, toRad: phi }]);
      expect(Math.abs(load.hMaxMm * 1000 - hMaxUm)).toBeLessThan(0.006);
      expect(Math.abs(load.powerW - powerW)).toBeLessThan(0.06);
      expect(Math.abs(load.resultantN - f10)).toBeLessThan(0.06);
      const tangentialN = load.resultantN / Math.SQRT2; // chips under 15 um: Kr = 1
      expect(Math.abs(tangentialN - ft)).toBeLessThan(0.06);
      expect(Math.abs(tangentialN * Math.hypot(1, 0.3) - f03)).toBeLessThan(0.06);
      expect(Math.abs((load.resultantN / 320) * 1000 - um10)).toBeLessThan(0.6);
      expect(Math.abs(((tangentialN * Math.hypot(1, 0.3)) / 320) * 1000 - um03)).toBeLessThan(0.6);
      const meanUm = ((0.012 * (1 - Math.cos(phi))) / phi) * 1000;
      expect(Math.abs(meanUm - hMeanUm)).toBeLessThan(0.006);
    });
  }
});

test('slab mill power', () => {
  // Source: Ghosh and Mallik, Manufacturing Science, problem 4.16: width 20, z 10, D 75, feed
  // 100 mm/min, 60 rpm, depth 5, U = 1.4 hm^-0.4 J/mm3: 821 W (book prints 817); 3 %.
  const cond: CutConditions = {
    material: { ...steel, kc11NPerMm2: 1400, mc: 0.4 },
    cutter: { ...cutter3, diameterMm: 75, flutes: 10 },
    runoutMm: 0,
    wearFactor: 1,
    spindleRpm: 60,
    axialDepthMm: 20,
  };
  const phi = engagementStraightRad(5, 37.5);
  const { powerW } = peakForce(cond, 100, [{ fromRad: 0, toRad: phi }]);
  expect(Math.abs(powerW / 821 - 1)).toBeLessThan(0.03);
  expect(Math.abs(powerW / 817 - 1)).toBeLessThan(0.03);
});

test('face mill power with a constant specific force', () => {
  // Source: Mitsubishi Materials, Cutting power for face milling: D 250, z 12, 102 rpm, ap 2,
  // ae 80, feed 280 mm/min, kc 1800, efficiency 0.8: 1.68 kW; 1 %.
  const cond: CutConditions = {
    material: { ...steel, kc11NPerMm2: 1800, mc: 0 },
    cutter: { ...cutter3, diameterMm: 250, flutes: 12 },
    runoutMm: 0,
    wearFactor: 1,
    spindleRpm: 101.91,
    axialDepthMm: 2,
  };
  const phi = engagementStraightRad(80, 125);
  const { powerW } = peakForce(cond, 280, [{ fromRad: 0, toRad: phi }]);
  expect(Math.abs(powerW / 0.8 / 1680 - 1)).toBeLessThan(0.01);
});

describe('power', () => {
  it('equals ap ae feed kc(hm)', () => {
    // Source: Dietrich/Tschaetsch: Pc = ap ae vf kc(hm) / 60e6 kW.
    for (const phi of [0.2, 0.7, 1.2, 2, 3]) {
      const feed = 500;
      const load = peakForce(cut, feed, [{ fromRad: 0, toRad: phi }]);
      const ae = 1.5 * (1 - Math.cos(phi));
      const hm = ((feed / 30_000) * (1 - Math.cos(phi))) / phi;
      const kc = 2500 * Math.pow(hm, -0.26);
      expect(load.powerW).toBeCloseTo((0.3 * ae * feed * kc) / 60e3, 9);
    }
  });

  it('is the integral of the tooth force, or up to 5 % above it', () => {
    // Independent numerical integration of Ft(t) v over a revolution.
    for (const phi of [0.3, 0.8, 1.5, 2.2, 3]) {
      const fz = 0.01;
      const interval = [{ fromRad: 0, toRad: phi }];
      const { powerW } = replay(cut, fz, interval, 0, 1);
      const ratio = peakForce(cut, feedFor(cut, fz), interval).powerW / powerW;
      expect(ratio).toBeGreaterThan(0.9999);
      expect(ratio).toBeLessThan(1.05);
    }
  });
});

describe('replay of the teeth in the part plane', () => {
  const cases: [string, number, EngagementInterval[]][] = [
    ['one tooth, light', 3, [{ fromRad: 0, toRad: 0.5 }]],
    ['one tooth, past 90 deg', 3, [{ fromRad: 0, toRad: 1.9 }]],
    ['two teeth, three flutes', 3, [{ fromRad: 0, toRad: 2.6 }]],
    ['slot, two flutes', 2, [{ fromRad: 0, toRad: Math.PI }]],
    ['slot, four flutes', 4, [{ fromRad: 0, toRad: Math.PI }]],
    ['six flutes at 90 deg', 6, [{ fromRad: 0, toRad: Math.PI / 2 }]],
    [
      'two arcs',
      3,
      [
        { fromRad: 0.2, toRad: 0.6 },
        { fromRad: 2.4, toRad: 2.9 },
      ],
    ],
    [
      'two arcs one pitch apart',
      4,
      [
        { fromRad: 0.1, toRad: 0.5 },
        { fromRad: 1.6, toRad: 2.2 },
      ],
    ],
    ['arc ahead only', 3, [{ fromRad: 1.0, toRad: 2.0 }]],
    ['arc that begins behind the normal', 3, [{ fromRad: -0.4, toRad: 0.9 }]],
    ['arc past the far side', 3, [{ fromRad: 2.5, toRad: 3.9 }]],
  ];
  for (const [name, flutes, intervals] of cases) {
    for (const side of [1, -1] as const) {
      it(`${name}, ${side === 1 ? 'climb' : 'conventional'}`, () => {
        const cond = { ...cut, cutter: { ...cutter3, flutes } };
        for (const [fz, heading] of [
          [0.008, 0.3],
          [0.03, 2.1],
          [0.12, -1.2],
        ] as const) {
          const brute = replay(cond, fz, intervals, heading, side);
          const got = peakForce(cond, feedFor(cond, fz), intervals, heading, side === 1);
          const scale = brute.resultantN;
          expectSame(got.resultantN, brute.resultantN, scale);
          expectSame(got.normalN, brute.pushN, scale);
          expectSame(got.xN, brute.xN, scale);
          expectSame(got.yN, brute.yN, scale);
          expectSame(got.meanNormalN, brute.meanPushN, scale, 1e-3);
          const { resultantN, xN, yN, hMaxMm, powerW } = got;
          expect(machineLoad(cond, feedFor(cond, fz), intervals, heading, side === 1)).toEqual({
            resultantN,
            xN,
            yN,
            hMaxMm,
            powerW,
          });
        }
      });
    }
  }
});

test('climb pushes off the wall and drags forward; conventional pulls in', () => {
  // Source: textbook behaviour of climb and conventional milling; common practice.
  const light = [{ fromRad: 0, toRad: 0.5 }];
  const thick = { ...cut, material: { ...steel, chipLoad3mmMm: 0.1 } };
  const climb = peakForce(thick, feedFor(thick, 0.02), light);
  expect(climb.meanNormalN).toBeGreaterThan(0);
  // A thick chip at 80 deg: Ft sin t > Fr cos t, so the tooth draws the cutter into the wall.
  const conventional = peakForce(
    thick,
    feedFor(thick, 0.1),
    [{ fromRad: 1.2, toRad: 1.5 }],
    0,
    false,
  );
  expect(conventional.meanNormalN).toBeLessThan(0);
  expect(conventional.normalN).toBe(0);
});

test('heading along +X with the wall at -Y: the push off the wall is +Y', () => {
  const phi = [{ fromRad: 0, toRad: 0.6 }];
  const load = peakForce(cut, 300, phi, 0);
  expect(load.yN).toBeCloseTo(load.normalN, 9);
  const turned = peakForce(cut, 300, phi, Math.PI / 2);
  expect(turned.xN).toBeCloseTo(load.normalN, 6);
  expect(turned.yN).toBeCloseTo(load.xN, 6);
});

test('limits: air, no feed, linear in depth and wear, bad input', () => {
  const air = peakForce(cut, 500, []);
  expect(air).toMatchObject({ resultantN: 0, powerW: 0, hMaxMm: 0 });
  expect(peakForce(cut, 500, [{ fromRad: -2, toRad: -0.1 }]).resultantN).toBe(0);
  const still = peakForce(cut, 0, [{ fromRad: 0, toRad: 1 }], 1);
  expect(still).toMatchObject({ resultantN: 0, xN: 0, powerW: 0 });
  const arc = [{ fromRad: 0, toRad: 1 }];
  const one = peakForce(cut, 400, arc, 0.7);
  const deep = peakForce({ ...cut, axialDepthMm: 0.9, wearFactor: 1.5 }, 400, arc, 0.7);
  for (const key of ['resultantN', 'normalN', 'xN', 'yN', 'powerW'] as const) {
    expect(deep[key] / one[key]).toBeCloseTo(4.5, 9);
  }
  expect(() => peakForce(cut, NaN, arc)).toThrow(/feed/);
  expect(() => peakForce(cut, -1, arc)).toThrow(/feed/);
  expect(() => peakForce({ ...cut, spindleRpm: 0 }, 1, arc)).toThrow(/spindle speed/);
  expect(() => resultantPeakN({ ...cut, axialDepthMm: NaN }, 1, 1)).toThrow(/axial depth/);
});

test('runout raises force and chip as if one tooth stood out, at most to all teeth’s work', () => {
  const arc = [{ fromRad: 0, toRad: 0.8 }];
  const plain = peakForce(cut, 300, arc);
  const out = peakForce({ ...cut, runoutMm: 0.006 }, 300, arc);
  expect(out.hMaxMm).toBe(plain.hMaxMm);
  expect(out.resultantN).toBeCloseTo(peakForce(cut, feedFor(cut, 0.016), arc).resultantN, 9);
  const worst = peakForce({ ...cut, runoutMm: 0.1 }, 300, arc);
  expect(worst.resultantN).toBeCloseTo(peakForce(cut, feedFor(cut, 0.03), arc).resultantN, 9);
  // Power is set by the removal rate, not by which tooth does it.
  expect(out.powerW).toBe(plain.powerW);
});

const anyArc = fc
  .tuple(
    fc.double({ min: -3, max: 3.1, noNaN: true }),
    fc.double({ min: 0.01, max: 3, noNaN: true }),
  )
  .map(([fromRad, span]) => ({ fromRad, toRad: fromRad + span }));

test('property: axes lie under the resultant and together reach it; overlap counts once', () => {
  let cutting = 0;
  fc.assert(
    fc.property(
      fc.array(anyArc, { minLength: 1, maxLength: 3 }),
      fc.integer({ min: 1, max: 6 }),
      fc.double({ min: 0.001, max: 0.1, noNaN: true }),
      fc.double({ min: -7, max: 7, noNaN: true }),
      fc.boolean(),
      (arcs, flutes, fz, heading, climb) => {
        const cond = { ...cut, cutter: { ...cutter3, flutes } };
        const load = peakForce(cond, feedFor(cond, fz), arcs, heading, climb);
        const r = load.resultantN;
        if (r > 0) cutting++;
        for (const axis of [load.xN, load.yN, load.normalN]) {
          expect(axis).toBeLessThanOrEqual(r * (1 + 1e-4) + 1e-12);
        }
        expect(Math.hypot(load.xN, load.yN)).toBeGreaterThanOrEqual(r * (1 - 1e-9));
        const twice = peakForce(cond, feedFor(cond, fz), [...arcs, ...arcs], heading, climb);
        expect(twice.resultantN).toBeCloseTo(r, 9);
        // The same arcs a whole turn further on.
        const turned = arcs.map((a) => ({
          fromRad: a.fromRad + 2 * Math.PI,
          toRad: a.toRad + 2 * Math.PI,
        }));
        expect(peakForce(cond, feedFor(cond, fz), turned, heading, climb).resultantN).toBeCloseTo(
          r,
          6,
        );
      },
    ),
  );
  expect(cutting).toBeGreaterThan(50);
});

test('property: fast path equals the full model, and force rises with feed', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 0.01, max: Math.PI, noNaN: true }),
      fc.integer({ min: 1, max: 8 }),
      fc.double({ min: 0.0005, max: 0.1, noNaN: true }),
      fc.double({ min: 0, max: 0.03, noNaN: true }),
      (phi, flutes, fz, runoutMm) => {
        const cond = { ...cut, runoutMm, cutter: { ...cutter3, flutes } };
        const feed = feedFor(cond, fz);
        const fast = resultantPeakN(cond, feed, phi);
        const full = peakForce(cond, feed, [{ fromRad: 0, toRad: phi }]).resultantN;
        expect(Math.abs(fast / full - 1)).toBeLessThan(1e-6);
        expect(resultantPeakN(cond, feed * 1.01, phi)).toBeGreaterThan(fast);
      },
    ),
  );
});

test('inputs are not changed', () => {
  const arcs = Object.freeze([Object.freeze({ fromRad: 0.2, toRad: 1.4 })]);
  const frozen = Object.freeze({ ...cut });
  expect(() => peakForce(frozen, 300, arcs, 1)).not.toThrow();
});

describe('arcs that do not begin at the wall', () => {
  const feed = 300;
  const fz = feed / (3 * 10_000);
  const chip = (fromRad: number, toRad: number): number =>
    peakForce(cut, feed, [{ fromRad, toRad }]).hMaxMm / fz;

  it('the thickest chip is the sine at the end nearer to 90 degrees, 1 where they lie round it', () => {
    expect(chip(0.2, 0.5)).toBeCloseTo(Math.sin(0.5), 9);
    expect(chip(2, 3)).toBeCloseTo(Math.sin(2), 9);
    expect(chip(1, 2)).toBe(1);
    expect(chip(0.5, 1)).toBeCloseTo(Math.sin(1), 9);
    expect(chip(1.7, 1.9)).toBeCloseTo(Math.sin(1.7), 9);
    const two = peakForce(cut, feed, [
      { fromRad: 0.1, toRad: 0.3 },
      { fromRad: 2.5, toRad: 2.9 },
    ]);
    expect(two.hMaxMm / fz).toBeCloseTo(Math.sin(2.5), 9);
  });

  it('power is that of the mean chip of the arc: P = ap hm kc(hm) z arc / 2 pi, times vc', () => {
    for (const [from, to] of [
      [1, 2],
      [0.3, 0.6],
      [2, 2.8],
    ] as const) {
      const mean = (fz * (Math.cos(from) - Math.cos(to))) / (to - from);
      const kc = steel.kc11NPerMm2 * mean ** -steel.mc;
      const speedMPerS = (Math.PI * 3 * 10_000) / 60_000;
      const teeth = ((to - from) * 3) / (2 * Math.PI);
      const { powerW } = peakForce(cut, feed, [{ fromRad: from, toRad: to }]);
      expect(powerW).toBeCloseTo(0.3 * mean * kc * teeth * speedMPerS, 6);
    }
  });

  it('without a heading both axes may have to carry the resultant', () => {
    const arc = [{ fromRad: 0, toRad: 1 }];
    const free = peakForce(cut, feed, arc);
    expect([free.xN, free.yN]).toEqual([free.resultantN, free.resultantN]);
    const along = peakForce(cut, feed, arc, 0);
    expect(along.resultantN).toBeCloseTo(free.resultantN, 9);
    expect(Math.min(along.xN, along.yN)).toBeLessThan(free.resultantN * 0.999);
  });

  it('a feed without end is refused, a depth of nothing is not', () => {
    const arc = [{ fromRad: 0, toRad: 1 }];
    for (const bad of [Infinity, NaN, -1]) {
      expect(() => peakForce(cut, bad, arc)).toThrow(RangeError);
    }
    expect(peakForce({ ...cut, axialDepthMm: 0 }, feed, arc).resultantN).toBe(0);
    expect(peakForce(cut, 0, arc).resultantN).toBe(0);
  });
});

test('flutes from 1 to 32, or none of it', () => {
  const arc = [{ fromRad: 0, toRad: 1 }];
  const withFlutes = (flutes: number) => () =>
    peakForce({ ...cut, cutter: { ...cutter3, flutes } }, 300, arc);
  for (const flutes of [0, 33, Number.NaN])
    expect(withFlutes(flutes)).toThrow(/flutes must be 1 to 32/);
  expect(withFlutes(1)().resultantN).toBeGreaterThan(withFlutes(32)().resultantN);
});

test('no chip, no arc, no feed: no force, also below nothing and where it is no number', () => {
  for (const h of [0, -0.01, Number.NaN]) expect(toothResultantN(cut, h)).toBe(0);
  // sin(-4) > 0, and so is the product of two negative factors: a bare formula would make force.
  for (const phi of [0, -1, -4, Number.NaN]) {
    expect(resultantAtFeedPerToothN(cut, 0.01, phi)).toBe(0);
    expect(resultantPeakN(cut, 300, phi)).toBe(0);
  }
  for (const fz of [0, -0.01, Number.NaN]) {
    for (const phi of [-1, 1, 3]) expect(resultantAtFeedPerToothN(cut, fz, phi)).toBe(0);
  }
});
