import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { findController } from '../../src/post/control/controllers.js';
import { LIMITS, readProgram } from '../../src/post/rs274/reader.js';
import type { CanonicalOp, Pt3 } from '../../src/model/op.js';
import { runs } from '../cam/oracle/runs.js';
import { run } from './read-text.js';

/** Rules of NISTIR 6556; the section is in each test's name. */
const ends = (text: string): Pt3[] => {
  const read = run(text);
  expect(read.errors.map((e) => e.message)).toEqual([]);
  return read.ops.flatMap((op) =>
    op.op === 'rapid' || op.op === 'feed' || op.op === 'arc' ? [op.to] : [],
  );
};

const errorOf = (text: string, options: Parameters<typeof readProgram>[1] = {}) => {
  const { errors } = run(text, options);
  expect(errors).toHaveLength(1);
  return errors[0]!;
};

const classOf = (text: string) => errorOf(text).errorClass;

const kinds = (ops: readonly CanonicalOp[]) => ops.map((op) => op.op);

describe('3.3.2.1 numbers', () => {
  it('reads what the rule allows', () => {
    for (const [text, value] of [
      ['1', 1],
      ['1.', 1],
      ['.5', 0.5],
      ['+.5', 0.5],
      ['- 1 2 . 3', -12.3],
      ['007.500', 7.5],
      ['0.1', 0.1],
      ['123456789.123456789', Number('123456789.123456789')],
      ['0.30000000000000004', 0.1 + 0.2],
      ['-0', 0],
    ] as const) {
      expect(ends(`G0 X${text}`)).toEqual([[value, 0, 0]]);
      expect(Object.is(ends(`G0 X${text}`)[0]![0], -0)).toBe(false);
    }
  });

  it('never reads hexadecimal, exponents, infinity, NaN or other spellings', () => {
    const spellings = [
      '0x10', '0X1F', '0b11', '0o17', '1e3', '1E3', '1.5e-3', '1d3', 'inf', 'Infinity', '-inf',
      'INF', 'NaN', 'nan', '1_000', '1,5', '1.2.3', '--1', '+-1', '.', '-', '+', '-.', '', '1e',
      '\u0661', '\uff11', '\u00bd', '1\u00a02', '1\u20092', "1'000", '$10', '&h10', '10h', '#', '[',
      '[]', '[1', '1]', '[*2]', '-[1]', '-#1', '=1', '0/0', '1/0',
    ]; // prettier-ignore
    for (const spelling of spellings) {
      const { ops, errors } = run(`G0 X${spelling}`);
      expect(errors, spelling).toHaveLength(1);
      expect(ops, spelling).toEqual([]);
    }
  });

  it('agrees with the decimal reading of the run-time for every plain decimal', () => {
    fc.assert(
      fc.property(
        fc.tuple(
          fc.constantFrom('', '-', '+'),
          fc.stringMatching(/^[0-9]{0,12}$/),
          fc.stringMatching(/^[0-9]{0,12}$/),
          fc.boolean(),
        ),
        ([sign, whole, fraction, point]) => {
          const body = point || fraction !== '' ? `${whole}.${fraction}` : whole;
          if (!/[0-9]/.test(body)) return;
          expect(ends(`G0 X${sign}${body}`)[0]![0]).toBe(Number(sign + body) + 0);
        },
      ),
      { numRuns: runs(1000) },
    );
  });

  it('takes 0.0001 as near enough where an integer is needed', () => {
    expect(kinds(run('G[20.999995] M[2.00005]').ops)).toContain('units');
    expect(classOf('T1.5')).toBe('not-integer');
    expect(classOf('G43 H1.01')).toBe('not-integer');
    expect(classOf('M3.5')).toBe('not-integer');
    expect(classOf('G2.55 X1')).toBe('unknown-code');
  });
});

