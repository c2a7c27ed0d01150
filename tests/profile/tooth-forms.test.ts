import { describe, expect, test } from 'vitest';
import { CHAINS, findChain, knownFigureMm } from '../../src/profile/chain/chains.js';
import { MM_PER_INCH, isoTipLimits, pitchDiameterMm } from '../../src/profile/standard/limits.js';
import { asmeTooth, asmeToothGap } from '../../src/profile/tooth/asme-b291.js';
import { iso606Gap, iso606ToothGap } from '../../src/profile/tooth/iso606.js';
import { linkSweepToothGap } from '../../src/profile/tooth/link-sweep.js';
import { ORACLES } from './oracle-data.js';

const DEG = 180 / Math.PI;

describe('ISO 606 gap', () => {
  const o = ORACLES.iso08B17 as Record<string, number>;
  test(`08B, 17 teeth: radii, angles and pointed diameters, ${String(o['source'])}`, () => {
    const low = iso606Gap('min', 8.51, 17);
    const high = iso606Gap('max', 8.51, 17);
    expect(low.seatRadiusMm).toBeCloseTo(o['riMin'] as number, 3);
    expect(high.seatRadiusMm).toBeCloseTo(o['riMax'] as number, 3);
    expect(low.flankRadiusMm).toBeCloseTo(o['reMin'] as number, 3);
    expect(high.flankRadiusMm).toBeCloseTo(o['reMax'] as number, 3);
    expect(low.seatAngleRad * DEG).toBeCloseTo(o['alphaMinFormDeg'] as number, 3);
    expect(high.seatAngleRad * DEG).toBeCloseTo(o['alphaMaxFormDeg'] as number, 3);
    const input = { pitchMm: 12.7, rollerDiameterMm: 8.51, teeth: 17, flankReliefMm: 0 };
    const point = (form: 'min' | 'max'): number => 2 * iso606ToothGap(form, input).pointedRadiusMm;
    expect(point('min')).toBeCloseTo(o['pointedMinForm'] as number, 2);
    expect(point('max')).toBeCloseTo(o['pointedMaxForm'] as number, 2);
  });

  // Known of the standard for pitches 7.774 to 12.7 and 9 to 80 teeth (computed, no source): flanks of
  // the minimum form meet 0.3 to 3 mm above da max, those of the maximum form above da min and
  // below da max.
  test('flanks meet above the tip limits that the form is for', () => {
    let cases = 0;
    for (const name of ['219', '06B', '08B', '420']) {
      const chain = findChain(name);
      const pitchMm = knownFigureMm(chain, 'pitchMm');
      const rollerDiameterMm = knownFigureMm(chain, 'rollerDiameterMm');
      for (const teeth of [9, 12, 17, 25, 40, 80]) {
        const input = { pitchMm, rollerDiameterMm, teeth, flankReliefMm: 0 };
        const limits = isoTipLimits(pitchMm, rollerDiameterMm, teeth);
        const low = 2 * iso606ToothGap('min', input).pointedRadiusMm;
        const high = 2 * iso606ToothGap('max', input).pointedRadiusMm;
        const mid = 2 * iso606ToothGap('mid', input).pointedRadiusMm;
        expect(low, `${name} ${teeth}`).toBeGreaterThan(limits.maxMm);
        expect(high, `${name} ${teeth}`).toBeGreaterThan(limits.minMm);
        expect(high, `${name} ${teeth}`).toBeLessThan(limits.maxMm);
        expect(mid).toBeGreaterThan(high);
        expect(mid).toBeLessThan(low);
        cases++;
      }
    }
    expect(cases).toBe(24);
  });
});

