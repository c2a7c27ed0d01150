import { Refusal, type RefusalCode } from '../../src/model/refusal.js';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { ArcEdge, Edge } from '../../src/model/edges.js';
import { CHAINS, findChain, knownFigureMm } from '../../src/profile/chain/chains.js';
import { makeDistanceField } from '../../src/profile/geometry/distance-field.js';
import { edgeRadius, pointAt, tangentAt } from '../../src/profile/geometry/edge.js';

import { loopBounds, signedArea, validateLoop } from '../../src/profile/geometry/loop.js';
import { offsetLoop } from '../../src/profile/geometry/offset.js';
import { type SprocketSpec, sprocketProfile } from '../../src/profile/wheel/sprocket.js';
import { TANGENT_TOL_RAD } from '../../src/maths/tolerance.js';
import { TOOTH_FORMS, type ToothForm } from '../../src/model/job.js';
import { clipperOffsetAreas } from './clipper-oracle.js';
import { LONG, runs } from '../cam/oracle/runs.js';

const BASE: SprocketSpec = {
  pitchMm: 12.7,
  rollerDiameterMm: 7.77,
  innerWidthMm: 6.35,
  teeth: 12,
  toothForm: 'iso606-mid',
  tipRoundingMm: 0.2,
  flankReliefMm: 0,
  tipDiameterMm: null,
  thicknessMm: null,
};

function specFor(name: string, teeth: number, toothForm: ToothForm): SprocketSpec {
  const chain = findChain(name);
  const pitchMm = knownFigureMm(chain, 'pitchMm');
  return {
    ...BASE,
    pitchMm,
    rollerDiameterMm: knownFigureMm(chain, 'rollerDiameterMm'),
    innerWidthMm: knownFigureMm(chain, 'innerWidthMm'),
    teeth,
    toothForm,
    tipRoundingMm: 0.016 * pitchMm,
  };
}

function turnAt(first: Edge, second: Edge): number {
  const t = tangentAt(first, 1);
  const u = tangentAt(second, 0);
  return Math.atan2(t[0] * u[1] - t[1] * u[0], t[0] * u[0] + t[1] * u[1]);
}

function refusal(spec: SprocketSpec): Refusal {
  try {
    sprocketProfile(spec);
  } catch (e) {
    if (e instanceof Refusal) return e;
    throw e;
  }
  throw new Error('spec was accepted');
}

/** Six at night. */
const SIX = LONG ? ['25', '219', '06B', '420', '08B', '20A'] : ['420'];

