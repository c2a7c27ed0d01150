/**
 * Whole programs against text written by hand: which line comes after which, and why. The words are
 * those of RS274/NGC version 3 (NISTIR 6556, tables 5 and 7).
 */
import { describe, expect, it } from 'vitest';
import type { Move, Pt3 } from '../../src/model/toolpath.js';
import { findController } from '../../src/post/control/controllers.js';
import type { Controller } from '../../src/model/op.js';
import { type ProgramHeader, WriteError, writeProgram } from '../../src/post/rs274/writer.js';

/** A class that has no word but the plainest. */
const BARE: Controller = {
  ...findController('small-stream'),
  id: 'bare',
  setUp: [],
  parenComments: true,
  messageComments: false,
  planeWord: false,
  feedModeWord: false,
  cutterCompensationCancelWord: false,
  toolLengthCancelWord: false,
  cannedCycleCancelWord: false,
  arcCentreModeWord: false,
  workOffset: false,
  machineCoordinates: false,
  pathControl: 'none',
  dwellUnit: 's',
  programEnd: 'M2',
  xyDecimals: 3,
};
const HEADER: ProgramHeader = { title: 'Wheel', jobDigest: 'ab12', homed: false };
const ON: Move = { kind: 'spindle', rpm: 9000, dwellS: 3 };
const air = (x: number, y: number, z: number): Move => ({
  kind: 'line',
  to: [x, y, z],
  feedMmPerMin: 200,
  role: 'air',
});
const rapid = (x: number, y: number, z: number): Move => ({ kind: 'rapid', to: [x, y, z] });
const stop = (message = 'look', spindleStays = false): Move => ({
  kind: 'stop',
  message,
  ...(spindleStays ? { spindleStays } : {}),
});

interface Path {
  readonly start?: Pt3;
  readonly clearanceZMm?: number;
}

function write(
  moves: readonly Move[],
  controller: Partial<Controller> = {},
  header: Partial<ProgramHeader> = {},
  { start = [1, 2, 5], clearanceZMm = 5 }: Path = {},
) {
  const toolpath = { start, clearanceZMm, moves: [...moves] };
  return writeProgram(toolpath, { ...BARE, ...controller }, { ...HEADER, ...header });
}

/** Lines without the two of the envelope and without the remark on the control. */
function lines(...args: Parameters<typeof write>): string[] {
  const all = write(...args)
    .text.trimEnd()
    .split('\n');
  expect(all[0]).toMatch(/job ab12 lines/);
  expect(all.at(-2)).toMatch(/end of job ab12 lines/);
  return all.filter((line) => !/job ab12 lines|control: bare/.test(line));
}

describe('the head', () => {
  it('says what it is, then every mode the class has a word for, each on its line', () => {
    const modes = (controller: Partial<Controller>): string[] => lines([], controller).slice(1, -3);
    expect(lines([])).toEqual(['(title: Wheel)', 'G21', 'G90', 'G0 Z5', 'M5', 'M2']);
    expect(modes({})).toEqual(['G21', 'G90']);
    // Table 5: plane, feed mode, cutter compensation, tool length, cycles, work offset, path.
    expect(modes({ planeWord: true })).toEqual(['G21', 'G90', 'G17']);
    expect(modes({ feedModeWord: true })).toEqual(['G21', 'G90', 'G94']);
    expect(modes({ cutterCompensationCancelWord: true })).toEqual(['G21', 'G90', 'G40']);
    expect(modes({ toolLengthCancelWord: true })).toEqual(['G21', 'G90', 'G49']);
    expect(modes({ cannedCycleCancelWord: true })).toEqual(['G21', 'G90', 'G80']);
    expect(modes({ arcCentreModeWord: true })).toEqual(['G21', 'G90', 'G91.1']);
    expect(modes({ workOffset: true })).toEqual(['G21', 'G90', 'G54']);
    expect(modes({ pathControl: 'g61' })).toEqual(['G21', 'G90', 'G61']);
    expect(modes({ pathControl: 'g64p' })).toEqual(['G21', 'G90', 'G64 P0.01']);
  });

  it('carries the notes of the job, then the control and what has to be set on it', () => {
    const { text } = write([], { setUp: ['Set one', 'Set two'] }, { notes: ['first', 'second'] });
    expect(text.split('\n').slice(1, 7)).toEqual([
      '(title: Wheel)',
      '(first)',
      '(second)',
      '(control: bare, lengths in mm, feeds in mm/min)',
      '(Set one)',
      '(Set two)',
    ]);
    const semicolons = write([], { parenComments: false }).text.split('\n');
    expect(semicolons[1]).toBe('; title: Wheel');
    // FNV-1a over the lines between; its value is tested with the envelope.
    expect(semicolons[0]).toMatch(/^; job ab12 lines 9 sum [0-9a-f]{8}$/);
    expect(semicolons.at(-3)).toMatch(/^; end of job ab12 lines 9 sum [0-9a-f]{8}$/);
    expect(write([], { programEnd: 'M30' }).text).toMatch(/\nM30\n$/);
  });
});