describe('3.3 lines', () => {
  it('takes CR, LF and both as line ends and counts lines the same', () => {
    for (const end of ['\n', '\r', '\r\n']) {
      const read = run(['G0 X1', '', 'G0 X2', 'G0 X2 X3'].join(end));
      expect(read.errors[0]).toMatchObject({ line: 4, column: 7, errorClass: 'repeated-word' });
      expect(read.lineCount).toBe(4);
    }
    expect(readProgram('G0 X1\nM2\n').lineCount).toBe(2);
    expect(readProgram('').lineCount).toBe(1);
  });

  it('names line, column, rule and fix', () => {
    const error = errorOf('G21 G90\nG0 X1 \u00fc');
    expect([error.line, error.column]).toEqual([2, 7]);
    expect(error.rule).toMatch(/RS274\/NGC 3\.3/);
    expect(error.fix).toMatch(/remove the character/);
  });

  it('allows 256 characters and no more', () => {
    const line = (n: number) => `G0 X1 (${'a'.repeat(n - 8)})`;
    expect(run(line(256)).errors).toEqual([]);
    expect(errorOf(line(257))).toMatchObject({ errorClass: 'line-too-long', column: 257 });
  });

  it('skips deleted lines unread only when the switch is on', () => {
    expect(run('/G0 X1 ???', { blockDelete: true }).errors).toEqual([]);
    expect(classOf('/G0 X1 ???')).toBe('bad-character');
    expect(ends('/ N5 G0 X1')).toEqual([[1, 0, 0]]);
    expect(classOf('G0 / X1')).toBe('bad-character');
  });

  it('refuses a comment that is not closed, nested or with control characters', () => {
    expect(classOf('G0 X1 (never closed')).toBe('unclosed-comment');
    expect(classOf('(a\u0018b)')).toBe('bad-character');
    expect(run('(caf\u00e9)').errors).toEqual([]);
    expect(classOf('caf\u00e9')).toBe('bad-character');
  });

  it('3.3.4: only the last comment of a line counts', () => {
    expect(kinds(run('(MSG, one) G4 P1 (two)').ops)).toEqual(['dwell']);
    expect(run('(one) G4 P1 (MSG,two)').ops[0]).toMatchObject({ op: 'message', text: 'two' });
  });

  it('3.1: ends of files', () => {
    expect(readProgram('G0 X1\nM30\nthis is never read (((').end).toBe('M30');
    expect(readProgram('\n\n%\nG0 X1\n%\n').end).toBe('percent');
    expect(readProgram('%\nG0 X1\n').errors[0]!.errorClass).toBe('missing-program-end');
    expect(readProgram('%\nG0 X1\nM2\n').end).toBe('M2');
    expect(readProgram('G0 X1\n%\nM2\n').errors[0]!.errorClass).toBe('bad-character');
    expect(readProgram('%\nG0 X1\n% end\n').errors[0]!.errorClass).toBe('bad-character');
    expect(readProgram('').errors[0]!.errorClass).toBe('missing-program-end');
  });
});