describe.each(TOOTH_FORMS)('%s', (form) => {
  test('6 to 150 teeth, six chains: sound closed loops, figures as asked, all joints tangent', () => {
    let made = 0;
    for (const name of SIX) {
      // Every count up to 20, beyond that one in eleven: npm run nightly takes them all.
      for (let teeth = 6; teeth <= 150; teeth += LONG || teeth < 20 ? 1 : 11) {
        const spec = specFor(name, teeth, form);
        const s = sprocketProfile(spec);
        validateLoop(s.outline);
        expect(s.outline).toHaveLength(s.gap.length * teeth);
        s.gap.forEach((edge, i) => expect(s.outline[i]).toEqual(edge));
        const label = `${name} ${teeth}`;
        let worstTurn = 0;
        let least = Infinity;
        let tightest = Infinity;
        for (let i = 0; i < s.outline.length; i++) {
          const edge = s.outline[i] as Edge;
          const next = s.outline[(i + 1) % s.outline.length] as Edge;
          worstTurn = Math.max(worstTurn, Math.abs(turnAt(edge, next)));
          if (edge.kind === 'arc' && !edge.ccw) tightest = Math.min(tightest, edgeRadius(edge));
          const mid = pointAt(edge, 0.5);
          least = Math.min(least, Math.hypot(mid[0], mid[1]));
        }
        expect(worstTurn, label).toBeLessThan(TANGENT_TOL_RAD);
        expect(tightest, label).toBeCloseTo(s.seatRadiusMm, 9);
        expect(2 * least, label).toBeCloseTo(s.rootDiameterMm, 9);
        const box = loopBounds(s.gap);
        expect(Math.hypot(s.gap[0]?.a[0] as number, s.gap[0]?.a[1] as number)).toBeCloseTo(
          s.tipDiameterMm / 2,
          9,
        );
        // Symmetric about +X.
        expect(box.minY).toBeCloseTo(-box.maxY, 9);
        expect(signedArea(s.outline), label).toBeLessThan((Math.PI * s.tipDiameterMm ** 2) / 4);
        expect(signedArea(s.outline), label).toBeGreaterThan((Math.PI * s.rootDiameterMm ** 2) / 4);
        expect(s.tipLandMm, label).toBeGreaterThan(0.01 * spec.pitchMm);
        expect(s.tipDiameterMm, label).toBeLessThanOrEqual(s.tipLimitsMm.max);
        if (s.tipDiameterMm < s.tipLimitsMm.min) {
          expect(s.notes.map((n) => n.code)).toContain('tip-outside-limits');
        }
        expect(s.notes.some((n) => n.code === 'few-teeth')).toBe(teeth < 9);
        made++;
      }
    }
    expect(made).toBe(SIX.length * (LONG ? 145 : 14 + Math.ceil(131 / 11)));
  });

  // Physical oracle: the chain itself. A roller seated on the pitch circle touches the root and
  // nothing else; as the strand leaves, it swings about the next seated roller (radius = pitch) and
  // must find its way out of the gap without meeting metal.
  test('the roller seats on the root and swings out of the gap clear of the tooth', () => {
    for (const name of LONG ? ['25', '219', '420', '08B'] : ['219', '08B']) {
      for (const teeth of [6, 9, 12, 17, 40, 120]) {
        const spec = specFor(name, teeth, form);
        const s = sprocketProfile(spec);
        const field = makeDistanceField(s.outline);
        const r = spec.rollerDiameterMm / 2;
        const label = `${name} ${teeth}`;
        const pitchRadius = s.pitchDiameterMm / 2;
        expect(field(pitchRadius, 0), label).toBeCloseTo(r, 9);
        const nextAngle = (2 * Math.PI) / teeth;
        const nx = pitchRadius * Math.cos(nextAngle);
        const ny = pitchRadius * Math.sin(nextAngle);
        const from = Math.atan2(-ny, pitchRadius - nx);
        let closest = Infinity;
        for (let swing = 0; swing <= 1.6; swing += 0.01) {
          const x = nx + spec.pitchMm * Math.cos(from + swing);
          const y = ny + spec.pitchMm * Math.sin(from + swing);
          closest = Math.min(closest, field(x, y) - r);
        }
        const fouls = s.notes.find((n) => n.code === 'roller-fouls-flank');
        if (fouls) {
          // Only the minimum ISO form with 6 teeth, well under the standard's 9, closes so far in.
          expect(`${form} ${teeth}`).toBe('iso606-min 6');
          expect(Math.abs(closest + (fouls.value as number))).toBeLessThan(1e-3);
        } else expect(closest, label).toBeGreaterThan(-1e-9);
      }
    }
  });

  test('offset by a cutter that fits: every point at that distance from the outline', () => {
    const offsets = [
      ['420', 12, 1.5],
      ['08B', 25, 3],
      ['420', 12, 0.05],
      ['219', 80, 1],
    ] as const;
    for (const [name, teeth, d] of LONG ? offsets : offsets.slice(0, 2)) {
      const s = sprocketProfile(specFor(name, teeth, form));
      const field = makeDistanceField(s.outline);
      const off = offsetLoop(s.outline, d);
      validateLoop(off);
      let worst = 0;
      for (const edge of off) {
        for (const t of [0.1, 0.37, 0.5, 0.82]) {
          const p = pointAt(edge, t);
          worst = Math.max(worst, Math.abs(field(p[0], p[1]) - d));
        }
      }
      expect(worst, `${name} ${teeth} ${d}`).toBeLessThan(1e-9);
      const back = offsetLoop(off, -d);
      expect(signedArea(back)).toBeCloseTo(signedArea(s.outline), 7);
      // Of more teeth the same by night.
      if (!LONG && teeth > 12) continue;
      const areas = clipperOffsetAreas(s.outline, d, 1e-4);
      expect(areas).toHaveLength(1);
      // Chords within 1e-4 mm on the boundary, source and result.
      expect(Math.abs((areas[0] as number) - signedArea(off)) / signedArea(off)).toBeLessThan(2e-5);
    }
  });

  test('a cutter larger than the seat is refused with the seat radius as the limit', () => {
    const s = sprocketProfile({ ...BASE, toothForm: form });
    expect(() => offsetLoop(s.outline, s.seatRadiusMm * 1.01)).toThrowError(
      expect.objectContaining({ code: 'offset-radius' }) as Refusal,
    );
    validateLoop(offsetLoop(s.outline, s.seatRadiusMm * 0.5));
  });
});

