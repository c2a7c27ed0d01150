/** Probe moves, spindle and stops: what is written, and what is refused. */
import { describe, expect, it } from 'vitest';
import type { Move } from '../../src/model/toolpath.js';
import { findController, listControllers } from '../../src/post/control/controllers.js';
import { readProgram } from '../../src/post/rs274/reader.js';
import { writeProgram } from '../../src/post/rs274/writer.js';
import { WriteError } from '../../src/post/rs274/write/page.js';
import { SAMPLE_HEADER } from './sample-toolpath.js';

const small = findController('small-stream');
const withProbe = listControllers().find((c) => c.probe)!;
const without = listControllers().find((c) => !c.probe)!;
const ON: Move = { kind: 'spindle', rpm: 9000, dwellS: 3 };
const UP: Move = { kind: 'rapid', to: [0, 0, 5] };
const cutTo = (x: number): Move => ({
  kind: 'line',
  to: [x, 0, 5],
  feedMmPerMin: 200,
  role: 'cut',
});
const stop = (message: string, spindleStays = false): Move => ({
  kind: 'stop',
  message,
  ...(spindleStays ? { spindleStays } : {}),
});

function lines(moves: readonly Move[], controller = small): string[] {
  const toolpath = { start: [0, 0, 5] as const, clearanceZMm: 5, moves: [...moves] };
  return writeProgram(toolpath, controller, SAMPLE_HEADER).text.split('\n');
}

describe('probe', () => {
  const probe: Move = { kind: 'probe', to: [3, 0, 2], feedMmPerMin: 60 };

  it('is G38.2 with the words that change; after it nothing is taken as known', () => {
    const text = lines([UP, probe, { kind: 'rapid', to: [3, 0, 5] }], withProbe);
    const at = text.findIndex((line) => line.startsWith('G38.2'));
    expect(text[at]).toBe('G38.2 X3 Z2 F60');
    // RS274/NGC 3.5.9: the tool stands where it touched, so every axis is said again.
    expect(text.slice(at + 1, at + 4).join(' ')).toMatch(/^G0 Z5 G0 X3 Y0 /);
    const sideways: Move = { kind: 'probe', to: [0, -3, 5], feedMmPerMin: 60 };
    expect(lines([UP, sideways], withProbe)).toContain('G38.2 Y-3 F60');
    const { ops, errors } = readProgram(text.join('\n'), { controller: withProbe });
    expect(errors).toEqual([]);
    expect(ops.find((op) => op.op === 'probe')).toMatchObject({ to: [3, 0, 2] });
  });

  it('is refused without a probe input, with the spindle on, and where it goes nowhere', () => {
    expect(() => lines([UP, probe], without)).toThrow(/a probe on a control without one/);
    expect(() => lines([UP, ON, probe], withProbe)).toThrow(/a probe with the spindle on/);
    const nowhere: Move = { kind: 'probe', to: [0, 0, 5], feedMmPerMin: 60 };
    expect(() => lines([UP, nowhere], withProbe)).toThrow(/goes nowhere/);
  });
});

describe('spindle', () => {
  const start = (rpm: number, dwellS: number) => () =>
    lines([UP, { kind: 'spindle', rpm, dwellS }, cutTo(1)]);

  it('waits as long as it is told, in the unit of the class', () => {
    for (const controller of listControllers()) {
      const text = lines([UP, ON, cutTo(1)], controller).join('\n');
      const inMs = controller.dwellUnit === 'ms';
      expect(text, controller.id).toContain(inMs ? 'G4 P3000\n' : 'G4 P3\n');
    }
    expect(start(9000, 0)().filter((line) => line.startsWith('G4 '))).toEqual([]);
    expect(start(999_999, 999)().join('\n')).toMatch(/M3 S999999\nG4 P999/);
  });

  it('is refused outside of what can be written', () => {
    for (const rpm of [0, -1, Number.NaN, 1_000_000]) {
      expect(start(rpm, 1)).toThrow(/spindle speed/);
    }
    for (const dwell of [-0.1, 999.1, Number.NaN]) expect(start(9000, dwell)).toThrow(/dwell/);
    expect(() => lines([UP, cutTo(1)])).toThrow(WriteError);
    expect(() => lines([UP, cutTo(1)])).toThrow(/cut move with the spindle off/);
    expect(() => lines([UP, { ...cutTo(1), role: 'air' } as Move])).not.toThrow();
    expect(() => lines([UP, { ...cutTo(1), role: 'link' } as Move])).not.toThrow();
  });
});