describe('3.3.2 expressions', () => {
  const x = (text: string) => ends(`G0 X${text}`)[0]![0];

  it('ranks ** over * / MOD over + - OR XOR AND, left to right inside a rank', () => {
    expect(x('[2 ** 3 ** 2]')).toBe((2 ** 3) ** 2);
    expect(x('[2 * 3 ** 2]')).toBe(18);
    expect(x('[8 / 2 * 4]')).toBe(16);
    expect(x('[7 - 2 - 1]')).toBe(4);
    expect(x('[1 OR 0 AND 0]')).toBe(0);
    expect(x('[1 + 1 AND 0]')).toBe(0);
    expect(x('[10 MOD 4 * 3]')).toBe(6);
    expect(x('[-10 MOD 4]')).toBe(2);
    expect(x('[[1 + 2] * [3 + 4]]')).toBe(21);
  });

  it('has functions in degrees; FIX goes down and FUP goes up', () => {
    expect(x('SIN[30]')).toBeCloseTo(0.5, 12);
    expect(x('ACOS[-1]')).toBeCloseTo(180, 12);
    expect(x('ATAN[-1]/[-1]')).toBeCloseTo(-135, 12);
    expect(x('FIX[-2.8]')).toBe(-3);
    expect(x('ROUND[-2.5]')).toBe(-3);
    expect(x('ROUND[2.5]')).toBe(3);
    expect(x('a b s [ - 2 ]')).toBe(2);
  });

  it('has no value for what is not a finite real number', () => {
    for (const text of [
      '[1/0]', '[0/0]', '[5 MOD 0]', 'SQRT[-1]', 'LN[0]', 'LN[-1]', 'ACOS[2]', 'ASIN[-1.5]',
      'EXP[1000]', '[[-8] ** 0.5]', '[0 ** -1]', '[10 ** 400]',
    ]) expect(classOf(`G0 X${text}`), text).toBe('arithmetic'); // prettier-ignore
  });

  it('refuses what is not an expression', () => {
    for (const text of ['[1 + ]', '[1 ^ 2]', 'SIN 30', 'SIN[30', 'ATAN[1]', '[1 + (x) 2]']) {
      expect(run(`G0 X${text}`).errors, text).toHaveLength(1);
    }
    for (const text of [
      'SIN 30',
      'SIN[30',
      'SINE[30]',
      'FOO[1]',
      'ATAN[1]',
      'ATAN[1]/1',
      '[1 EQ 1]',
    ]) {
      expect(classOf(`G0 X${text}`), text).toBe('syntax');
    }
    for (const text of ['FOO', 'NAN', '[ ]', '(c)1']) {
      expect(classOf(`G0 X${text}`), text).toBe('bad-number');
    }
  });

  it('reads all parameters of a line before it sets any', () => {
    expect(ends('#1=5\n#1=[#1+1] #2=#1 G0 X#1\nX#2\nX#1')).toEqual([
      [5, 0, 0],
      [5, 0, 0],
      [6, 0, 0],
    ]);
    expect(classOf('#5400=1')).toBe('parameter-range');
    expect(classOf('#1.5=1')).toBe('not-integer');
    expect(classOf('G0 X#1.5')).toBe('not-integer');
    expect(classOf('G0 X#0')).toBe('parameter-range');
    expect(classOf('G0 X##1')).toBe('parameter-range');
  });

  it('nests as deep as a line is long', () => {
    const depth = 120;
    expect(x(`${'['.repeat(depth)}7${']'.repeat(depth)}`)).toBe(7);
  });
});

