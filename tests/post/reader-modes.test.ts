/** What the reader tells about a program beside its moves: modes, ends, first move, unknown values. */
import { describe, expect, it } from 'vitest';
import { findController } from '../../src/post/control/controllers.js';
import { readProgram, type ReadOptions } from '../../src/post/rs274/reader.js';
import { run } from './read-text.js';

const whole = (text: string, options: ReadOptions = {}) => readProgram(text, options);

describe('before the first move', () => {
  it('which modes were stated, on lines before it or on its own', () => {
    const stated = (text: string) => [...run(text).statedBeforeMotion].sort();
    expect(stated('')).toEqual([]);
    expect(stated('G0 X1\nG21 G90 G17 G94 G54 G40')).toEqual([]);
    expect(stated('G21\nG90\nG17\nG94\nG54\nG40\nG0 X1')).toEqual(
      ['cutterRadius', 'distance', 'feedMode', 'plane', 'units', 'workOffset'],
    ); // prettier-ignore
    expect(stated('G20 G91 G0 X1')).toEqual(['distance', 'units']);
    expect(stated('G92 X1\nG10 L2 P1 X2\nM3\nG4 P1\nG21\nG0 X1')).toEqual(['units']);
    expect(stated('G21')).toEqual(['units']);
  });

  it('which line moves first, of whatever kind, and in which distance mode', () => {
    for (const [text, line, distance] of [
      ['G21\nG0 X1', 2, 'absolute'],
      ['F1\nG91\nG1 X1\nG90\nX2', 3, 'incremental'],
      ['F1\n\nG2 X2 I1\nG91 X3 I1', 3, 'absolute'],
      ['F1\nG91 G38.2 Z-1\nG0 X1', 2, 'incremental'],
      ['G28\nG0 X1', 1, 'absolute'],
      ['F1\nG81 X1 Z-1 R1\nG0 X2', 2, 'absolute'],
      ['G53 G0 X0', 1, 'absolute'],
      ['G92 X1\nG4 P1\nM3\n\n(only talk)', null, null],
    ] as const) {
      const read = run(text);
      expect([read.firstMotionLine, read.firstMotionDistance], text).toEqual([line, distance]);
    }
  });

  it('which units, in the order they were switched to', () => {
    const units = (text: string) => run(text).unitsSeen;
    expect(units('G0 X1')).toEqual([]);
    expect(units('G21\nG21')).toEqual(['mm']);
    expect(units('G20\nG0 X1\nG21\nG21\nG20')).toEqual(['inch', 'mm', 'inch']);
  });
});

describe('figures that the program has not put there', () => {
  it('each kind once, at its first line', () => {
    const unknown = (text: string) => run(text).unknownValues;
    expect(unknown('G0 X1')).toEqual([]);
    expect(unknown('G0 X#7 Y#8\nX#7\nX[#9+#7]')).toEqual([
      { line: 1, what: '#7' },
      { line: 1, what: '#8' },
      { line: 3, what: '#9' },
    ]);
    expect(unknown('#7=1\nG0 X#7')).toEqual([]);
    expect(unknown('##7=1')).toEqual([{ line: 1, what: '#7' }]);
    expect(unknown('G92.3')).toEqual([{ line: 1, what: 'G92.3' }]);
    expect(unknown('G92.2\nG92.3')).toEqual([{ line: 2, what: 'G92.3' }]);
    expect(unknown('G92 Y1\nG92.3')).toEqual([]);
    expect(unknown('G92.1\nG92.3')).toEqual([]);
    expect(unknown('F1\nG38.2 X5\n#1=#5061 #2=#5063 #3=#5064')).toEqual(
      ['#5061', '#5063', '#5064'].map((what) => ({ line: 3, what })),
    );
    expect(unknown('#5064=1\n#1=#5064')).toEqual([]);
  });
});

