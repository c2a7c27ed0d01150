import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import {
  chipCapMm,
  chipFloorMm,
  chipThresholds,
  depthFactor,
  effectiveFeedPerToothMm,
  feedPerToothMm,
  maxChipMm,
  meanChipMm,
  nominalFeedPerToothMm,
} from '../../src/machines/load/chip.js';
import { engagementConcaveRad } from '../../src/machines/load/engagement.js';
import { engagementConvexRad, engagementStraightRad } from './walls.js';
import { findMaterial } from '../../src/machines/materials.js';
import { DEG, cutter3, steel, tables } from './fixtures.js';

test('straight wall: engagement, greatest and mean chip, thinning factor', () => {
  // Source: tables.straightWall.source, printed to four digits.
  for (const [share, phiDeg, hMax, thinning, hMean, root] of tables.straightWall.rows) {
    const phi = engagementStraightRad(share * 2, 1);
    expect(Math.abs(phi / DEG - phiDeg)).toBeLessThan(0.006);
    expect(Math.abs(maxChipMm(1, phi) - hMax)).toBeLessThan(6e-5);
    expect(Math.abs(1 / maxChipMm(1, phi) - thinning)).toBeLessThan(6e-4);
    expect(Math.abs(meanChipMm(1, phi) - hMean)).toBeLessThan(6e-5);
    // Dietrich/Tschaetsch: hm = 360 fz ae / (pi D phi_deg).
    expect(meanChipMm(1, phi)).toBeCloseTo((360 * share) / (Math.PI * (phi / DEG)), 12);
    // Dijet: hm ~ fz sqrt(ae / D) for ae <= 0.1 D, within 2 %.
    if (share <= 0.1) expect(Math.abs(meanChipMm(1, phi) / root - 1)).toBeLessThan(0.02);
  }
});

test('greatest chip on arcs is centre feed per tooth times sin(engagement)', () => {
  // Source: tables.chipSimulation.source. Within 2 % or the simulation's last digit.
  for (const [shape, R, r, ae, fz, simulated] of tables.chipSimulation.rows) {
    const phi =
      shape === 'straight'
        ? engagementStraightRad(ae, r)
        : shape === 'concave'
          ? engagementConcaveRad(ae, r, R)
          : engagementConvexRad(ae, r, R);
    expect(Math.abs(maxChipMm(fz, phi) - simulated)).toBeLessThan(Math.max(0.02 * simulated, 1e-4));
  }
});

test('an arc of nothing has a mean chip of nothing, as its limit fz phi / 2 has', () => {
  for (const phi of [0, -1]) expect(meanChipMm(0.02, phi)).toBe(0);
  expect(meanChipMm(0.02, 1e-4)).toBeCloseTo(1e-6, 10);
});

test('slab mill mean chip', () => {
  // Source: Ghosh and Mallik, Manufacturing Science, problem 4.16: z 10, D 75, feed 100 mm/min,
  // 60 rpm, depth 5: mean chip 0.043 mm (by sqrt(ae/D)); 3 %.
  const fz = feedPerToothMm(100, 10, 60);
  expect(Math.abs(meanChipMm(fz, engagementStraightRad(5, 37.5)) / 0.043 - 1)).toBeLessThan(0.03);
});

test('chip load of a feed', () => {
  // Source: Amana Tool, AlTiN 4-flute chart: 58 in/min, 4 flutes, 12 200 rpm; 0.0302 mm, 1 %.
  expect(Math.abs(feedPerToothMm(58 * 25.4, 4, 12_200) / 0.0302 - 1)).toBeLessThan(0.01);
});

describe('runout', () => {
  it('two flutes cut fz + TIR and fz - TIR in turn', () => {
    // Derivation: rim radii r + TIR/2 and r - TIR/2; each tooth's chip is the feed since the last
    // tooth plus the difference of the two radii.
    for (const [fz, tir] of [
      [0.02, 0.005],
      [0.02, 0.0199],
      [0.01, 0.03],
    ] as const) {
      const cuts = [fz + tir, Math.max(0, fz - tir)];
      const whole = 2 * fz;
      const greatest = Math.min(Math.max(...cuts), whole);
      expect(effectiveFeedPerToothMm(fz, tir, 2)).toBeCloseTo(greatest, 12);
    }
  });

  it('property: bounded by all teeth’s work, and inverted exactly', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1e-5, max: 0.2, noNaN: true }),
        fc.double({ min: 0, max: 0.05, noNaN: true }),
        fc.integer({ min: 1, max: 8 }),
        (fz, tir, z) => {
          const eff = effectiveFeedPerToothMm(fz, tir, z);
          expect(eff).toBeGreaterThanOrEqual(fz);
          expect(eff).toBeLessThanOrEqual(z * fz * (1 + 1e-12));
          expect(nominalFeedPerToothMm(eff, tir, z)).toBeCloseTo(fz, 12);
        },
      ),
    );
  });
});