describe('3.4 and 3.5 codes and words', () => {
  it('refuses two codes that both use axis words', () => {
    expect(classOf('G0 G92 X1')).toBe('axis-conflict');
    expect(classOf('G1 G28 X1 F1')).toBe('axis-conflict');
    expect(classOf('G92')).toBe('axis-missing');
    expect(classOf('X1')).toBe('axis-without-command');
  });

  it('refuses words that no code on the line uses', () => {
    for (const text of ['D1', 'H1', 'I1', 'L2', 'Q1', 'R1', 'G0 X1 R2', 'G81 X1 Z-1 R1 P2 F1']) {
      expect(classOf(text), text).toBe('unused-word');
    }
  });

  it('refuses values that a word may not have', () => {
    for (const text of [
      'G-1 X1',
      'M-3',
      'F-1',
      'S-1',
      'T-1',
      'G4 P-1',
      'G43 H-1',
      'G41 D-1',
      'G81 X1 Z-1 R1 L-1',
    ]) {
      expect(classOf(text), text).toBe('negative-value');
    }
    for (const text of ['T69', 'G43 H69', 'G10 L2 P10', 'G10 L2 P0', 'F1 G83 X1 Z-1 R1 Q0']) {
      expect(classOf(text), text).toBe('value-range');
    }
    expect(classOf('G10 L2 P1.5 X1')).toBe('not-integer');
    expect(classOf('G10 L2 X1')).toBe('missing-word');
  });

  it('refuses letters and rotary axes that it does not drive, by name', () => {
    expect(errorOf('G0 A90').message).toMatch(/rotary axis A/);
    for (const name of ['E', 'O', 'U', 'V', 'W']) expect(classOf(`${name}1`)).toBe('bad-character');
  });

  it('3.5.12: G53 goes by the active motion code and in machine coordinates', () => {
    expect(ends('G10 L2 P1 X10\nG0 X0\nG53 X0')).toEqual([
      [0, 0, 0],
      [-10, 0, 0],
    ]);
    expect(classOf('G53 X0')).toBe('axis-without-command');
    expect(classOf('F1 G2 X2 I1\nG53 X0 I1')).toBe('g53-mode');
    expect(classOf('F1\nG53 G2 X2 I1')).toBe('g53-mode');
    expect(ends('G91\nG90 G53 G0 X3')).toEqual([[3, 0, 0]]);
    expect(run('G53 G0 X1').ops[0]).toMatchObject({ op: 'rapid', machine: true });
  });

  it('3.5.8: G28 and G30 go by way of the point to the stored position', () => {
    expect(ends('#5161=100 #5162=50 #5163=20\nG28 X1 Y2')).toEqual([
      [1, 2, 0],
      [100, 50, 20],
    ]);
    expect(ends('#5181=-1\nG30')).toEqual([[-1, 0, 0]]);
    // In another work system the same place has other numbers.
    expect(ends('#5161=100\nG10 L2 P2 X30\nG55 G28')).toEqual([[70, 0, 0]]);
  });

  it('3.5.13: nine work systems; a change moves nothing', () => {
    expect(ends('G10 L2 P1 X10\nG10 L2 P9 X-5\nG0 X0\nG59.3\nG0 Y1\nG54 G0 Y2')).toEqual([
      [0, 0, 0],
      [15, 1, 0],
      [0, 2, 0],
    ]);
    const { ops } = run('G10 L2 P2 X30\nG55\nG55');
    expect(ops.filter((op) => op.op === 'origin-offsets')).toEqual([
      { op: 'origin-offsets', line: 2, offsetMm: [30, 0, 0] },
    ]);
  });

  it('table 2: an origin set as a parameter counts when its system is next selected', () => {
    expect(ends('#5221=10\nG53 G0 X0\nG55\nG54\nG53 G0 X0')).toEqual([
      [0, 0, 0],
      [-10, 0, 0],
    ]);
  });

  it('3.5.18: G92 adds up, .1 clears, .2 suspends, .3 restores', () => {
    expect(ends('G0 X10\nG92 X0\nG0 X1\nG92.2\nG0 Y1\nG92.3\nG0 Y2\nG92.1\nG0 Y3\nG92.3\nG0 Y4'))
      .toEqual([
        [10, 0, 0],
        [1, 0, 0],
        [11, 1, 0],
        [1, 2, 0],
        [11, 3, 0],
        [11, 4, 0],
      ]); // prettier-ignore
  });

  it('3.5.7: offsets stay where they are when the units change', () => {
    expect(ends('G10 L2 P1 X25.4\nG20 G0 X1\nG21 G0 Y1')).toEqual([
      [25.4, 0, 0],
      [25.4, 1, 0],
    ]);
    expect(ends('G10 L2 P1 X25.4\nG20\n#1=#5221\nG0 X#1')[0]![0]).toBeCloseTo(25.4, 12);
  });

  it('3.5.11: tool length shifts Z and moves nothing', () => {
    const tools = { 3: { lengthMm: 40, diameterMm: 6 } };
    const { ops, errors } = run('G0 Z50\nG43 H3\nG0 Z5\nG49\nG0 Z45', { tools });
    expect(errors).toEqual([]);
    const [first, second, third] = ops.filter((op) => op.op === 'rapid');
    expect([first!.to, second!.from, second!.to, third!.from]).toEqual([
      [0, 0, 50],
      [0, 0, 10],
      [0, 0, 5],
      [0, 0, 45],
    ]);
  });

  it('3.5.10: cutter radius compensation is refused by name when it would move', () => {
    expect(run('G41 D1\nG40').errors).toEqual([]);
    expect(errorOf('F1\nG41 D1\nG1 X10').message).toMatch(/compensation is not carried out/);
    for (const text of [
      'G42',
      'G18',
      'G20',
      'G28',
      'G55',
      'G53 G0 X1',
      'G92 X1',
      'G81 X1 Z-1 R1',
    ]) {
      expect(classOf(`F1\nG41 D1\n${text}`), text).toBe('cutter-comp');
    }
    expect(run('F1\nG41 D0\nG1 X10').errors).toEqual([]);
  });

  it('3.5.19: inverse time', () => {
    const { ops } = run('G93 G1 X30 Y40 F2\nG3 X30 Y60 J10 F4');
    expect(ops.filter((op) => op.op === 'feed')[0]).toMatchObject({ feedMmPerMin: 100 });
    const arc = ops.find((op) => op.op === 'arc')!;
    expect(arc).toMatchObject({ feedMmPerMin: expect.closeTo(Math.PI * 10 * 4, 9) });
    expect(classOf('G93 G2 X2 I1')).toBe('feed-missing');
    expect(classOf('F5\nG93\nG38.2 X9')).toBe('probe');
    expect(classOf('F5\nG93\nG81 X1 Z-1 R1 F2')).toBe('feed-mode');
    // The number of an inverse time feed is no feed rate afterwards.
    expect(classOf('G93 G1 X1 F2\nG94\nG1 X2')).toBe('feed-missing');
  });

  it('3.6: stops tell what the comment before them says', () => {
    const { ops } = run('(turn the part over)\n(mind the clamp)\nM0\nG4 P1\nM1\nM60 (look)');
    expect(ops.filter((op) => op.op === 'stop')).toEqual([
      { op: 'stop', line: 3, message: 'turn the part over mind the clamp', optional: false },
      { op: 'stop', line: 5, message: '', optional: true },
      { op: 'stop', line: 6, message: 'look', optional: false },
    ]);
  });

  it('3.6.4: M9 turns all coolant off, whatever was on', () => {
    const coolant = (text: string) =>
      run(text).ops.flatMap((op) => (op.op === 'coolant' ? [`${op.kind} ${op.on}`] : []));
    expect(coolant('M7\nM8\nM9')).toEqual(['mist true', 'flood true', 'mist false', 'flood false']);
    expect(coolant('M9')).toEqual(['mist false', 'flood false']);
    // M2 says only what changes.
    expect(coolant('M8\nM2')).toEqual(['flood true', 'flood false']);
  });

  it('3.6.3: the spindle stands still after a tool change', () => {
    const { ops } = run('F10 S500 M3\nG1 X1\nT1 M6\nG1 X2');
    expect(ops.filter((op) => op.op === 'feed').map((op) => op.spindleRpm)).toEqual([500, 0]);
  });
});

