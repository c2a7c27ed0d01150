import { describe, expect, it, test } from 'vitest';
import { feedPerToothMm } from '../../src/machines/load/chip.js';
import { findMachine } from '../../src/machines/machines.js';
import { findMaterial } from '../../src/machines/materials.js';
import {
  availablePowerW,
  chooseSpindleRpm,
  rpmForSurfaceSpeed,
} from '../../src/machines/bear/spindle.js';
import { cutter3, tables } from './fixtures.js';

describe('published examples', () => {
  it('face mill: speed, feed per tooth, motor power', () => {
    // Source: Mitsubishi Materials, Cutting power for face milling: D 250, z 12, vc 80, ap 2,
    // ae 80, vf 280, kc 1800, efficiency 0.8: n 101.91 (pi 3.14), fz 0.228, 1.68 kW; 1 %.
    const rpm = rpmForSurfaceSpeed(80, 250);
    expect(Math.abs(rpm / 101.91 - 1)).toBeLessThan(0.01);
    expect(Math.abs(feedPerToothMm(280, 12, rpm) / 0.228 - 1)).toBeLessThan(0.01);
    // Pc = ap ae vf kc / 60e3 W: what a motor of 1.68 kW leaves at the cutter.
    const cuttingW = (2 * 80 * 280 * 1800) / 60e3;
    const any = findMachine('screw-gantry-light');
    const spindle = { ...any.spindle, powerW: 1680, efficiency: 0.8 };
    const leftW = availablePowerW({ ...any, spindle }, spindle.maxRpm);
    expect(Math.abs(leftW / cuttingW - 1)).toBeLessThan(0.01);
  });

  it('surface speed of 125 mm at 350 rpm', () => {
    // Source: Mitsubishi Materials, Formulae for face milling: 137.4 m/min; 1 %.
    expect(Math.abs(rpmForSurfaceSpeed(137.4, 125) / 350 - 1)).toBeLessThan(0.001);
  });

  it('speed and feed of 125 mm, eight teeth', () => {
    // Source: Widia, speed and feed example: vc 200, fz 0.2: n 510, vf 816; 1 %.
    const rpm = rpmForSurfaceSpeed(200, 125);
    expect(Math.abs(rpm / 510 - 1)).toBeLessThan(0.01);
    expect(Math.abs((0.2 * 8 * rpm) / 816 - 1)).toBeLessThan(0.01);
  });

  it('1/8 in at 400 ft/min', () => {
    // Source: Amana Tool, AlTiN 4-flute chart: 12 200 rpm; 1 %.
    expect(Math.abs(rpmForSurfaceSpeed(400 * 0.3048, 3.175) / 12_200 - 1)).toBeLessThan(0.01);
  });

  it('surface speeds that routers force', () => {
    // Source: tables.surfaceSpeed.source, printed to 1 m/min.
    for (const [d, ...speeds] of tables.surfaceSpeed.rows) {
      speeds.forEach((speed: number, i: number) => {
        const rpm = tables.surfaceSpeed.rpm[i];
        expect(rpmForSurfaceSpeed(speed - 0.51, d)).toBeLessThanOrEqual(rpm);
        expect(rpmForSurfaceSpeed(speed + 0.51, d)).toBeGreaterThanOrEqual(rpm);
      });
    }
  });
});

describe('choosing a speed', () => {
  const steel = findMaterial('42CrMo4-annealed');

  it('3 mm in 42CrMo4 on a light router: its slowest speed, inside the range', () => {
    const choice = chooseSpindleRpm(findMachine('screw-gantry-light'), steel, cutter3);
    expect(choice.rpm).toBe(10_000);
    expect(choice.note).toBeNull();
    expect(choice.surfaceSpeedMPerMin).toBeCloseTo(94.2, 1);
  });

  it('6 mm on the same router: too fast, with the largest cutter that fits', () => {
    // Derived: steel on a 10 000 rpm minimum implies D <= 4 mm (122 m/min: 3.88 mm).
    const choice = chooseSpindleRpm(findMachine('screw-gantry-light'), steel, {
      ...cutter3,
      diameterMm: 6,
    });
    expect(choice.rpm).toBe(10_000);
    expect(choice.noteCode).toBe('spindle-too-fast');
    expect(choice.note).toMatch(/10000 rpm.*188 m\/min.*61 to 122 m\/min.*3\.9 mm/);
  });

  it('3 mm on a bench mill: too slow, full speed', () => {
    const choice = chooseSpindleRpm(findMachine('bench-mill-converted'), steel, cutter3);
    expect(choice.rpm).toBe(5000);
    expect(choice.noteCode).toBe('spindle-too-slow');
  });

  it('stays inside the spindle’s range for every machine, material and size', () => {
    for (const machine of ['belt-gantry-light', 'screw-gantry-stiff', 'bench-mill-converted']) {
      for (const material of ['42CrMo4-annealed', '6061-T6', 'POM-C', '304']) {
        for (const diameterMm of [1.5, 3, 6, 8]) {
          const m = findMachine(machine);
          const mat = findMaterial(material);
          const choice = chooseSpindleRpm(m, mat, { ...cutter3, diameterMm });
          expect(choice.rpm).toBeGreaterThanOrEqual(m.spindle.minRpm);
          expect(choice.rpm).toBeLessThanOrEqual(m.spindle.maxRpm);
          const { low, high } = mat.surfaceSpeedMPerMin;
          const inside = choice.surfaceSpeedMPerMin >= low && choice.surfaceSpeedMPerMin <= high;
          expect(choice.noteCode === null).toBe(inside);
        }
      }
    }
  });
});

test('available power falls with speed at constant torque', () => {
  // Source: spindle torque P / (2 pi n): 2.2 kW at 24 000 rpm is 0.88 N m, from memory.
  const machine = findMachine('screw-gantry-stiff');
  const full = availablePowerW(machine, 24_000);
  expect(full).toBeCloseTo(2200 * 0.75, 9);
  expect(availablePowerW(machine, 12_000)).toBeCloseTo(full / 2, 9);
  const torque = (rpm: number): number =>
    availablePowerW(machine, rpm) / ((2 * Math.PI * rpm) / 60);
  expect(torque(12_000)).toBeCloseTo(torque(24_000), 9);
  expect(torque(24_000) / 0.75).toBeCloseTo(0.88, 2);
});
