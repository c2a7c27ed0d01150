import { describe, expect, test } from 'vitest';
import { findChain, knownFigureMm } from '../../src/profile/chain/chains.js';
import {
  asmeHubLimitMm,
  asmeToothWidthMm,
  asmeTurnedDiameterMm,
  axialRunoutLimitMm,
  caliperDiameterMm,
  caliperToleranceMm,
  isoHubLimitMm,
  isoSideRelief,
  isoTipLimits,
  isoToothWidthMm,
  overPinsMm,
  pitchDiameterMm,
  radialRunoutLimitMm,
  rootToleranceMm,
  rootDiameterMm,
} from '../../src/profile/standard/limits.js';
import { MM_PER_INCH } from '../../src/text/units.js';
import { ORACLES } from './oracle-data.js';

const inch = (mm: number): number => mm / MM_PER_INCH;
const mm = (inches: number): number => inches * MM_PER_INCH;

describe('pitch diameters against printed tables', () => {
  const a = ORACLES.unitPitchDiameter;
  test(`unit pitch, ${a.source}`, () => {
    for (const { z, d } of a.rows) {
      expect(Math.abs(pitchDiameterMm(1, z) - d), `z ${z}`).toBeLessThanOrEqual(a.tolerance);
      // Printed to three decimals; z = 21 (6.70955) is printed cut off rather than rounded.
      expect(Math.abs(pitchDiameterMm(1, z) - d), `z ${z}, printed digit`).toBeLessThan(0.00056);
    }
    expect(a.rows).toHaveLength(30);
  });

  const b = ORACLES.pitchDiameter25_4;
  test(`25.4 mm pitch, ${b.source}`, () => {
    for (const { z, dMm } of b.rows) {
      expect(Math.abs(pitchDiameterMm(25.4, z) - dMm), `z ${z}`).toBeLessThanOrEqual(b.toleranceMm);
    }
    expect(b.rows).toHaveLength(49);
  });

  // Course notebook, roller chain example (printed output): 35 and 70 teeth, 1 in pitch.
  // https://github.com/joshuaRiefman/mech325
  test('35 and 70 teeth, 1 in pitch', () => {
    expect(Math.abs(pitchDiameterMm(1, 35) - 11.16)).toBeLessThan(0.006);
    expect(Math.abs(pitchDiameterMm(1, 70) - 22.29)).toBeLessThan(0.006);
  });
});

describe('catalogue wheels', () => {
  const c = ORACLES.catalogueMecha;
  test(`pitch diameter and tip inside the ISO limits, ${c.source}`, () => {
    for (const row of c.rows) {
      const chain = findChain(row.chain);
      const p = knownFigureMm(chain, 'pitchMm');
      const d1 = knownFigureMm(chain, 'rollerDiameterMm');
      expect(Math.abs(pitchDiameterMm(p, row.z) - row.dpMm), row.source).toBeLessThanOrEqual(
        c.toleranceMm,
      );
      const tip = isoTipLimits(p, d1, row.z);
      expect(row.deMm, row.source).toBeGreaterThanOrEqual(tip.minMm);
      expect(row.deMm, row.source).toBeLessThanOrEqual(tip.maxMm);
    }
    expect(c.rows).toHaveLength(12);
  });

  const d = ORACLES.catalogue06B;
  test(`06B, ${d.source}`, () => {
    for (const row of d.rows) {
      expect(Math.abs(pitchDiameterMm(9.525, row.z) - row.dpMm)).toBeLessThanOrEqual(d.toleranceMm);
      const tip = isoTipLimits(9.525, 6.35, row.z);
      expect(row.doMm).toBeGreaterThanOrEqual(tip.minMm);
      expect(row.doMm).toBeLessThanOrEqual(tip.maxMm);
    }
    expect(d.rows).toHaveLength(13);
  });

  const h = ORACLES.kartOutsideDiameter;
  test(`kart outside diameters, ${h.source}`, () => {
    for (const row of h.rows) {
      const p = knownFigureMm(findChain(row.chain), 'pitchMm');
      const off = inch(asmeTurnedDiameterMm(p, row.n)) - row.odIn;
      expect(Math.abs(off), `${row.chain} ${row.n}`).toBeLessThanOrEqual(h.toleranceIn);
    }
    expect(h.rows).toHaveLength(10);
  });
});