describe('3.5.3 arcs', () => {
  it('take centres in all planes, counter-clockwise seen from the plus end of the normal', () => {
    const centre = (text: string) => {
      const arc = run(`F1\n${text}`).ops.find((op) => op.op === 'arc')!;
      return arc.center;
    };
    expect(centre('G17 G3 X1 Y1 I1')).toEqual([1, 0]);
    expect(centre('G18 G3 X1 Z1 K1')).toEqual([0, 1]);
    expect(centre('G19 G3 Y1 Z1 K1')).toEqual([0, 1]);
    // Radius format, a quarter turn: the centre lies to the left of a counter-clockwise arc. In the
    // XZ plane the turn is from Z to X.
    for (const [text, expected] of [
      ['G17 G3 X1 Y1 R1', [0, 1]],
      ['G18 G3 X1 Z1 R1', [1, 0]],
      ['G19 G3 Y1 Z1 R1', [0, 1]],
      ['G17 G2 X1 Y1 R1', [1, 0]],
    ] as const) {
      const found = centre(text);
      expect(found[0], text).toBeCloseTo(expected[0], 12);
      expect(found[1], text).toBeCloseTo(expected[1], 12);
    }
  });

  it('radius format agrees with centre format on random arcs', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.5, max: 50, noNaN: true }),
        fc.double({ min: -3.1, max: 3.1, noNaN: true }),
        fc.double({ min: 0.1, max: 6.1, noNaN: true }),
        fc.boolean(),
        (radius, start, sweep, ccw) => {
          // Near 180 degrees the centre hangs on the last digit of the chord (3.5.3.1).
          if (Math.abs(sweep - Math.PI) < 0.05) return;
          const turn = ccw ? sweep : -sweep;
          const from = [radius * Math.cos(start), radius * Math.sin(start)];
          const to = [radius * Math.cos(start + turn), radius * Math.sin(start + turn)];
          const r = sweep > Math.PI ? -radius : radius;
          const words = [...from, ...to, r].map((v) => v.toFixed(12));
          const read = run(
            `F1\nG0 X${words[0]} Y${words[1]}\nG${ccw ? 3 : 2} X${words[2]} Y${words[3]} R${words[4]}`,
          );
          const arc = read.ops.find((op) => op.op === 'arc')!;
          expect(arc.center[0]).toBeCloseTo(0, 7);
          expect(arc.center[1]).toBeCloseTo(0, 7);
        },
      ),
      { numRuns: runs(500) },
    );
  });

  it('refuse a radius of zero and mixed or foreign words', () => {
    expect(classOf('F1\nG2 X0 Y0 I0 J0')).toBe('arc-radius');
    expect(classOf('F1\nG2 X1 R0')).toBe('arc-radius');
    expect(classOf('F1\nG19 G2 Y1 I1')).toBe('arc-plane');
    expect(classOf('F1\nG2 I1')).toBe('axis-missing');
    expect(classOf('G2 X2 I1')).toBe('feed-missing');
  });

  it('keep the tolerance: 0.002 mm and 0.0002 inch', () => {
    for (const [text, good] of [
      ['G21\nG2 X10.0019 I5', true],
      ['G21\nG2 X10.0021 I5', false],
      ['G20\nG2 X1.00019 I0.5', true],
      ['G20\nG2 X1.00021 I0.5', false],
    ] as const) {
      expect(run(`F1\n${text}`).errors.length === 0, text).toBe(good);
    }
  });
});

