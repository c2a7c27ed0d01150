/** What a replay reports of what it gathered; every figure by hand. */
import { describe, expect, it } from 'vitest';
import { eachLoad, reportOf, travelFindings } from '../../src/cam/stock/replay/report.js';
import type { OpLoads } from '../../src/cam/stock/replay/report.js';
import type { CanonicalOp, Pt3 } from '../../src/model/op.js';
import { arc, feed, rapid } from '../plan/check/ops.js';

const TRAVEL = { x: 100, y: 80, z: 50 };
const O: Pt3 = [0, 0, 0];

function loads(values: Partial<Record<keyof OpLoads, readonly number[]>>, count: number): OpLoads {
  return eachLoad((name) => Float64Array.from({ length: count }, (_, i) => values[name]?.[i] ?? 0));
}

const ROUND = arc(9, [2, 0, 0], [-2, 0, 0], [0, 0], { radiusErrorMm: 0.003 });
const OPS: readonly CanonicalOp[] = [
  feed(4, O, [1, 0, 0]),
  feed(5, O, [2, 0, 0]),
  arc(6, [2, 0, 0], [-2, 0, 0], [0, 0], { radiusErrorMm: 0.001 }),
  ROUND,
  arc(10, [2, 0, 0], [-2, 0, 0], [0, 0], { radiusErrorMm: 0.003 }),
];

describe('peaks', () => {
  const all = loads(
    {
      engagementRad: [0.1, 0.5, 0.5],
      xN: [0, 3, 7],
      yN: [9],
      resultantN: [8, 9.5],
      driveXN: [0, 0, 0, 2],
      driveYN: [4, 4],
      chipMm: [0, 0.02],
      powerW: [0, 0, 0, 40],
      axialMm: [0.3, 0.4, 0.2],
    },
    OPS.length,
  );
  const gougesMm = Float64Array.of(0, 0, 0, 0.004, 0.01);
  const travel = { line: 1, code: 'plunge', text: 'down', value: null } as const;
  const gathered = { loads: all, gougesMm, removedMm3: 12, findings: [travel], samples: 34 };

  it('are the greatest, on the first line that has them', () => {
    const left = { leftoverMm: 0.5, leftoverAt: [3, 4] as const };
    expect(reportOf(OPS, { ...gathered, ...left })).toEqual({
      loads: all,
      peakEngagementRad: { value: 0.5, line: 5 },
      peakForceN: { x: { value: 7, line: 6 }, y: { value: 9, line: 4 } },
      peakResultantN: { value: 9.5, line: 5 },
      peakDriveN: { x: { value: 2, line: 9 }, y: { value: 4, line: 4 } },
      peakChipMm: { value: 0.02, line: 5 },
      peakPowerW: { value: 40, line: 9 },
      peakAxialMm: { value: 0.4, line: 5 },
      gougeMm: { value: 0.01, line: 10 },
      gougesMm,
      leftoverMm: 0.5,
      leftoverAt: [3, 4],
      worstArcRadiusErrorMm: { value: 0.003, line: 9 },
      removedMm3: 12,
      findings: [travel],
      samples: 34,
    });
  });

  it('of nothing are nothing, on no line', () => {
    const far = [rapid(3, O, [-60, 0, 0]), rapid(4, O, [60, 0, 0])];
    const nothing = { ...gathered, loads: loads({}, 2), gougesMm: new Float64Array(2) };
    const report = reportOf(far, { ...nothing, leftoverMm: 0, leftoverAt: null });
    for (const key of ['peakEngagementRad', 'peakChipMm', 'gougeMm', 'peakPowerW'] as const) {
      expect(report[key]).toEqual({ value: 0, line: 0 });
    }
    expect(report.worstArcRadiusErrorMm).toEqual({ value: 0, line: 0 });
    expect(report.findings).toEqual([travel]);
  });

  it('loads from one operation on', () => {
    const later = eachLoad((name) => all[name].subarray(2));
    expect([...later.engagementRad]).toEqual([0.5, 0, 0]);
    expect([...later.xN]).toEqual([7, 0, 0]);
    expect([...later.powerW]).toEqual([0, 40, 0]);
    expect(Object.keys(later)).toEqual(Object.keys(all));
  });
});