describe('the first and the last moves', () => {
  it('up, over the start, down to it, and only before the first motion', () => {
    const body = lines([ON, air(4, 2, -1)], {}, {}, { start: [1, 2, 3], clearanceZMm: 8 });
    expect(body.slice(3)).toEqual([
      'G0 Z8',
      'M3 S9000',
      'G4 P3',
      'G0 X1 Y2',
      'G0 Z3',
      'G1 X4 Z-1 F200',
      'G0 Z8',
      'M5',
      'M2',
    ]);
    // A start above the clearance height is where it goes up to.
    const high = lines([air(4, 2, 9)], {}, {}, { start: [1, 2, 9], clearanceZMm: 8 });
    expect(high.slice(3)).toEqual(['G0 Z9', 'G0 X1 Y2', 'G1 X4 F200', 'M5', 'M2']);
    const turn: Move = {
      kind: 'arc',
      to: [3, 2, 5],
      c: [2, 2],
      ccw: true,
      feedMmPerMin: 200,
      role: 'air',
    };
    expect(lines([turn]).slice(4, -2)).toEqual(['G0 X1 Y2', 'G3 X3 Y2 I1 J0 F200']);
    for (const first of [rapid(1, 2, 5), air(1, 2, 5)]) {
      expect(lines([{ kind: 'note', text: 'now' }, first]).slice(3)).toEqual([
        'G0 Z5',
        '(now)',
        'G0 X1 Y2',
        'M5',
        'M2',
      ]);
    }
  });

  it('ends at the clearance height, spindle off; a start beyond reason is refused', () => {
    expect(lines([air(1, 2, 5)]).slice(-3)).toEqual(['G0 X1 Y2', 'M5', 'M2']);
    expect(lines([air(1, 2, 4.999)]).slice(-3)).toEqual(['G0 Z5', 'M5', 'M2']);
    expect(() => write([], {}, {}, { start: [NaN, 0, 5] })).toThrow(WriteError);
    expect(() => write([], {}, {}, { start: [NaN, 0, 5] })).toThrow(/^X NaN/);
    expect(() => write([], {}, {}, { start: [0, 10_000, 5] })).toThrow(/Y 10000/);
    expect(() => write([], {}, {}, { start: [0, NaN, 5] })).toThrow(/^Y NaN/);
  });

  it('goes up in machine coordinates where the machine is homed and the class has them', () => {
    const g53 = { machineCoordinates: true };
    const homed = { homed: true };
    const whole = (...args: Parameters<typeof write>) => lines(...args).slice(3);
    expect(whole([air(1, 2, 5)], g53, homed)).toEqual([
      'G53 G0 Z-5',
      'G0 X1 Y2',
      'G0 Z5',
      'G53 G0 Z-5',
      'M5',
      'M2',
    ]);
    expect(whole([], {}, homed)).toEqual(['G0 Z5', 'M5', 'M2']);
    // Where it cannot, it stays as high as it is.
    for (const [control, header] of [
      [{}, homed],
      [g53, {}],
    ] as const) {
      expect(whole([rapid(1, 2, 8)], control, header).slice(-3)).toEqual(['G0 Z8', 'M5', 'M2']);
    }
    expect(whole([], g53)).toEqual(['G0 Z5', 'M5', 'M2']);
  });
});

describe('which line a move is on', () => {
  it('its first line and their number; the line before where nothing is left of it', () => {
    const written = write([ON, rapid(1, 2, 5), air(1, 2, 5.0001), air(3, 2, -1), rapid(9, 9, 5)]);
    const text = written.text.split('\n');
    const at = (i: number): string => text[written.moveLines[i]! - 1]!;
    expect(at(0)).toBe('M3 S9000');
    // Rounded to 0.001 mm there is no move; and the way to the start is not the first move's.
    expect([...written.moveLineCounts]).toEqual([2, 0, 0, 1, 2]);
    expect(at(1)).toBe('G4 P3');
    expect(at(2)).toBe('G0 X1 Y2');
    expect(at(3)).toBe('G1 X3 Z-1 F200');
    expect(at(4)).toBe('G0 Z5');
    expect(text[written.moveLines[4]!]).toBe('G0 X9 Y9');
  });
});