describe('3.5.16 canned cycles', () => {
  it('in the other planes drill along Y and along X', () => {
    expect(ends('F1\nG0 X1 Y5 Z2\nG18 G99 G81 X3 Z4 Y-1 R2')).toEqual([
      [1, 5, 2],
      [3, 5, 4],
      [3, 2, 4],
      [3, -1, 4],
      [3, 2, 4],
    ]);
    expect(ends('F1\nG0 X5\nG19 G98 G81 Y3 Z4 X-1 R2')).toEqual([
      [5, 0, 0],
      [5, 3, 4],
      [2, 3, 4],
      [-1, 3, 4],
      [5, 3, 4],
    ]);
  });

  it('keep R, Z, P and Q while the same cycle goes on, and not afterwards', () => {
    expect(ends('F1\nG0 Z3\nG99 G81 X1 Z-1 R2\nX2')).toEqual([
      [0, 0, 3],
      [1, 0, 3],
      [1, 0, 2],
      [1, 0, -1],
      [1, 0, 2],
      [2, 0, 2],
      [2, 0, -1],
      [2, 0, 2],
    ]);
    expect(classOf('F1\nG81 X1 Z-1 R2\nG0 X2\nG81 X3')).toBe('missing-word');
    expect(classOf('F1\nG81 X1 Z-1 R2\nG82 X3 P1')).toBe('missing-word');
    expect(classOf('F1\nG81 X1 Z-1 R2 L0')).toBe('value-range');
  });

  it('G83 comes back to 0.254 mm above the last depth', () => {
    expect(ends('F1\nG0 Z5\nG99 G83 X0 Z-3 R1 Q2').map((p) => p[2])).toEqual([
      5,
      5,
      1,
      -1,
      1,
      -1 + 0.254,
      -3,
      1,
    ]);
  });

  it('G83 goes out to the clear height between pecks, which under G98 may be above R', () => {
    expect(ends('F1\nG0 Z5\nG98 G83 X0 Z-3 R1 Q2').map((p) => p[2])).toEqual([
      5,
      5,
      1,
      -1,
      5,
      -1 + 0.254,
      -3,
      5,
    ]);
  });

  it('after G88 the place that counts is where the operator lifts the tool to', () => {
    const text = 'F1 S9 M3\nG0 Z5\nG99 G88 X1 Z-3 R1 P1\nG91 G0 Z1';
    expect(ends(text).at(-1)).toEqual([1, 0, 2]);
  });

  it('G82 to G89 dwell, stop and turn as they should', () => {
    const acts = (text: string) =>
      kinds(run(`F1 S100 M3\nG0 Z5\n${text}`).ops).filter(
        (k) => !['rapid', 'feed-rate', 'spindle-speed', 'path-mode'].includes(k),
      );
    expect(acts('G82 X1 Z-1 R1 P2')).toEqual(['spindle', 'feed', 'dwell']);
    expect(acts('G84 X1 Z-1 R1')).toEqual([
      'spindle', 'spindle-sync', 'feed', 'spindle', 'spindle', 'feed', 'spindle-sync', 'spindle', 'spindle',
    ]); // prettier-ignore
    expect(acts('G85 X1 Z-1 R1')).toEqual(['spindle', 'feed', 'feed']);
    expect(acts('G86 X1 Z-1 R1 P1')).toEqual(['spindle', 'feed', 'dwell', 'spindle', 'spindle']);
    expect(acts('G88 X1 Z-1 R1 P1')).toEqual([
      'spindle',
      'feed',
      'dwell',
      'spindle',
      'stop',
      'spindle',
    ]);
    expect(acts('G89 X1 Z-1 R1 P1')).toEqual(['spindle', 'feed', 'dwell', 'feed']);
    expect(acts('G87 X1 Z-1 R1 I1 J0 K0')).toEqual([
      'spindle', 'spindle', 'orient-spindle', 'spindle', 'feed', 'feed', 'spindle', 'orient-spindle', 'spindle',
    ]); // prettier-ignore
    expect(classOf('F1\nG86 X1 Z-1 R1 P1')).toBe('spindle-state');
  });
});

