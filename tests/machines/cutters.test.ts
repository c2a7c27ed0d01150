import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import { chipCapMm, chipFloorMm } from '../../src/machines/load/chip.js';
import {
  completeCutter,
  cutterFaults,
  findCutter,
  listCutters,
} from '../../src/machines/cutters.js';
import { findMaterial } from '../../src/machines/materials.js';
import { UnknownNameError } from '../../src/text/lookup.js';

describe('cutter table', () => {
  it('covers 1.5 to 8 mm, each row sound and sourced', () => {
    const sizes = listCutters().map((c) => c.diameterMm);
    expect(Math.min(...sizes)).toBe(1.5);
    expect(Math.max(...sizes)).toBe(8);
    expect(new Set(listCutters().map((c) => c.id)).size).toBe(listCutters().length);
    for (const c of listCutters()) {
      expect(cutterFaults(c), c.id).toEqual([]);
      expect(c.source).toMatch(/from memory/);
      expect(c.id).toBe(`carbide-${c.diameterMm}mm-${c.flutes}fl`);
      // Plain proportions of stub and standard end mills: 2 to 3.5 D of flutes, shank no thinner
      // than the cutter. Common practice, no source.
      expect(c.fluteLengthMm / c.diameterMm).toBeGreaterThanOrEqual(2);
      expect(c.fluteLengthMm / c.diameterMm).toBeLessThanOrEqual(3.5);
      expect(c.shankDiameterMm).toBeGreaterThanOrEqual(c.diameterMm);
      // Edge radius of ground carbide: uncoated 3-6 um, PVD coated 5-12 um, from memory.
      expect(c.edgeRadiusMm).toBeGreaterThanOrEqual(0.003);
      expect(c.edgeRadiusMm).toBeLessThanOrEqual(0.012);
    }
  });

  it('leaves room between rubbing and the cap in 42CrMo4 for every coated cutter', () => {
    const steel = findMaterial('42CrMo4-annealed');
    for (const c of listCutters().filter((row) => /PVD/.test(row.source))) {
      expect(chipFloorMm(c, steel), c.id).toBeLessThan(chipCapMm(steel, c));
    }
  });

  it('an unknown cutter names the nearest', () => {
    expect(findCutter('carbide-3mm-3fl').flutes).toBe(3);
    expect(() => findCutter('carbide 3mm 5fl')).toThrow(UnknownNameError);
    expect(() => findCutter('carbide 3mm 5fl')).toThrow(/carbide-3mm-/);
  });
});

describe('completing a cutter', () => {
  it('fills in shank, helix and edge from the row of the same size and flutes', () => {
    const { cutter, assumed, assumedFrom } = completeCutter({
      diameterMm: 3,
      flutes: 3,
      material: 'carbide',
      stickOutMm: 12,
      fluteLengthMm: 8,
    });
    expect(assumedFrom).toBe('carbide-3mm-3fl');
    expect(assumed).toEqual(['shankDiameterMm', 'helixDeg', 'edgeRadiusMm']);
    expect(cutter).toMatchObject({ shankDiameterMm: 3, helixDeg: 35, edgeRadiusMm: 0.0075 });
  });

  it('property: whatever is given is kept, and the result is sound', () => {
    const maybe = <T>(arb: fc.Arbitrary<T>) => fc.option(arb, { nil: undefined });
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 12, noNaN: true }),
        maybe(fc.integer({ min: 1, max: 6 })),
        maybe(fc.double({ min: 15, max: 40, noNaN: true })),
        maybe(fc.double({ min: 2, max: 15, noNaN: true })),
        (diameterMm, flutes, stickOutMm, fluteLengthMm) => {
          const given = Object.fromEntries(
            Object.entries({ diameterMm, flutes, stickOutMm, fluteLengthMm }).filter(
              ([, value]) => value !== undefined,
            ),
          ) as { diameterMm: number };
          const { cutter, assumed } = completeCutter(given);
          expect(cutter).toMatchObject(given);
          expect(cutterFaults(cutter)).toEqual([]);
          expect(assumed.length + Object.keys(given).length).toBe(8);
        },
      ),
    );
  });
});

test('faults name figure, value and fix', () => {
  const sound = findCutter('carbide-3mm-3fl');
  expect(cutterFaults({ ...sound, stickOutMm: 5 })).toEqual([
    {
      key: 'stickOutMm',
      value: 5,
      rule: 'is shorter than the flutes, 8 mm: the collet would grip the edges',
      fix: 'let the cutter stick out at least 8 mm',
    },
  ]);
  expect(cutterFaults({ ...sound, flutes: 2.5 })[0]?.rule).toBe('is not a whole number');
  expect(cutterFaults({ ...sound, diameterMm: NaN })[0]?.key).toBe('diameterMm');
  expect(cutterFaults({ ...sound, edgeRadiusMm: 7.5 })[0]?.rule).toMatch(/0.0005 and 0.05 mm/);
});

test('a neck over short flutes reaches as deep as usual flutes would', () => {
  const of = (given: object) => completeCutter({ diameterMm: 3, ...given }).cutter.stickOutMm;
  expect(of({ fluteLengthMm: 3, neckDiameterMm: 2.8 })).toBe(of({}));
  expect(of({ fluteLengthMm: 9, neckDiameterMm: 2.8 })).toBe(of({ fluteLengthMm: 9 }));
  expect(of({ fluteLengthMm: 3 })).toBe(of({}) - 5);
});
