import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import { findMachine, listMachines } from '../../src/machines/machines.js';
import {
  allowedForceN,
  beltThrustN,
  microstepTorqueNm,
  motionForceN,
  screwEfficiency,
  screwThrustN,
  screwTorqueNmm,
  stepperCornerRpm,
  stepperThrustCurve,
  thrustAtN,
} from '../../src/machines/bear/thrust.js';
import { tables } from './fixtures.js';

test('square screw with collar: raising and lowering torque, efficiency', () => {
  // Source: Bhandari, Design of Machine Elements, example 6.1: d 50, pitch 8, 3 starts, mu 0.15,
  // 15 kN, collar 100/65: 204 644 and 87 402 N mm; 1 %.
  const screw = { leadMm: 24, meanDiameterMm: 50 - 8 / 2, mu: 0.15, halfAngleDeg: 0 };
  const collarMean = (100 + 65) / 2;
  const raise = screwTorqueNmm(15_000, screw, 'raise', 0.15, collarMean);
  const lower = screwTorqueNmm(15_000, screw, 'lower', 0.15, collarMean);
  expect(Math.abs(raise / 204_644 - 1)).toBeLessThan(0.001);
  expect(Math.abs(lower / 87_402 - 1)).toBeLessThan(0.001);
  expect((15_000 * 24) / (2 * Math.PI * raise)).toBeCloseTo(0.28, 3);
  // Without the collar the torque must agree with the efficiency formula.
  const bare = screwTorqueNmm(15_000, screw, 'raise');
  expect((15_000 * 24) / (2 * Math.PI * bare)).toBeCloseTo(screwEfficiency(screw), 12);
});

test('torque to thrust through a screw with a loss', () => {
  // Source: public discussion of torque to linear thrust: 0.42 N m, lead 8 mm, 15 % loss gives
  // 280 N, 330 N without; 1 %.
  expect(Math.abs(screwThrustN(0.42, 8, 0.85) / 280 - 1)).toBeLessThan(0.01);
  expect(Math.abs(screwThrustN(0.42, 8, 1) / 330 - 1)).toBeLessThan(0.01);
});

test('stall thrust of common drives', () => {
  // Source: tables.stallThrust.source; printed to the newton.
  for (const [torque, lead, eta, thrust] of tables.stallThrust.screws) {
    expect(Math.abs(screwThrustN(torque, lead, eta) - thrust)).toBeLessThan(0.6);
  }
  for (const [torque, teeth, pitch, thrust] of tables.stallThrust.belts) {
    expect(Math.abs(beltThrustN(torque, teeth, pitch) - thrust)).toBeLessThan(0.1);
  }
});

test('screw efficiency against a maker’s table', () => {
  // Source: tables.screwEfficiency.source. The maker does not print its friction; one value for
  // all twenty entries, mu 0.11 on the outside diameter, reproduces them within 0.045.
  for (const { leadMm, efficiency } of tables.screwEfficiency.rows) {
    tables.screwEfficiency.diametersMm.forEach((meanDiameterMm: number, i: number) => {
      const eta = screwEfficiency({ leadMm, meanDiameterMm, mu: 0.11, halfAngleDeg: 14.5 });
      expect(Math.abs(eta - efficiency[i])).toBeLessThan(0.045);
    });
  }
});

describe('stepper', () => {
  it('torque per micro-step', () => {
    // Source: tables.microsteps.source.
    for (const [m, percent] of Object.entries(tables.microsteps.percent)) {
      expect(microstepTorqueNm(1, Number(m)) * 100).toBeCloseTo(percent as number, 1);
    }
  });

  it('micro-steps to overcome a screw’s friction', () => {
    // Source: public stepper notes: holding 0.35 N m, 1/256 step, friction 0.06 N m: 0.002 N m a
    // micro-step and 30 micro-steps (0.06 / 0.002, rounded); unrounded 27.9; 10 %.
    const each = microstepTorqueNm(0.35, 256);
    expect(Number(each.toFixed(3))).toBe(0.002);
    expect(Math.abs(0.06 / each / 30 - 1)).toBeLessThan(0.1);
  });

  it('corner speed', () => {
    // Derived: 3.6 mH, 2.8 A, 200 steps: 357 rpm at 24 V, 714 rpm at 48 V.
    expect(stepperCornerRpm(24, 3.6, 2.8, 200)).toBeCloseTo(357.1, 1);
    expect(stepperCornerRpm(48, 3.6, 2.8, 200)).toBeCloseTo(714.3, 1);
  });

  it('thrust curve follows 1/feed past the corner within 1.6 %, never below', () => {
    const curve = stepperThrustCurve(300, 2400);
    const machine = { ...findMachine('screw-gantry-light') };
    const test = { ...machine, thrustN: { x: curve, y: curve, z: curve } };
    for (let feed = 10; feed < 20_000; feed *= 1.01) {
      const exact = feed <= 2400 ? 300 : (300 * 2400) / feed;
      const got = thrustAtN(test, 'x', feed);
      expect(got).toBeGreaterThanOrEqual(exact * (1 - 1e-12));
      expect(got).toBeLessThan(exact * 1.016);
    }
  });
});

