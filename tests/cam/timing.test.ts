import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { motionTimes } from '../../src/cam/timing.js';
import { trapezoidS } from '../../src/maths/motion.js';
import type { Move } from '../../src/model/toolpath.js';
import { findMachine } from '../../src/machines/machines.js';
import type { Machine } from '../../src/model/machine.js';
import { drivesOf } from './drives.js';
import { readMini } from './oracle/mini-rs274.js';
import { programSeconds } from './oracle/motion.js';
import { runs } from './oracle/runs.js';

const machine = findMachine('screw-gantry-light');

/** RS-274 text of moves, with more digits than a control would take. */
function textOf(moves: readonly Move[]): string {
  const lines = ['G21 G90 G17 G94'];
  let at: readonly number[] = [0, 0, 0];
  for (const move of moves) {
    if (move.kind === 'spindle') lines.push(`M3 S${move.rpm}`, `G4 P${move.dwellS}`);
    if (move.kind === 'stop') lines.push('M5', 'M0');
    if (!('to' in move)) continue;
    const [x, y, z] = move.to.map((v) => v.toFixed(9));
    const end = `X${x} Y${y} Z${z}`;
    if (move.kind === 'rapid') lines.push(`G0 ${end}`);
    else if (move.kind === 'line') lines.push(`G1 ${end} F${move.feedMmPerMin}`);
    else if (move.kind === 'arc') {
      const ij = `I${(move.c[0] - at[0]!).toFixed(9)} J${(move.c[1] - at[1]!).toFixed(9)}`;
      lines.push(`G${move.ccw ? 3 : 2} ${end} ${ij} F${move.feedMmPerMin}`);
    }
    at = move.to;
  }
  return `${lines.join('\n')}\nM2\n`;
}

describe('one block', () => {
  it('long enough to reach its speed: length over speed, and half the ramps', () => {
    expect(trapezoidS(100, 0, 10, 0, 200)).toBeCloseTo(100 / 10 + 10 / 200, 12);
    expect(trapezoidS(100, 10, 10, 10, 200)).toBeCloseTo(10, 12);
    expect(trapezoidS(100, 4, 10, 10, 200)).toBeCloseTo(
      (10 - 4) / 200 + (100 - (10 ** 2 - 4 ** 2) / 400) / 10,
      12,
    );
  });

  it('too short: up and straight down again, 2 sqrt(L / a) from rest to rest', () => {
    expect(trapezoidS(0.1, 0, 100, 0, 300)).toBeCloseTo(2 * Math.sqrt(0.1 / 300), 12);
  });

  it('never faster than at full speed, never faster with less speed to reach', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 50, noNaN: true }),
        fc.double({ min: 1, max: 60, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.double({ min: 50, max: 800, noNaN: true }),
        (length, v, share, a) => {
          const v0 = v * share;
          const v1 = Math.min(v, Math.sqrt(v0 * v0 + a * length));
          const t = trapezoidS(length, v0, v, v1, a);
          expect(t).toBeGreaterThanOrEqual(length / v - 1e-12);
          expect(trapezoidS(length, v0, v * 1.5, v1, a)).toBeLessThanOrEqual(t + 1e-12);
        },
      ),
    );
  });
});

describe('corners', () => {
  it('speed on the circle that touches both legs at the deviation from the corner', () => {
    // A right angle: R = d c / (1 - c) with c = cos 45 deg.
    const c = Math.cos(Math.PI / 4);
    const v = throughCorner([1, 0, 0], [0, 1, 0], 200, 0.01);
    expect(v).toBeCloseTo(Math.sqrt((200 * 0.01 * c) / (1 - c)), 12);
    // The circle's nearest point is R (1 / c - 1) from the corner.
    const radius = (v * v) / 200;
    expect(radius * (1 / c - 1)).toBeCloseTo(0.01, 12);
    expect(throughCorner([1, 0, 0], [1, 0, 0], 200, 0.01)).toBeCloseTo(FAST_MM_PER_S, 9);
    expect(throughCorner([1, 0, 0], [-1, 0, 0], 200, 0.01)).toBeCloseTo(0, 9);
  });
});

