import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { greatestIn, momentsOf, peaksOf } from '../../src/preview/data/moments.js';
import { BEARERS, bearingOf } from '../../src/preview/data/bearing.js';
import { legendOf, PAINTS } from '../../src/preview/data/paint.js';
import { pathPoints, pick, thinned } from '../../src/preview/data/path-points.js';
import { ROLES } from '../../src/preview/data/track.js';
import { liveForce, wallErrors } from '../../src/preview/data/local-figures.js';
import { modelOf } from '../../src/preview/page/model.js';
import { compareWithOutline } from '../../src/preview/stock/leftover.js';
import { edgeRadius } from '../../src/profile/geometry/edge.js';
import { pageData, planned } from './example.js';

describe('peaks of stretches', () => {
  it('are those found by looking at every value', () => {
    const value = fc.float({ noNaN: true, noDefaultInfinity: true });
    fc.assert(
      fc.property(fc.array(value, { minLength: 1 }), fc.nat(), fc.nat(), (list, a, b) => {
        const values = Float32Array.from(list);
        const from = a % (values.length + 1);
        const to = b % (values.length + 1);
        const at = greatestIn(peaksOf(values), from, to);
        if (from >= to) {
          expect(at).toBe(-1);
          return;
        }
        expect(at).toBeGreaterThanOrEqual(from);
        expect(at).toBeLessThan(to);
        expect(values[at]).toBe(Math.max(...values.subarray(from, to)));
      }),
    );
  });
});

describe('a thinned path', () => {
  it('leaves out only points within twice the tolerance of a chord that stays', () => {
    const step = fc.tuple(
      fc.double({ min: -1, max: 1, noNaN: true }),
      fc.double({ min: -1, max: 1, noNaN: true }),
      fc.constantFrom(0, 0, 0, -0.5),
    );
    fc.assert(
      fc.property(fc.array(step, { minLength: 2, maxLength: 80 }), (steps) => {
        const at = [0, 0, 0];
        const list: number[] = [];
        for (const s of steps) {
          s.forEach((d, k) => (at[k] = at[k]! + d));
          list.push(...at);
        }
        const position = Float32Array.from(list);
        const entry = new Float32Array(position.length / 3);
        const tol = 0.2;
        const kept = thinned({ position, entry }, tol);
        expect(kept[0]).toBe(0);
        expect(kept[kept.length - 1]).toBe(entry.length - 1);
        for (let k = 1; k < kept.length; k++) {
          for (let i = kept[k - 1]! + 1; i < kept[k]!; i++) {
            expect(offChord(position, kept[k - 1]!, kept[k]!, i)).toBeLessThan(2.05 * tol);
          }
        }
      }),
    );
  });

  it('is a fraction of the example', () => {
    const { track } = pageData();
    const points = pathPoints(track, 0, track.line.length, 0.004);
    const few = thinned(points, 0.064);
    expect(few.length).toBeLessThan(points.entry.length / 3);
    expect(pick(points, few).position.length).toBe(3 * few.length);
  });
});

function offChord(p: Float32Array, a: number, b: number, i: number): number {
  const at = (k: number) => [p[3 * k]!, p[3 * k + 1]!, p[3 * k + 2]!] as const;
  const [A, B, P] = [at(a), at(b), at(i)];
  const d = B.map((v, k) => v - A[k]!);
  const e = P.map((v, k) => v - A[k]!);
  const l2 = d.reduce((s, v) => s + v * v, 0);
  const t = l2 > 0 ? Math.min(1, Math.max(0, d.reduce((s, v, k) => s + v * e[k]!, 0) / l2)) : 0;
  return Math.hypot(...e.map((v, k) => v - t * d[k]!));
}

