import { describe, expect, test } from 'vitest';
import { type InspectedPart, limitsFor } from '../../src/profile/inspect/limits.js';
import { inspectPart } from '../../src/profile/inspect/inspect.js';
import { toleranceWidthMm } from '../../src/profile/standard/limits.js';
import { ORACLES } from './oracle-data.js';

/** 08B, 17 teeth. */
const PART: InspectedPart = {
  pitchMm: 12.7,
  rollerDiameterMm: 8.51,
  teeth: 17,
  rootDiameterMm: 60.606,
  toothWidthMm: 7.21,
  boreMm: 20,
  pinDiameterMm: 8.51,
};

const at = (valueMm: number) => ({ valueMm, sdMm: 0.001 });

describe('ISO 286', () => {
  // ISO 286 H7 short table and deepri.com, in micrometres; over 80 mm and h14 from memory.
  test.each([
    [14, 18, 27, 110, 430],
    [20, 21, 33, 130, 520],
    [40, 25, 39, 160, 620],
    [6, 12, 18, 75, 300],
    [6.1, 15, 22, 90, 360],
    [120, 35, 54, 220, 870],
  ])('%f mm', (d, h7, h8, h11, h14) => {
    const um = ([7, 8, 11, 14] as const).map((g) => Math.round(1000 * toleranceWidthMm(g, d)));
    expect(um).toEqual([h7, h8, h11, h14]);
  });

  test('tolerances follow the standard: i = 0.45 cbrt(D) + 0.001 D, IT7 16 i, IT8 25 i, IT11 100 i, IT14 400 i', () => {
    // ISO 286-1, from memory; D the geometric mean of the step. Rounded by the standard, so to 7 %.
    const steps = [3, 6, 10, 18, 30, 50, 80, 120, 180, 250];
    for (let k = 1; k < steps.length; k++) {
      const d = Math.sqrt(steps[k - 1]! * steps[k]!);
      const i = (0.45 * Math.cbrt(d) + 0.001 * d) / 1000;
      for (const [grade, factor] of [
        [7, 16],
        [8, 25],
        [11, 100],
        [14, 400],
      ] as const) {
        expect(Math.abs(toleranceWidthMm(grade, steps[k]!) / (factor * i) - 1)).toBeLessThan(0.07);
      }
    }
  });

  test('outside the table', () => {
    expect(() => toleranceWidthMm(8, 251)).toThrow(RangeError);
    expect(() => toleranceWidthMm(8, 0)).toThrow(RangeError);
  });
});

describe('limits', () => {
  test('over pins, 08B 17 teeth: 77.331 mm', () => {
    // MR of 08B, 17 teeth, computed for orientation beside the tables of this project, not published.
    const limits = limitsFor('overPins', PART, 'iso');
    expect(limits.nominalMm).toBeCloseTo(77.331, 3);
    expect(limits.maxMm).toBeCloseTo(limits.nominalMm, 12);
    expect(limits.maxMm - limits.minMm).toBeCloseTo(0.25, 12);
  });

  test('even and odd counts: pins opposite or next to it', () => {
    const even = { ...PART, teeth: 18 };
    const d = 12.7 / Math.sin(Math.PI / 18);
    expect(limitsFor('overPins', even, 'iso').nominalMm).toBeCloseTo(d + 8.51, 9);
    expect(limitsFor('caliperRoot', even, 'iso').nominalMm).toBeCloseTo(d - 8.51, 9);
  });

  test('ASME caliper tolerance: twice the precision figure that is printed, both to 0.001 in', () => {
    // Precision column: engineersedge.com caliper diameters; commercial is 0.006 in + 0.002 P sqrt N.
    for (const { pitchIn, nFrom, minusIn } of ORACLES.caliperTolerance.rows) {
      const part = { ...PART, pitchMm: pitchIn * 25.4, teeth: nFrom };
      const { minMm, maxMm } = limitsFor('caliperRoot', part, 'asme');
      expect(Math.abs((maxMm - minMm) / 25.4 - 2 * minusIn)).toBeLessThan(0.0025);
    }
  });

  test('runout', () => {
    // 0.0008 x 60.606 + 0.08 and 0.0009 x 60.606 + 0.08, ISO 606 5.7 and 5.8, from memory.
    expect(limitsFor('radialRunout', PART, 'iso').maxMm).toBeCloseTo(0.1285, 4);
    expect(limitsFor('axialRunout', PART, 'iso').maxMm).toBeCloseTo(0.1345, 4);
    const large = { ...PART, rootDiameterMm: 2000 };
    expect(limitsFor('radialRunout', large, 'iso').maxMm).toBe(0.76);
    expect(limitsFor('axialRunout', large, 'iso').maxMm).toBe(1.14);
    // Bottom diameter to 4 in: 0.006 in; 4 to 5: 0.008; over 9: 0.014. Ryle Sprocket.
    for (const [rootIn, tirIn] of [
      [3.9, 0.006],
      [4.5, 0.008],
      [6, 0.01],
      [8, 0.012],
      [10, 0.014],
    ] as const) {
      const part = { ...PART, rootDiameterMm: rootIn * 25.4 };
      expect(limitsFor('radialRunout', part, 'asme').maxMm / 25.4).toBeCloseTo(tirIn, 12);
    }
  });

  test('width and bore', () => {
    const width = limitsFor('toothWidth', PART, 'iso');
    expect([width.minMm, width.maxMm].map((x) => +x.toFixed(3))).toEqual([6.85, 7.21]);
    const bore = limitsFor('bore', PART, 'iso');
    expect([bore.minMm, +bore.maxMm.toFixed(3)]).toEqual([20, 20.033]);
    // Chain 40 and 41 (0.5 in): +0.006 / -0.035 in; plate bore +0.002 / 0. Ryle Sprocket.
    const inch = limitsFor('toothWidth', PART, 'asme');
    expect((inch.maxMm - 7.21) / 25.4).toBeCloseTo(0.006, 9);
    expect((7.21 - inch.minMm) / 25.4).toBeCloseTo(0.035, 9);
    expect((limitsFor('bore', PART, 'asme').maxMm - 20) / 25.4).toBeCloseTo(0.002, 9);
  });
});