/** A speed that legs of {@link LEG_MM} reach at 80 mm/s2 and more: v^2 = 2 a s. */
const FAST_MM_PER_S = 400;
const LEG_MM = 1000;

/** Acceleration along both of two directions where every axis has `a`. mm/s2 */
function alongBoth(u: readonly number[], v: readonly number[], a: number): number {
  return a / Math.max(Math.max(...u.map(Math.abs)), Math.max(...v.map(Math.abs)));
}

/** Speed through the corner between two long moves, `a` on every axis. mm/s */
function throughCorner(u: readonly number[], v: readonly number[], a: number, d: number): number {
  const corner = [0, 1, 2].map((k) => LEG_MM * u[k]!) as [number, number, number];
  const end = [0, 1, 2].map((k) => corner[k]! + LEG_MM * v[k]!) as [number, number, number];
  const feedMmPerMin = 60 * FAST_MM_PER_S;
  const moves = [corner, end].map((to): Move => ({ kind: 'line', to, feedMmPerMin, role: 'cut' }));
  const { entryMmPerMin } = motionTimes([0, 0, 0], moves, {
    ...machine,
    accelerationMmPerS2: { x: a, y: a, z: a },
    rapidMmPerMin: { x: 1e6, y: 1e6, z: 1e6 },
    junctionDeviationMm: d,
  });
  return entryMmPerMin[1]! / 60;
}

/** Axes that differ in everything, figures that are easy to reckon with. */
const odd: Machine = {
  ...machine,
  accelerationMmPerS2: { x: 200, y: 100, z: 50 },
  rapidMmPerMin: { x: 3000, y: 2400, z: 600 },
  junctionDeviationMm: 0.02,
};
const line = (x: number, y: number, z: number, feedMmPerMin = 600): Move => ({
  kind: 'line',
  to: [x, y, z],
  feedMmPerMin,
  role: 'cut',
});
const rapid = (x: number, y: number, z: number): Move => ({ kind: 'rapid', to: [x, y, z] });
const timesOf = (...moves: Move[]) => motionTimes([0, 0, 0], moves, odd);