describe('ends', () => {
  it('M2 and M30 put back what 3.6.1 lists and nothing else, and say what changes', () => {
    const before = 'G20 F7 S9 T3 M3 M7 M8 M49'.split(' ').join('\n');
    for (const end of ['M2', 'M30'] as const) {
      const text = `${before}\nG91\nG19\nG93\nG55\nG92 X4\nG61\nG99\n${end}\nG0 X1 ???`;
      const read = whole(text);
      expect(read.errors).toEqual([]);
      expect(read.end).toBe(end);
      expect(read.lastLineRead).toBe(16);
      expect(read.lineCount).toBe(17);
      expect(read.modalBeforeEnd).toMatchObject({
        distance: 'incremental', plane: 'yz', feedMode: 'inverse-time', workSystem: 'G55',
        spindle: 'cw', coolant: { mist: true, flood: true }, overrides: false,
      }); // prettier-ignore
      expect(read.modal).toMatchObject({
        distance: 'absolute', plane: 'xy', feedMode: 'per-minute', workSystem: 'G54', spindle: 'off',
        coolant: { mist: false, flood: false }, overrides: true, cutterCompensation: 'off',
        motion: 'G1', shiftMm: [0, 0, 0],
        units: 'inch', feedMmPerMin: expect.closeTo(7 * 25.4, 9), rpm: 9, pathMode: 'exact-path', cycleRetract: 'r-plane',
      }); // prettier-ignore
      const said = read.ops.filter((op) => op.line === 16);
      expect(said.map((op) => op.op)).toEqual(
        ['origin-offsets', 'plane', 'overrides', 'spindle', 'coolant', 'coolant', 'end'],
      ); // prettier-ignore
      expect(said[1]).toMatchObject({ plane: 'xy' });
      expect(said[2]).toMatchObject({ enabled: true });
      expect(said.slice(4, 6)).toMatchObject([
        { kind: 'mist', on: false },
        { kind: 'flood', on: false },
      ]);
    }
    expect(whole('G41 D0\nM2')).toMatchObject({
      modalBeforeEnd: { cutterCompensation: 'left' },
      modal: { cutterCompensation: 'off' },
    });
    // Where all is as it should be already, only what always is said.
    expect(whole('M2').ops.map((op) => op.op)).toEqual(['origin-offsets', 'spindle', 'end']);
    expect(whole('M2').modalBeforeEnd).not.toBe(null);
    expect(whole('M0\nM1\n').modalBeforeEnd).toBe(null);
  });

  it('M48 and M49, M3 to M5, T and F say what they set', () => {
    const ops = run('M49\nM48\nM4 S5\nM5\nM3\nT4\nM6').ops;
    expect(ops.filter((op) => op.op === 'overrides')).toMatchObject([
      { enabled: false },
      { enabled: true },
    ]);
    expect(ops.filter((op) => op.op === 'spindle').map((op) => op.op === 'spindle' && op.direction))
      .toEqual(['ccw', 'off', 'cw']); // prettier-ignore
    expect(run('M49').modal.overrides).toBe(false);
    expect(ops.at(-1)).toMatchObject({ op: 'change-tool', slot: 4 });
    expect(run('T69').errors[0]!.message).toMatch(/^T69;/);
    expect(run('G20\nF2').ops.at(-1)).toMatchObject({ feedMmPerMin: expect.closeTo(50.8, 9) });
  });

  it('without an end, with one percent line, with text beside a percent sign', () => {
    const error = (text: string) => whole(text).errors[0]!;
    expect(error('G0 X1\n\n')).toMatchObject({
      line: 2,
      errorClass: 'missing-program-end',
      message: 'the file ends without M2, M30 or a pair of percent lines',
    });
    expect(error('')).toMatchObject({ line: 1, errorClass: 'missing-program-end' });
    expect(error('%\nG0 X1\n').message).toBe('the second percent line is missing');
    expect(error('% 12\nM2')).toMatchObject({ column: 3, message: "'1' after '%'" });
    expect(error('% 12\nM2').fix).toContain('percent sign alone');
    expect(error('\n % \nG0 X1\n  %x').errorClass).toBe('bad-character');
    expect(whole('\n % \nG0 X1\n\t%\t\n???')).toMatchObject({
      end: 'percent',
      errors: [],
      lastLineRead: 4,
      lineCount: 5,
    });
    expect(whole('%\n%')).toMatchObject({ end: 'percent', errors: [], ops: [] });
    // After the first line of a program a single percent sign is no start any more.
    expect(whole('G0 X1\n%\nM2').errors.map((e) => e.line)).toEqual([2]);
    expect(run('%').errors).toHaveLength(1);
  });
});