describe('rapids', () => {
  it('rise before they go across, and go across before they sink', () => {
    const body = lines([rapid(9, 2, 2), rapid(9, 7, 6), rapid(1, 2, 6)]).slice(4, -2);
    expect(body).toEqual([
      'G0 X1 Y2',
      'G0 X9',
      'G0 Z2',
      // 6 is above 2: up first.
      'G0 Z6',
      'G0 Y7',
      'G0 X1 Y2',
    ]);
  });
});

describe('stops', () => {
  const after = (...moves: Move[]): string[] => lines(moves, {}, {}).slice(4, -2);

  it('say what to do, as a remark or as a message where the class shows them', () => {
    expect(after(stop('look here'))).toEqual(['(STOP: look here)', 'M0']);
    const shown = (message: string) => lines([stop(message)], { messageComments: true });
    expect(shown('look here').slice(4, -2)).toEqual(['(MSG, look here)', 'M0']);
    // A message is never empty: the control would show nothing.
    expect(shown('').slice(4, -2)).toEqual(['(MSG, stop)', 'M0']);
  });

  it('start the spindle for what is cut next, if it turned before, and only then', () => {
    const spindle = ['M3 S9000', 'G4 P3'];
    const halt = ['M5', '(STOP: look)', 'M0'];
    const still = ['(STOP: look)', 'M0'];
    const place = 'G0 X1 Y2';
    expect(after(ON, stop(), air(3, 2, 5))).toEqual([
      ...spindle,
      ...halt,
      ...spindle,
      place,
      'G1 X3 F200',
    ]);
    // Off before, off after: however many stops, whatever follows.
    expect(after(stop(), air(3, 2, 5))).toEqual([...still, place, 'G1 X3 F200']);
    expect(after(stop(), stop(), air(3, 2, 5))).toEqual([...still, ...still, place, 'G1 X3 F200']);
    expect(after(stop(), air(3, 2, 5), stop(), air(4, 2, 5))).toEqual([
      ...still,
      place,
      'G1 X3 F200',
      ...still,
      'G1 X4 F200',
    ]);
    // Told to stay off, it stays off over the next stop, too.
    expect(after(ON, stop('look', true), stop(), air(3, 2, 5))).toEqual([
      ...spindle,
      ...halt,
      ...still,
      place,
      'G1 X3 F200',
    ]);
  });

  it('leave it off for a probe, and for what is cut after the stop behind that', () => {
    const probe: Move = { kind: 'probe', to: [1, 9, 2], feedMmPerMin: 60 };
    const moves = [ON, rapid(1, 2, 5), stop(), probe, stop(), air(3, 2, 5)];
    expect(lines(moves, { probe: true }).slice(4, -2)).toEqual([
      'M3 S9000',
      'G4 P3',
      'G0 X1 Y2',
      'M5',
      '(STOP: look)',
      'M0',
      'G38.2 Y9 Z2 F60',
      '(STOP: look)',
      'M0',
      'G1 X3 Y2 Z5 F200',
    ]);
  });
});

describe('lines that would be too long', () => {
  it('are refused by number, at one character more than the class takes', () => {
    const all = write([]).text.trimEnd().split('\n');
    const longest = Math.max(...all.map((line) => line.length));
    const at = all.findIndex((line) => line.length === longest) + 1;
    expect(() => write([], { maxLineLength: longest })).not.toThrow();
    const refused = `line ${at} would have ${longest} characters`;
    // Of no move: the message has none at its head.
    expect(() => write([], { maxLineLength: longest - 1 })).toThrow(new RegExp(`^${refused}$`));
  });

  it('are refused at more than 70 characters on every class', () => {
    const round = (x: number): Move => ({
      kind: 'arc',
      to: [x, 1.000001, -9998.876543],
      c: [x - 1234.567891, 2000.000001],
      ccw: true,
      feedMmPerMin: 99_998.7,
      role: 'air',
    });
    const fine = { xyDecimals: 6, ijDecimals: 6, maxLineLength: 256, maxArcRadiusMm: 1e6 };
    const from: Pt3 = [-9876.543211, 1.000001, 5.5];
    // Six words with six decimals; the class would take 256 characters.
    expect(() => write([round(-9876.543211)], fine, {}, { start: from })).toThrow(
      /^line \d+ would have 7\d characters$/,
    );
    expect(() => write([rapid(0, 0, 9)], fine, {}, { start: from })).not.toThrow();
  });
});
