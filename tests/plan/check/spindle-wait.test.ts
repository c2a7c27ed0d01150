/** Waits for a spindle that takes 3 s to come up and turns 24,000 rpm at most. */
import { describe, expect, it } from 'vitest';
import { findMachine } from '../../../src/machines/machines.js';
import type { CanonicalOp, Pt3 } from '../../../src/model/op.js';
import { spindleWaitFindings } from '../../../src/plan/check/spindle-wait.js';
import { arc, feed, found, rapid } from './ops.js';

const base = findMachine('screw-gantry-light');
const machine = { ...base, spindle: { ...base.spindle, spinUpS: 3, maxRpm: 24_000 } };
const O: Pt3 = [0, 0, 1];
const turn = (rpm: number): CanonicalOp => ({
  op: 'spindle',
  line: 2,
  rpm,
  on: rpm > 0,
  direction: rpm > 0 ? 'cw' : 'off',
});
const speed = (rpm: number): CanonicalOp => ({ op: 'spindle-speed', line: 3, rpm });
const wait = (seconds: number): CanonicalOp => ({ op: 'dwell', line: 4, seconds });
const stop: CanonicalOp = { op: 'stop', line: 5, message: '', optional: false };
const cut = feed(9, O, [1, 0, 1]);
const told = (...ops: readonly CanonicalOp[]) =>
  found((findings) => spindleWaitFindings(findings, ops, machine));

describe('the wait after a start', () => {
  it('is as long as the spindle needs, in one or in several', () => {
    expect(told(turn(10_000), wait(3), cut)).toEqual([]);
    expect(told(turn(10_000), wait(1.5), wait(1.5), cut)).toEqual([]);
    expect(told(turn(10_000), wait(2.9), cut)).toMatchObject([
      { line: 9, severity: 'warning', code: 'spin-up-short', value: 2.9, limit: 3 },
    ]);
    expect(told(turn(10_000), wait(2.9), cut)[0]!.text).toMatch(
      /^a wait of 2.9 s after the start to 10000 rpm; .* takes 3.0 s/,
    );
    // Where a person is asked to go on, time passes.
    expect(told(turn(10_000), stop, cut)).toEqual([]);
    expect(told(turn(10_000), wait(1), stop, cut)).toEqual([]);
    // A rapid may go on meanwhile; an arc is a cut like a line.
    const away = rapid(8, O, [1, 0, 1]);
    expect(told(turn(10_000), wait(1), away, wait(2), cut)).toEqual([]);
    expect(told(turn(10_000), wait(1), arc(9, O, [2, 0, 1], [1, 0]))).toHaveLength(1);
    // Off and on again is from rest, whatever S it was switched off with.
    const off: CanonicalOp = { op: 'spindle', line: 6, rpm: 6000, on: false, direction: 'off' };
    expect(told(turn(6000), wait(3), cut, off, turn(6000), wait(1), cut)).toHaveLength(1);
    // None at all is told by the check of the control.
    expect(told(turn(10_000), cut)).toEqual([]);
    expect(told(turn(0), turn(10_000), wait(1), cut, cut)).toHaveLength(1);
  });
});

describe('the wait after a change of speed', () => {
  it('is the share of it that the change is of the range: 12,000 rpm take 1.5 s', () => {
    const change = (...ops: CanonicalOp[]) => told(turn(6000), wait(3), cut, ...ops, cut);
    expect(change(speed(18_000), wait(1.5))).toEqual([]);
    expect(change(speed(18_000), wait(1.4))).toMatchObject([{ value: 1.4, limit: 1.5 }]);
    expect(change(speed(18_000))[0]!.text).toMatch(/^no wait after the change of speed to 18000/);
    expect(change(turn(18_000))).toHaveLength(1);
    // A tenth or less is no change worth a wait.
    expect(change(speed(6600))).toEqual([]);
    expect(change(speed(6700))).toHaveLength(1);
    // In steps of less than a tenth it is the same change, unless it is cut or waited between.
    expect(change(speed(6500), speed(7000))).toMatchObject([{ line: 9, value: 0 }]);
    expect(change(speed(6500), cut, speed(7000))).toEqual([]);
    expect(told(turn(6000), wait(3), speed(6500), cut)).toEqual([]);
    expect(told(turn(6000), wait(3), speed(6500), speed(7000), cut)).toHaveLength(1);
    expect(told(turn(6000), wait(1), speed(6500), wait(1), cut)).toHaveLength(1);
  });

  it('a speed that is set while the spindle stands waits for nothing', () => {
    expect(told(speed(9000), cut)).toEqual([]);
    expect(told(turn(9000), wait(3), turn(0), speed(20_000), cut)).toEqual([]);
  });
});