describe('what tells the forms apart', () => {
  test('minimum form leaves most metal, maximum form least, mean between', () => {
    for (const name of ['219', '420', '08B', '16B']) {
      for (const teeth of [9, 17, 40, 114]) {
        // The same tip for all, one that even the slimmest tooth reaches.
        const tipDiameterMm = sprocketProfile(specFor(name, teeth, 'iso606-max')).tipDiameterMm;
        const [low, mid, high] = (['iso606-min', 'iso606-mid', 'iso606-max'] as const).map((f) =>
          signedArea(sprocketProfile({ ...specFor(name, teeth, f), tipDiameterMm }).outline),
        );
        expect(low).toBeGreaterThan(mid as number);
        expect(mid).toBeGreaterThan(high as number);
      }
    }
  });

  test('link-sweep: roller touches the flank all the way to the tip', () => {
    const s = sprocketProfile({ ...BASE, toothForm: 'link-sweep', tipRoundingMm: 0 });
    const r = BASE.rollerDiameterMm / 2;
    const half = s.pitchDiameterMm / 2;
    const c = [half * Math.cos(Math.PI / 6), half * Math.sin(Math.PI / 6)] as const;
    const flank = s.gap.find((e): e is ArcEdge => e.kind === 'arc' && e.ccw && e.a[1] > 0);
    if (!flank) throw new Error('no flank');
    expect(edgeRadius(flank)).toBeCloseTo(BASE.pitchMm - r, 10);
    expect(flank.c[0]).toBeCloseTo(c[0], 10);
    expect(flank.c[1]).toBeCloseTo(c[1], 10);
  });

  test('link-sweep relief: nothing at the seat, the figure asked for at the tip, growing between', () => {
    for (const teeth of [9, 12, 30, 90]) {
      for (const flankReliefMm of [0.02, 0.1, 0.25]) {
        const spec: SprocketSpec = {
          ...BASE,
          teeth,
          toothForm: 'link-sweep',
          tipRoundingMm: 0,
          flankReliefMm,
        };
        const s = sprocketProfile(spec);
        validateLoop(s.outline);
        const radius = s.pitchDiameterMm / 2;
        const angle = (2 * Math.PI) / teeth;
        const next = [radius * Math.cos(angle), radius * Math.sin(angle)] as const;
        const swept = spec.pitchMm - spec.rollerDiameterMm / 2;
        const flank = s.gap.find((e) => e.kind === 'arc' && e.ccw && e.a[1] > 0) as Edge;
        const opened = (t: number): number => {
          const p = pointAt(flank, t);
          return swept - Math.hypot(p[0] - next[0], p[1] - next[1]);
        };
        expect(opened(0)).toBeCloseTo(0, 9);
        expect(opened(1)).toBeCloseTo(flankReliefMm, 9);
        for (let t = 0.1; t < 1; t += 0.1) {
          expect(opened(t)).toBeGreaterThan(opened(t - 0.1));
          // Progressive: less than its share of the way.
          expect(opened(t)).toBeLessThan(t * flankReliefMm + 1e-9);
        }
        const seat = s.gap.find((e) => e.kind === 'arc' && !e.ccw) as Edge;
        expect(Math.abs(turnAt(seat, flank))).toBeLessThan(TANGENT_TOL_RAD);
      }
    }
  });

  test('tip rounding has the radius asked for, wherever the flank it meets', () => {
    for (const form of TOOTH_FORMS) {
      for (const tipRoundingMm of [0.05, 0.2, 0.4]) {
        for (const teeth of [9, 30, 60, 61, 62, 90]) {
          const s = sprocketProfile({ ...BASE, teeth, toothForm: form, tipRoundingMm });
          const fillet = s.gap[s.gap.length - 2] as Edge;
          expect(edgeRadius(fillet)).toBeCloseTo(tipRoundingMm, 5);
        }
      }
    }
  });
});

describe('thickness and notes', () => {
  test('standard thickness, and what is said about another', () => {
    // ISO 606 5.6.2: 0.93 b1 to 12.7 mm pitch.
    expect(sprocketProfile(BASE).thicknessMm).toBeCloseTo(0.93 * 6.35, 12);
    const codes = (spec: Partial<SprocketSpec>): string[] =>
      sprocketProfile({ ...BASE, ...spec }).notes.map((n) => n.code);
    expect(codes({})).toEqual([]);
    expect(codes({ thicknessMm: 6.2 })).toEqual(['thick-teeth']);
    expect(codes({ thicknessMm: 4 })).toEqual([]);
    expect(codes({ teeth: 8 })).toEqual(['few-teeth']);
    expect(codes({ tipDiameterMm: 58.5, toothForm: 'link-sweep' })).toContain('tip-outside-limits');
    expect(codes({ tipDiameterMm: 50.5 })).toContain('tip-outside-limits');
    expect(codes({ toothForm: 'iso606-max' })).toContain('tip-reduced');
    expect(codes({ toothForm: 'iso606-max', tipDiameterMm: 54.2 })).toContain('thin-tip');
  });

  test('input is not mutated and the result is the same every time', () => {
    const before = JSON.stringify(BASE);
    const first = JSON.stringify(sprocketProfile(BASE));
    expect(JSON.stringify(sprocketProfile(BASE))).toBe(first);
    expect(JSON.stringify(BASE)).toBe(before);
  });
});