describe('stop or collect', () => {
  const text = 'G21\nG0 X1 X2\nG0 Y1\nG5\nM2\n';
  it('stops at the first fault unless told otherwise', () => {
    expect(readProgram(text).errors.map((e) => e.line)).toEqual([2]);
    expect(readProgram(text).ops.map((op) => op.op)).toEqual(['units']);
    const all = readProgram(text, { onError: 'collect' });
    expect(all.errors.map((e) => e.line)).toEqual([2, 4]);
    expect(all.end).toBe('M2');
  });
});

describe('limits', () => {
  it('are named', () => {
    const limited = (text: string, limits: Record<string, number>) =>
      readProgram(text, { limits }).errors[0]!;
    expect(limited('G0 X1\n'.repeat(9), { lines: 5 }).message).toMatch(/6 lines.*limit of 5/);
    expect(limited('G0 X1\n'.repeat(9), { characters: 20 }).message).toMatch(/characters.*of 20/);
    expect(limited('F1\nG81 X1 Z-1 R1 L100000', { ops: 1000 }).message).toMatch(/more than 1000/);
  });

  it('hold a cycle that would never end, and leave nothing of it', () => {
    const read = readProgram('F1\nG0 Z1\nG83 X1 Z-1 R1 Q.000000001 L99999\nM2\n', {
      limits: { ops: 200_000 },
    });
    expect(read.errors[0]!.errorClass).toBe('limit');
    expect(read.ops.map((op) => op.op)).toEqual(['feed-rate', 'rapid']);
    expect(LIMITS.ops).toBeLessThanOrEqual(1_000_000);
  });
});

