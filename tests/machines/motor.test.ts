import { describe, expect, it, test } from 'vitest';
import { findMachine } from '../../src/machines/machines.js';
import {
  stepperCornerRpm,
  stepperThrustCurve,
  thrustOfTorqueN,
} from '../../src/machines/bear/motor.js';
import { thrustAtN } from '../../src/machines/bear/thrust.js';
import { tables } from './fixtures.js';

test('torque to thrust through a screw with a loss', () => {
  // Source: public discussion of torque to linear thrust: 0.42 N m, lead 8 mm, 15 % loss gives
  // 280 N, 330 N without; 1 %.
  expect(Math.abs(thrustOfTorqueN(0.42, 8, 0.85) / 280 - 1)).toBeLessThan(0.01);
  expect(Math.abs(thrustOfTorqueN(0.42, 8, 1) / 330 - 1)).toBeLessThan(0.01);
});

test('stall thrust of common drives', () => {
  // Source: tables.stallThrust.source; printed to the newton.
  for (const [torque, lead, eta, thrust] of tables.stallThrust.screws) {
    expect(Math.abs(thrustOfTorqueN(torque, lead, eta) - thrust)).toBeLessThan(0.6);
  }
  for (const [torque, teeth, pitch, thrust] of tables.stallThrust.belts) {
    expect(Math.abs(thrustOfTorqueN(torque, teeth * pitch, 1) - thrust)).toBeLessThan(0.1);
  }
});

describe('stepper', () => {
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
    expect(curve[0]).toEqual([0, 300]);
  });
});
