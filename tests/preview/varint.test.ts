import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { packIntegers, unpackIntegers } from '../../src/preview/data/varint.js';

describe('whole numbers as bytes', () => {
  it('come back as they were', () => {
    const whole = fc.integer({ min: -(2 ** 45), max: 2 ** 45 });
    fc.assert(
      fc.property(fc.array(whole), (values) => {
        expect([...unpackIntegers(packIntegers(values), values.length)]).toEqual(values);
      }),
    );
  });

  it('take one byte for a step of at most 63', () => {
    expect(packIntegers([5, 6, 7, 70, 7]).length).toBe(5);
  });

  it('refuses bytes that end early or run over, and numbers that are not whole', () => {
    const bytes = packIntegers([1, 1000, 3]);
    expect(() => unpackIntegers(bytes.subarray(0, 2), 3)).toThrow(RangeError);
    expect(() => unpackIntegers(bytes, 2)).toThrow(RangeError);
    expect(() => packIntegers([0.5])).toThrow(RangeError);
  });
});
