import { describe, expect, it } from 'vitest';
import {
  cutterComplianceMmPerN,
  naturalFrequencyHz,
  wallCompliance,
  wallShiftMm,
} from '../../src/machines/bear/wall-shift.js';
import type { PeakForce } from '../../src/machines/load/force.js';
import { findMachine } from '../../src/machines/machines.js';
import { cutter3 } from './fixtures.js';

/**
 * Response of a damped single mass to a force at r times its natural frequency, of its static
 * shift: 1 / sqrt((1 - r^2)^2 + (2 zeta r)^2), any text on mechanical vibration.
 */
const damped = (r: number, zeta: number): number => 1 / Math.hypot(1 - r * r, 2 * zeta * r);

/** Share of its static shift with which a frame of a natural frequency swings under teeth at a rate. */
function frameResponse(toothHz: number, naturalHz: number): number {
  const [k, kg] = [500, 500_000 / (2 * Math.PI * naturalHz) ** 2];
  const machine = {
    ...findMachine('screw-gantry-light'),
    stiffnessNPerMm: { x: k, y: k, z: k },
    movingMassKg: { x: kg, y: kg, z: kg },
  };
  const rpm = (60 * toothHz) / cutter3.flutes;
  const { meanMmPerN, swingMmPerN } = wallCompliance(machine, cutter3, rpm);
  return swingMmPerN / meanMmPerN;
}

describe('the frame as one mass on one spring', () => {
  it('25 kg on 1000 N/mm: 200 rad/s, 31.8 Hz', () => {
    expect(naturalFrequencyHz(1000, 25)).toBeCloseTo(200 / (2 * Math.PI), 9);
    // Four times as stiff, or a quarter of the mass: twice as fast.
    expect(naturalFrequencyHz(4000, 25)).toBeCloseTo(400 / (2 * Math.PI), 9);
    expect(naturalFrequencyHz(1000, 6.25)).toBeCloseTo(400 / (2 * Math.PI), 9);
  });

  it('follows a slow force in full, a fast one by f0^2 / (f^2 - f0^2)', () => {
    expect(frameResponse(0, 30)).toBe(1);
    expect(frameResponse(15, 30)).toBeCloseTo(4 / 3, 12);
    expect(frameResponse(60, 30)).toBeCloseTo(1 / 3, 12);
    expect(frameResponse(300, 30)).toBeCloseTo(1 / 99, 12);
  });

  it('agrees with the damped response (5 %) away from resonance, and is capped at its peak', () => {
    for (const r of [0.1, 0.3, 0.5, 0.7, 1.4, 2, 5, 12]) {
      expect(frameResponse(r * 40, 40) / damped(r, 0.05), String(r)).toBeCloseTo(1, 1);
    }
    const peak = damped(1, 0.05);
    expect(peak).toBeCloseTo(10, 12);
    for (const r of [0.97, 1, 1.03]) expect(frameResponse(r * 40, 40)).toBeCloseTo(peak, 12);
  });
});

describe('wallCompliance', () => {
  const machine = findMachine('screw-gantry-light');

  it('takes the worse axis, each by its own mass and stiffness', () => {
    const soft = {
      ...machine,
      stiffnessNPerMm: { ...machine.stiffnessNPerMm, x: 500, y: 2000 },
      movingMassKg: { ...machine.movingMassKg, x: 5, y: 20 },
    };
    // X: 500 N/mm, 5 kg: f0 = sqrt(1e5) / 2 pi = 50.3 Hz. 3 flutes at 10 000: 500 teeth a second.
    const tooth = (cutter3.flutes * 10_000) / 60;
    const f0 = Math.sqrt(500_000 / 5) / (2 * Math.PI);
    const found = wallCompliance(soft, cutter3, 10_000);
    expect(found.meanMmPerN).toBeCloseTo(1 / 500, 12);
    expect(found.swingMmPerN).toBeCloseTo(1 / 500 / ((tooth / f0) ** 2 - 1), 12);
    const turned = {
      ...soft,
      stiffnessNPerMm: { ...soft.stiffnessNPerMm, x: 2000, y: 500 },
      movingMassKg: { ...soft.movingMassKg, x: 20, y: 5 },
    };
    expect(wallCompliance(turned, cutter3, 10_000)).toEqual(found);
    // The axis that is worse for the mean need not be worse for the swing: stiff Y in resonance.
    const rpm = (60 * Math.sqrt(2_000_000 / 20)) / (2 * Math.PI) / cutter3.flutes;
    const swing = wallCompliance(
      { ...soft, movingMassKg: { ...soft.movingMassKg, x: 500 } },
      cutter3,
      rpm,
    );
    expect(swing.meanMmPerN).toBeCloseTo(1 / 500, 12);
    expect(swing.swingMmPerN).toBeCloseTo(10 / 2000, 12);
  });

  it('holder and cutter follow the force as it is, one behind the other', () => {
    const found = wallCompliance(machine, cutter3, 10_000);
    const springs = 1 / machine.holderStiffnessNPerMm + cutterComplianceMmPerN(cutter3, 0, 0);
    expect(found.toolMmPerN).toBeCloseTo(springs, 15);
    expect(found.toolMmPerN).toBeGreaterThan(1 / machine.holderStiffnessNPerMm);
  });
});

describe('wallShiftMm', () => {
  const compliance = { meanMmPerN: 0.002, swingMmPerN: 0.0001, toolMmPerN: 0.0005 };
  const push = (meanNormalN: number, normalN: number): number =>
    wallShiftMm(compliance, { meanNormalN, normalN } as PeakForce);

  it('is mean x frame, swing x what the frame makes of it, peak x tool', () => {
    // 20 N mean, 50 N peak: 0.040 + 30 x 0.0001 + 50 x 0.0005 = 0.068 mm.
    expect(push(20, 50)).toBeCloseTo(0.068, 12);
    expect(push(0, 0)).toBe(0);
    expect(push(20, 20)).toBeCloseTo(0.05, 12);
  });

  it('a mean that pulls towards the wall does not count as a push', () => {
    expect(push(-20, 10)).toBeCloseTo(10 * 0.0001 + 10 * 0.0005, 12);
    expect(push(30, 20)).toBeCloseTo(30 * 0.002 + 20 * 0.0005, 12);
  });
});
