import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import * as elementary from '../../src/maths/elementary.js';

const { atan2, cos, decadeOf, exp, hypot, log, log1p, pow, sin, sinCos } = elementary;
const bits = new BigInt64Array(1);
const double = new Float64Array(bits.buffer);

/** Doubles between two, counted by their bits (IEEE 754: those of one sign are in order). */
function apart(a: number, b: number): number {
  if (Object.is(a, b)) return 0;
  const rank = (x: number) => {
    double[0] = x;
    return bits[0]! < 0n ? -(bits[0]! & 0x7fffffffffffffffn) : bits[0]!;
  };
  return Math.abs(Number(rank(a) - rank(b)));
}

/** Name, range, and error allowed. The oracle is the engine's own function, within one unit itself. */
const ONE = [
  ['sin', 1e6, 2],
  ['cos', 1e6, 2],
  ['tan', 1e3, 4],
  ['asin', 1, 4],
  ['acos', 1, 4],
  ['atan', 1e6, 2],
  ['exp', 700, 2],
  ['expm1', 700, 4],
] as const;

describe('elementary functions', () => {
  it.each(ONE)('%s is that of the engine but for its last places', (name, end, most) => {
    const number = fc.double({ min: -end, max: end, noNaN: true });
    const own = elementary[name];
    fc.assert(fc.property(number, (x) => apart(own(x), Math[name](x)) <= most));
  });

  it('sine and cosine together are to the bit what they are apart', () => {
    const both = new Float64Array(2);
    for (const end of [1, 10, 1e6]) {
      const number = fc.double({ min: -end, max: end, noNaN: true });
      fc.assert(
        fc.property(number, (x) => {
          sinCos(x, both);
          return Object.is(both[0], sin(x)) && Object.is(both[1], cos(x));
        }),
      );
    }
    sinCos(-0, both);
    expect([...both]).toEqual([-0, 1]);
  });

  it('log and log1p are, too', () => {
    const number = fc.double({ min: 1e-300, max: 1e300, noNaN: true });
    fc.assert(fc.property(number, (x) => apart(log(x), Math.log(x)) <= 2));
    fc.assert(fc.property(number, (x) => apart(log1p(x), Math.log1p(x)) <= 4));
  });

  it('directions and powers are, too', () => {
    const number = fc.double({ min: -1e9, max: 1e9, noNaN: true });
    fc.assert(fc.property(number, number, (y, x) => apart(atan2(y, x), Math.atan2(y, x)) <= 2));
    const base = fc.double({ min: 1e-6, max: 1e6, noNaN: true });
    const power = fc.double({ min: -3, max: 3, noNaN: true });
    fc.assert(
      fc.property(base, power, (x, y) => {
        const most = 4 + 2 * Math.abs(y * Math.log(x));
        return apart(pow(x, y), Math.pow(x, y)) <= most;
      }),
    );
  });

  it('keeps what ECMA-262 fixes at the ends and at zeros of either sign', () => {
    const ends = [0, -0, 1, -1, NaN, Infinity, -Infinity];
    for (const name of ['sin', 'cos', 'tan', 'asin', 'acos', 'atan', 'exp', 'log'] as const) {
      for (const x of ends)
        expect(apart(elementary[name](x), Math[name](x)), `${name} ${x}`).toBeLessThan(3);
    }
    for (const y of [0, -0, 1, -1]) {
      for (const x of [0, -0, 1, -1, Infinity, -Infinity])
        expect(atan2(y, x)).toBe(Math.atan2(y, x));
    }
    expect(sin(-0)).toBe(-0);
    expect([sin(Math.PI), cos(Math.PI / 2)]).toEqual([
      1.2246467991473532e-16, 6.123233995736766e-17,
    ]);
  });

  it('has whole powers, sides of Pythagoras and decades exactly', () => {
    expect([pow(10, 22), pow(10, -3), pow(-2, 3), pow(7, 0), pow(0, 0.5)]).toEqual([
      1e22, 1e-3, -8, 1, 0,
    ]);
    expect([hypot(3, 4), hypot(2, 3, 6)]).toEqual([5, 7]);
    expect([1000, 999.9, 0.01, 0.0099].map(decadeOf)).toEqual([3, 2, -2, -3]);
    expect([exp(0), exp(1000), exp(-1000), log(1), log(0)]).toEqual([1, Infinity, 0, 0, -Infinity]);
  });
});
