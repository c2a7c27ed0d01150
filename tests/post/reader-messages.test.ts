/** Where a fault is and what is said of it: column by column, by the rules of NISTIR 6556, 3.3. */
import { describe, expect, it } from 'vitest';
import { readProgram } from '../../src/post/rs274/reader.js';

function faultOf(text: string) {
  const { errors } = readProgram(text, { fragment: true });
  expect(errors, text).toHaveLength(1);
  const error = errors[0]!;
  expect(error.rule).toMatch(/[a-z]{3}/);
  expect(error.fix).toMatch(/[a-z]{3}/);
  return error;
}

const at = (text: string): readonly [column: number, message: string] => {
  const { column, message } = faultOf(text);
  return [column, message];
};

describe('characters in messages', () => {
  it.each([
    ['G0 X1 !', 7, "'!' is not allowed here"],
    ['G0 X1 \u0001', 7, 'character 1 is not allowed here'],
    ['G0 X1 \u001f', 7, 'character 31 is not allowed here'],
    ['G0 X1 \u007f', 7, 'character 127 is not allowed here'],
    ['G0 X1 ~', 7, "'~' is not allowed here"],
    ['G0 X1 \u0080', 7, 'non-ASCII character 128 is not allowed here'],
    ['G0 X1 {', 7, "'{' is not allowed here"],
    ['G0 X1 [', 7, "'[' is not allowed here"],
    ['G0 X1 @', 7, "'@' is not allowed here"],
    ['G0 X', 5, 'a number was expected, found the end of the line'],
    ['G0 X  ', 7, 'a number was expected, found the end of the line'],
    ['G0 X-y', 5, "a number was expected, found 'Y'"],
    ['G0 X!', 5, "a number was expected, found '!'"],
    ['G0 XNAN', 5, "a number was expected, found 'NAN'"],
    ['G0 X1 ((', 8, "'(' inside a comment"],
    ['G0 X1 (a', 7, 'a comment is not closed'],
    ['G0 X1 (a\u0007)', 9, 'character 7 inside a comment'],
    ['G0 X1 (a\u007f)', 9, 'character 127 inside a comment'],
    ['N', 1, 'N is followed by the end of the line'],
    ['N1.5', 1, "N is followed by '.'"],
    ['NX1', 1, "N is followed by 'X'"],
    ['/N123456', 2, 'line number 123456'],
    ['N000001', 1, 'a line number of 6 digits'],
  ])('%j: column %d', (text, column, message) => {
    expect(at(text)).toEqual([column, message]);
    // The same on a later line, where columns count from the start of that line.
    const later = readProgram(`G21\n${text}`, { fragment: true }).errors[0]!;
    expect([later.line, later.column, later.message]).toEqual([2, column, message]);
  });

  it('tabs and spaces mean nothing outside comments and may stand inside them', () => {
    const read = readProgram('\tG 0\tX\t1 .\t5 (a\ttab) Y[ 1\t+ 2 ]\t', { fragment: true });
    expect(read.errors).toEqual([]);
    expect(read.ops).toMatchObject([{ op: 'rapid', to: [1.5, 3, 0] }]);
    // Other white space is no space (3.3).
    for (const char of ['\u000b', '\u000c', '\u00a0', '\u2003', '\ufeff']) {
      expect(faultOf(`G0 ${char}X1`).errorClass, JSON.stringify(char)).toBe('bad-character');
    }
  });

  it('of arcs that start where a broken line should have ended, none is told', () => {
    const errors = (...lines: string[]) =>
      readProgram(['G21 G90 F100', ...lines, 'M2'].join('\n'), { onError: 'collect' }).errors.map(
        ({ line, errorClass }) => `${line} ${errorClass}`,
      );
    const ARCS = ['G2 X10 Y-10 I-10 J0', 'G2 X-10 Y-10 I-10 J10', 'G2 X0 Y5 R1'];
    expect(errors('G1 X20,5 Y0', ...ARCS)).toEqual(['2 bad-character']);
    expect(errors('G2 X20 Y0 I3 J0', ...ARCS)).toEqual(['2 arc-radius-mismatch']);
    // From a place that is given again they are judged.
    expect(errors('G1 X20,5 Y0', 'G1 X20 Y0', 'G2 X0 Y-8 I-10 J0')).toEqual([
      '2 bad-character',
      '4 arc-radius-mismatch',
    ]);
    expect(errors('G1 X20,5 Y0', 'G1 X20', 'G2 X0 Y-8 I-10 J0', 'G1 Z!')).toEqual([
      '2 bad-character',
      '5 bad-number',
    ]);
  });

  it('a byte order mark is called that', () => {
    expect(faultOf('\ufeffG0 X1').message).toMatch(/^a byte order mark, which editors do not show/);
  });

  it('a comment ends with its line, and MSG is a message at its head only', () => {
    expect(faultOf('(a\n)').line).toBe(1);
    const messages = (text: string) =>
      readProgram(text, { fragment: true }).ops.map((op) =>
        op.op === 'message' ? op.text : op.op,
      );
    expect(messages('( \tm s\tg ,x)')).toEqual(['x']);
    expect(messages('(see MSG, x)')).toEqual([]);
    expect(messages('(MSGS, x)')).toEqual([]);
    expect(messages('(MSG,a,b)')).toEqual(['a,b']);
  });

  it('small and capital letters of the whole alphabet are the same', () => {
    for (const [small, capital] of [
      ['g0 x1 y2 z3', 'G0 X1 Y2 Z3'],
      ['x[abs[-1] mod 2 xor 1]g0', 'X[ABS[-1] MOD 2 XOR 1]G0'],
      ['g38.2 z-1 f5', 'G38.2 Z-1 F5'],
    ]) {
      const read = (text: string) => readProgram(text, { fragment: true });
      expect(read(small!).errors).toEqual([]);
      expect(read(small!).ops).toEqual(read(capital!).ops);
    }
  });
});

describe('numbers at the edge of double precision', () => {
  it.each(['999999999999999', '9999999999999999', '0.1000000000000000055', '123456789012345.6789'])(
    '%s',
    (text) => {
      const { ops } = readProgram(`G0 X${text} Y-${text}`, { fragment: true });
      expect(ops).toMatchObject([{ to: [Number(text), -Number(text), 0] }]);
    },
  );
});
