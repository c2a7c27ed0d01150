/** How a program spends its time; lengths by hand. */
import { describe, expect, it } from 'vitest';
import type { OpLoads } from '../../../src/cam/stock/replay.js';
import { eachLoad } from '../../../src/cam/stock/replay/report.js';
import { paceFindings, timeShares } from '../../../src/plan/check/air.js';
import { findMachine } from '../../../src/machines/machines.js';
import type { CanonicalOp, Pt3 } from '../../../src/model/op.js';
import { arc, feed, found, probe, rapid } from './ops.js';

const O: Pt3 = [0, 0, 0];

/** Loads that are nothing but engaged or not. */
function loadsOf(engaged: readonly boolean[]): OpLoads {
  const engagementRad = Float64Array.from(engaged, (yes) => (yes ? 0.1 : 0));
  const none = new Float64Array(engaged.length);
  return eachLoad((name) => (name === 'engagementRad' ? engagementRad : none));
}

const machine = { ...findMachine('screw-gantry-light'), id: 'small', maxFeedMmPerMin: 1000 };

/** Up to speed and round a corner at once; rapids of 3,000 mm/min. */
const AT_ONCE = {
  ...machine,
  accelerationMmPerS2: { x: 1e15, y: 1e15, z: 1e15 },
  rapidMmPerMin: { x: 3000, y: 3000, z: 3000 },
  junctionDeviationMm: 1e6,
};

const shares = (ops: readonly CanonicalOp[], cutting = false) =>
  timeShares(ops, loadsOf(ops.map(() => cutting)), AT_ONCE);

describe('time', () => {
  it('is length over feed, level, slanted or upright, of lines and arcs', () => {
    const minutes = (op: CanonicalOp): number => shares([op], true).cutMin * 100;
    expect(minutes(feed(1, O, [3, 4, 0]))).toBeCloseTo(5, 12);
    expect(minutes(feed(1, O, [3, 4, -12]))).toBeCloseTo(13, 12);
    expect(minutes(feed(1, O, [0, 0, 7]))).toBeCloseTo(7, 12);
    expect(minutes(feed(1, O, O))).toBe(0);
    expect(minutes(feed(1, O, [3, 4, 0], 50))).toBeCloseTo(10, 12);
    // A half circle of 2 mm; a whole helix of it that falls 5 mm; a quarter of 3 mm, upright.
    expect(minutes(arc(1, [2, 0, 0], [-2, 0, 0], [0, 0]))).toBeCloseTo(2 * Math.PI, 12);
    const helix = arc(1, [2, 0, 0], [2, 0, -5], [0, 0]);
    expect(minutes(helix)).toBeCloseTo(Math.hypot(4 * Math.PI, 5), 9);
    const upright = arc(1, [0, 0, 3], [3, 0, 0], [0, 0], { plane: 'xz' });
    expect(minutes(upright)).toBeCloseTo(1.5 * Math.PI, 9);
    expect(minutes(probe(1, O, [0, 8, 0]))).toBeCloseTo(8, 12);
  });

  it('counts as cut where material is met, as air where not, and rapids', () => {
    const ops = [
      feed(1, O, [10, 0, 0]),
      rapid(2, [10, 0, 0], [10, 6, 8]),
      feed(3, [10, 6, 8], [10, 36, 8]),
      rapid(4, [10, 36, 8], [10, 41, 8]),
      { op: 'dwell', line: 5, seconds: 9 } as const,
      feed(6, [10, 41, 8], [10, 41, -12]),
    ];
    const got = timeShares(ops, loadsOf([true, true, false, false, true, true]), AT_ONCE);
    expect(got.cutMin).toBeCloseTo(0.3, 12);
    expect(got.airMin).toBeCloseTo(0.3, 12);
    // 10 mm aslant and 5 mm along Y.
    expect(got.rapidMin).toBeCloseTo(10 / (3000 * (10 / 8)) + 5 / 3000, 9);
  });

  it('counts getting up to speed and coming to rest', () => {
    // 600 mm/min is 10 mm/s; at 100 mm/s2 that takes 0.1 s and 0.5 mm, at either end: 9 mm remain.
    const slow = { ...AT_ONCE, accelerationMmPerS2: { x: 100, y: 100, z: 100 } };
    const ops = [feed(1, O, [10, 0, 0], 600)];
    const { cutMin } = timeShares(ops, loadsOf([true]), slow);
    expect(60 * cutMin).toBeCloseTo(0.1 + 0.9 + 0.1, 9);
  });

  it('without a feed there is none: such a move is told of elsewhere', () => {
    expect(shares([feed(1, O, [9, 0, 0], 0)])).toEqual({ cutMin: 0, airMin: 0, rapidMin: 0 });
  });
});

describe('feeds and speeds', () => {
  const { minRpm, maxRpm } = machine.spindle;
  const quiet = { cutMin: 0, airMin: 0, rapidMin: 0 };
  const pace = (ops: readonly CanonicalOp[], time = quiet) =>
    found((findings) => paceFindings(findings, ops, machine, time));
  const turn = (line: number, rpm: number, on = true): CanonicalOp => ({
    op: 'spindle',
    line,
    rpm,
    on,
    direction: on ? 'cw' : 'off',
  });

  it('over what the machine has: the first line of each, with figure and limit', () => {
    expect(pace([feed(1, O, [1, 0, 0], 1000), turn(2, minRpm), turn(3, maxRpm)])).toEqual([]);
    const fast = [feed(1, O, [1, 0, 0], 900), feed(2, O, [1, 0, 0], 1001), feed(3, O, O, 2000)];
    expect(pace(fast)).toEqual([
      {
        line: 2,
        severity: 'warning',
        code: 'feed-above-machine',
        text: 'asks for 1001 mm/min; small is trusted up to 1000 mm/min',
        value: 1001,
        limit: 1000,
      },
    ]);
    const round = arc(4, [2, 0, 0], [-2, 0, 0], [0, 0], { feedMmPerMin: 1500.4 });
    expect(pace([rapid(1, O, O), round])).toMatchObject([{ line: 4, value: 1500.4 }]);
    // A probe goes at its own feed, and a rapid has none.
    expect(pace([probe(1, O, [0, 0, -1], 5000), rapid(2, O, [9, 0, 0])])).toEqual([]);
  });

  it('speeds below and above the range, of a spindle that turns', () => {
    expect(pace([turn(1, minRpm - 1)])).toEqual([
      {
        line: 1,
        severity: 'warning',
        code: 'speed-range',
        text: `asks for ${minRpm - 1} rpm; the spindle of small turns ${minRpm} to ${maxRpm} rpm`,
        value: minRpm - 1,
        limit: minRpm,
      },
    ]);
    const high = pace([turn(1, maxRpm + 1, false), turn(2, maxRpm + 1), turn(3, 1)]);
    expect(high).toMatchObject([{ line: 2, value: maxRpm + 1, limit: maxRpm }]);
    expect(pace([turn(1, 0, false)])).toEqual([]);
  });

  it('more than 5 min of air, and more of it than of cutting', () => {
    const air = (airMin: number, cutMin: number) => pace([], { cutMin, airMin, rapidMin: 0 });
    expect(air(5, 0)).toEqual([]);
    expect(air(7, 7)).toEqual([]);
    expect(air(7, 8)).toEqual([]);
    expect(air(5.6, 4.4)).toEqual([
      {
        line: 0,
        severity: 'note',
        code: 'air-at-feed',
        text: '6 min at feed are in air, 4 min cut',
        value: 5.6,
        limit: 4.4,
      },
    ]);
    expect(air(4, 1)).toEqual([]);
  });
});