describe('moments', () => {
  const data = pageData();
  const moments = momentsOf(data);

  it('begin with the peaks of plan.json', () => {
    const { summary, planned: plan } = planned();
    const { predicted, limits } = summary;
    const { peakResultantN, peakDriveN } = plan.replay;
    const [tooth, x, y, engagement] = moments;
    const of = (value: number, limit: number) => `${value.toFixed(1)} N of ${limit.toFixed(1)} N`;
    expect(data.track.resultantN[tooth!.entry!]).toBeCloseTo(peakResultantN.value, 4);
    expect(tooth!.detail).toBe(of(peakResultantN.value, limits.peakForceN));
    const { driveForceN } = plan.cam.process;
    expect(data.track.driveXN[x!.entry!]).toBeCloseTo(peakDriveN.x.value, 4);
    expect(x!.detail).toBe(of(peakDriveN.x.value, driveForceN.x));
    expect(data.track.driveYN[y!.entry!]).toBeCloseTo(peakDriveN.y.value, 4);
    expect(y!.detail).toBe(of(peakDriveN.y.value, driveForceN.y));
    expect(engagement!.detail).toContain(`${predicted.peakEngagementDeg.toFixed(1)}°`);
  });

  it('hold the worst of each section; those that are alike and follow each other are one', () => {
    const loads = moments.filter((m) => m.kind === 'load');
    const { sections } = data.figures;
    const ends = [...sections.slice(1).map(({ first }) => first), data.track.line.length];
    const own = loads.map((m) => sections.findLastIndex(({ first }) => first <= m.entry!));
    // In the order of the program, no section twice, and not one row a level: the levels are alike.
    expect(own).toEqual([...new Set(own)].sort((p, q) => p - q));
    expect(loads.length).toBeLessThan(sections.length / 2);
    // By looking at every entry of the section.
    loads.forEach((m, k) => {
      const { first } = sections[own[k]!]!;
      const all = Array.from(
        { length: ends[own[k]!]! - first },
        (_, i) => bearingOf(data).load[first + i]!,
      );
      expect(bearingOf(data).load[m.entry!]).toBe(Math.max(...all));
    });
    const { load: share } = bearingOf(data);
    const shares = loads.map((m) => share[m.entry!]!);
    expect(Math.max(...shares)).toBe(share.reduce((p, q) => Math.max(p, q)));
  });

  it('hold every warning and every stop', () => {
    const { warnings } = planned().summary;
    expect(moments.filter((m) => m.kind === 'warning').map((m) => m.title)).toEqual(
      warnings.map((w) => w.text),
    );
    const stops = planned().planned.program.ops.filter((op) => op.op === 'stop').length;
    expect(moments.filter((m) => m.kind === 'stop').length).toBe(stops);
  });
});

describe('what binds', () => {
  it('is what is nearest its limit, by the figures of plan.json and the limits of the job', () => {
    const data = pageData();
    const { share, which } = bearingOf(data);
    const { predicted, limits } = planned().summary;
    const { track } = data;
    const at = (column: ArrayLike<number>) =>
      greatestIn(peaksOf(Float32Array.from(column)), 0, column.length);
    // A cut at full engagement chatters on as many machines as the plan says.
    const fullest = at(track.engagementRad);
    const chatters = predicted.chatterProbability / limits.chatterProbability;
    expect(share[fullest]!).toBeGreaterThan(chatters - 0.01);
    // Nothing is nearer than what binds, where it is asked of plan.json itself.
    expect(share[at(track.resultantN)]!).toBeGreaterThanOrEqual(
      predicted.peakToothN / limits.peakForceN - 1e-6,
    );
    expect(share[at(track.chipMm)]!).toBeGreaterThan(
      0.999 * (track.chipMm[at(track.chipMm)]! / limits.chipMm),
    );
    // Where the wall is finished with the greatest push, the form error of the plan is met.
    const finishing = Array.from(track.resultantN, (n, i) =>
      ROLES[track.role[i]!] === 'finish' ? n : 0,
    );
    const wall = data.figures.finish.errorMm / planned().planned.job.limits.toleranceMm;
    expect(share[at(finishing)]!).toBeGreaterThanOrEqual(wall - 1e-6);
    for (let i = 0; i < share.length; i++) {
      expect(share[i]! > 0).toBe(track.engagementRad[i]! > 0);
      expect(which[i]!).toBeLessThan(BEARERS.length);
    }
  });
});