describe('hub, width, caliper', () => {
  const e = ORACLES.asmeMaxHub;
  test(`largest hub, ${e.source}`, () => {
    for (const row of e.rows) {
      const off = row.hubIn - inch(asmeHubLimitMm(mm(row.pitchIn), row.n));
      expect(off, `${row.pitchIn} in, ${row.n}`).toBeGreaterThanOrEqual(e.toleranceIn[0]);
      expect(off, `${row.pitchIn} in, ${row.n}`).toBeLessThanOrEqual(e.toleranceIn[1]);
    }
    expect(e.rows).toHaveLength(16);
  });

  const f = ORACLES.asmePlateThickness;
  test(`plate thickness, ${f.source}`, () => {
    for (const row of f.rows) {
      const off = inch(asmeToothWidthMm(mm(row.widthIn))) - row.thicknessIn;
      expect(Math.abs(off), row.chain).toBeLessThanOrEqual(f.toleranceIn);
    }
    expect(f.rows).toHaveLength(9);
  });

  const g = ORACLES.caliperTolerance;
  test(`precision caliper tolerance, ${g.source}`, () => {
    for (const row of g.rows) {
      // Commercial is twice precision (ASME B29.1, amesweb.info).
      const precisionMm = caliperToleranceMm(mm(row.pitchIn), row.nFrom) / 2;
      expect(Math.abs(inch(precisionMm) - row.minusIn)).toBeLessThanOrEqual(g.toleranceIn + 1e-9);
    }
    expect(g.rows).toHaveLength(47);
  });

  const j = ORACLES.unitPitchOutsideAndCaliper;
  test(`turned outside diameter and caliper factor, ${j.source}`, () => {
    for (const row of j.rows) {
      expect(Math.abs(asmeTurnedDiameterMm(1, row.n) - row.od)).toBeLessThanOrEqual(j.toleranceOd);
      const factor = caliperDiameterMm(1, 0.625, row.n) + 0.625;
      expect(Math.abs(factor - row.caliper), `N ${row.n}`).toBeLessThanOrEqual(j.toleranceCaliper);
    }
    expect(j.rows).toHaveLength(19);
  });

  const k = ORACLES.toothWidth;
  test(`tooth width, ${k.source}`, () => {
    for (const row of k.rows) {
      const off = isoToothWidthMm(row.pitchMm, row.b1Mm) - row.bf1Mm;
      expect(Math.abs(off), row.chain).toBeLessThanOrEqual(k.toleranceMm);
    }
    expect(k.rows).toHaveLength(5);
  });
});

describe('worked examples', () => {
  for (const w of ORACLES.workedRoots) {
    test(`${w.name}, ${w.source}`, () => {
      expect(Math.abs(pitchDiameterMm(w.pitchMm, w.z) - w.dMm)).toBeLessThan(w.toleranceMm);
      expect(Math.abs(rootDiameterMm(w.pitchMm, w.rollerMm, w.z) - w.dfMm)).toBeLessThan(
        w.toleranceMm,
      );
    });
  }

  const n = ORACLES.workedNo120 as Record<string, number>;
  test(`No. 120 sprocket, 25 teeth, ${String(n['source'])}`, () => {
    const p = n['pitchMm'] as number;
    expect(Math.abs(pitchDiameterMm(p, 25) - (n['pdMm'] as number))).toBeLessThanOrEqual(
      n['pdToleranceMm'] as number,
    );
    expect(Math.abs(asmeTurnedDiameterMm(1, 25) - (n['odFactor'] as number))).toBeLessThan(0.001);
    expect(Math.abs(asmeTurnedDiameterMm(p, 25) - (n['odMm'] as number))).toBeLessThan(
      n['odToleranceMm'] as number,
    );
  });

  const o = ORACLES.iso08B17;
  test(`08B, 17 teeth, ${String(o['source'])}`, () => {
    const close = (value: number, key: string): void =>
      expect(Math.abs(value - (o[key] as number)), key).toBeLessThan(o['toleranceMm'] as number);
    close(pitchDiameterMm(12.7, 17), 'd');
    close(rootDiameterMm(12.7, 8.51, 17), 'df');
    close(isoTipLimits(12.7, 8.51, 17).minMm, 'daMin');
    close(isoTipLimits(12.7, 8.51, 17).maxMm, 'daMax');
    close(isoToothWidthMm(12.7, 7.75), 'bf1');
    close(isoHubLimitMm(12.7, 17, 11.81), 'dg');
    close(overPinsMm(12.7, 17, 8.51), 'mr');
  });
});

