/**
 * Rubbing, surface speed and standing still, just inside each limit and just over it. The barrow's
 * cutter: 3 mm, 3 flutes, edge radius 7.5 um, so the edge rubs under 2 x 0.4 x 7.5 = 6 um (steel);
 * 42CrMo4 takes 61 to 122 m/min.
 */
import { describe, expect, it } from 'vitest';
import type { OpLoads } from '../../../src/cam/stock/replay.js';
import { eachLoad } from '../../../src/cam/stock/replay/report.js';
import { limitsOf } from '../../../src/machines/bear/limits.js';
import { edgeFindings, restFindings } from '../../../src/plan/check/edge.js';
import type { CanonicalOp, Pt3 } from '../../../src/model/op.js';
import { arc, exampleJob, feed, found, rapid } from './ops.js';

const BARROW = exampleJob('nursery-barrow');
const JOB = {
  ...BARROW,
  cutter: { ...BARROW.cutter, edgeRadiusMm: 0.0075 },
  machine: { ...BARROW.machine, spindle: { ...BARROW.machine.spindle, maxRpm: 24_000 } },
};
const O: Pt3 = [0, 0, -1];
const A: Pt3 = [5, 0, -1];

function loadsOf(ops: readonly CanonicalOp[], engaged: (i: number) => boolean): OpLoads {
  const loads = eachLoad(() => new Float64Array(ops.length));
  ops.forEach((_, i) => (loads.engagementRad[i] = engaged(i) ? 0.5 : 0));
  return loads;
}
const edge = (ops: readonly CanonicalOp[], engaged = true) =>
  found((findings) =>
    edgeFindings(
      findings,
      ops,
      loadsOf(ops, () => engaged),
      JOB,
      limitsOf(JOB),
    ),
  );

describe('feeds under which the edge rubs', () => {
  // 6 um x 3 flutes x 10,000 rpm = 180 mm/min.
  it('are told below 180 mm/min, each with its line, in material only', () => {
    expect(edge([feed(4, O, A, 180, 10_000), arc(5, A, O, [2, 0], { feedMmPerMin: 180 })])).toEqual(
      [],
    );
    const slow = edge([feed(4, O, A, 179, 10_000), feed(5, O, A, 100, 10_000)]);
    expect(slow.map((f) => `${f.line} ${f.severity} ${f.code}`)).toEqual([
      '4 warning rubs',
      '5 warning rubs',
    ]);
    expect(slow[1]!.value).toBeCloseTo(100 / 30_000, 9);
    expect(slow[1]!.text).toMatch(/feeds 3.3 um a tooth; under 6.0 um .* faster than 180 mm\/min/);
    expect(edge([feed(4, O, A, 10, 10_000)], false)).toEqual([]);
  });

  it('of many the slowest are named, wherever they stand', () => {
    const feeds = Array.from({ length: 12 }, (_, i) => 170 - 10 * ((5 * i) % 12));
    const slow = edge(feeds.map((f, i) => feed(4 + i, O, A, f, 10_000)));
    // Ten of a kind; the two that are left out are the fastest.
    const named = slow.filter(({ line }) => line > 0).map(({ line }) => feeds[line - 4]!);
    expect(named.sort((a, b) => a - b)).toEqual([60, 70, 80, 90, 100, 110, 120, 130, 140, 150]);
  });

  it('not of rapids, nor with the spindle still', () => {
    expect(edge([rapid(4, O, A), feed(5, O, A, 10, 0)])).toEqual([]);
  });
});

describe('surface speed', () => {
  const at = (rpm: number) => edge([feed(4, O, A, 2000, rpm)]);
  // pi x 3 mm x n / 1000: 244 m/min at 25,889 rpm, 30.5 m/min at 3,236 rpm.

  it('more than twice outside the range is told, once, with the factor', () => {
    expect(at(25_880)).toEqual([]);
    const over = { line: 4, severity: 'warning', code: 'surface-speed', limit: 122 };
    expect(at(25_900)).toMatchObject([over]);
    expect(at(51_776)[0]!.text).toMatch(/488 m\/min, 4.0 times above the 61 to 122 m\/min/);
    expect(at(3_240)).toEqual([]);
    expect(at(3_230)).toMatchObject([{ code: 'surface-speed', limit: 61 }]);
    expect(at(1_618)[0]!.text).toMatch(/15 m\/min, 4.0 times below/);
  });

  it('a spindle that turns no faster is not asked for more', () => {
    const slow = { ...JOB, machine: { ...JOB.machine, spindle: { ...JOB.machine.spindle, maxRpm: 3000 } } }; // prettier-ignore
    const ops = [feed(4, O, A, 900, 2900)];
    const told = found((findings) =>
      edgeFindings(
        findings,
        ops,
        loadsOf(ops, () => true),
        slow,
        limitsOf(slow),
      ),
    );
    expect(told).toEqual([]);
  });
});

