import { describe, expect, test } from 'vitest';
import { CHAINS, findChain, knownFigureMm } from '../../src/profile/chain/chains.js';
import type { ToothForm } from '../../src/model/job.js';
import { edgeRadius, edgeSweepRad } from '../../src/profile/geometry/edge.js';
import { isoTipLimits, pitchDiameterMm } from '../../src/profile/standard/limits.js';
import { TOOTH_RULES } from '../../src/profile/tooth/forms.js';
import { MM_PER_INCH } from '../../src/text/units.js';
import { ORACLES } from './oracle-data.js';

const DEG = 180 / Math.PI;

function gapOf(toothForm: ToothForm, pitchMm: number, rollerDiameterMm: number, teeth: number) {
  const input = { pitchMm, rollerDiameterMm, teeth, flankReliefMm: 0 };
  const gap = TOOTH_RULES[toothForm].gap(input);
  return { ...gap, edges: gap.half(0) };
}

/** Figures of an ASME tooth by the standard's letters, read off its edges; mm and radians. */
function asmeTooth(pitchMm: number, rollerDiameterMm: number, teeth: number) {
  const gap = gapOf('asme-b29.1', pitchMm, rollerDiameterMm, teeth);
  const [seat, working, straight, topping] = gap.edges;
  if (seat?.kind !== 'arc' || working?.kind !== 'arc' || topping?.kind !== 'arc' || !straight) {
    throw new Error('shape');
  }
  // The page's right and up are y and x here.
  const a = seat.c;
  const length = ([x, y]: readonly number[], [u, v]: readonly number[]): number =>
    Math.hypot(x! - u!, y! - v!);
  const [m, t] = [a[1] - working.c[1], working.c[0] - a[0]];
  const [w, v] = [topping.c[1] - a[1], a[0] - topping.c[0]];
  return {
    gap,
    pd: pitchDiameterMm(pitchMm, teeth),
    ds: 2 * edgeRadius(seat),
    r: edgeRadius(seat),
    angleA: Math.atan2(t, m),
    angleB: edgeSweepRad(working),
    ac: Math.hypot(m, t),
    m,
    t,
    e: edgeRadius(working),
    xy: length(working.a, working.b),
    yz: length(straight.a, straight.b),
    ab: Math.hypot(w, v),
    w,
    v,
    f: edgeRadius(topping),
  };
}

describe('ISO 606 gap', () => {
  const o = ORACLES.iso08B17 as Record<string, number>;
  test(`08B, 17 teeth: radii, angles and pointed diameters, ${String(o['source'])}`, () => {
    for (const [form, name] of [
      ['iso606-min', 'Min'],
      ['iso606-max', 'Max'],
    ] as const) {
      const { seatRadiusMm, pointedRadiusMm, edges } = gapOf(form, 12.7, 8.51, 17);
      expect(seatRadiusMm).toBeCloseTo(o[`ri${name}`] as number, 3);
      expect(edgeRadius(edges[1]!)).toBeCloseTo(o[`re${name}`] as number, 3);
      // Half the seat spans half the seating angle.
      const alphaDeg = 2 * edgeSweepRad(edges[0]!) * DEG;
      expect(alphaDeg).toBeCloseTo(o[`alpha${name}FormDeg`] as number, 3);
      expect(2 * pointedRadiusMm).toBeCloseTo(o[`pointed${name}Form`] as number, 2);
    }
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
        const limits = isoTipLimits(pitchMm, rollerDiameterMm, teeth);
        const [low, mid, high] = (['iso606-min', 'iso606-mid', 'iso606-max'] as const).map(
          (form) => 2 * gapOf(form, pitchMm, rollerDiameterMm, teeth).pointedRadiusMm,
        ) as [number, number, number];
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
      // The point is held against its own figures below.
      if (key === 'h' || key === 's') continue;
      const value = key.startsWith('angle')
        ? tooth[key === 'angleADeg' ? 'angleA' : 'angleB'] * DEG
        : tooth[key as Exclude<keyof typeof tooth, 'gap'>] / MM_PER_INCH;
      // The table prints four decimals; half of the last one more covers its own rounding.
      expect(Math.abs(value - expected), key).toBeLessThanOrEqual(w.tolerance);
      checked++;
    }
    expect(checked).toBe(15);
  });

  test('the chord xy and the straight yz as the standard reckons them', () => {
    // xy = (2.605 Dr + 0.003 in) sin(9 - 28/N), yz = Dr (1.4 sin(17 - 64/N) - 0.8 sin(18 - 56/N)).
    for (const chain of CHAINS) {
      const pitchMm = knownFigureMm(chain, 'pitchMm');
      const dr = knownFigureMm(chain, 'rollerDiameterMm');
      for (const teeth of [6, 9, 17, 28, 60, 150]) {
        const t = asmeTooth(pitchMm, dr, teeth);
        const sin = (deg: number) => Math.sin(deg / DEG);
        const xy = (2.605 * dr + 0.003 * MM_PER_INCH) * sin(9 - 28 / teeth);
        expect(t.xy).toBeCloseTo(xy, 9);
        const yz = dr * (1.4 * sin(17 - 64 / teeth) - 0.8 * sin(18 - 56 / teeth));
        expect(t.yz).toBeCloseTo(yz, 9);
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
        const jis = pa / Math.tan(Math.PI / teeth) + 2 * h;
        expect(Math.abs(2 * t.gap.pointedRadiusMm - jis)).toBeLessThan(1e-9 * jis);
      }
    }
  });
});

test('height of the point of the worked tooth: 0.3481 with pa, where the handbook has 0.3477', () => {
  // Equations for the design of standard sprocket teeth (scribd.com/document/370084058) prints
  // 0.3477 with half the pitch; the JIS form (Tsubaki) gives 0.3481.
  const dr = 0.625 * MM_PER_INCH;
  const t = asmeTooth(MM_PER_INCH, dr, 28);
  const pa = MM_PER_INCH * (1 + (t.ds - dr) / t.pd);
  const h = t.gap.pointedRadiusMm - pa / 2 / Math.tan(Math.PI / 28);
  expect(Math.abs(h / MM_PER_INCH - 0.3481)).toBeLessThan(1e-4);
});

describe('link-sweep gap', () => {
  test('pointed where the swept arcs of the two neighbours cross over the middle of the link', () => {
    for (const teeth of [6, 12, 17, 60, 150]) {
      const r = 7.77 / 2;
      const height = Math.sqrt((12.7 - r) ** 2 - (12.7 / 2) ** 2);
      const chordAt = (pitchDiameterMm(12.7, teeth) / 2) * Math.cos(Math.PI / teeth);
      expect(gapOf('link-sweep', 12.7, 7.77, teeth).pointedRadiusMm).toBeCloseTo(
        chordAt + height,
        9,
      );
    }
  });
});
