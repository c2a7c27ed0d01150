/**
 * What a program is taken to be for: the mist pump's wheel has a bore of 15 mm, made by the router
 * from a hole of 9 mm with a 2.5 mm cutter, and 5 mm teeth.
 */
import { describe, expect, it } from 'vitest';
import { blankSize } from '../../../src/cam/sequence.js';
import { setupFor } from '../../../src/plan/start.js';
import { wheelOf } from '../../../src/profile/wheel/sprocket.js';
import type { Job } from '../../../src/model/job.js';
import type { CanonicalOp } from '../../../src/model/op.js';
import { arc, exampleJob, feed, rapid } from './ops.js';

const JOB = exampleJob('mist-pump-18t-06b');
const PROFILE = wheelOf(JOB);
const setup = (ops: readonly CanonicalOp[], job: Job = JOB) =>
  setupFor(job, { cut: PROFILE, blank: blankSize(job, PROFILE) }, ops);
/** Half way between bore and root, less the cutter's radius. */
const BETWEEN = (15 + PROFILE.rootDiameterMm) / 4 - 1.25;
const low = (x: number, y = 0) => feed(1, [x, y, -1], [0, 0, -1]);

describe('bore or teeth', () => {
  it('the bore, while all that is below the face is nearer to it than to the teeth', () => {
    const bore = setup([low(5), feed(2, [0, 0, -1], [3, -4, -2])]);
    expect(bore).toMatchObject({ target: 'bore', depthMm: PROFILE.thicknessMm });
    expect(bore.withinMm).toBeCloseTo(5, 12);
    expect(bore.replay.holes).toEqual([{ x: 0, y: 0, radiusMm: 4.5 }]);
    expect(bore.replay.thicknessMm).toBe(PROFILE.thicknessMm);
    // 64 mm blank, 0.3 mm off centre.
    expect(bore.replay.blankRadiusMm).toBeCloseTo(32.3, 12);
    // In the middle of the bore it is 7.5 mm from the wall.
    expect(bore.replay.field!(0, 0)).toBeCloseTo(7.5, 6);
    expect(setup([low(BETWEEN - 0.001)]).target).toBe('bore');
    expect(setup([low(BETWEEN)]).target).toBe('teeth');
    expect(setup([low(0, -BETWEEN - 0.001)]).target).toBe('teeth');
    // A move counts by both ends.
    expect(setup([feed(1, [0, 0, -1], [0, 40, -1])]).target).toBe('teeth');
    expect(setup([low(3), feed(2, [0, 0, -1], [0, 40, -1]), low(4)]).target).toBe('teeth');
  });

  it('what goes on above the face, or does not move, says nothing', () => {
    const above = [rapid(1, [50, 0, 5], [0, 0, 5]), rapid(2, [60, 0, 0], [0, 0, 0])];
    expect(setup([...above, low(5)])).toMatchObject({ target: 'bore', withinMm: 5 });
    expect(setup(above)).toMatchObject({ target: 'teeth', withinMm: null });
    expect(setup([{ op: 'dwell', line: 1, seconds: 2 }])).toMatchObject({ target: 'teeth' });
    // Down into the work, or out of it: below the face at one end.
    expect(setup([rapid(1, [50, 0, 5], [50, 0, -1])]).target).toBe('teeth');
    expect(setup([rapid(1, [50, 0, -1], [50, 0, 5])]).target).toBe('teeth');
  });

  it('arcs by their centre and radius, upright ones by their ends', () => {
    const round = (centre: readonly [number, number], more = {}) =>
      arc(1, [4, 0, -1], [4, 0, -1], centre, more);
    expect(setup([round([1, 0])]).withinMm).toBeCloseTo(4, 12);
    // About X-2: out to 2 + 6 mm on the far side.
    expect(setup([round([-2, 0])]).withinMm).toBeCloseTo(8, 12);
    expect(setup([round([4, 3])]).withinMm).toBeCloseTo(5 + 3, 12);
    expect(setup([round([4, -40], { plane: 'xz' })])).toMatchObject({ withinMm: 4 });
  });

  it('teeth: the bore and its hole are air, and nothing is asked of the bore', () => {
    const teeth = setup([low(40)]);
    expect(teeth).toMatchObject({ target: 'teeth', withinMm: null, depthMm: PROFILE.thicknessMm });
    expect(teeth.replay.holes).toEqual([{ x: 0, y: 0, radiusMm: 4.5 }]);
    // Positive in air: the bore is, 7.5 mm from its wall; between bore and teeth is none.
    expect(teeth.replay.field!(0, 0)).toBeCloseTo(7.5, 6);
    expect(teeth.replay.field!(12, 0)).toBeLessThan(0);
    expect(teeth.blank).toMatchObject({ diameterMm: 64, thicknessMm: 5 });
  });

  it('a bore that the router does not make, or not from a hole, is no target', () => {
    for (const other of [
      { madeBy: 'lathe' },
      { shape: 'd-flat', acrossFlatMm: 13 },
      { pilotHoleMm: null },
    ] as const) {
      const plain = setup([low(5)], { ...JOB, bore: { ...JOB.bore, ...other } });
      expect(plain).toMatchObject({ target: 'teeth', withinMm: null });
      expect(plain.depthMm).toBe(PROFILE.thicknessMm);
      expect(plain.replay.holes).toEqual([]);
      expect(plain.replay.field!(0, 0)).toBeLessThan(-7);
    }
  });

  it('the bore goes through the hub, too', () => {
    const hub = { diameterMm: 30, lengthMm: 8 };
    const bore = setup([low(5)], { ...JOB, hub });
    expect(bore.depthMm).toBeCloseTo(PROFILE.thicknessMm + 8, 12);
    expect(bore.replay.thicknessMm).toBeCloseTo(PROFILE.thicknessMm + 8, 12);
  });
});
