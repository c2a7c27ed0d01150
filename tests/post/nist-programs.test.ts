import { describe, expect, it } from 'vitest';
import { readProgram } from '../../src/post/rs274/reader.js';
import type { CanonicalOp } from '../../src/model/op.js';
import { NIST_C1, NIST_C2, NIST_C3, NIST_TABLE_6 } from './nist-programs.js';

type OpOf<K extends CanonicalOp['op']> = Extract<CanonicalOp, { op: K }>;

function only<K extends CanonicalOp['op']>(ops: readonly CanonicalOp[], kind: K): OpOf<K>[] {
  return ops.filter((op): op is OpOf<K> => op.op === kind);
}

const distance = (op: { from: readonly number[]; to: readonly number[] }): number =>
  Math.hypot(...op.from.map((v, i) => op.to[i]! - v));

/** Totals: counted on the version-3 reference interpreter's output for the same text. */
describe('NISTIR 6556 sample program C.1', () => {
  // Read anew in each test, so that a change in the reader is seen by every one of them.
  const parts = () => {
    const read = readProgram(NIST_C1);
    const { ops } = read;
    return { read, rapids: only(ops, 'rapid'), feeds: only(ops, 'feed'), arcs: only(ops, 'arc') };
  };
  const sum = (values: number[]): number => values.reduce((a, b) => a + b, 0);

  it('is read without a fault and ends with M2', () => {
    const { read } = parts();
    expect(read.errors).toEqual([]);
    expect(read.end).toBe('M2');
  });

  it('has 25 rapids, 29 feed moves and 5 arcs', () => {
    const { rapids, feeds, arcs } = parts();
    expect([rapids.length, feeds.length, arcs.length]).toEqual([25, 29, 5]);
  });

  it('goes 202.053 mm at rapid after the first point, 126.979 mm at feed', () => {
    const { rapids, feeds } = parts();
    expect(rapids[0]!.to).toEqual([0, 0, 50]);
    expect(sum(rapids.slice(1).map(distance))).toBeCloseTo(202.053, 3);
    expect(sum(feeds.map(distance))).toBeCloseTo(126.979, 3);
  });

  it('has arcs of 360, 270, 360, 77.36 and 180 degrees, 56.452 mm in all', () => {
    const { feeds, arcs } = parts();
    const sweeps = arcs.map(sweepDeg);
    [270, 360, 360, 77.36, 180].forEach((deg, i) => expect(sweeps[i]).toBeCloseTo(deg, 1));
    const length = sum(arcs.map((arc, i) => (radius(arc) * sweeps[i]! * Math.PI) / 180));
    expect(length).toBeCloseTo(56.452, 3);
    expect(arcs[3]!.center[0]).toBeCloseTo(66.5, 4);
    expect(arcs[3]!.center[1]).toBeCloseTo(0.8775, 4);
    // 9.172 min at F20, from the lengths above: (126.979 + 56.452) / 20.
    expect((sum(feeds.map(distance)) + length) / 20).toBeCloseTo(9.172, 3);
  });

  it('stays within X 0..81 and Z -0.5..50', () => {
    const { rapids, feeds, arcs } = parts();
    const points = [...rapids, ...feeds, ...arcs].map((op) => op.to);
    expect(Math.min(...points.map((p) => p[0]))).toBe(0);
    expect(Math.max(...points.map((p) => p[0]))).toBe(81);
    expect(Math.min(...points.map((p) => p[2]))).toBe(-0.5);
    expect(Math.max(...points.map((p) => p[2]))).toBe(50);
  });

  it('cuts with the spindle at 4000 rev/min although M3 stands before S', () => {
    const { feeds } = parts();
    expect(feeds.every((op) => op.spindleRpm === 4000 && op.feedMmPerMin === 20)).toBe(true);
  });
});

function radius(arc: OpOf<'arc'>): number {
  return Math.hypot(arc.from[0] - arc.center[0], arc.from[1] - arc.center[1]);
}

function sweepDeg(arc: OpOf<'arc'>): number {
  const angle = (p: readonly number[]): number =>
    Math.atan2(p[1]! - arc.center[1], p[0]! - arc.center[0]);
  const turn = (arc.ccw ? 1 : -1) * (angle(arc.to) - angle(arc.from));
  const deg = (turn * 180) / Math.PI;
  return deg > 1e-9 ? deg : deg + 360;
}