describe('rules that hang together', () => {
  test('over pins less two pin radii each side is the caliper diameter', () => {
    for (const z of [6, 9, 12, 17, 40, 91]) {
      expect(overPinsMm(12.7, z, 8.51) - 2 * 8.51).toBeCloseTo(
        caliperDiameterMm(12.7, 8.51, z),
        12,
      );
      // Even: pins opposite each other. Odd: centres of two gaps (z - 1) / 2 pitches apart, by the
      // chord 2 R sin(half the angle between them).
      const steps = Math.floor(z / 2);
      const chord = pitchDiameterMm(12.7, z) * Math.sin((steps * Math.PI) / z);
      expect(overPinsMm(12.7, z, 8.51)).toBeCloseTo(chord + 8.51, 10);
    }
  });

  test('ISO tooth height and ISO tip limits agree through the pitch polygon', () => {
    // da = 2 ha + p cot(180/z); at 12.7 mm pitch the two clauses agree within 0.01 mm at 17 teeth
    // and more; the limits are rounded rules, not the same formula.
    // Height of the tooth over the polygon: min (p - d1) / 2, max 0.625 p - d1 / 2 + 0.8 p / z
    // (ISO 606:2015 5.5.2, from memory).
    for (const z of [17, 25, 40, 76]) {
      const ha = {
        minMm: 0.5 * (12.7 - 8.51),
        maxMm: 0.625 * 12.7 - 0.5 * 8.51 + (0.8 * 12.7) / z,
      };
      const polygon = 12.7 / Math.tan(Math.PI / z);
      const tip = isoTipLimits(12.7, 8.51, z);
      expect(Math.abs(polygon + 2 * ha.maxMm - tip.maxMm)).toBeLessThan(0.02);
      expect(Math.abs(polygon + 2 * ha.minMm - tip.minMm)).toBeLessThan(1.25);
    }
  });

  test('tolerances step where the standard says', () => {
    expect(rootToleranceMm(127)).toBe(0.25);
    expect(rootToleranceMm(127.01)).toBe(0.3);
    expect(rootToleranceMm(250.5)).toBe(0.32);
    expect(() => rootToleranceMm(5000)).toThrow(/h11/);
    // 0.0008 x 100 + 0.08 and 0.0009 x 100 + 0.08; ceilings 0.76 and 1.14.
    expect(radialRunoutLimitMm(100)).toBeCloseTo(0.16, 12);
    expect(axialRunoutLimitMm(100)).toBeCloseTo(0.17, 12);
    expect(radialRunoutLimitMm(2000)).toBe(0.76);
    expect(axialRunoutLimitMm(2000)).toBe(1.14);
  });

  test('side relief: narrow 12.7 mm chains 0.06 p, the rest 0.13 p; circle through both ends', () => {
    expect(isoSideRelief(12.7, 3.3).reliefMm).toBeCloseTo(0.06 * 12.7, 12);
    expect(isoSideRelief(12.7, 6.25).reliefMm).toBeCloseTo(0.06 * 12.7, 12);
    expect(isoSideRelief(12.7, 7.75).reliefMm).toBeCloseTo(0.13 * 12.7, 12);
    expect(isoSideRelief(9.525, 4.68).reliefMm).toBeCloseTo(0.13 * 9.525, 12);
    const s = isoSideRelief(15.875, 9.65);
    expect(Math.hypot(s.depthMm, s.radiusMm - s.reliefMm)).toBeCloseTo(s.radiusMm, 12);
  });
});
