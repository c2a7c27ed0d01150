import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { stableJson } from '../../src/text/stable-json.js';

describe('stableJson', () => {
  it('writes two numbers that differ in their last bits alike', () => {
    // From plan.json of one job on two versions of the run-time.
    expect(stableJson({ taperMm: 0.018285755943298412 })).toBe(
      stableJson({ taperMm: 0.018285755943298416 }),
    );
    expect(stableJson([68.33952175901254, 0.047651622890031956])).toBe(
      stableJson([68.33952175901253, 0.04765162289003197]),
    );
  });

  it('keeps what matters: integers, large numbers, text, nothing below a billionth lost', () => {
    expect(stableJson({ a: 12, b: 1e15 + 0.5, c: '0.1234567891234', d: null, e: true })).toBe(
      '{"a":12,"b":1000000000000000.5,"c":"0.1234567891234","d":null,"e":true}',
    );
    expect(stableJson(-1e-12)).toBe('0');
    fc.assert(
      fc.property(fc.double({ min: -1e6, max: 1e6, noNaN: true }), (x) => {
        expect(Math.abs(Number(stableJson(x)) - x)).toBeLessThan(6e-10);
      }),
    );
  });
});