describe('verdicts and rescue', () => {
  const one = (
    what: 'overPins' | 'radialRunout' | 'toothWidth' | 'bore' | 'axialRunout',
    v: number,
  ) => inspectPart(PART, { [what]: at(v) }, 'iso');

  test('inside, doubtful, outside', () => {
    const nominal = limitsFor('overPins', PART, 'iso').nominalMm;
    expect(one('overPins', nominal - 0.1).findings[0]).toMatchObject({
      verdict: 'inside',
      beyondMm: 0,
    });
    expect(one('overPins', nominal - 0.001).findings[0]!.verdict).toBe('doubtful');
    const over = one('overPins', nominal + 0.1);
    expect(over.findings[0]!.verdict).toBe('outside');
    expect(over.findings[0]!.beyondMm).toBeCloseTo(0.1, 9);
    expect(over.outcome).toBe('file');
    const under = one('overPins', nominal - 0.35);
    expect(under.findings[0]!.beyondMm).toBeCloseTo(-0.1, 9);
    expect(under.outcome).toBe('scrap');
  });

  test('outside by less than the reading can tell decides nothing', () => {
    const { nominalMm, minMm } = limitsFor('overPins', PART, 'iso');
    const coarse = (valueMm: number, sdMm: number) =>
      inspectPart(PART, { overPins: { valueMm, sdMm } }, 'iso');
    // Two standard deviations about a limit are in doubt.
    for (const [value, sd] of [
      [nominalMm + 0.01, 0.02],
      [minMm - 0.01, 0.02],
      [minMm - 0.5, 0.7],
    ] as const) {
      const found = coarse(value, sd);
      expect(found.findings[0]).toMatchObject({ verdict: 'outside', unsure: true });
      expect(found.outcome).toBe('measure');
    }
    expect(coarse(minMm - 0.05, 0.02).outcome).toBe('scrap');
    expect(coarse(nominalMm + 0.05, 0.02).outcome).toBe('file');
    // What is surely too small is so whatever else is in doubt.
    const both = inspectPart(
      PART,
      { overPins: { valueMm: nominalMm + 0.01, sdMm: 0.02 }, toothWidth: at(6.7) },
      'iso',
    );
    expect(both.outcome).toBe('scrap');
  });

  test('only what can be taken away can be put right', () => {
    expect(one('toothWidth', 7.3).outcome).toBe('file');
    expect(one('toothWidth', 6.7).outcome).toBe('scrap');
    expect(one('bore', 19.98).findings[0]!.rescue.by).toBe('ream');
    expect(one('bore', 20.05).findings[0]!.rescue.by).toBe('nothing');
    expect(one('axialRunout', 0.3).findings[0]!.rescue.by).toBe('face');
    expect(one('radialRunout', 0).findings[0]!.verdict).toBe('inside');
  });

  test('filing runout away needs root diameter to spare', () => {
    const nominal = limitsFor('overPins', PART, 'iso').nominalMm;
    const with_ = (over: number, runout: number) =>
      inspectPart(PART, { overPins: at(nominal + over), radialRunout: at(runout) }, 'iso');
    // Excess 0.1 mm over the 0.1285 of the standard; 0.25 mm to spare at nominal, 0.05 near the limit.
    expect(with_(-0.01, 0.2285).outcome).toBe('file');
    expect(with_(-0.2, 0.2285).outcome).toBe('scrap');
    expect(one('radialRunout', 0.2285).findings[0]!.rescue.text).toMatch(/measure over pins first/);
  });

  test('depth to file: half of the excess on the diameter, more for an odd count', () => {
    const nominal = limitsFor('overPins', PART, 'iso').nominalMm;
    const text = one('overPins', nominal + 0.2).findings[0]!.rescue.text;
    const depth = 0.2 / Math.cos(Math.PI / 34) / 2;
    expect(text).toContain(`file ${depth.toFixed(2)} mm out of every seat`);
  });

  test('facing a wobble away needs width to spare on both sides', () => {
    const part = (width: number, wobble: number) =>
      inspectPart(PART, { toothWidth: at(width), axialRunout: at(wobble) }, 'iso').outcome;
    expect(part(7.2, 0.25)).toBe('file');
    expect(part(6.9, 0.25)).toBe('scrap');
  });

  test('refuses what is no reading', () => {
    expect(() => one('bore', NaN)).toThrow(RangeError);
    expect(() => one('bore', 0)).toThrow(RangeError);
    expect(() => one('radialRunout', -0.1)).toThrow(RangeError);
  });
});