describe('cap and floor', () => {
  it('42CrMo4: 0.012 mm at 3 mm, 0.004 D at other sizes', () => {
    // Source: ISCAR, solid carbide heads, cutting parameters: low-alloy steel, start 0.004 D.
    for (const diameterMm of [1.5, 2, 3, 4, 6, 8]) {
      const cap = chipCapMm(findMaterial('42CrMo4-annealed'), { ...cutter3, diameterMm });
      expect(cap).toBeCloseTo(0.004 * diameterMm, 12);
    }
  });

  it('scaling with the diameter stays within what a maker’s size table does', () => {
    // Source: tables.feedPerToothBySize.source. Relative to its own 3 mm figure, proportional
    // scaling is at most 1.35 times the table below 3 mm and never over it above 3 mm, except in
    // the lightest class A (non-proportional, 0.003 to 0.009 mm), which no material here uses.
    const { diametersMm, classes } = tables.feedPerToothBySize;
    for (const [name, fz] of Object.entries(classes as Record<string, number[]>)) {
      if (name === 'A') continue;
      const at3 = fz[2] as number;
      diametersMm.forEach((d: number, i: number) => {
        const ratio = d / 3 / ((fz[i] as number) / at3);
        if (d >= 3) expect(ratio).toBeLessThanOrEqual(1.0 + 1e-9);
        else expect(ratio).toBeLessThan(1.35);
      });
    }
  });

  it('deeper cuts get less of it: the printed factors of a catalogue, straight between them', () => {
    // Solid carbide catalogue of 2021, p. 115: 1.25 at 0.25 D, 1 at 0.5, 0.75 at 1, 0.5 at 1.5.
    const printed = [[0.25, 1.25], [0.5, 1], [1, 0.75], [1.5, 0.5]] as const; // prettier-ignore
    for (const [share, factor] of printed)
      expect(depthFactor(3 * share, 3)).toBeCloseTo(factor, 12);
    expect(depthFactor(0.75 * 6, 6)).toBeCloseTo(0.875, 12);
    // Nothing is printed beyond: no more than at the ends.
    expect(depthFactor(0, 3)).toBe(1.25);
    expect(depthFactor(12, 3)).toBe(0.5);
    const alloy = findMaterial('42CrMo4-annealed');
    expect(chipCapMm(alloy, cutter3, 3)).toBeCloseTo(0.75 * chipCapMm(alloy, cutter3), 12);
  });

  it('floor of a coated small tool in steel is 6 um; warn at 4, refuse at 2.5', () => {
    // Source: h_min 0.4 r_e in steel (within 0.14-0.43, Cheng et al. 2018); marks from memory.
    const marks = chipThresholds(cutter3, steel);
    expect(chipFloorMm(cutter3, steel)).toBeCloseTo(0.006, 9);
    expect(marks.warnMm).toBeCloseTo(0.004, 9);
    expect(marks.refuseMm).toBeCloseTo(0.0025, 9);
  });

  it('h_min of an 8 um edge is 2.4 to 3.2 um', () => {
    const worn = { ...cutter3, edgeRadiusMm: 0.008 };
    expect(chipFloorMm(worn, findMaterial('6061-T6')) / 2).toBeCloseTo(0.0024, 9);
    expect(chipFloorMm(worn, steel) / 2).toBeCloseTo(0.0032, 9);
  });

  it('iron and stainless count as steel does: 0.4 of the edge radius, twice', () => {
    const blunt = { ...cutter3, edgeRadiusMm: 0.02 };
    const iron = { ...steel, group: 'iron' } as const;
    for (const material of [steel, iron, findMaterial('304')]) {
      expect(chipFloorMm(blunt, material), material.group).toBeCloseTo(0.016, 9);
    }
    expect(chipFloorMm(blunt, findMaterial('6061-T6'))).toBeCloseTo(0.012, 9);
  });

  it('stainless keeps 10 um to stay under its hardened skin', () => {
    expect(chipFloorMm(cutter3, findMaterial('304'))).toBe(0.01);
  });

  it('feed per tooth for a 6 um chip', () => {
    // Derived: 0.006 slot, 0.010 at ae 0.10 D, 0.014 at 0.05 D, 0.021 at 0.02 D.
    for (const [share, fz] of [
      [1, 0.006],
      [0.1, 0.01],
      [0.05, 0.014],
      [0.02, 0.021],
    ] as const) {
      expect(0.006 / maxChipMm(1, engagementStraightRad(share * 2, 1))).toBeCloseTo(fz, 3);
    }
  });
});