describe('travel', () => {
  const lines = (...ops: readonly CanonicalOp[]) =>
    travelFindings(ops, TRAVEL).map((f) => [f.line, f.value]);

  it('as far as the machine goes is no finding, a hair farther is, on the line that does it', () => {
    expect(lines(rapid(1, O, [-40, 0, 0]), rapid(2, O, [60, 0, 0]))).toEqual([]);
    const ops = [
      rapid(1, O, [-40, 0, 0]),
      rapid(2, O, [60.5, 0, 0]),
      rapid(3, O, [70, 0, 0]),
      rapid(4, O, O),
    ];
    expect(travelFindings(ops, TRAVEL)).toEqual([
      {
        line: 2,
        code: 'travel',
        text: 'the program spans 110.0 mm in X, its zero included: from -40.0 to 70.0; the machine travels 100 mm',
        value: 110,
      },
    ]);
    expect(lines(rapid(1, O, [0, 41, 0]), rapid(2, O, [0, -41, 0]))).toEqual([[2, 82]]);
    expect(lines(rapid(1, O, [0, 0, 5]), rapid(2, O, [0, 0, -46]))).toEqual([[2, 51]]);
    const all = [rapid(1, O, [-60, -60, -60]), rapid(2, O, [60, 60, 60])];
    const said = travelFindings(all, TRAVEL).map((f) => /in (.),.* travels (.*) mm$/.exec(f.text));
    expect(said.map((m) => `${m![1]} ${m![2]}`)).toEqual(['X 100', 'Y 80', 'Z 50']);
  });

  it('is measured from the zero that the sheet has set: one far place alone is too far', () => {
    expect(lines(rapid(7, [99, 0, 0], [100, 0, 0]))).toEqual([]);
    expect(lines(rapid(7, [99, 0, 0], [101, 0, 0]))).toEqual([[7, 101]]);
    expect(lines(rapid(7, O, [0, -81, 0]))).toEqual([[7, 81]]);
    expect(lines(rapid(7, O, [1e20, 0, 0]), rapid(8, O, O))).toEqual([[7, 1e20]]);
  });

  it('where the program begins is no part of it, nor what does not move', () => {
    expect(lines(rapid(1, [999, 0, 0], O), { op: 'dwell', line: 2, seconds: 1 })).toEqual([]);
    expect(lines()).toEqual([]);
  });

  it('what is not known of one axis hides nothing of another', () => {
    const x = (line: number, value: number, y = NaN) => rapid(line, O, [value, y, NaN]);
    expect(lines(x(1, 0), x(2, 101))).toEqual([[2, 101]]);
    expect(lines(x(1, NaN, 0), x(2, 0, 81), x(3, 101, NaN))).toEqual([
      [3, 101],
      [2, 81],
    ]);
    expect(lines(x(1, NaN), x(2, NaN))).toEqual([]);
  });

  it('an arc reaches as far as its bulge, where it has one', () => {
    // A half circle of 45 mm from X-45 to X45 about the origin.
    const half = (line: number, ccw: boolean) =>
      arc(line, [-45, 0, 0], [45, 0, 0], [0, 0], { ccw });
    const at = (y: number) => rapid(1, O, [10, y, 0]);
    // Clockwise from -X to +X goes over +Y.
    expect(lines(at(-36), half(2, false))).toEqual([[2, 81]]);
    expect(lines(at(-35), half(2, false))).toEqual([]);
    expect(lines(at(36), half(2, false))).toEqual([]);
    // The other way round it goes to Y-45.
    expect(lines(at(36), half(2, true))).toEqual([[2, 81]]);
    expect(lines(at(35), half(2, true))).toEqual([]);
    expect(lines(at(-36), half(2, true))).toEqual([]);
    // What is known already holds it: said on no line of its own.
    expect(lines(at(-35), rapid(2, O, [0, 46, 0]), half(3, false))).toEqual([[2, 81]]);
    // A quarter has no bulge: 60 mm on either axis.
    const quarter = arc(3, [60, 0, 0], [0, 60, 0], [0, 0]);
    expect(lines(rapid(1, O, [-40, -20, 0]), quarter)).toEqual([]);
    expect(lines(rapid(1, O, [-41, -20, 0]), quarter)).toEqual([[3, 101]]);
    expect(lines(rapid(1, O, [-40, -21, 0]), quarter)).toEqual([[3, 81]]);
    // The same ends the long way round: all but a quarter, so out to -60 on both.
    const long = arc(3, [60, 0, 0], [0, 60, 0], [0, 0], { ccw: false });
    expect(lines(rapid(1, O, O), long)).toEqual([
      [3, 120],
      [3, 120],
    ]);
  });

  it('arcs about any centre, in each plane', () => {
    // Radius 20 about (30, -10): over the top from (10, -10) to (50, -10), so up to 10 there.
    const over = (plane: 'xy' | 'xz' | 'yz', first: Pt3, from: Pt3, to: Pt3, ccw: boolean) =>
      lines(
        rapid(1, O, first),
        arc(2, from, to, plane === 'yz' ? [-10, 30] : [30, -10], { plane, ccw }),
      );
    const [xy, yx] = [[10, -10, 0] as const, [50, -10, 0] as const];
    expect(over('xy', [20, -70, 0], xy, yx, false)).toEqual([]);
    expect(over('xy', [20, -70.5, 0], xy, yx, false)).toEqual([[2, 80.5]]);
    expect(over('xy', [20, 50, 0], xy, yx, true)).toEqual([]);
    expect(over('xy', [20, 50.5, 0], xy, yx, true)).toEqual([[2, 80.5]]);
    // Round the side from (30, 10) to (30, -30): out to X50 clockwise, to X10 the other way.
    const [top, bottom] = [[30, 10, 0] as const, [30, -30, 0] as const];
    expect(over('xy', [-50, 0, 0], top, bottom, false)).toEqual([]);
    expect(over('xy', [-50.5, 0, 0], top, bottom, false)).toEqual([[2, 100.5]]);
    expect(over('xy', [-70, 0, 0], top, bottom, true)).toEqual([]);
    expect(over('xy', [-70.5, 0, 0], top, bottom, true)).toEqual([[2, 100.5]]);
    // Upright, X and Z: G3 turns from Z to X, so it goes over the top from -X to X.
    const [xz, zx] = [[10, 0, -10] as const, [50, 0, -10] as const];
    expect(over('xz', [20, 0, -40], xz, zx, true)).toEqual([]);
    expect(over('xz', [20, 0, -40.5], xz, zx, true)).toEqual([[2, 50.5]]);
    // Upright about Y-10, Z30, from below to above by the side of +Y.
    const [low, high] = [[0, -10, 10] as const, [0, -10, 50] as const];
    expect(over('yz', [0, -70, 20], low, high, true)).toEqual([]);
    expect(over('yz', [0, -70.5, 20], low, high, true)).toEqual([[2, 80.5]]);
  });

  it('upright arcs by the axes of their plane, the third by its ends', () => {
    const over = (plane: 'xz' | 'yz', ccw: boolean, to: Pt3) =>
      arc(2, plane === 'xz' ? [-30, 0, 0] : [0, -30, 0], to, [0, 0], { plane, ccw });
    const top = rapid(1, O, [0, 0, 21]);
    const low = rapid(1, O, [0, 0, -21]);
    // G2 in XZ from X-30 to X30 goes below (G3 turns from Z to X), in YZ above.
    expect(lines(top, over('xz', false, [30, 0, 0]))).toEqual([[2, 51]]);
    expect(lines(low, over('xz', false, [30, 0, 0]))).toEqual([]);
    expect(lines(low, over('xz', true, [30, 0, 0]))).toEqual([[2, 51]]);
    expect(lines(low, over('yz', false, [0, 30, 0]))).toEqual([[2, 51]]);
    expect(lines(top, over('yz', false, [0, 30, 0]))).toEqual([]);
    expect(lines(top, over('yz', true, [0, 30, 0]))).toEqual([[2, 51]]);
    // Across the plane it is as far as it says.
    expect(lines(low, over('xz', false, [30, 81, 0]))).toEqual([[2, 81]]);
    expect(lines(low, over('yz', true, [101, 30, 0]))).toContainEqual([2, 101]);
  });
});
