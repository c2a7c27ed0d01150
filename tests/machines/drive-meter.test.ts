/** The drives as they are asked, against what must hold whatever the model inside. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { DriveLoad, DriveOdds, driveForceN } from '../../src/machines/bear/drive-meter.js';
import { motionForceN } from '../../src/machines/bear/thrust.js';
import { findCutter } from '../../src/machines/cutters.js';
import { findMachine } from '../../src/machines/machines.js';
import { findMaterial } from '../../src/machines/materials.js';
import type { Machine } from '../../src/model/machine.js';
import { runs } from '../cam/oracle/runs.js';

const machine = findMachine('screw-gantry-light');
const steadyCut = (spindleRpm: number, phiDeg: number, axialDepthMm: number) => ({
  conditions: {
    material: findMaterial('42CrMo4-annealed'),
    cutter: findCutter('carbide-3mm-3fl'),
    ...{ runoutMm: 0.01, wearFactor: 1.3, spindleRpm, axialDepthMm },
  },
  feedMmPerMin: 600,
  intervals: [{ fromRad: 0, toRad: (phiDeg * Math.PI) / 180 }],
  climb: true,
});

describe('demand on the drives', () => {
  it('in the worst direction is no less than in any', () => {
    const load = new DriveLoad(machine);
    fc.assert(
      fc.property(
        fc.integer({ min: 100, max: 240 }),
        fc.double({ min: 20, max: 150, noNaN: true }),
        fc.double({ min: 0, max: 2 * Math.PI, noNaN: true }),
        (hundreds, phiDeg, headingRad) => {
          const cut = steadyCut(100 * hundreds, phiDeg, 0.4);
          const worst = load.along(cut);
          const along = load.along(cut, [headingRad]);
          for (const axis of ['x', 'y'] as const) {
            // Twelve directions over half a turn: cos 7.5 deg is 0.991.
            expect(along[axis]).toBeLessThanOrEqual(1.01 * worst[axis]);
          }
        },
      ),
      { numRuns: runs(60) },
    );
  });

  it('goes with the depth, and gathers the greatest of several cuts', () => {
    const load = new DriveLoad(machine);
    const shallow = load.along(steadyCut(15_000, 70, 0.2));
    const deep = load.along(steadyCut(15_000, 70, 0.6));
    expect(deep.x / shallow.x).toBeCloseTo(3, 6);
    const odds = new DriveOdds(machine);
    const both = odds.none();
    odds.add(both, steadyCut(15_000, 70, 0.6));
    const before = both.x.slice();
    odds.add(both, steadyCut(15_000, 70, 0.2));
    expect(both.x).toEqual(before);
  });

  it('without a cut is friction and acceleration, and one figure says what all drives do', () => {
    const odds = new DriveOdds(machine);
    const moving = odds.moving();
    const mean = moving.x.reduce((a, b) => a + b, 0) / moving.x.length;
    expect(mean / motionForceN(machine, 'x')).toBeCloseTo(1, 1);
    const demands = odds.none();
    odds.add(demands, steadyCut(15_000, 90, 1.5));
    // At the risk that the demand stands for, the thrust is the demand.
    const risk = 1 - odds.hold(demands);
    expect(risk).toBeGreaterThan(0);
    const demandN = odds.demandN(demands);
    expect(odds.thrustN(risk).x).toBeGreaterThanOrEqual(demandN.x);
    // With all thrusts a sigma higher fewer lose steps, a sigma lower more.
    expect(odds.hold(demands, 1)).toBeGreaterThan(odds.hold(demands));
    expect(odds.hold(demands, -1)).toBeLessThan(odds.hold(demands));
  });
});

describe('what cutting may ask', () => {
  // Thrust 200 N to 1500 mm/min and 10 kg at 1 m/s2 with 20 N of friction, rotors without mass.
  const known: Machine = {
    ...machine,
    maxFeedMmPerMin: 1500,
    thrustN: { ...machine.thrustN, x: [[0, 200], [1500, 200]], y: [[0, 200], [1500, 100]] },
    thrustSpread: { x: 1.5, y: 1, z: null },
    frictionN: { x: 20, y: 20, z: 20 },
    movingMassKg: { x: 10, y: 10, z: 10 },
    accelerationMmPerS2: { x: 1000, y: 1000, z: 1000 },
    drive: { ...machine.drive, rotorInertiaGCm2: { x: 0, y: 0, z: 0 } },
  }; // prettier-ignore

  it('is the thrust at the risk and the highest feed, less friction and acceleration', () => {
    // Two in three within 1.5: a sigma below is 200 / 1.5 (Phi(-1) = 0.158655), two are 200 / 2.25.
    expect(driveForceN(known, 0.5).x).toBeCloseTo(170, 6);
    expect(driveForceN(known, 0.158655).x).toBeCloseTo(200 / 1.5 - 30, 2);
    expect(driveForceN(known, 0.02275).x).toBeCloseTo(200 / 2.25 - 30, 2);
    // Known exactly, it is the same at any risk.
    expect(driveForceN(known, 0.001).y).toBeCloseTo(70, 6);
    expect(driveForceN(known, 1e-9).x).toBe(0);
  });
});
