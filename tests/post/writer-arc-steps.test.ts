/** When an arc is written as an arc and when as lines; figures in output steps of 0.001 mm. */
import { describe, expect, it } from 'vitest';
import type { Pt } from '../../src/model/edges.js';
import { toSteps } from '../../src/post/rs274/write/page.js';
import { arcPieces, type ArcLimits, type ArcPiece } from '../../src/post/rs274/write/arc-steps.js';

const LIMITS: ArcLimits = { xyScale: 1000, ijScale: 10_000, maxRadiusMm: 1000 };

/** Pieces of an arc about X0 Y0 from angle 0, counter-clockwise unless told otherwise. */
function pieces(
  radius: number,
  sweepRad: number,
  more: Partial<{ ccw: boolean; start: Pt; endRadius: number }> = {},
): ArcPiece[] {
  const { ccw = true, endRadius = radius } = more;
  const end = ccw ? sweepRad : -sweepRad;
  const from: Pt = [radius, 0];
  const to: Pt = [endRadius * Math.cos(end), endRadius * Math.sin(end)];
  const start: Pt = more.start ?? [Math.round(radius * 1000), 0];
  return arcPieces(start, from, to, [0, 0], ccw, sweepRad, LIMITS);
}

const kinds = (list: readonly ArcPiece[]): string => list.map((piece) => piece.kind).join(' ');
/** Angle of an arc with this chord. */
const angle = (radius: number, chord: number): number => 2 * Math.asin(chord / 2 / radius);

