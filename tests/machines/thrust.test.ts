import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import { findMachine, listMachines } from '../../src/machines/machines.js';
import { allowedForceN, motionForceN, thrustAtN } from '../../src/machines/bear/thrust.js';

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

test('a profile without a curve has no thrust, one without feed at its last point keeps it', () => {
  const base = findMachine('screw-gantry-light');
  expect(thrustAtN({ ...base, thrustN: { ...base.thrustN, x: [] } }, 'x', 500)).toBe(0);
  const flat = { ...base, thrustN: { ...base.thrustN, x: [[0, 150]] as const } };
  expect(thrustAtN(flat, 'x', 0)).toBe(150);
  expect(thrustAtN(flat, 'x', 900)).toBe(150);
});
