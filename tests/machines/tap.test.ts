/** Taps: rings of known frequency and damping, and published examples of the decrement. */
import { describe, expect, it } from 'vitest';
import { dampingRatio, halfPowerRatio, readTaps } from '../../src/machines/learn/tap.js';
import oracles from '../oracles/dynamics-oracles.json' with { type: 'json' };
import { type Sound, sound } from './rings.js';

const BANDS = {
  cutter: { lowHz: 1000, highHz: 20_000 },
  mount: { lowHz: 60, highHz: 1500 },
  gantry: { lowHz: 8, highHz: 200 },
};
const RATE = 4000;
const QUIET = { rateHz: RATE, seconds: 4.4, taps: [1.2, 2, 2.9, 3.7], noise: 0.002 };

describe('damping', () => {
  it('by the decrement, published examples (dynamics.md 4.8)', () => {
    for (const { name, inputs, expected, tolerance } of oracles) {
      const [i, e] = [inputs, expected] as unknown as Record<string, number>[];
      if (name.startsWith('log decrement')) {
        const delta = Math.log(i!['x0']! / i!['xn']!) / i!['cycles']!;
        expect(Math.abs(dampingRatio(delta) / e!['zeta']! - 1)).toBeLessThan(tolerance);
      }
      if (name === 'half-power damping') {
        expect(halfPowerRatio(i!['f1Hz']!, i!['f2Hz']!, i!['fnHz']!)).toBeCloseTo(e!['zeta']!, 6);
      }
    }
    // "m 20, 0.01 -> 0.004993 m, Td 0.06 s: zeta 10.99 %".
    expect(dampingRatio(Math.log(0.01 / 0.004993))).toBeCloseTo(0.1099, 4);
    // "13 % left after 100 cycles: zeta 0.325 %".
    expect(dampingRatio(Math.log(1 / 0.13) / 100)).toBeCloseTo(0.00325, 5);
  });
});

describe('readTaps', () => {
  const cases: readonly (readonly [string, keyof typeof BANDS, Sound, number, number])[] = [
    ['a mount', 'mount', { ...QUIET, rings: [[312, 0.028, 0.4]] }, 312, 0.028],
    ['a mount, much damped', 'mount', { ...QUIET, rings: [[180, 0.05, 0.4]] }, 180, 0.05],
    ['a mount, little damped', 'mount', { ...QUIET, rings: [[870, 0.012, 0.4]] }, 870, 0.012],
    ['a cutter', 'cutter', { ...QUIET, rateHz: 22_050, rings: [[5900, 0.014, 0.3]] }, 5900, 0.014],
    ['a gantry', 'gantry', { ...QUIET, rings: [[38, 0.03, 0.4]] }, 38, 0.03],
    [
      'a mount beside a cutter and under hum as loud as itself',
      'mount',
      {
        ...QUIET,
        rings: [
          [312, 0.028, 0.4],
          [1800, 0.01, 0.3],
        ],
        hum: [
          [50, 0.1],
          [150, 0.2],
          [300, 0.4],
        ],
        noise: 0.004,
      },
      312,
      0.028,
    ],
    [
      'a gantry beside the mains',
      'gantry',
      {
        ...QUIET,
        rings: [[41, 0.025, 0.4]],
        hum: [
          [50, 0.15],
          [100, 0.1],
        ],
      },
      41,
      0.025,
    ],
  ];
  it.each(cases)('%s', (_, where, given, hz, damping) => {
    const found = readTaps(sound(given), given.rateHz, BANDS[where]);
    expect(Math.abs(found.hz / hz - 1)).toBeLessThan(0.01);
    expect(Math.abs(found.damping / damping - 1)).toBeLessThan(0.12);
    expect(found.rang.length).toBeGreaterThanOrEqual(3);
    for (const { halfPowerDamping: half } of given.hum ? [] : found.rang) {
      expect(half! / damping).toBeGreaterThan(0.6);
      expect(half! / damping).toBeLessThan(1.7);
    }
    expect(Math.abs(found.hz - hz)).toBeLessThan(3 * found.hzSd);
    expect(Math.abs(found.damping - damping)).toBeLessThan(3 * found.dampingSd);
    for (const [tone] of given.hum ?? []) {
      expect(
        found.humHz.some((h) => Math.abs(h - tone) < 0.5),
        `${tone} Hz`,
      ).toBe(true);
    }
  });

  it('one tap is said to be few, a cut-off top to be too loud', () => {
    const given: Sound = { ...QUIET, taps: [1.5], rings: [[312, 0.02, 0.8]] };
    const loud = sound(given).map((v) => Math.max(-0.3, Math.min(0.3, v)));
    const { doubts, rang } = readTaps(loud, RATE, BANDS.mount);
    expect(rang).toHaveLength(1);
    expect(doubts.join('\n')).toMatch(/Fewer than three[^]*more lightly/);
  });

  const refused: readonly (readonly [string, Float64Array, RegExp])[] = [
    ['silence', new Float64Array(RATE), /is silent/],
    ['a constant', new Float64Array(RATE).fill(0.3), /is silent/],
    ['nothing', new Float64Array(0), /is silent/],
    ['noise', sound({ ...QUIET, taps: [], rings: [], noise: 0.1 }), /no tap that stands out/],
    ['hum', sound({ ...QUIET, taps: [], rings: [], hum: [[100, 0.5]] }), /no tap that stands out/],
    ['dull thuds', sound({ ...QUIET, rings: [[300, 0.5, 0.4]] }), /nothing rings/],
    ['clicks', sound({ ...QUIET, rings: [] }), /nothing rings/],
  ];
  it.each(refused)('refuses %s', (_, samples, message) => {
    expect(() => readTaps(samples, RATE, BANDS.mount)).toThrow(message);
  });

  it('refuses what hum leaves behind where there is hardly any quiet to hear it in', () => {
    // Taps that follow each other so closely that half a second of quiet is left, under hum.
    const hum = [50, 100, 150].map((hz) => [hz, 0.06] as const);
    const taps = [0.4, 0.9, 1.4, 1.9, 2.4];
    const hurried = sound({ ...QUIET, taps, rings: [[312, 0.5, 0.4]], hum });
    expect(() => readTaps(hurried, RATE, BANDS.mount)).toThrow(
      /nothing rings|rang at one frequency/,
    );
    // One tap in four that rings is not believed.
    const one = { ...QUIET, taps: [1.2], rings: [[312, 0.028, 0.4]] } as const;
    const thuds = { ...QUIET, noise: 0, taps: [2, 2.9, 3.7], rings: [[300, 0.5, 0.4]] } as const;
    const dull = sound(thuds);
    const both = sound(one).map((v, i) => v + dull[i]!);
    expect(() => readTaps(both, RATE, BANDS.mount)).toThrow(/has 4 taps, of which only 1 rang/);
  });

  it('refuses a rate that cannot hold the band', () => {
    const samples = sound({ ...QUIET, rings: [[312, 0.02, 0.4]] });
    expect(() => readTaps(samples, 4000, BANDS.cutter)).toThrow(/4000 samples a second, too few/);
  });
});
