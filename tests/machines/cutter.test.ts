import { describe, expect, test } from 'vitest';
import { bendingPerNewton, cutterForceN, cutterHolds } from '../../src/machines/bear/cutter.js';
import type { Cutter } from '../../src/model/machine.js';
import { dynamicsRow } from './dynamics-oracle.js';

const endMill = (
  diameterMm: number,
  fluteLengthMm: number,
  more: Partial<Cutter> = {},
): Cutter => ({
  ...{ diameterMm, fluteLengthMm, flutes: 3, material: 'carbide' },
  ...{ stickOutMm: fluteLengthMm, shankDiameterMm: diameterMm, helixDeg: 35, edgeRadiusMm: 0.005 },
  ...more,
});

describe('bending of a cutter', () => {
  // 32 F L / (pi d^3) at 0.8 D: dynamics-oracles.json, "derived".
  test('stress at the flute run-out', () => {
    const { inputs, expected, tolerance } = dynamicsRow('bending stress at the flute run-out');
    const cutter = endMill(inputs.diameterMm!, inputs.leverMm!);
    const stress = inputs.forceN! * bendingPerNewton(cutter, 0);
    expect(stress / expected.nPerMm2!).toBeCloseTo(1, -Math.log10(tolerance) - 1);
  });

  // Rupture strengths of Groover, table 22.1 (1400 and 2400 N/mm2); 0.3 of the second is planned.
  test.each([
    ['force that breaks D2', 2, 6],
    ['force that breaks D3', 3, 9],
    ['force that breaks D6', 6, 16],
  ])('%s', (begin, diameterMm, leverMm) => {
    const { expected } = dynamicsRow(begin);
    const [, atHighCobalt] = expected.forceN as readonly number[];
    const cutter = endMill(diameterMm, leverMm);
    expect(2400 / bendingPerNewton(cutter, 0)).toBeCloseTo(atHighCobalt!, 0);
    expect(cutterForceN(cutter, 0) / atHighCobalt!).toBeCloseTo(0.3, 3);
  });

  test('the lever is counted from the middle of the cut, and the shank is looked at, too', () => {
    const cutter = endMill(3, 8, { stickOutMm: 12 });
    // By hand: lever 8 - 0.5 = 7.5 mm at a core of 2.4 mm; at the collet 11.5 mm at 3 mm.
    const core = (32 * 7.5) / (Math.PI * 2.4 ** 3);
    const shank = (32 * 11.5) / (Math.PI * 3 ** 3);
    expect(core).toBeGreaterThan(shank);
    expect(bendingPerNewton(cutter, 1)).toBeCloseTo(core, 12);
    const long = { ...cutter, stickOutMm: 40 };
    expect(bendingPerNewton(long, 1)).toBeCloseTo((32 * 39.5) / (Math.PI * 27), 12);
  });
});

test('a cutter holds less likely the more it is given, and breaks half the time at 0.73 of 2400', () => {
  expect(cutterHolds(0)).toBe(1);
  expect(cutterHolds(1)).toBeGreaterThan(0.999);
  // 0.73 / 0.3 of what is planned with is the median, by definition of a median.
  expect(cutterHolds(0.73 / 0.3)).toBeCloseTo(0.5, 12);
  expect(cutterHolds(5)).toBeLessThan(0.01);
});
