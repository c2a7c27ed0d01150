import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { junctionSpeed, motionTimes, trapezoidS } from '../../src/cam/timing.js';
import type { Move } from '../../src/cam/toolpath.js';
import { findMachine } from '../../src/machines/machines.js';
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
    if (move.kind === 'note' || move.kind === 'spindle' || move.kind === 'stop') continue;
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
    const v = junctionSpeed([1, 0, 0], [0, 1, 0], 200, 0.01);
    expect(v).toBeCloseTo(Math.sqrt((200 * 0.01 * c) / (1 - c)), 12);
    // The circle's nearest point is R (1 / c - 1) from the corner.
    const radius = (v * v) / 200;
    expect(radius * (1 / c - 1)).toBeCloseTo(0.01, 12);
    expect(junctionSpeed([1, 0, 0], [1, 0, 0], 200, 0.01)).toBe(Infinity);
    expect(junctionSpeed([1, 0, 0], [-1, 0, 0], 200, 0.01)).toBeCloseTo(0, 9);
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
