/** Rules of NISTIR 6556 taken from both sides of their bounds; the section stands in the name. */
import { describe, expect, it } from 'vitest';
import { readProgram, type ReadOptions } from '../../src/post/reader.js';

const run = (text: string, options: ReadOptions = {}) =>
  readProgram(text, { fragment: true, ...options });

const classOf = (text: string, options: ReadOptions = {}): string =>
  run(text, options)
    .errors.map((e) => e.errorClass)
    .join() || 'good';

const messageOf = (text: string): string => run(text).errors[0]?.message ?? 'good';

const x = (text: string): number => {
  const { ops, errors } = run(`G0 X${text}`);
  expect(
    errors.map((e) => e.message),
    text,
  ).toEqual([]);
  const [op] = ops;
  return op?.op === 'rapid' ? op.to[0] : NaN;
};

describe('3.3.2.3 operators', () => {
  it('logical ones take every number but zero for true', () => {
    const table = [[0, 0], [0, 2], [-3, 0], [5, 0.5]]; // prettier-ignore
    const values = (word: string) => table.map(([a, b]) => x(`[${a} ${word} ${b}]`));
    expect(values('OR')).toEqual([0, 1, 1, 1]);
    expect(values('XOR')).toEqual([0, 1, 1, 0]);
    expect(values('AND')).toEqual([0, 0, 0, 1]);
  });

  it('the remainder is never negative, and zero where it divides', () => {
    expect(x('[6 MOD 3]')).toBe(0);
    expect(x('[-6 MOD 3]')).toBe(0);
    expect(x('[-7 MOD 3]')).toBe(2);
    expect(x('[7 MOD -3]')).toBe(1);
    expect(x('[-7 MOD -3]')).toBe(2);
  });

  it('asin, acos, atan of the four quarters, in degrees', () => {
    expect(x('ASIN[0.5]')).toBeCloseTo(30, 10);
    expect(x('ACOS[0.5]')).toBeCloseTo(60, 10);
    expect(x('TAN[45]')).toBeCloseTo(1, 12);
    expect(x('COS[180]')).toBeCloseTo(-1, 12);
    expect(x('ATAN[1]/[1]')).toBeCloseTo(45, 10);
    expect(x('ATAN[1]/[-1]')).toBeCloseTo(135, 10);
    expect(x('ATAN[-1]/[1]')).toBeCloseTo(-45, 10);
  });

  it('says what has no value', () => {
    for (const [text, message] of [
      ['[1/0]', 'division by zero'],
      ['[1 MOD 0]', 'division by zero'],
      ['[0 ** -1]', '0 ** -1 has no finite value'],
      ['[-8 ** 0.5]', '-8 ** 0.5 has no finite value'],
      ['[10 ** 400]', '10 ** 400 has no finite value'],
      ['[-8 * [10 ** 308]]', '-8 * 1e+308 has no finite value'],
      ['SQRT[-1]', 'SQRT of -1 has no finite value'],
      ['LN[0]', 'LN of 0 has no finite value'],
      ['[1 + 2', "a '[' is not closed"],
      ['[1 2 , 3]', "an operator or ']' was expected, found ','"],
      ['[1 * ]', "a number was expected, found ']'"],
      ['ATAN[1]', "ATAN needs '/' and a second argument"],
      ['SIN 30', "'[' was expected after SIN"],
      ['FOO[1]', "there is no function 'FOO'"],
      ['FOO', "a number was expected, found 'FOO'"],
      ['#0', 'parameter number 0'],
      ['#1.5', 'parameter number 1.5'],
    ]) expect(messageOf(`G0 X${text}`), text).toBe(message); // prettier-ignore
    expect(messageOf('#1 X5')).toBe("'=' was expected, found 'X'");
  });

  it('3.3.2.1: within 0.0001 of an integer counts as one', () => {
    expect(x('#[1 + 0.00009]')).toBe(0);
    expect(classOf('G0 X#1.00011')).toBe('not-integer');
    expect(classOf('#5399=1')).toBe('good');
    expect(classOf('T1.00009')).toBe('good');
    expect(classOf('T1.00011')).toBe('not-integer');
    // A code that is the rounding of minus nothing is zero.
    expect(run('G[-0] X1').ops).toMatchObject([{ op: 'rapid' }]);
  });
});