describe('thrust of a profile', () => {
  const base = findMachine('screw-gantry-light');
  const machine = {
    ...base,
    thrustN: {
      ...base.thrustN,
      x: [
        [0, 200],
        [1000, 200],
        [2000, 100],
      ] as const,
    },
    frictionN: { ...base.frictionN, x: 20 },
    movingMassKg: { ...base.movingMassKg, x: 10 },
    accelerationMmPerS2: { ...base.accelerationMmPerS2, x: 1000 },
    limits: { ...base.limits, thrustShare: 0.5 },
  };

  it('is linear between points, flat before, 1/feed beyond', () => {
    expect(thrustAtN(machine, 'x', 0)).toBe(200);
    expect(thrustAtN(machine, 'x', 500)).toBe(200);
    expect(thrustAtN(machine, 'x', 1500)).toBe(150);
    expect(thrustAtN(machine, 'x', 2000)).toBe(100);
    expect(thrustAtN(machine, 'x', 4000)).toBe(50);
  });

  it('leaves to cutting what friction and acceleration leave, times the share', () => {
    // 10 kg x 1 m/s2 = 10 N; (200 - 20 - 10) / 2.
    expect(motionForceN(machine, 'x')).toBeCloseTo(30, 12);
    expect(allowedForceN(machine, 'x', 500)).toBeCloseTo(85, 12);
    expect(allowedForceN(machine, 'x', 2000)).toBeCloseTo(35, 12);
    expect(allowedForceN(machine, 'x', 100_000)).toBe(0);
  });

  it('property: never rises with feed, never negative', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...listMachines()),
        fc.constantFrom('x', 'y', 'z' as const),
        fc.double({ min: 0, max: 60_000, noNaN: true }),
        fc.double({ min: 1.001, max: 2, noNaN: true }),
        (m, axis, feed, more) => {
          const a = axis as 'x' | 'y' | 'z';
          expect(allowedForceN(m, a, feed * more)).toBeLessThanOrEqual(allowedForceN(m, a, feed));
          expect(allowedForceN(m, a, feed)).toBeGreaterThanOrEqual(0);
        },
      ),
    );
  });
});

test('a trapezoidal thread: torque and efficiency by the form with sec(alpha)', () => {
  // Raising F d/2 (l + pi mu d sec a) / (pi d - mu l sec a), lowering with l and mu l negated, and
  // efficiency F l / (2 pi T): Shigley, Mechanical Engineering Design, power screws (from memory).
  const screw = { leadMm: 4, meanDiameterMm: 14, mu: 0.2, halfAngleDeg: 15 };
  const { leadMm: l, meanDiameterMm: d, mu } = screw;
  const sec = 1 / Math.cos(Math.PI / 12);
  const raise = ((1000 * d) / 2) * ((l + Math.PI * mu * d * sec) / (Math.PI * d - mu * l * sec));
  const lower = ((1000 * d) / 2) * ((Math.PI * mu * d * sec - l) / (Math.PI * d + mu * l * sec));
  expect(screwTorqueNmm(1000, screw, 'raise')).toBeCloseTo(raise, 6);
  expect(screwTorqueNmm(1000, screw, 'lower')).toBeCloseTo(lower, 6);
  expect(screwEfficiency(screw)).toBeCloseTo((1000 * l) / (2 * Math.PI * raise), 12);
  // A square thread of the same size is easier to turn.
  expect(screwTorqueNmm(1000, { ...screw, halfAngleDeg: 0 }, 'raise')).toBeLessThan(raise);
});

test('a profile without a curve has no thrust, one without feed at its last point keeps it', () => {
  const base = findMachine('screw-gantry-light');
  expect(thrustAtN({ ...base, thrustN: { ...base.thrustN, x: [] } }, 'x', 500)).toBe(0);
  const flat = { ...base, thrustN: { ...base.thrustN, x: [[0, 150]] as const } };
  expect(thrustAtN(flat, 'x', 0)).toBe(150);
  expect(thrustAtN(flat, 'x', 900)).toBe(150);
  expect(stepperThrustCurve(300, 2400)[0]).toEqual([0, 300]);
});
