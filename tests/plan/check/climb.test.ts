/**
 * Climb or conventional at the finished wall: a disc of 10 mm and a hole of 10 mm, gone round by a cutter
 * of 1 mm radius. Oracle: with the spindle clockwise a cutter kept left of its wall (G41, RS274/NGC
 * 3.5.10) climbs: clockwise round a disc, counter-clockwise in a hole. Common practice, no source.
 */
import { describe, expect, it } from 'vitest';
import { climbFindings } from '../../../src/plan/check/climb.js';
import type { OpLoads } from '../../../src/cam/stock/replay.js';
import type { CanonicalOp } from '../../../src/model/op.js';
import { type DistanceField } from '../../../src/profile/geometry/distance-field.js';
import { arc, feed, found } from './ops.js';

const asField = (of: (x: number, y: number) => number): DistanceField =>
  Object.assign(of, { nearestEdge: () => 0 });
const DISC = asField((x, y) => Math.hypot(x, y) - 10);
const HOLE = asField((x, y) => 10 - Math.hypot(x, y));

/** A whole turn at a radius, at Z-1. */
const round = (line: number, radius: number, ccw: boolean, z = -1) =>
  arc(line, [radius, 0, z], [radius, 0, z], [0, 0], { ccw });

function told(field: DistanceField | null, ops: readonly CanonicalOp[], engagedRad = 1) {
  const loads = { engagementRad: new Float64Array(ops.length).fill(engagedRad) };
  return found((findings) =>
    climbFindings(findings, ops, loads as unknown as OpLoads, { field }, 1),
  );
}
const codes = (...args: Parameters<typeof told>): string[] =>
  told(...args).map(({ line, severity, code }) => `${line} ${severity} ${code}`);

const CONVENTIONAL = ['3 warning finish-conventional'];

describe('the finished wall', () => {
  it('is cut conventionally with the wall on the left', () => {
    expect(codes(DISC, [round(3, 11, true)])).toEqual(CONVENTIONAL);
    expect(codes(DISC, [round(3, 11, false)])).toEqual([]);
    expect(codes(HOLE, [round(3, 9, false)])).toEqual(CONVENTIONAL);
    expect(codes(HOLE, [round(3, 9, true)])).toEqual([]);
    expect(told(DISC, [round(3, 11, true)])[0]!.text).toMatch(/^100 % of the finished wall/);
  });

  it('by lines, too: along +Y on the right of the disc, -X behind it', () => {
    const up = (x: number) => feed(3, [x, -0.3, -1], [x, 0.3, -1]);
    expect(codes(DISC, [up(11)])).toEqual(CONVENTIONAL);
    expect(codes(DISC, [up(-11)])).toEqual([]);
    const along = (x: number) => feed(3, [x, 11, -1], [-x, 11, -1]);
    expect(codes(DISC, [along(0.3)])).toEqual(CONVENTIONAL);
    expect(codes(DISC, [along(-0.3)])).toEqual([]);
    // 0.05 mm off the finished wall there is an allowance between.
    expect(codes(DISC, [up(11.05)])).toEqual([]);
  });

  it('counts by length, and only what is cut, below the face, level or not', () => {
    const half = arc(5, [11, 0, -1], [-11, 0, -1], [0, 0], { ccw: false });
    const quarter = arc(3, [11, 0, -1], [0, 11, -1], [0, 0]);
    expect(codes(DISC, [quarter, half])).toEqual([]);
    expect(
      told(DISC, [quarter, half, { ...quarter, line: 6 }, { ...quarter, line: 7 }])[0],
    ).toMatchObject({
      line: 3,
      value: expect.closeTo(0.6, 9),
    });
    expect(codes(DISC, [round(3, 11, true)], 0)).toEqual([]);
    expect(codes(DISC, [round(3, 11, true, 0)])).toEqual([]);
    const down = { ...round(3, 11, true), from: [11, 0, -0.5] as const };
    expect(codes(DISC, [down])).toEqual(CONVENTIONAL);
    expect(codes(null, [round(3, 11, true)])).toEqual([]);
  });
});