describe('ASME B29.1 tooth', () => {
  const w = ORACLES.workedTooth;
  test(`all quantities of the worked tooth, ${w.source}`, () => {
    const { pitchIn, n, rollerIn } = w.inputs;
    const tooth = asmeTooth(pitchIn * MM_PER_INCH, rollerIn * MM_PER_INCH, n);
    let checked = 0;
    for (const [key, expected] of Object.entries(w.expected)) {
      const value = key.startsWith('angle')
        ? tooth[key === 'angleADeg' ? 'angleA' : 'angleB'] * DEG
        : tooth[key as keyof typeof tooth] / MM_PER_INCH;
      // The table prints four decimals; half of the last one more covers its own rounding.
      expect(Math.abs(value - expected), key).toBeLessThanOrEqual(w.tolerance);
      checked++;
    }
    expect(checked).toBe(17);
  });

  // Independent of the construction: the curves, placed as edges, meet end to end with the printed
  // chord, straight length and radii.
  test('edges have the standard figures as lengths', () => {
    for (const chain of CHAINS) {
      const pitchMm = knownFigureMm(chain, 'pitchMm');
      const rollerDiameterMm = knownFigureMm(chain, 'rollerDiameterMm');
      for (const teeth of [6, 9, 17, 28, 60, 150]) {
        const t = asmeTooth(pitchMm, rollerDiameterMm, teeth);
        const gap = asmeToothGap({ pitchMm, rollerDiameterMm, teeth, flankReliefMm: 0 });
        const [seat, working, straight, topping] = gap.half(0);
        const gapLength = (e: { a: readonly number[]; b: readonly number[] }): number =>
          Math.hypot(
            (e.b[0] as number) - (e.a[0] as number),
            (e.b[1] as number) - (e.a[1] as number),
          );
        if (!seat || !working || !straight || topping?.kind !== 'arc') throw new Error('shape');
        expect(gapLength(working)).toBeCloseTo(t.xy, 9);
        expect(gapLength(straight)).toBeCloseTo(t.yz, 9);
        expect(Math.hypot(topping.a[0] - topping.c[0], topping.a[1] - topping.c[1])).toBeCloseTo(
          t.f,
          9,
        );
      }
    }
  });

  test('pointed diameter of the JIS form', () => {
    // Tsubaki (JIS S form): pa cot(180/N) + 2 H, pa = P (1 + (Ds - Dr) / PD), H with pa / 2.
    for (const [pitchMm, dr] of [
      [25.4, 15.875],
      [12.7, 7.92],
      [12.7, 7.77],
      [7.774, 4.59],
    ] as const) {
      for (let teeth = 6; teeth <= 150; teeth++) {
        const t = asmeTooth(pitchMm, dr, teeth);
        const pa = pitchMm * (1 + (t.ds - dr) / t.pd);
        const h = Math.sqrt(t.f ** 2 - (t.ab - pa / 2) ** 2);
        const gap = asmeToothGap({
          pitchMm,
          rollerDiameterMm: dr,
          teeth,
          flankReliefMm: 0,
        });
        const jis = pa / Math.tan(Math.PI / teeth) + 2 * h;
        expect(Math.abs(2 * gap.pointedRadiusMm - jis)).toBeLessThan(1e-9 * jis);
      }
    }
  });
});

test('height of the point of the worked tooth: 0.3481 with pa, where the handbook has 0.3477', () => {
  // Equations for the design of standard sprocket teeth (scribd.com/document/370084058) prints
  // 0.3477 with half the pitch; the JIS form (Tsubaki) gives 0.3481.
  const dr = 0.625 * MM_PER_INCH;
  const gap = asmeToothGap({
    pitchMm: MM_PER_INCH,
    rollerDiameterMm: dr,
    teeth: 28,
    flankReliefMm: 0,
  });
  const t = asmeTooth(MM_PER_INCH, dr, 28);
  const pa = MM_PER_INCH * (1 + (t.ds - dr) / t.pd);
  const h = gap.pointedRadiusMm - pa / 2 / Math.tan(Math.PI / 28);
  expect(Math.abs(h / MM_PER_INCH - 0.3481)).toBeLessThan(1e-4);
});

describe('link-sweep gap', () => {
  test('pointed where the swept arcs of the two neighbours cross over the middle of the link', () => {
    for (const teeth of [6, 12, 17, 60, 150]) {
      const input = { pitchMm: 12.7, rollerDiameterMm: 7.77, teeth, flankReliefMm: 0 };
      const r = 7.77 / 2;
      const height = Math.sqrt((12.7 - r) ** 2 - (12.7 / 2) ** 2);
      const chordAt = (pitchDiameterMm(12.7, teeth) / 2) * Math.cos(Math.PI / teeth);
      expect(linkSweepToothGap(input).pointedRadiusMm).toBeCloseTo(chordAt + height, 9);
    }
  });
});
