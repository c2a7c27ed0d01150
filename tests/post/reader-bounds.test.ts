/** Rules of NISTIR 6556 taken from both sides of their bounds; the section stands in the name. */
import { describe, expect, it } from 'vitest';
import { findController } from '../../src/post/control/controllers.js';
import { classOf, run } from './read-text.js';

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

describe('3.4 which code takes the axis words', () => {
  it('G28, G30, G10 and G92 take them, whatever motion is active', () => {
    for (const code of ['G28 X1', 'G30 X1', 'G10 L2 P2 X1', 'G92 X1']) {
      expect(classOf(code), code).toBe('good');
      expect(classOf(`G80 ${code}`), code).toBe('good');
      expect(classOf(`G1 F1 ${code}`), code).toBe('axis-conflict');
      // An active motion code waits for the next line.
      const { ops } = run(`F9 G1 X7\n${code}\nX8`);
      expect(ops.at(-1), code).toMatchObject({ op: 'feed', line: 3 });
    }
    for (const code of ['G92.1', 'G92.2', 'G92.3', 'G4 P1']) {
      expect(classOf(`${code} X1`), code).toBe('axis-without-command');
      expect(classOf(`${code} G0 X1`), code).toBe('good');
    }
  });

  it('blames the first axis word that nothing takes', () => {
    expect(run('F1 Z3 Y2 X1').errors[0]).toMatchObject({ column: 4 });
    expect(run('X1 F1 Z3').errors[0]).toMatchObject({ column: 1 });
    expect(run('G1 X1 F1 I2').errors[0]).toMatchObject({ column: 10, errorClass: 'unused-word' });
    // A feed move that goes on from the line before has no word of its own to blame but its axes.
    expect(run('G93 G1 X1 F1\n  Z2 Y1').errors[0]).toMatchObject({ column: 3, line: 2 });
  });

  it('a bare motion word where a class takes one', () => {
    const small = { controller: findController('small-stream') };
    expect(classOf('G0', small)).toBe('good');
    expect(classOf('G3', small)).toBe('good');
    expect(run('F9 G1\nX1', small).ops.at(-1)).toMatchObject({ op: 'feed' });
    for (const code of ['G38.2', 'G81', 'G53 G0', 'G92 G0', 'G92']) {
      expect(classOf(code, small), code).toBe('axis-missing');
    }
  });

  it('G53 with G0 or G1, in absolute distance mode, before or on the line', () => {
    expect(classOf('F1 G53 G0 X1')).toBe('good');
    expect(classOf('F1 G53 G1 X1')).toBe('good');
    for (const line of ['G53 G38.2 X1', 'G53', 'G53 G80', 'G91 G53 G0 X1', 'G91\nG53 G1 X1']) {
      expect(classOf(`F1\n${line}`), line).toBe('g53-mode');
    }
    expect(classOf('G91\nG90 G53 G0 X1')).toBe('good');
  });
});