describe('3.5.3 arcs', () => {
  /** Length of the arc, from the feed that G93 with F1 comes to: one minute for all of it. */
  const length = (from: string, text: string): number => {
    const { ops, errors } = run(`G0 ${from}\nG93 F1 ${text}`);
    expect(
      errors.map((e) => e.message),
      text,
    ).toEqual([]);
    const arc = ops.find((op) => op.op === 'arc');
    return arc?.op === 'arc' ? arc.feedMmPerMin : NaN;
  };

  it('3.5.19: an arc lasts as long as its F says, whatever part of a turn it is', () => {
    const quarter = Math.PI / 2;
    // Radius 2 about X10 Y5, from its right: G3 to the top is a quarter, G2 three of them.
    for (const [text, turns] of [
      ['G3 X10 Y7 I-2', 1],
      ['G2 X10 Y7 I-2', 3],
      ['G3 X8 Y5 I-2', 2],
      ['G2 X8 Y5 I-2', 2],
      ['G3 X10 Y3 I-2', 3],
      ['G2 X10 Y3 I-2', 1],
      ['G2 X12 Y5 I-2', 4],
      ['G3 X12 I-2', 4],
      ['G3 X10 Y7 R2', 1],
      ['G3 X10 Y3 R-2', 3],
    ] as const) {
      expect(length('X12 Y5', text), text).toBeCloseTo(2 * turns * quarter, 9);
    }
    // In the other planes counter-clockwise is Z to X and Y to Z.
    expect(length('X5 Z12', 'G18 G3 X7 Z10 K-2')).toBeCloseTo(Math.PI, 9);
    expect(length('X5 Z12', 'G18 G2 X7 Z10 K-2')).toBeCloseTo(3 * Math.PI, 9);
    expect(length('Y12 Z5', 'G19 G3 Y10 Z7 J-2')).toBeCloseTo(Math.PI, 9);
    // A helix is longer than its plan: a quarter of radius 2, and 4 mm down.
    expect(length('X12 Y5', 'G3 X10 Y7 Z-4 I-2')).toBeCloseTo(Math.hypot(Math.PI, 4), 9);
    expect(length('X12 Y5', 'G20 G3 X[10/25.4] Y[7/25.4] I[-2/25.4]')).toBeCloseTo(Math.PI, 9);
  });

  it('the relaxed rule: 0.5 mm, and 0.005 mm or a thousandth of the radius', () => {
    const relaxed = (text: string) => classOf(`F1\n${text}`, { arcRule: 'relaxed' });
    // The end is off by d where X is twice the radius and d.
    for (const [radius, d, good] of [
      [1, 0.0049, true],
      [1, 0.0051, false],
      [20, 0.0199, true],
      [20, 0.0201, false],
      [900, 0.499, true],
      [900, 0.501, false],
    ] as const) {
      const text = `G2 X${2 * radius + d} I${radius}`;
      expect(relaxed(text), text).toBe(good ? 'good' : 'arc-radius-mismatch');
      const inch = `G20 G2 X[[${2 * radius + d}]/25.4] I[${radius}/25.4]`;
      expect(relaxed(inch), inch).toBe(good ? 'good' : 'arc-radius-mismatch');
    }
  });

  it('a radius of zero at either end, and both words of the end point', () => {
    expect(classOf('F1\nG2 X1 I0')).toBe('arc-radius');
    expect(classOf('F1\nG2 X1 I1')).toBe('arc-radius');
    expect(classOf('F1\nG0 X1 Y1\nG2 X1 Y2 R5')).toBe('good');
    expect(classOf('F1\nG0 X1 Y1\nG2 X2 Y1 R5')).toBe('good');
    expect(classOf('F1\nG0 X1 Y1\nG2 X1 Y1 R5')).toBe('arc-same-point');
  });

  it('names words, planes and radii', () => {
    for (const [text, message] of [
      ['G2 X1 R1 I1', 'R together with I, J or K'],
      ['G2 X1', 'an arc without R, I, J or K'],
      ['G2 X2 I1 K1', 'K word for an arc in the XY plane'],
      ['G18 G2 X2 I1 J1', 'J word for an arc in the XZ plane'],
      ['G19 G2 Y2 J1 I1', 'I word for an arc in the YZ plane'],
      ['G2 Z1 I1', 'an arc in the XY plane without X or Y'],
      ['G18 G2 Y1 I1', 'an arc in the XZ plane without Z or X'],
      ['G19 G2 X1 J1', 'an arc in the YZ plane without Y or Z'],
      ['G2 X0 I0', 'an arc of radius zero'],
      ['G2 X3 I1', 'radius 1 at the start and 2 at the end'],
      ['G2 X3 R1', 'radius 1 on a chord of 3'],
      ['G2 X1.23456789 I0.4', 'radius 0.4 at the start and 0.83457 at the end'],
    ]) expect(messageOf(`F1\n${text}`), text).toBe(message); // prettier-ignore
    expect(messageOf('F1\nG2 X0 Y0 R1')).toMatch(/radius format that ends where it starts/);
  });

  it('are blamed on the word that is wrong', () => {
    const column = (text: string) => run(`F1\n${text}`).errors[0]?.column;
    expect(column('G2 X1 R1 I1')).toBe(7);
    expect(column('G2 X2 I1 K1')).toBe(10);
    expect(column('G2 X3 R1')).toBe(7);
    expect(column('X2 I1 G2 Y9')).toBe(7);
  });
});
