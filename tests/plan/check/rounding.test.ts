/** Corners that a control may round off, where the job allows 0.05 mm. */
import { describe, expect, it } from 'vitest';
import { checkProgram } from '../../../src/plan/check/check.js';
import { roundingFindings } from '../../../src/plan/check/rounding.js';
import type { CanonicalOp } from '../../../src/model/op.js';
import { arc, exampleJob, feed, found, rapid } from './ops.js';

const mode = (toleranceMm?: number): CanonicalOp => ({
  op: 'path-mode',
  line: 2,
  mode: 'continuous',
  ...(toleranceMm !== undefined && { toleranceMm }),
});
const corner = [feed(5, [0, 0, -1], [9, 0, -1]), feed(6, [9, 0, -1], [9, 9, -1])];
const told = (...ops: readonly CanonicalOp[]) =>
  found((findings) => roundingFindings(findings, ops, 0.05));

describe('G64 P', () => {
  it('over the tolerance of the job is an error, where there are corners to round', () => {
    expect(told(mode(0.06), ...corner)).toMatchObject([
      { line: 2, severity: 'error', code: 'path-rounding', value: 0.06, limit: 0.05 },
    ]);
    expect(told(mode(0.06), ...corner)[0]!.text).toMatch(
      /1 corners below the face, the first in line 6/,
    );
    expect(told(mode(0.05), ...corner)).toMatchObject([{ severity: 'warning' }]);
    expect(told(mode(0.01), ...corner)).toEqual([]);
    expect(told(mode(), ...corner)).toEqual([]);
    expect(told(mode(0.5), corner[0]!)).toMatchObject([{ severity: 'warning' }]);
    expect(told(mode(0.5), corner[0]!)[0]!.text).not.toContain('the first in line');
    // In force over the work only, and taken back before the end.
    const high = feed(3, [0, 0, 5], [9, 0, 5]);
    expect(told(mode(0.5), high, mode(0.01), ...corner)).toEqual([]);
    expect(told(mode(0.01), ...corner, mode(0.5))).toMatchObject([{ severity: 'error' }]);
    expect(told(mode(0.06), ...corner, mode(0.02), corner[0]!)).toMatchObject([{ value: 0.06 }]);
  });

  it('corners are those below the face, between feeds that turn by more than 3 deg', () => {
    const count = (...ops: CanonicalOp[]) =>
      /at (\d+) corners/.exec(told(mode(1), ...ops)[0]!.text)![1];
    expect(count(...corner)).toBe('1');
    expect(count(feed(5, [0, 0, 1], [9, 0, 1]), feed(6, [9, 0, 1], [9, 9, 1]))).toBe('0');
    // Tangent to an arc, and across one that turns back.
    const on = arc(6, [9, 0, -1], [12, 3, -1], [9, 3]);
    expect(count(corner[0]!, on)).toBe('0');
    expect(count(corner[0]!, arc(6, [9, 0, -1], [12, 3, -1], [12, 0], { ccw: false }))).toBe('1');
    expect(count(corner[0]!, rapid(6, [9, 0, -1], [9, 9, -1]), corner[1]!)).toBe('0');
    const bent = (deg: number) =>
      feed(
        6,
        [9, 0, -1],
        [9 + Math.cos((deg * Math.PI) / 180), Math.sin((deg * Math.PI) / 180), -1],
      );
    expect(count(corner[0]!, bent(2.9))).toBe('0');
    expect(count(corner[0]!, bent(3.1))).toBe('1');
    expect(count(corner[0]!, feed(6, [9, 0, -1], [0, 0, -1]))).toBe('1');
    expect(count(feed(5, [0, 0, 0], [9, 0, -1]), corner[1]!)).toBe('1');
    // Those before it may be left are kept.
    const back = rapid(7, [9, 9, -1], [0, 0, -1]);
    const later = told(mode(), ...corner, back, mode(1), ...corner)[0]!.text;
    expect(/at (\d+) corners/.exec(later)![1]).toBe('1');
  });

  it('is read with its unit, from a program', () => {
    const program = (words: string) =>
      checkProgram(
        `G21 G90 G17 G94 G54\n${words}\nG0 Z5\nM3 S10000\nG4 P3\nG0 X50 Y50\nG1 Z-0.3 F600\nG1 X60\nG1 Y60\nG0 Z5\nM5\nM2\n`,
        { ...exampleJob('seed-drum-25t-35'), limits: { ...exampleJob('seed-drum-25t-35').limits, toleranceMm: 0.05 } }, // prettier-ignore
      ).findings.filter(({ code }) => code === 'path-rounding' || code === 'path-tolerance');
    expect(program('G64 P0.06')).toMatchObject([{ line: 2, severity: 'error', value: 0.06 }]);
    expect(program('G64 P0.01')).toEqual([]);
    expect(program('G20 G64 P0.002\nG21')[0]!.value).toBeCloseTo(0.0508, 9);
    expect(program('G64')).toMatchObject([{ code: 'path-tolerance' }]);
  });
});
