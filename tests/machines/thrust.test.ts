import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import { findMachine, listMachines } from '../../src/machines/machines.js';
import type { Machine } from '../../src/model/machine.js';
import { motionForceN, thrustAtN } from '../../src/machines/bear/thrust.js';

/** The drive with one motor of an inertia on a lead of 10 mm for X. g cm2 */
function withRotor({ drive }: Machine, inertiaGCm2: number): Machine['drive'] {
  return {
    ...drive,
    motors: { ...drive.motors, x: 1 },
    rotorInertiaGCm2: { ...drive.rotorInertiaGCm2, x: inertiaGCm2 },
    travelPerTurnMm: { ...drive.travelPerTurnMm, x: 10 },
  };
}

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
  };

  it('is linear between points, flat before, 1/feed beyond', () => {
    expect(thrustAtN(machine, 'x', 0)).toBe(200);
    expect(thrustAtN(machine, 'x', 500)).toBe(200);
    expect(thrustAtN(machine, 'x', 1500)).toBe(150);
    expect(thrustAtN(machine, 'x', 2000)).toBe(100);
    expect(thrustAtN(machine, 'x', 4000)).toBe(50);
  });

  it('moving alone takes friction and acceleration, of the rotor too', () => {
    // (10 kg + J (2 pi / lead)^2) x 1 m/s2 + 20 N: 100 g cm2 = 1e-5 kg m2 on 10 mm is 3.948 kg.
    const still = { ...machine, drive: withRotor(machine, 0) };
    expect(motionForceN(still, 'x')).toBeCloseTo(30, 12);
    expect(motionForceN({ ...machine, drive: withRotor(machine, 100) }, 'x')).toBeCloseTo(
      33.948,
      3,
    );
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
          expect(thrustAtN(m, a, feed * more)).toBeLessThanOrEqual(thrustAtN(m, a, feed));
          expect(thrustAtN(m, a, feed)).toBeGreaterThan(0);
        },
      ),
    );
  });
});

test('a profile without a curve has no thrust, one without feed at its last point keeps it', () => {
  const base = findMachine('screw-gantry-light');
  expect(thrustAtN({ ...base, thrustN: { ...base.thrustN, x: [] } }, 'x', 500)).toBe(0);
  const flat = { ...base, thrustN: { ...base.thrustN, x: [[0, 150]] as const } };
  expect(thrustAtN(flat, 'x', 0)).toBe(150);
  expect(thrustAtN(flat, 'x', 900)).toBe(150);
});