describe('moves reckoned by hand', () => {
  it('a rapid from rest to rest: L / v + v / a, the axis that gives least deciding on each', () => {
    for (const [to, v, a] of [
      [[60, 0, 0], 50, 200],
      [[0, -60, 0], 40, 100],
      [[0, 0, 60], 10, 50],
      // Along (1, 2, 2) / 3: speed by Z, 10 x 3 / 2; acceleration by Z too, 50 x 3 / 2.
      [[20, -40, -40], 15, 75],
      // Along (4, 3, 0) / 5: speed 50 x 5 / 4, acceleration by Y, 100 x 5 / 3.
      [[48, 36, 0], 62.5, 500 / 3],
    ] as const) {
      const { totalS, secondsOf } = timesOf(rapid(to[0], to[1], to[2]));
      expect(totalS).toBeCloseTo(60 / v + v / a, 9);
      expect(secondsOf[0]).toBeCloseTo(totalS, 12);
    }
    // A feed over what the axis can is cut to it; one under it is kept.
    expect(timesOf(line(0, 0, 60, 6000)).totalS).toBeCloseTo(60 / 10 + 10 / 50, 9);
    expect(timesOf(line(0, 0, 60, 300)).totalS).toBeCloseTo(60 / 5 + 5 / 50, 9);
  });

  it('a half circle: no faster than sqrt(a R), with the slower of X and Y', () => {
    const half = (feedMmPerMin: number): Move => ({
      kind: 'arc',
      to: [2, 0, 0],
      c: [1, 0],
      ccw: true,
      feedMmPerMin,
      role: 'cut',
    });
    // sqrt(100 x 1) = 10 mm/s.
    expect(timesOf(half(3000)).totalS).toBeCloseTo(Math.PI / 10 + 10 / 100, 9);
    expect(timesOf(half(300)).totalS).toBeCloseTo(Math.PI / 5 + 5 / 100, 9);
  });

  it('a line cut into pieces takes as long as in one, and each place has its speed', () => {
    const cuts = [0.1, 0.15, 0.4, 0.9, 1, 2.2, 2.9, 2.95, 3];
    const { totalS, entryMmPerMin } = timesOf(...cuts.map((x) => line(x, 0, 0, 6000)));
    // From rest to rest over 3 mm, never at full speed: 2 sqrt(L / a), and v^2 = 2 a s from the
    // nearer end.
    expect(totalS).toBeCloseTo(2 * Math.sqrt(3 / 200), 9);
    [0, ...cuts.slice(0, -1)].forEach((x, i) => {
      const v = Math.sqrt(2 * 200 * Math.min(x, 3 - x));
      expect(entryMmPerMin[i]).toBeCloseTo(60 * v, 6);
    });
  });

  it('straight on at another feed: the slower of the two at the joint', () => {
    const { secondsOf, entryMmPerMin } = timesOf(
      line(100, 0, 0, 600),
      line(200, 0, 0, 1200),
      line(300, 0, 0, 600),
    );
    expect([...entryMmPerMin]).toEqual([0, 600, 600]);
    // Ramp from rest to v: v / 2a more than at v all the way.
    expect(secondsOf[0]).toBeCloseTo(10 + 10 / 400, 9);
    expect(secondsOf[2]).toBeCloseTo(10 + 10 / 400, 9);
    // 10 to 20 mm/s and back: 0.05 s and 0.75 mm each.
    expect(secondsOf[1]).toBeCloseTo(0.1 + 98.5 / 20, 9);
  });

  it('notes and moves of no length take no time and stop nothing', () => {
    const note: Move = { kind: 'note', text: 'x' };
    const { secondsOf, totalS } = timesOf(
      note,
      line(50, 0, 0),
      note,
      line(50, 0, 0),
      rapid(50, 0, 0),
      line(100, 0, 0),
      note,
    );
    expect(totalS).toBeCloseTo(timesOf(line(100, 0, 0)).totalS, 9);
    for (const i of [0, 2, 3, 4, 6]) expect(secondsOf[i]).toBe(0);
    expect(timesOf().totalS).toBe(0);
    expect(timesOf({ kind: 'stop', message: 'x' }, note).totalS).toBe(0);
    // A stop or a spindle word at the same place does: both halves begin and end at rest.
    const halves = 2 * timesOf(line(50, 0, 0)).totalS;
    const stop: Move = { kind: 'stop', message: 'x' };
    expect(timesOf(line(50, 0, 0), stop, line(100, 0, 0)).totalS).toBeCloseTo(halves, 9);
    const spindle: Move = { kind: 'spindle', rpm: 9000, dwellS: 3 };
    const waited = timesOf(line(50, 0, 0), spindle, line(100, 0, 0));
    expect(waited.totalS).toBeCloseTo(halves + 3, 9);
    expect(waited.secondsOf[1]).toBe(3);
  });
});