describe('arcPieces', () => {
  it('halves what is over half a turn, and a full turn into two halves', () => {
    expect(kinds(pieces(5, Math.PI))).toBe('arc');
    expect(kinds(pieces(5, Math.PI + 0.01))).toBe('arc arc');
    const full = arcPieces([5000, 0], [5, 0], [5, 0], [0, 0], true, 2 * Math.PI, LIMITS);
    expect(full).toEqual([
      { kind: 'arc', x: -5000, y: 0, i: -50_000, j: 0, share: 0.5 },
      { kind: 'arc', x: 5000, y: 0, i: 50_000, j: 0, share: 1 },
    ]);
    expect(pieces(5, Math.PI / 2)).toEqual([
      { kind: 'arc', x: 0, y: 5000, i: -50_000, j: 0, share: 1 },
    ]);
    expect(pieces(5, Math.PI / 2, { ccw: false })).toEqual([
      { kind: 'arc', x: 0, y: -5000, i: -50_000, j: 0, share: 1 },
    ]);
  });

  it('writes a line for a chord under 0.01 mm, which a control may take for a full turn', () => {
    expect(kinds(pieces(0.01, angle(0.01, 0.0089)))).toMatch(/^line( line)*$/);
    expect(kinds(pieces(0.01, angle(0.01, 0.0121)))).toBe('arc');
  });

  it('writes a line for a bulge under the output step', () => {
    // Bulge chord^2 / 8 R: at R 100 a chord of 0.85 mm bulges 0.0009, one of 0.93 mm 0.00108.
    expect(kinds(pieces(100, angle(100, 0.85)))).toMatch(/^line( line)*$/);
    expect(kinds(pieces(100, angle(100, 0.93)))).toBe('arc');
  });

  it('writes lines for a radius above that of the class, as many as half a step of bulge asks for', () => {
    expect(kinds(pieces(1000, 0.03))).toBe('arc');
    const lines = pieces(1500, 0.03);
    expect(kinds(lines)).toMatch(/^line( line)+$/);
    // 2 acos(1 - 0.0005 / 1500) = 0.001633 rad each: 0.03 / 0.001633 = 18.4.
    expect(lines).toHaveLength(19);
    let before: Pt = [1500_000, 0];
    lines.forEach((line, k) => {
      expect(line.share).toBeCloseTo((k + 1) / 19, 12);
      // Ends on the circle to rounding, middles no more than half a step and rounding inside.
      expect(Math.hypot(line.x, line.y) / 1000).toBeCloseTo(1500, 2);
      const middle = Math.hypot((line.x + before[0]) / 2, (line.y + before[1]) / 2) / 1000;
      expect(1500 - middle).toBeLessThan(0.0005 + 0.00075);
      before = [line.x, line.y];
    });
    expect(lines.at(-1)!.share).toBe(1);
  });

  it('goes from one radius to the other evenly where the two ends differ', () => {
    // The first half of a three-quarter turn ends at 135 degrees, half way from 5 to 5.0004.
    const [first] = pieces(5, 1.5 * Math.PI, { endRadius: 5.0004 });
    expect(first!.share).toBe(0.5);
    expect(Math.hypot(first!.x, first!.y) / 1000).toBeCloseTo(5.0002, 3);
    expect(Math.atan2(first!.y, first!.x)).toBeCloseTo(0.75 * Math.PI, 3);
    // The larger of the two decides on the class's limit.
    expect(kinds(pieces(999.9999, 0.03, { endRadius: 1000.0002 }))).toMatch(/^line/);
  });

  it('halves, and at last writes lines, where the machine stands beside the start', () => {
    // 0.02 mm beside an arc of radius 0.05: no arc from there turns by what it should.
    const list = pieces(0.05, 2.5, { start: [50, -20] });
    expect(list[0]!.kind).toBe('line');
    expect(list.at(-1)!.share).toBe(1);
    let share = 0;
    for (const piece of list) {
      expect(piece.share).toBeGreaterThan(share);
      share = piece.share;
      expect(Math.hypot(piece.x, piece.y) / 1000).toBeCloseTo(0.05, 2);
    }
    // With room to spare it is one arc all the same: 0.001 mm beside radius 5.
    expect(kinds(pieces(5, 2.5, { start: [5000, -1] }))).toBe('arc');
  });

  it('every arc that is written keeps the radius rule and turns by what it should', () => {
    for (const radius of [0.02, 0.1, 0.7, 3, 40, 900]) {
      for (let sweep = 0.05; sweep < 2 * Math.PI; sweep += 0.173) {
        let at: Pt = [Math.round(radius * 1000), 0];
        let share = 0;
        for (const piece of pieces(radius, sweep)) {
          if (piece.kind === 'arc') {
            const c: Pt = [at[0] / 1000 + piece.i / 1e4, at[1] / 1000 + piece.j / 1e4];
            const r0 = Math.hypot(piece.i, piece.j) / 1e4;
            const r1 = Math.hypot(piece.x / 1000 - c[0], piece.y / 1000 - c[1]);
            expect(Math.abs(r0 - r1)).toBeLessThan(0.001);
            const u = Math.atan2(at[1] / 1000 - c[1], at[0] / 1000 - c[0]);
            const v = Math.atan2(piece.y / 1000 - c[1], piece.x / 1000 - c[0]);
            const turned = (v - u + 4 * Math.PI) % (2 * Math.PI);
            expect(Math.abs(turned - (piece.share - share) * sweep)).toBeLessThan(
              3e-3 / radius + 1e-6,
            );
          }
          at = [piece.x, piece.y];
          share = piece.share;
        }
        expect(share).toBe(1);
      }
    }
  });

  it('goes on with arcs once a line has brought it onto the circle', () => {
    // 0.02 mm beside radius 0.5: an arc from there would miss its turn by more than rounding.
    const list = pieces(0.5, 2.5, { start: [500, -20] });
    expect(list.map((piece) => piece.kind)).toContain('arc');
    expect(list[0]!.kind).toBe('line');
    expect(list.at(-1)).toMatchObject({ kind: 'arc', share: 1 });
    // Every arc ends on the circle and about X0 Y0, seen from where the piece before it ended.
    list.forEach((piece, k) => {
      if (piece.kind !== 'arc') return;
      const before = list[k - 1]!;
      expect(before.x / 1000 + piece.i / 1e4).toBeCloseTo(0, 2);
      expect(before.y / 1000 + piece.j / 1e4).toBeCloseTo(0, 2);
    });
  });

  it('a radius under half a step, of which no bulge can be seen: a line for each quarter', () => {
    expect(kinds(pieces(0.0002, 1.5))).toBe('line');
    expect(kinds(pieces(0.0002, 2))).toBe('line line');
    expect(kinds(pieces(0.0002, 3.1))).toBe('line line');
  });

  it('past half a turn each half has the lines that half a step of bulge asks for', () => {
    // Two halves of 2 rad, 2 acos(1 - 0.0005 / 1500) each line: 1224.7, so 1225.
    expect(pieces(1500, 4)).toHaveLength(2 * 1225);
  });

  it('half way round from one radius to another it is half way between', () => {
    const { x, y, share } = arcPieces(
      [5000, 0], [5, 0], [5.0009, 0], [0, 0], true, 2 * Math.PI, LIMITS,
    )[0]!; // prettier-ignore
    expect([x, y, share]).toEqual([-5000, 0, 0.5]);
  });

  it('never says minus nothing', () => {
    for (const y of [-1e-4, 1e-4]) {
      const list = arcPieces([5000, 0], [5, 0], [-5, y], [0, 0], true, Math.PI, LIMITS);
      expect(Object.is(list.at(-1)!.y, 0)).toBe(true);
      const quarter = arcPieces([5000, 0], [5, 0], [y, 5], [0, 0], true, Math.PI / 2, LIMITS);
      expect(Object.is(quarter.at(-1)!.x, 0)).toBe(true);
      expect(Object.is(toSteps(y, 1000), 0)).toBe(true);
    }
  });

  it('with coarse I and J, keeps the radius rule all the same, with lines where no arc can', () => {
    const coarse: ArcLimits = { ...LIMITS, ijScale: 100 };
    let arcs = 0;
    let straight = 0;
    for (let k = 0; k < 200; k++) {
      const radius = 0.3 + 0.0173 * k;
      const a = 0.7 * k;
      const sweep = 0.4 + 0.0131 * k;
      const at = (angle: number): Pt => [radius * Math.cos(angle), radius * Math.sin(angle)];
      const from = at(a);
      let here: Pt = [Math.round(from[0] * 1000), Math.round(from[1] * 1000)];
      for (const piece of arcPieces(here, from, at(a + sweep), [0, 0], true, sweep, coarse)) {
        if (piece.kind === 'arc') {
          arcs++;
          const [i, j] = [piece.i / 100, piece.j / 100];
          const r1 = Math.hypot(
            piece.x / 1000 - here[0] / 1000 - i,
            piece.y / 1000 - here[1] / 1000 - j,
          );
          // Half of the rule of RS274/NGC 3.5.3.2.
          expect(Math.abs(Math.hypot(i, j) - r1)).toBeLessThanOrEqual(0.001);
        } else straight++;
        here = [piece.x, piece.y];
      }
    }
    // Both have been met.
    expect(Math.min(arcs, straight)).toBeGreaterThan(0);
  });
});