describe('standing still in a cut', () => {
  const DWELL: CanonicalOp = { op: 'dwell', line: 8, seconds: 2 };
  const STOP: CanonicalOp = { op: 'stop', line: 9, message: '', optional: false };
  /** A blank of 25 mm with a hole of 5 mm at X-15. */
  const STOCK = { blankRadiusMm: 25, holes: [{ x: -15, y: 0, radiusMm: 5 }] };
  const rest = (ops: readonly CanonicalOp[], before: readonly CanonicalOp[] = []) =>
    found((findings) => restFindings(findings, ops, { ...STOCK, before }, 1.5)).map(
      (f) => `${f.line} ${f.severity} ${f.code}`,
    );
  const to = (x: number, z: number, fromX = 60) => feed(4, [fromX, 0, z], [x, 0, z]);
  const TOLD = ['8 warning rests-in-cut'];

  it('at the end of a cut, a hair back from it, and in the slot', () => {
    const CHANGE: CanonicalOp = { op: 'change-tool', line: 7, slot: 2 };
    expect(rest([to(20, -1), DWELL, STOP, CHANGE])).toEqual([
      '7 error rests-in-cut',
      '9 error rests-in-cut',
      ...TOLD,
    ]);
    expect(rest([to(20, -1), to(20.01, -1, 20), DWELL])).toEqual(TOLD);
    expect(rest([to(20, -1), to(20, -1, 20), DWELL])).toEqual(TOLD);
    expect(rest([to(20, -1), to(22, -1, 20), DWELL])).toEqual(TOLD);
    // Out of the slot; and beside it, where the blank ends at 25 mm: 25 + 1.5 + 0.02.
    expect(rest([to(20, -1), to(26.53, -1, 20), DWELL])).toEqual([]);
    expect(rest([to(26.51, -1), DWELL])).toEqual(TOLD);
  });

  it('is said in words: how long it waits, or that it stops', () => {
    const texts = found((f) => restFindings(f, [to(20, -1), DWELL, STOP], STOCK, 1.5));
    expect(texts.map(({ text }) => text.split(';')[0])).toEqual([
      'stops at Z -1.00 with the cutter against a wall',
      'waits 2 s at Z -1.00 with the cutter against a wall',
    ]);
  });

  it('not where all round is taken, at that depth: before the program, too', () => {
    const round = (z: number, radius: number) =>
      arc(3, [15 + radius, 0, z], [15 + radius, 0, z], [15, 0]);
    expect(rest([round(-1, 1), to(15, -1, 16), DWELL])).toEqual([]);
    expect(rest([round(-0.9, 1), to(15, -1, 16), DWELL])).toEqual(TOLD);
    expect(rest([to(15, -1, 16), DWELL], [round(-2, 1)])).toEqual([]);
    // Nearer than 0.02 mm to the wall of the round, and not.
    expect(rest([round(-1, 1), to(15.985, -1, 16), DWELL])).toEqual(TOLD);
    expect(rest([round(-1, 1), to(15.97, -1, 16), DWELL])).toEqual([]);
    expect(rest([to(-15, -1, -14), DWELL])).toEqual([]);
    expect(rest([to(-11.4, -1, -15), DWELL])).toEqual(TOLD);
  });

  it('not above the face, for no time, or before any move; down a hole of its own it is', () => {
    expect(rest([to(6, 0), DWELL])).toEqual([]);
    expect(rest([to(20, -1), rapid(5, [20, 0, -1], [20, 0, 5]), STOP])).toEqual([]);
    expect(rest([to(6, -1), { ...DWELL, seconds: 0 } as CanonicalOp])).toEqual([]);
    expect(rest([DWELL, STOP])).toEqual([]);
    expect(rest([feed(4, [6, 0, 1], [6, 0, -1]), DWELL])).toEqual(TOLD);
    // A ramp has not taken what lies under its floor.
    expect(rest([feed(4, [60, 0, 0], [20, 0, -1]), DWELL])).toEqual(TOLD);
    const helix = arc(3, [16, 0, 0], [16, 0, -1], [15, 0]);
    expect(rest([helix, to(15, -1, 16), DWELL])).toEqual(TOLD);
  });
});