describe('3.3.5 words and codes that exclude each other', () => {
  it('two M codes of a group, also where one of them is M0; five M codes', () => {
    for (const line of ['M3 M4', 'M0 M30', 'M0 M1', 'M7 M9', 'M48 M49', 'M6 M6']) {
      expect(classOf(line), line).toBe('modal-group-conflict');
    }
    expect(classOf('M3 M8 M48 M0')).toBe('good');
    expect(classOf('M6 M3 M8 M48 M0')).toBe('too-many-m');
  });

  it('names them', () => {
    for (const [line, message] of [
      ['G59.3 G54', 'G59.3 and G54 on one line, both of group 12'],
      ['M3 M4', 'M3 and M4 on one line, both of group 7'],
      ['M6 M3 M8 M48 M0', 'a fifth M word'],
      ['G0 X1 X2', 'a second X word'],
      ['F-1', 'F-1'],
      ['T1.5', 'T1.5'],
      ['G77', 'G77'],
      ['M77', 'M77'],
      ['E1', 'E is not a word letter here'],
      ['A1', 'rotary axis A: this reader drives X, Y and Z'],
      ['G92', 'G92 without an axis word'],
      ['G80 X1', 'axis word with G80'],
      ['G28 G0 X1', 'G28 and G0 both use axis words'],
      ['G1', 'G1 without an axis word'],
      ['X1', 'axis word while no motion code is active'],
      ['G53', 'G53 without G0 or G1'],
      ['G91 G53 G0 X1', 'G53 in incremental distance mode'],
      ['G4', 'G4 without P'],
      ['G10 P1 X1', 'G10 without L'],
      ['G10 L2 X1', 'G10 without P'],
      ['G10 L20 P1', 'G10 L20; the standard has L2 only'],
      ['G10 L2 P1.5', 'G10 P1.5'],
      ['G10 L2 P10', 'G10 P10; work systems are 1 to 9'],
      ['D1', 'D word without G41 or G42'],
      ['H1', 'H word without G43'],
      ['I1', 'I word without G2, G3 or G87'],
      ['L1', 'L word without a canned cycle or G10'],
      ['P1', 'P word without G4, G10, G82, G86, G88 or G89'],
      ['Q1', 'Q word without G83'],
      ['R1', 'R word without G2, G3 or a canned cycle'],
    ]) expect(messageOf(line!), line).toBe(message); // prettier-ignore
    expect(run('A1').errors[0]!.fix).toBe('remove the rotary axis word');
    expect(classOf('G41 D0\nG40')).toBe('good');
    expect(classOf('G42 D0\nG40')).toBe('good');
  });

  it('P with G64 only, and only where a class has it', () => {
    const pc = { controller: findController('pc-based') };
    expect(classOf('G64 P0.1', pc)).toBe('good');
    expect(classOf('G61 P0.1', pc)).toBe('unused-word');
    expect(classOf('G64 P0.1')).toBe('unused-word');
  });

  it('a semicolon starts a comment on the classes that know it, and nothing else does', () => {
    const small = { controller: findController('small-stream') };
    expect(classOf('G0 X1 ; ! (( ?', small)).toBe('good');
    expect(classOf('G0 X1 ! x', small)).toBe('bad-character');
    const stop = run('; turn it over \nM0\n; gone\n#1=2\nM0', small).ops;
    expect(stop).toMatchObject([{ message: 'turn it over' }, { message: '' }]);
  });
});