describe('stop', () => {
  /** Lines from the first stop on, comments left out. */
  const after = (...moves: Move[]): string[] => {
    const text = lines([UP, ON, cutTo(1), ...moves]).filter((line) => !/^[(;]/.test(line));
    return text.slice(text.indexOf('M5'));
  };

  it('turns the spindle off before, and on again before the next cut', () => {
    expect(after(stop('look'), cutTo(2)).slice(0, 5)).toEqual([
      'M5',
      'M0',
      'M3 S9000',
      'G4 P3',
      'G1 X2 F200',
    ]);
  });

  it('leaves it off where told, and between two stops', () => {
    const stays = after(stop('look', true), ON, cutTo(2));
    expect(stays.slice(0, 3)).toEqual(['M5', 'M0', 'M3 S9000']);
    expect(() => after(stop('look', true), cutTo(2))).toThrow(/spindle off/);
    const twice = after(stop('one'), stop('two'), cutTo(2));
    expect(twice.slice(0, 4)).toEqual(['M5', 'M0', 'M0', 'M3 S9000']);
  });
});

describe('arcs that hardly are arcs', () => {
  /** Words of motion after the cutter has gone to X5 Y0 Z5. */
  function arcFromX5(
    to: readonly [number, number, number],
    c: readonly [number, number],
  ): string[] {
    const arc = (ccw: boolean): Move => ({
      kind: 'arc',
      to,
      c,
      ccw,
      feedMmPerMin: 200,
      role: 'cut',
    });
    const both = [true, false].map((ccw) => {
      const text = lines([UP, ON, cutTo(5), arc(ccw)]);
      return text.slice(text.findIndex((line) => line.startsWith('G1 X5')) + 1, -1);
    });
    const moves = both.map((text) => text.filter((line) => /^G[0-3] /.test(line)));
    // A hair of an arc is the same either way round.
    expect(moves[0]).toEqual(moves[1]);
    return moves[0]!;
  }

  it('a step outward along the radius is a line, not a full circle', () => {
    expect(arcFromX5([5.0006, 0, 5], [0, 0])).toEqual(['G1 X5.001']);
  });

  it('a radius of nothing is no circle: nothing, or straight up', () => {
    expect(arcFromX5([5, 0, 5], [5, 0])).toEqual([]);
    expect(arcFromX5([5, 0, 5.2], [5, 0])).toEqual(['G1 Z5.2']);
  });

  it('less than a hundred-thousandth is nothing one way round and refused the other', () => {
    const arc = (y: number, ccw: boolean): Move => ({
      kind: 'arc',
      to: [5, y, 5],
      c: [0, 0],
      ccw,
      feedMmPerMin: 200,
      role: 'cut',
    });
    const after = (move: Move): string[] => {
      const text = lines([UP, ON, cutTo(5), move]);
      return text.filter((line) => /^G[23] /.test(line));
    };
    for (const [y, ccw] of [
      [5e-6, true],
      [-5e-6, false],
    ] as const) {
      expect(after(arc(y, ccw))).toEqual([]);
      expect(() => after(arc(y, !ccw))).toThrow(
        /arc ends a hair before its start: a full circle or nothing cannot be told apart/,
      );
    }
  });

  it('ends up to 0.001 mm off the circle are taken, more are refused', () => {
    const arc = (radius: number): Move => ({
      kind: 'arc',
      to: [0, radius, 5],
      c: [0, 0],
      ccw: true,
      feedMmPerMin: 200,
      role: 'cut',
    });
    expect(() => lines([UP, ON, cutTo(5), arc(5.00099)])).not.toThrow();
    expect(() => lines([UP, ON, cutTo(5), arc(5.00101)])).toThrow(/radius 5 at its start/);
    expect(() => lines([UP, ON, cutTo(5), arc(4.99899)])).toThrow(/radius 5 at its start/);
  });

  it('a coordinate of 9999 mm is taken, more is refused', () => {
    const to = (v: number) => () => lines([UP, { kind: 'rapid', to: [v, -v, 5] }]);
    expect(to(9999)().join(' ')).toContain('G0 X9999 Y-9999');
    expect(to(9999.001)).toThrow(/X 9999.001 is not within \+-9999 mm/);
  });
});