describe('refusals name the rule', () => {
  const cases: [string, Partial<SprocketSpec>, RefusalCode, RegExp][] = [
    ['5 teeth', { teeth: 5 }, 'teeth-range', /6 to 150/],
    ['151 teeth', { teeth: 151 }, 'teeth-range', /6 to 150/],
    ['12.5 teeth', { teeth: 12.5 }, 'teeth-range', /whole number/],
    ['roller as large as the pitch', { rollerDiameterMm: 12.7 }, 'roller-too-big', /pitch 12\.7/],
    ['roller that fills the gap', { rollerDiameterMm: 12.6 }, 'roller-fills-gap', /no tooth/],
    ['tooth thicker than between plates', { thicknessMm: 6.4 }, 'thickness-too-big', /plates/],
    ['tip inside the pitch circle', { tipDiameterMm: 45 }, 'tip-too-small', /pitch circle/],
    ['tip beyond the point', { tipDiameterMm: 70 }, 'tip-beyond-point', /meet at/],
    ['rounding that eats the tip', { tipRoundingMm: 3 }, 'tip-rounding-too-big', /rounding 3 mm/],
    ['relief on a standard form', { flankReliefMm: 0.1 }, 'relief-not-for-form', /link-sweep/],
    [
      'relief that eats the tooth',
      { toothForm: 'link-sweep', flankReliefMm: 4 },
      'relief-too-big',
      /leaves no/,
    ],
    ['no width', { innerWidthMm: 0 }, 'spec-not-positive', /inner width/],
    ['negative rounding', { tipRoundingMm: -1 }, 'spec-not-positive', /tip rounding/],
    ['NaN pitch', { pitchMm: NaN }, 'spec-not-positive', /pitch/],
  ];
  test.each(cases)('%s', (_, change, code, text) => {
    const e = refusal({ ...BASE, ...change });
    expect(e.code).toBe(code);
    expect(e.message).toMatch(text);
  });
});

test('any spec gives a sound loop or a typed refusal', () => {
  let made = 0;
  const refused = new Map<string, number>();
  fc.assert(
    fc.property(
      fc.record({
        pitchMm: fc.integer({ min: 4000, max: 40_000 }).map((n) => n / 1e3),
        ratio: fc.integer({ min: 300, max: 1020 }).map((n) => n / 1e3),
        // Small wheels more often than large ones, as people cut them.
        teeth: fc.oneof(
          { weight: 3, arbitrary: fc.integer({ min: 4, max: 30 }) },
          { weight: 1, arbitrary: fc.integer({ min: 31, max: 152 }) },
        ),
        toothForm: fc.constantFrom(...TOOTH_FORMS),
        rounding: fc.integer({ min: 0, max: 60 }).map((n) => n / 1e3),
        relief: fc.integer({ min: 0, max: 50 }).map((n) => n / 1e3),
        tip: fc.option(fc.integer({ min: -50, max: 600 }).map((n) => n / 1e3)),
      }),
      ({ pitchMm, ratio, teeth, toothForm, rounding, relief, tip }) => {
        const pd = pitchMm / Math.sin(Math.PI / teeth);
        try {
          const s = sprocketProfile({
            pitchMm,
            rollerDiameterMm: ratio * pitchMm,
            innerWidthMm: pitchMm / 2,
            teeth,
            toothForm,
            tipRoundingMm: rounding * pitchMm,
            flankReliefMm: toothForm === 'link-sweep' ? relief * pitchMm : 0,
            tipDiameterMm: tip === null ? null : pd + tip * pitchMm,
            thicknessMm: null,
          });
          validateLoop(s.outline);
          validateLoop(offsetLoop(s.outline, 0.2 * s.seatRadiusMm));
          expect(signedArea(s.outline)).toBeGreaterThan(0);
          made++;
        } catch (e) {
          if (!(e instanceof Refusal)) throw e;
          refused.set(e.code, (refused.get(e.code) ?? 0) + 1);
        }
      },
    ),
    { numRuns: Math.max(375, runs(1500)) },
  );
  expect(made).toBeGreaterThan(runs(300));
  // Refusals of the spec only: no sound outline may fail its checks or a small offset.
  expect([...refused.keys()].sort()).toEqual([
    'no-tooth',
    'relief-too-big',
    'roller-fills-gap',
    'roller-too-big',
    'teeth-range',
    'tip-beyond-point',
    'tip-rounding-too-big',
    'tip-too-small',
  ]);
});

test('every chain of the table makes a wheel in every form', () => {
  const numbers = [9, 13, 38];
  CHAINS.forEach(({ designation }, i) => {
    for (const form of LONG ? TOOTH_FORMS : [TOOTH_FORMS[i % TOOTH_FORMS.length]!]) {
      for (const teeth of LONG ? numbers : [numbers[i % 3]!]) {
        validateLoop(sprocketProfile(specFor(designation, teeth, form)).outline);
      }
    }
  });
});