describe('3.5.16 canned cycles', () => {
  it('names what is wrong', () => {
    for (const [text, message] of [
      ['F1\nG81 X1 Z1 R0.5', 'retract plane R 0.5 below the bottom 1 of G81'],
      ['F1\nG41 D1\nG81 X1 Z-1 R1', 'G81 under cutter radius compensation'],
      ['F1\nG93\nG81 X1 Z-1 R1', 'G81 in G93'],
      ['G81 X1 Z-1 R1', 'G81 with feed rate zero'],
      ['F1\nG81 X1 Z-1 R1 L0', 'G81 L0'],
      ['F1\nG84 X1 Z-1 R1', 'G84 while the spindle does not turn clockwise'],
      ['F1\nG83 X1 Z-1 R1 Q0', 'G83 Q0'],
    ]) expect(messageOf(text!), text).toBe(message); // prettier-ignore
    expect(classOf('F1\nG81 X1 Z1 R1')).toBe('good');
    expect(classOf('F1\nG81 X1 Z-1 R1 L1')).toBe('good');
    // The code is blamed where it stands, the retract plane by its own word.
    expect(run('F1\nX1 Z-1 R1 G84').errors[0]!.column).toBe(11);
    expect(run('F1\nG81 X1 Z1 R0.5').errors[0]!.column).toBe(11);
  });

  it('those that stop the spindle need one that turns; those that dwell need P, and keep it', () => {
    const words = 'X1 Z-1 R1 P1 I0 J0 K0';
    for (const code of ['G86', 'G87', 'G88']) {
      const line = `${code} ${code === 'G87' ? words.replace(' P1', '') : words.slice(0, 12)}`;
      expect(classOf(`F1\n${line}`), line).toBe('spindle-state');
      expect(classOf(`F1 S9 M4\n${line}`), line).toBe('good');
      expect(run(`F1 S9 M4\n${line}`).modal.spindle, line).toBe('ccw');
    }
    for (const code of ['G82', 'G86', 'G88', 'G89']) {
      expect(classOf(`F1 S9 M3\n${code} X1 Z-1 R1`), code).toBe('missing-word');
      const dwells = run(`F1 S9 M3\n${code} X1 Z-1 R1 P7\nX2\nX3 P8`).ops.filter(
        (op) => op.op === 'dwell',
      );
      expect(
        dwells.map((op) => op.op === 'dwell' && op.seconds),
        code,
      ).toEqual([7, 7, 8]);
    }
    for (const missing of ['I', 'J', 'K']) {
      const line = 'G87 X1 Z-1 R1 I1 J1 K0'.replace(new RegExp(` ${missing}\\d`), '');
      expect(messageOf(`F1 S9 M3\n${line}`)).toBe(`G87 without ${missing}`);
    }
  });

  it('spindle and synchronization as the steps of 3.5.16.5, .7, .8 and .9 say', () => {
    const acts = (text: string) =>
      run(`F1 S9 M3\n${text}`).ops.flatMap((op) => {
        if (op.op === 'spindle') return [op.direction];
        if (op.op === 'spindle-sync') return [`sync ${op.on}`];
        if (op.op === 'stop') return [op.optional ? 'M1' : op.message];
        return op.op === 'feed' || op.op === 'orient-spindle' ? [op.op] : [];
      });
    expect(acts('G84 X1 Z-1 R1')).toEqual(
      ['cw', 'sync true', 'feed', 'off', 'ccw', 'feed', 'sync false', 'off', 'cw'],
    ); // prettier-ignore
    expect(acts('G86 X1 Z-1 R1 P1')).toEqual(['cw', 'feed', 'off', 'cw']);
    expect(acts('G88 X1 Z-1 R1 P1')).toEqual(
      ['cw', 'feed', 'off', 'retract the spindle by hand', 'cw'],
    ); // prettier-ignore
    expect(acts('G87 X1 Z-1 R1 I1 J0 K0')).toEqual(
      ['cw', 'off', 'orient-spindle', 'cw', 'feed', 'feed', 'off', 'orient-spindle', 'cw'],
    ); // prettier-ignore
  });

  it('in exact path mode, and afterwards in the mode that was', () => {
    const modes = (before: string) =>
      run(`F1 ${before}\nG81 X1 Z-1 R1`).ops.flatMap((op) =>
        op.op === 'path-mode' ? [op.mode] : [],
      );
    expect(modes('')).toEqual(['exact-path', 'continuous']);
    expect(modes('G61')).toEqual(['exact-path']);
    expect(modes('G61.1')).toEqual(['exact-stop', 'exact-path', 'exact-stop']);
  });

  it('pecks stop 0.01 inch above the last depth in inches, too', () => {
    const depths = run('F1 G20 G99\nG83 X0 Z-1 R0 Q0.5').ops.flatMap((op) =>
      op.op === 'rapid' ? [op.to[2] / 25.4] : [],
    );
    expect(depths.map((z) => Number(z.toFixed(9)))).toContain(-0.49);
  });

  it('have a limit together, not one by one', () => {
    const limits = { cycleOps: 100, ops: 1000 };
    const cycles = (n: number) => `F1\nG81 Z-1 R1 X0\n${'X1\n'.repeat(n - 1)}`;
    // Each is two path modes, a rapid, a feed and a rapid; the first also goes up to R.
    expect(classOf(cycles(19), { limits })).toBe('good');
    expect(classOf(cycles(21), { limits })).toBe('limit');
    // What is no cycle does not count, before or after.
    const moves = 'G0 X1\n'.repeat(500);
    expect(classOf(`${moves}${cycles(19)}${moves.slice(0, 600)}`, { limits })).toBe('good');
    expect(run(`${moves}${moves}G0 X2`, { limits }).errors[0]!.message).toBe(
      'more than 1000 actions in the program',
    );
  });
});