describe('NISTIR 6556 sample program C.2: expressions, one stated value a line', () => {
  const read = () => readProgram(NIST_C2.map(([line]) => line).join('\n'));
  it('is read without a fault', () => expect(read().errors).toEqual([]));

  NIST_C2.forEach(([line, x], index) => {
    if (x === null) return;
    it(line, () => {
      const op = read().ops.find((o) => o.line === index + 1 && o.op === 'feed') as OpOf<'feed'>;
      // The report states four decimals at most, and asks for x of ATAN and ACOS to the nearest one.
      const decimals = /atan|exp/.test(line) ? 2 : 4;
      expect(op.to[0]).toBeCloseTo(x, decimals);
    });
  });

  it('evaluates the long expression of n0460 by its rules of precedence', () => {
    const deg = 180 / Math.PI;
    const inner = Math.atan2(Math.floor(4.4) * 2.1 * Math.sqrt(16.8), -18) * deg;
    const value = 2 + (Math.asin(1 / 2.1 + -0.345) * deg) / inner ** 2;
    const op = read().ops.find((o) => o.line === 46 && o.op === 'feed') as OpOf<'feed'>;
    expect(op.to[0]).toBeCloseTo(value, 12);
  });
});

describe('NISTIR 6556 sample program C.3: cycles in three planes, inches', () => {
  const read = () => readProgram(NIST_C3.map(([line]) => line).join('\n'));
  it('is read without a fault', () => expect(read().errors).toEqual([]));

  const inches = (p: readonly number[]): number[] => p.map((v) => v / 25.4);
  let normal = 2;
  NIST_C3.forEach(([line, lowest], index) => {
    if (/g18/.test(line)) normal = 1;
    if (/g19/.test(line)) normal = 0;
    if (lowest.length === 0) return;
    const w = normal;
    it(line, () => {
      const feeds = only(read().ops, 'feed').filter((op) => op.line === index + 1);
      const depth = Math.min(...feeds.map((op) => op.to[w]!));
      const found = feeds.filter((op) => op.to[w]! < depth + 1e-9).map((op) => inches(op.to));
      expect(found).toHaveLength(lowest.length);
      lowest.forEach((place, i) =>
        place.forEach((v, axis) => expect(found[i]![axis]).toBeCloseTo(v, 9)),
      );
    });
  });

  it('G87 goes down beside the hole along the axes that I, J and K stand for', () => {
    const rapids = (line: number) =>
      only(read().ops, 'rapid')
        .filter((op) => op.line === line)
        .map((op) => inches(op.to).map((v) => Number(v.toFixed(6))));
    const lineOf = (word: string) => NIST_C3.findIndex(([text]) => text.startsWith(word)) + 1;
    expect(rapids(lineOf('n0130'))).toContainEqual([9.231, 10, -1.1]);
    expect(rapids(lineOf('n0330'))).toContainEqual([10, -1.1, 9.231]);
    expect(rapids(lineOf('n0530'))).toContainEqual([-1.1, 9.231, 10]);
  });

  it('ends at the height of its last retract', () => {
    const last = read().modalBeforeEnd!.position;
    [33.8, 31, 33].forEach((v, axis) => expect(last[axis]! / 25.4).toBeCloseTo(v, 9));
  });
});

describe('NISTIR 6556 table 6: probing a hole', () => {
  it('finds the centre and the diameter that were put in', () => {
    const read = readProgram(NIST_TABLE_6);
    expect(read.errors).toEqual([]);
    const probes = only(read.ops, 'probe').map((op) => op.to);
    // 30 / 2 less the radius of the tip, either side of X12 and Y-7.
    expect(probes.map((p) => p[0])).toEqual([25.5, -1.5, 12, 12, 25.5, -1.5]);
    expect(probes.map((p) => p[1])).toEqual([-7, -7, 6.5, -20.5, -7, -7]);
    expect(only(read.ops, 'rapid').slice(-2).map((op) => op.to)).toEqual([
      [12, -7, -4],
      [30, 0, -4],
    ]); // prettier-ignore
  });
});