/** Bounds that the legend of a scale states, low to high. */
function boundsOf(paint: (typeof PAINTS)[number]): number[] {
  const { labels } = legendOf(paint, pageData());
  const pairs = labels.map((label) => /^([\d.]+) to ([\d.]+)/.exec(label)!.slice(1).map(Number));
  return [pairs[0]![0]!, ...pairs.map(([, to]) => to!)];
}

describe('legends', () => {
  it('state bounds of all bands up to the limit', () => {
    for (const paint of PAINTS) {
      if (paint === 'what binds') continue;
      const values = boundsOf(paint);
      expect(values[0]).toBe(0);
      expect([...values].sort((a, b) => a - b)).toEqual(values);
    }
    expect(Number(boundsOf('engagement').at(-1))).toBe(planned().summary.limits.maxEngagementDeg);
  });
});

describe('force at a moment', () => {
  it('is the load of the replay where the cut is the same all over its depth', () => {
    const model = modelOf(pageData());
    const { track } = model.data;
    let asked = 0;
    let sum = 0;
    for (let i = 0; i < track.line.length; i += 131) {
      if (track.resultantN[i]! < 20) continue;
      let most = 0;
      for (let k = 1; k <= 16; k++) {
        const rim = model.rim.at(i, k / 16);
        const live = liveForce(model.data, rim, i);
        most = Math.max(most, live?.force.resultantN ?? 0);
      }
      asked++;
      sum += Math.abs(most / track.resultantN[i]! - 1);
    }
    expect(asked).toBeGreaterThan(100);
    expect(sum / asked).toBeLessThan(0.03);
  });

  it('pushes off the wall, away from the material', () => {
    const model = modelOf(pageData());
    const { track } = model.data;
    const worst = track.resultantN.indexOf(Math.max(...track.resultantN));
    const rim = model.rim.at(worst, model.rim.worstFraction(worst))!;
    const live = liveForce(model.data, rim, worst)!;
    const middle = (rim.stretches.angles[0]! + rim.stretches.angles[1]!) / 2;
    expect(Math.cos(live.pushRad - middle)).toBeLessThan(0);
    expect(live.shiftMm(0)).toBeGreaterThan(live.shiftMm(5));
    expect(live.shiftMm(5)).toBeGreaterThan(0);
  });
});

describe('form error at a wall', () => {
  const { figures } = pageData();

  it('is the plan’s at the seating curve, and its taper over the depth', () => {
    const { outline, seatRadiusMm, thicknessMm } = figures.profile;
    const seat = outline.findIndex(
      (e) => e.kind === 'arc' && !e.ccw && Math.abs(edgeRadius(e) - seatRadiusMm) < 1e-6,
    );
    const error = wallErrors(figures)(seat);
    const low = figures.finish.levelsMm[figures.finish.levelsMm.length - 1]!;
    expect(error(low)).toBeCloseTo(figures.finish.errorMm, 6);
    expect(error(low) - error(low + thicknessMm)).toBeCloseTo(figures.finish.taperMm, 3);
  });

  it('is no greater anywhere else', () => {
    const error = wallErrors(figures);
    figures.profile.outline.forEach((_, i) => {
      expect(error(i)(-figures.profile.thicknessMm)).toBeLessThanOrEqual(
        figures.finish.errorMm + 1e-9,
      );
    });
  });
});

describe('the cut part against the outline', () => {
  it('leaves and gouges what the replay found, and has the area', () => {
    const model = modelOf(pageData());
    const { replay } = planned().planned;
    const found = compareWithOutline(model);
    expect(found.mostLeft.mm).toBeCloseTo(replay.leftoverMm, 3);
    expect(-found.deepest.mm).toBeLessThanOrEqual(replay.gougeMm.value + 1e-4);
    expect(Math.abs(found.areaShare)).toBeLessThan(5e-4);
  });
});