describe('corners in space', () => {
  /** Circle that touches both legs, its nearest point at the deviation from the corner. mm/s */
  function cornerSpeed(u: readonly number[], v: readonly number[], a: number, d: number): number {
    const turn = Math.acos(u.reduce((sum, x, i) => sum + x * v[i]!, 0));
    return Math.sqrt((a * d) / (1 / Math.cos(turn / 2) - 1));
  }

  it('every axis counts in the angle', () => {
    for (const [u, v] of [
      [
        [0, 0.6, 0.8],
        [0, 0.6, -0.8],
      ],
      [
        [0, 0.6, 0.8],
        [0, 0.8, 0.6],
      ],
      [
        [0.6, 0, 0.8],
        [0.8, 0, 0.6],
      ],
      [
        [0.6, 0.8, 0],
        [-0.6, 0.8, 0],
      ],
      [
        [1 / 3, 2 / 3, 2 / 3],
        [2 / 3, 1 / 3, -2 / 3],
      ],
    ] as [[number, number, number], [number, number, number]][]) {
      const expected = cornerSpeed(u, v, alongBoth(u, v, 150), 0.03);
      expect(throughCorner(u, v, 150, 0.03)).toBeCloseTo(expected, 9);
    }
  });

  it('straight on is free, whatever rounding makes of the direction', () => {
    for (let k = 0; k < 500; k++) {
      const [x, y, z] = [Math.sin(k), Math.cos(3 * k), Math.sin(7 * k + 1)];
      const length = Math.sqrt(x * x + y * y + z * z);
      const u = [x / length, y / length, z / length] as const;
      expect(throughCorner(u, u, 200, 0.01)).toBeCloseTo(FAST_MM_PER_S, 9);
    }
  });

  it('between two lines: with the lesser acceleration of the two', () => {
    const { entryMmPerMin } = timesOf(line(50, 0, 0, 2400), line(50, 50, 0, 2400));
    const v = cornerSpeed([1, 0, 0], [0, 1, 0], 100, 0.02);
    expect(entryMmPerMin[1]).toBeCloseTo(60 * v, 6);
  });

  it('between lines and a helix: its slope counts, at its start and its end', () => {
    // A quarter about X50 Y10 from (50, 0) to (60, 10), 6 mm up from Z 4: slope over its length.
    const flat = 5 * Math.PI;
    const length = Math.hypot(flat, 6);
    const slope = [flat / length, 6 / length] as const;
    const arc: Move = {
      kind: 'arc',
      to: [60, 10, 10],
      c: [50, 10],
      ccw: true,
      feedMmPerMin: 2400,
      role: 'cut',
    };
    const list = [rapid(0, 0, 4), line(50, 0, 4, 2400), arc, line(60, 60, 10, 2400)];
    const { entryMmPerMin, secondsOf } = motionTimes([0, 0, 4], list, odd);
    // Arcs have the acceleration of the slower of X and Y.
    const into = cornerSpeed([1, 0, 0], [slope[0], 0, slope[1]], 100, 0.02);
    const outOf = cornerSpeed([0, slope[0], slope[1]], [0, 1, 0], 100, 0.02);
    expect(into).toBeLessThan(31);
    expect(entryMmPerMin[2]).toBeCloseTo(60 * into, 6);
    expect(entryMmPerMin[3]).toBeCloseTo(60 * outOf, 6);
    // sqrt(100 x 10) = 31.6 mm/s on the arc.
    expect(secondsOf[2]).toBeCloseTo(trapezoidS(length, into, Math.sqrt(1000), outOf, 100), 9);
    // Turned out of the tangent, the angle in the plane counts as well.
    const skew = motionTimes(
      [20, -40, 4],
      [line(50, 0, 4, 2400), arc, line(100, 40, 10, 2400)],
      odd,
    );
    const aIn = cornerSpeed([0.6, 0.8, 0], [slope[0], 0, slope[1]], 100, 0.02);
    const aOut = cornerSpeed([0, slope[0], slope[1]], [0.8, 0.6, 0], 100, 0.02);
    expect(skew.entryMmPerMin[1]).toBeCloseTo(60 * aIn, 6);
    expect(skew.entryMmPerMin[2]).toBeCloseTo(60 * aOut, 6);
  });

  it('between sloping lines and a helix that starts and ends at any angle', () => {
    // From 20 to 80 degrees about X0 Y0, radius 10, 4 mm down.
    const place = (deg: number) =>
      [10 * Math.cos((deg * Math.PI) / 180), 10 * Math.sin((deg * Math.PI) / 180)] as const;
    const [a, b] = [place(20), place(80)];
    const length = Math.hypot((10 * Math.PI) / 3, 4);
    const flat = (10 * Math.PI) / 3 / length;
    const heading = (p: readonly [number, number]) =>
      [(-p[1] / 10) * flat, (p[0] / 10) * flat, -4 / length] as const;
    const arc: Move = {
      kind: 'arc',
      to: [b[0], b[1], -4],
      c: [0, 0],
      ccw: true,
      feedMmPerMin: 2400,
      role: 'cut',
    };
    // 50 mm along (2, 6, 3) / 7 before it and along (-6, 2, -3) / 7 behind it.
    const u = [2 / 7, 6 / 7, 3 / 7] as const;
    const v = [-6 / 7, 2 / 7, -3 / 7] as const;
    const { entryMmPerMin } = motionTimes(
      [a[0] - 50 * u[0], a[1] - 50 * u[1], -50 * u[2]],
      [
        line(a[0], a[1], 0, 1000),
        arc,
        line(b[0] + 50 * v[0], b[1] + 50 * v[1], -4 + 50 * v[2], 1000),
      ],
      { ...odd, junctionDeviationMm: 0.002 },
    );
    const into = cornerSpeed(u, heading(a), 100, 0.002);
    // Z gives the lines 50 x 7 / 3 = 117 mm/s2, so the arc's 100 decides at both ends.
    const outOf = cornerSpeed(heading(b), v, 100, 0.002);
    expect(Math.max(into, outOf)).toBeLessThan(1000 / 60);
    expect(entryMmPerMin[1]).toBeCloseTo(60 * into, 6);
    expect(entryMmPerMin[2]).toBeCloseTo(60 * outOf, 6);
  });
});

