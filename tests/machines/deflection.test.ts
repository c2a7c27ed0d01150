import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import { cutterComplianceMmPerN } from '../../src/machines/bear/wall-shift.js';
import type { Cutter } from '../../src/model/machine.js';
import { cutter3 } from './fixtures.js';
import { runs } from '../cam/oracle/runs.js';

const d3: Cutter = { ...cutter3, stickOutMm: 15, fluteLengthMm: 9, shankDiameterMm: 3 };
const d6: Cutter = {
  ...cutter3,
  diameterMm: 6,
  stickOutMm: 20,
  fluteLengthMm: 13,
  shankDiameterMm: 6,
};

describe('worked values', () => {
  // Derived outside this project from F/(3E) (Lf^3/If + (L^3 - Lf^3)/Is), E 600 GPa, 0.8 D
  // (Kops and Vo); half of the printed last digit.
  it('3 mm, 20 N, 15 mm out: 12.37 um; with a 6 mm shank 5.44 um', () => {
    expect(Math.abs(20e3 * cutterComplianceMmPerN(d3, 0, 0) - 12.37)).toBeLessThan(0.006);
    expect(1 / cutterComplianceMmPerN(d3, 0, 0) / 1000).toBeCloseTo(1.62, 2);
    const stout = { ...d3, shankDiameterMm: 6 };
    expect(Math.abs(20e3 * cutterComplianceMmPerN(stout, 0, 0) - 5.44)).toBeLessThan(0.006);
  });

  it('6 mm, 50 N, 20 mm out: 4.88 um; 8.53 um with flutes all the way', () => {
    expect(Math.abs(50e3 * cutterComplianceMmPerN(d6, 0, 0) - 4.88)).toBeLessThan(0.006);
    const all = { ...d6, fluteLengthMm: 20 };
    expect(Math.abs(50e3 * cutterComplianceMmPerN(all, 0, 0) - 8.53)).toBeLessThan(0.006);
  });

  it('a published fit for stubby end mills gives the same within a fifth', () => {
    // Source: Kivanc and Budak, deflection fit for 3 flutes C 8.30, N 0.965, from memory:
    // C (F/E) (Lf^3/D^4 + (L^3 - Lf^3)/Ds^4)^N.
    const inner = 9 ** 3 / 3 ** 4 + (15 ** 3 - 9 ** 3) / 3 ** 4;
    const fit = 8.3 * (20 / 600e3) * inner ** 0.965;
    expect(Math.abs((20 * cutterComplianceMmPerN(d3, 0, 0)) / fit - 1)).toBeLessThan(0.25);
  });

  it('twice the overhang bends eight times as far', () => {
    // Source: Mitsubishi course, End milling, length of cut: 0.2 -> 1.6 mm.
    const short = { ...d3, fluteLengthMm: 30, stickOutMm: 15 };
    const long = { ...d3, fluteLengthMm: 30, stickOutMm: 30 };
    const ratio = cutterComplianceMmPerN(long, 0, 0) / cutterComplianceMmPerN(short, 0, 0);
    expect(0.2 * ratio).toBeCloseTo(1.6, 9);
  });
});

/**
 * Independent: the beam's curvature is integrated twice along its length by small steps from the
 * collet, with no closed form.
 */
function beamByIntegration(cutter: Cutter, z: number, zLoad: number): number {
  const n = 60_000;
  const L = cutter.stickOutMm;
  const dx = L / n;
  let slope = 0;
  let y = 0;
  for (let i = 0; i < n; i++) {
    const x = (i + 0.5) * dx;
    if (x > L - z) break;
    const moment = Math.max(0, L - zLoad - x);
    const above = cutter.neckDiameterMm ?? cutter.shankDiameterMm;
    const d = x < L - cutter.fluteLengthMm ? above : 0.8 * cutter.diameterMm;
    const curvature = moment / ((600e3 * Math.PI * d ** 4) / 64);
    y += slope * dx + (curvature * dx * dx) / 2;
    slope += curvature * dx;
  }
  return y;
}

test('property: bending at one height for a load at another, by integration and by symmetry', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 0, max: 16, noNaN: true }),
      fc.double({ min: 0, max: 16, noNaN: true }),
      fc.double({ min: 2, max: 16, noNaN: true }),
      fc.double({ min: 2, max: 8, noNaN: true }),
      fc.option(fc.double({ min: 2, max: 2.96, noNaN: true }), { nil: undefined }),
      (z, zLoad, fluteLengthMm, shankDiameterMm, neckDiameterMm) => {
        const necked = neckDiameterMm !== undefined && { neckDiameterMm };
        const cutter = { ...d3, fluteLengthMm, shankDiameterMm, ...necked };
        const got = cutterComplianceMmPerN(cutter, z, zLoad);
        const tip = cutterComplianceMmPerN(cutter, 0, 0);
        expect(Math.abs(got - beamByIntegration(cutter, z, zLoad))).toBeLessThan(1e-3 * tip);
        expect(cutterComplianceMmPerN(cutter, zLoad, z)).toBeCloseTo(got, 15);
        expect(got).toBeGreaterThanOrEqual(0);
      },
    ),
    { numRuns: runs(60) },
  );
});