describe('options', () => {
  it('where the machine stands and where its work zero lies', () => {
    const text = 'G91\nG0 X1 Y1 Z1\nG53 G90 G0 X0 Y0 Z0';
    const { ops } = run(text, { startMm: [10, 20, 30], workOriginMm: [1, 2, 3] });
    expect(ops.flatMap((op) => (op.op === 'rapid' ? [op.to] : []))).toEqual([
      [11, 21, 31],
      [-1, -2, -3],
    ]);
  });

  it('limits: the figure itself is good, one more is not, and reading stops there', () => {
    const of = (text: string, limits: ReadOptions['limits']) =>
      run(text, { limits: limits!, onError: 'collect' }).errors.map((e) => e.message);
    expect(of('G0 X1', { characters: 5 })).toEqual([]);
    expect(of('G0 X12', { characters: 5 })).toEqual(['6 characters, more than the limit of 5']);
    expect(of('G0 X1\nX2', { lines: 2 })).toEqual([]);
    expect(of('G0 X1\nX2\nG77', { lines: 2 })).toEqual(['3 lines, more than the limit of 2']);
    expect(run('G0 X1\nX2\nX3\nX4', { limits: { lines: 2 } }).lineCount).toBe(3);
    expect(of('G77\nG77\nG77\nG77', { errors: 3 })).toHaveLength(3);
    expect(of('G0 X1\nX2\nX3\nG77', { ops: 2 })).toEqual(['more than 2 actions in the program']);
    expect(run(`G0 X1 (${'a'.repeat(300)})`).errors[0]!.message).toBe('a line of 308 characters');
    // A class that takes longer lines.
    const jerk = { controller: findController('jerk-limited') };
    expect(run(`G0 X1 (${'a'.repeat(300)})`, jerk).errors).toEqual([]);
  });

  it('lines that start with a slash are left out when the switch says so, others never', () => {
    const xs = (blockDelete: boolean) =>
      run('G0 X1\n /X2\nX3', { blockDelete }).ops.map((op) => (op.op === 'rapid' ? op.to[0] : 0));
    expect(xs(true)).toEqual([1, 3]);
    expect(xs(false)).toEqual([1, 2, 3]);
  });
});

describe('offsets left behind', () => {
  it('by the parameters of RS274/NGC table 2, each from its first to its third', () => {
    const left = (index: number) => run(`#${index}=5`).offsetsLeft;
    const groups: readonly (readonly [first: number, what: string])[] = [
      [5161, 'G28'],
      [5181, 'G30'],
      [5211, 'G92'],
      [5221, 'G54'],
      [5241, 'G55'],
      [5381, 'G59.3'],
    ];
    for (const [first, what] of groups) {
      for (const index of [first, first + 1, first + 2]) {
        expect(left(index), `${index}`).toEqual([{ line: 1, what }]);
      }
      expect(left(first + 3), what).toEqual([]);
    }
    for (const index of [5160, 5180, 5210, 5219, 5240, 5401]) expect(left(index)).toEqual([]);
    expect(run('#5220=2').offsetsLeft).toEqual([{ line: 1, what: 'the active work system' }]);
    expect(run('G10 L2 P2 X1').offsetsLeft).toEqual([{ line: 1, what: 'G55' }]);
    // Put back to nothing.
    expect(run('#5211=5\n#5211=0').offsetsLeft).toEqual([]);
  });

  it('the tolerance of a path, in millimetres whatever the units', () => {
    const controller = findController('pc-based');
    const told = (units: string) =>
      readProgram(`${units}\nG64 P0.5\nM2\n`, { controller }).ops.find(
        ({ op }) => op === 'path-mode',
      );
    expect(told('G21')).toMatchObject({ toleranceMm: 0.5 });
    expect(told('G20')).toMatchObject({ toleranceMm: 12.7 });
  });
});

describe('an arc without an end', () => {
  it('that names its centre or radius is told so, any other move as ever', () => {
    const said = (line: string) => whole(`F9\n${line}\nM2\n`).errors[0]!.message;
    for (const word of ['I1', 'J1', 'K1', 'R1']) {
      for (const code of ['G2', 'G3']) {
        expect(said(`${code} ${word}`), word).toContain('without an end point');
      }
    }
    for (const line of ['G3', 'G2 F5', 'G1 F5', 'G0']) {
      expect(said(line), line).toContain('without an axis word');
    }
    expect(whole('F9\nG2 X2 I1\nI1\nM2\n').errors[0]!.message).toContain('without an end point');
    expect(said('G1 I1')).not.toContain('without an end point');
  });
});

it('compensation that is off again changes nothing', () => {
  const tools = { 1: { diameterMm: 6, lengthMm: 0 } };
  const read = whole('F9\nG41 D1\nG40\nG1 X5\nM2\n', { tools });
  expect(read.errors).toEqual([]);
});