describe('against integration in small steps', () => {
  const moveArb = fc.record({
    kind: fc.constantFrom('line', 'line', 'arc', 'rapid', 'stop'),
    x: fc.integer({ min: -300, max: 300 }).map((v) => v / 10),
    y: fc.integer({ min: -300, max: 300 }).map((v) => v / 10),
    z: fc.constantFrom(0, 0, 0, -1, 2),
    feed: fc.constantFrom(200, 600, 1500),
    ccw: fc.boolean(),
    bulge: fc.double({ min: -2, max: 2, noNaN: true }),
  });

  it('random moves: within 2 %, per job of moves', () => {
    fc.assert(
      fc.property(fc.array(moveArb, { minLength: 3, maxLength: 30 }), (list) => {
        const moves: Move[] = [{ kind: 'spindle', rpm: 10_000, dwellS: 2 }];
        let at: readonly [number, number, number] = [0, 0, 0];
        for (const m of list) {
          if (m.kind === 'stop') {
            moves.push({ kind: 'stop', message: 'x' });
            continue;
          }
          const to: [number, number, number] = [m.x, m.y, m.kind === 'arc' ? at[2] : m.z];
          const chord = Math.hypot(to[0] - at[0], to[1] - at[1]);
          if (chord < 0.5) continue;
          if (m.kind === 'rapid') moves.push({ kind: 'rapid', to });
          else if (m.kind === 'line') {
            moves.push({ kind: 'line', to, feedMmPerMin: m.feed, role: 'cut' });
          } else {
            const c: [number, number] = [
              (at[0] + to[0]) / 2 - m.bulge * (to[1] - at[1]),
              (at[1] + to[1]) / 2 + m.bulge * (to[0] - at[0]),
            ];
            moves.push({ kind: 'arc', to, c, ccw: m.ccw, feedMmPerMin: m.feed, role: 'cut' });
          }
          at = to;
        }
        const ours = motionTimes([0, 0, 0], moves, machine).totalS;
        const theirs = programSeconds(readMini(textOf(moves)), drivesOf(machine), 0.05);
        expect(Math.abs(ours / theirs - 1)).toBeLessThan(0.02);
      }),
      { numRuns: runs(40) },
    );
  });
});
