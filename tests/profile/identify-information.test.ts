import { describe, expect, test } from 'vitest';
import { findChain } from '../../src/profile/chain/chains.js';
import { type Hypothesis, rankMeasurements } from '../../src/profile/chain/information.js';
import { rowModel } from '../../src/profile/chain/likelihood.js';
import { DEFAULT_SD_MM, type WornChain, figureSpread } from '../../src/profile/chain/model.js';
import { smearedDensity } from '../../src/maths/normal.js';
import { LONG } from '../cam/oracle/runs.js';
import { seeded } from './seeded.js';

const only = (name: string): Hypothesis => [{ row: rowModel(findChain(name)), share: 1 }];
const entropyBits = (q: number): number =>
  [q, 1 - q].reduce((sum, p) => (p > 0 ? sum - p * Math.log2(p) : sum), 0);

const SPAN: WornChain = { span: { valueMm: 128, sdMm: null }, pitches: 10, figures: {} };

function bits(first: string, second: string, q: number, measure: string, w = SPAN): number {
  return rankMeasurements(only(first), only(second), q, w).find((m) => m.measure === measure)!.bits;
}

describe('expected information', () => {
  test('entropy of a coin', () => {
    const missing = (q: number) =>
      rankMeasurements(only('415'), only('420'), q, SPAN)[0]!.missingBits;
    expect(missing(0.5)).toBe(1);
    expect(missing(0)).toBe(0);
    expect(missing(1)).toBe(0);
    // Shannon 1948, fig. 7: H(0.11) = 0.5 to the width of the line; exactly 0.49992.
    expect(missing(0.11)).toBeCloseTo(0.49992, 5);
  });

  test('figures far apart tell everything, equal figures nothing', () => {
    // A worn roller of 08B comes near the new one of 40.
    expect(bits('40', '08B', 0.5, 'rollerDiameter')).toBeGreaterThan(0.98);
    expect(bits('520', '525', 0.5, 'rollerDiameter')).toBeLessThan(0.001);
    expect(bits('520', '525', 0.5, 'innerWidth')).toBeGreaterThan(0.999);
    // The same row against itself, for every measurement.
    for (const m of rankMeasurements(only('420'), only('420'), 0.3, SPAN)) {
      expect(m.bits).toBeLessThan(1e-6);
    }
  });

  test('never more than what is in doubt, never negative', () => {
    for (const q of [0.01, 0.2, 0.5, 0.9]) {
      for (const m of rankMeasurements(only('415'), only('420'), q, SPAN)) {
        expect(m.bits).toBeGreaterThanOrEqual(0);
        expect(m.bits).toBeLessThanOrEqual(entropyBits(q) + 1e-12);
        expect(m.missingBits).toBeCloseTo(entropyBits(q), 12);
      }
    }
  });

  test('against a simulation: mean fall of the entropy over drawn readings', () => {
    const sd = DEFAULT_SD_MM.innerWidth;
    const random = seeded(3);
    for (const [first, second] of [
      ['10A', '530'],
      ['10A', '10B'],
      ['T8F', '05T'],
    ] as const) {
      const q = 0.4;
      const spreads = [first, second].map((name) => figureSpread(findChain(name), 'innerWidth')!);
      const density = (i: 0 | 1, y: number): number =>
        spreads[i]!.reduce((f, s) => f + s.share * smearedDensity(y, s.lowMm, s.highMm, sd), 0);
      let left = 0;
      const n = LONG ? 200_000 : 40_000;
      for (let k = 0; k < n; k++) {
        const rows = spreads[random.uniform() < q ? 0 : 1]!;
        const row = rows.length > 1 && random.uniform() > rows[0]!.share ? rows[1]! : rows[0]!;
        const width = row.lowMm + (row.highMm - row.lowMm) * random.uniform();
        const y = width + sd * random.normal();
        const [a, b] = [q * density(0, y), (1 - q) * density(1, y)];
        left += entropyBits(a / (a + b)) / n;
      }
      const simulated = entropyBits(q) - left;
      expect(simulated).toBeGreaterThan(0.1);
      expect(simulated).toBeLessThan(0.85);
      expect(Math.abs(bits(first, second, q, 'innerWidth') - simulated)).toBeLessThan(0.01);
    }
  });

  test('a reading taken already is worth less the second time', () => {
    const read: WornChain = { ...SPAN, figures: { innerWidth: { valueMm: 9.5, sdMm: 0.08 } } };
    const fresh = bits('10A', '530', 0.5, 'innerWidth');
    expect(bits('10A', '530', 0.5, 'innerWidth', read)).toBeLessThan(fresh);
  });

  test('the split lies between the readings to expect', () => {
    const m = rankMeasurements(only('415'), only('420'), 0.5, SPAN)[0]!;
    expect(m.measure).toBe('innerWidth');
    expect(m.expectedMm[0]).toBeGreaterThan(4.6);
    expect(m.expectedMm[0]).toBeLessThan(5);
    expect(m.expectedMm[1]).toBeGreaterThan(6.2);
    expect(m.splitMm!).toBeGreaterThan(m.expectedMm[0]);
    expect(m.splitMm!).toBeLessThan(m.expectedMm[1]);
  });
});