describe('dialects', () => {
  it('are off unless a class is given, and then only what it knows', () => {
    const pc = findController('pc-based');
    const text = 'G21\nG91.1\nG64 P0.01\nG0 X1\nM2\n';
    expect(readProgram(text).errors[0]!.errorClass).toBe('unknown-code');
    expect(readProgram(text, { controller: pc }).errors).toEqual([]);
    const small = findController('small-stream');
    expect(readProgram('; x\nM2\n', { controller: small }).errors).toEqual([]);
    expect(readProgram('G1 F100\nX1\nM2\n', { controller: small }).ops.at(1)).toMatchObject({
      op: 'feed',
      to: [1, 0, 0],
    });
  });
});

describe('arc centres as places, where a class has G90.1', () => {
  const pc = findController('pc-based');
  const arcs = (...lines: string[]) =>
    readProgram(['G21', 'F100', 'G0 X7 Y3', ...lines, 'M2'].join('\n'), { controller: pc });
  const centre = (read: ReturnType<typeof arcs>) =>
    read.ops.flatMap((op) => (op.op === 'arc' ? [op.center] : []));

  it('are the same arcs as those from the start', () => {
    const places = arcs('G90.1', 'G3 X3 Y7 I3 J3', 'G2 X7 Y3 I7 J7');
    const offsets = arcs('G91.1', 'G3 X3 Y7 I-4 J0', 'G2 X7 Y3 I4 J0');
    expect(places.errors).toEqual([]);
    expect(places.ops.filter(({ op }) => op === 'arc')).toEqual(
      offsets.ops.filter(({ op }) => op === 'arc'),
    );
    // Back again, in another plane, and in another work zero: in the program's own coordinates.
    expect(centre(arcs('G90.1', 'G91.1', 'G3 X3 Y7 I-4 J0'))).toEqual([[3, 3]]);
    expect(centre(arcs('G90.1', 'G18', 'G3 X3 Z4 I3 K0'))).toEqual([[3, 0]]);
    expect(arcs('G90.1', 'G92 X0 Y0', 'G3 X-4 Y4 I-4 J0').errors).toEqual([]);
    expect(arcs('G90.1').modal.arcCentres).toBe('places');
    expect(arcs('G91.1').modal.arcCentres).toBe('offsets');
  });

  it('want both words, and a class that knows the code', () => {
    expect(arcs('G90.1', 'G3 X3 Y7 I3').errors).toMatchObject([
      { line: 5, errorClass: 'arc-format' },
    ]);
    expect(arcs('G90.1', 'G3 X3 Y7 R4').errors).toEqual([]);
    expect(readProgram('G90.1\nM2\n').errors[0]!.errorClass).toBe('unknown-code');
    expect(readProgram('G97\nM2\n').errors[0]!.errorClass).toBe('unknown-code');
    expect(arcs('G97').errors).toEqual([]);
    const small = findController('small-stream');
    const on = (text: string) => readProgram(text, { controller: small }).errors.length;
    expect([on('G91.1\nM2\n'), on('G90.1\nM2\n'), on('G97\nM2\n')]).toEqual([0, 1, 1]);
  });
});

describe('a long program', () => {
  it('is read to its end', () => {
    const lines = ['G21', 'G90', 'G17', 'F300'];
    for (let i = 0; lines.length < 60_000; i++) {
      const a = i * 0.01;
      const x = (30 * Math.cos(a)).toFixed(3);
      const y = (30 * Math.sin(a)).toFixed(3);
      lines.push(`G1 X${x} Y${y} Z-${(i % 50) / 100} F${100 + (i % 7)}`);
    }
    lines.push('M2');
    const text = lines.join('\n');
    const read = readProgram(text);
    expect(read.errors).toEqual([]);
    expect(read.ops.filter((op) => op.op === 'feed')).toHaveLength(59_996);
  });
});
