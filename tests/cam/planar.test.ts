import { describe, expect, it } from 'vitest';
import { Pen, type PlanarMove, atDepth, rotateMoves } from '../../src/cam/planar.js';
import type { Pt } from '../../src/model/edges.js';

const DEG = Math.PI / 180;
const C: Pt = [3, -2];
const at = (deg: number): Pt => [C[0] + 5 * Math.cos(deg * DEG), C[1] + 5 * Math.sin(deg * DEG)];

/** Moves of arcs about C through the angles given, counter-clockwise where they rise. */
function arcs(degrees: readonly number[], feeds: readonly number[] = []): readonly PlanarMove[] {
  const pen = new Pen(at(degrees[0]!));
  degrees.slice(1).forEach((deg, i) => {
    pen.arc(at(deg), C, deg > degrees[i]!, feeds[i] ?? 400, 'cut');
  });
  return pen.moves;
}

describe('arcs that go on', () => {
  it('become one move', () => {
    expect(arcs([10, 30, 35, 90])).toEqual(arcs([10, 90]));
    expect(arcs([90, 35, 10])).toEqual(arcs([90, 10]));
  });

  it('but stay apart at another feed, another way round, or about another centre', () => {
    expect(arcs([10, 30, 90], [400, 500])).toHaveLength(2);
    expect(arcs([10, 30, 20])).toHaveLength(2);
    const pen = new Pen(at(10)).arc(at(30), C, true, 400, 'cut');
    expect(pen.arc(at(50), [C[0] + 1e-3, C[1]], true, 400, 'cut').moves).toHaveLength(2);
    const lead = new Pen(at(10)).arc(at(30), C, true, 400, 'cut');
    expect(lead.arc(at(50), C, true, 400, 'lead').moves).toHaveLength(2);
  });

  it('and are under half a turn, also where they begin at the start of the pen', () => {
    expect(arcs([0, 80, 160, 240, 320])).toEqual([...arcs([0, 160]), ...arcs([160, 320])]);
    expect(arcs([-170, 0, 10])).toHaveLength(2);
    const line = new Pen([0, 0]).line(at(10), 400, 'cut').arc(at(30), C, true, 400, 'cut');
    expect(line.arc(at(50), C, true, 400, 'cut').moves).toHaveLength(2);
  });
});

describe('what a pen draws', () => {
  it('leaves out lines and arcs under half a micrometre, and stays where it was', () => {
    const pen = new Pen([1, 2]);
    expect(pen.line([1 + 4.9e-4, 2], 400, 'cut').moves).toEqual([]);
    expect(pen.arc([1, 2 - 4.9e-4], C, true, 400, 'cut').moves).toEqual([]);
    expect(pen.at).toEqual([1, 2]);
    // Along a slant of 3-4-5, so that neither axis alone decides: 5.1e-4 long.
    pen.line([1 + 3.06e-4, 2 - 4.08e-4], 400, 'cut');
    expect(pen.moves).toEqual([
      { kind: 'line', to: [1 + 3.06e-4, 2 - 4.08e-4], feedMmPerMin: 400, role: 'cut' },
    ]);
    expect(pen.at).toEqual([1 + 3.06e-4, 2 - 4.08e-4]);
    const slant: Pt = [1 + 6.12e-4, 2 - 8.16e-4];
    expect(pen.arc(slant, C, false, 300, 'lead').moves.at(-1)).toEqual({
      kind: 'arc',
      to: slant,
      c: C,
      ccw: false,
      feedMmPerMin: 300,
      role: 'lead',
    });
    expect(pen.at).toEqual(slant);
    expect(pen.start).toEqual([1, 2]);
  });

  it('does not join an arc to a line, nor to one of another circle about the same centre', () => {
    const pen = new Pen(at(10)).arc(at(30), C, true, 400, 'cut');
    const out: Pt = [
      C[0] + (5 + 2e-6) * Math.cos(50 * DEG),
      C[1] + (5 + 2e-6) * Math.sin(50 * DEG),
    ];
    expect(pen.arc(out, C, true, 400, 'cut').moves).toHaveLength(2);
    const line = new Pen(at(10)).arc(at(30), C, true, 400, 'cut').line(at(40), 400, 'cut');
    expect(line.arc(at(60), C, true, 400, 'cut').moves).toHaveLength(3);
    // A start too far out, an end on the circle.
    const far = new Pen([at(10)[0] + 0.01, at(10)[1]]).arc(at(30), C, true, 400, 'cut');
    expect(far.arc(at(60), C, true, 400, 'cut').moves).toHaveLength(2);
    // Centres apart along Y alone.
    const beside = new Pen(at(10)).arc(at(30), C, true, 400, 'cut');
    expect(beside.arc(at(50), [C[0], C[1] + 2e-6], true, 400, 'cut').moves).toHaveLength(2);
    const same = new Pen(at(10)).arc(at(30), C, true, 400, 'cut');
    expect(same.arc(at(50), [C[0], C[1] + 5e-7], true, 400, 'cut').moves).toHaveLength(1);
  });

  it('does not join what goes back, nor another circle through the same two ends', () => {
    // 300 degrees one way, 20 back: 60 and 20 the other way round, but there is no such arc.
    const back = new Pen(at(0))
      .arc(at(300), C, true, 400, 'cut')
      .arc(at(280), C, false, 400, 'cut');
    expect(back.moves).toHaveLength(2);
    // Its centre lies on the middle line of the first arc, at 20 degrees, so both ends are on it.
    const d: Pt = [C[0] - 2 * Math.cos(20 * DEG), C[1] - 2 * Math.sin(20 * DEG)];
    const radius = Math.hypot(at(30)[0] - d[0], at(30)[1] - d[1]);
    const to: Pt = [d[0] + radius * Math.cos(60 * DEG), d[1] + radius * Math.sin(60 * DEG)];
    const kink = new Pen(at(10)).arc(at(30), C, true, 400, 'cut').arc(to, d, true, 400, 'cut');
    expect(kink.moves).toHaveLength(2);
  });

  it('joins up to 171 degrees, 0.95 of half a turn, either way and over the seam at 180', () => {
    expect(arcs([0, 85, 170.9])).toHaveLength(1);
    expect(arcs([0, 85, 171.1])).toHaveLength(2);
    expect(arcs([170.9, 85, 0])).toHaveLength(1);
    expect(arcs([171.1, 85, 0])).toHaveLength(2);
    for (const turn of [100, 170, 260]) {
      expect(arcs([turn, turn + 85, turn + 170.9])).toHaveLength(1);
      expect(arcs([turn, turn + 85, turn + 171.1])).toHaveLength(2);
      expect(arcs([turn, turn - 85, turn - 170.9])).toHaveLength(1);
      expect(arcs([turn, turn - 85, turn - 171.1])).toHaveLength(2);
    }
    // The first of two is itself long: its sweep counts, not its chord.
    expect(arcs([0, 300, 301])).toHaveLength(2);
  });

  it('a joined arc ends at the second end, about the second centre, and the pen stands there', () => {
    const pen = new Pen(at(10)).arc(at(30), C, true, 400, 'cut').arc(at(70), C, true, 400, 'cut');
    expect(pen.moves).toEqual([
      { kind: 'arc', to: at(70), c: C, ccw: true, feedMmPerMin: 400, role: 'cut' },
    ]);
    expect(pen.at).toEqual(at(70));
  });
});

describe('a sweep', () => {
  /** Angle turned by each move, by its own ends. deg */
  function turned(moves: readonly PlanarMove[], start: Pt): number[] {
    let from = start;
    return moves.map((move) => {
      if (move.kind !== 'arc') throw new Error('a line');
      const angle = (p: Pt): number => Math.atan2(p[1] - move.c[1], p[0] - move.c[0]);
      const sweep = ((angle(move.to) - angle(from)) / DEG + 720) % 360;
      from = move.to;
      return move.ccw ? sweep : sweep - 360;
    });
  }

  it.each([
    [30, 1],
    [-30, 1],
    [179.8, 1],
    [180, 2],
    [-180, 2],
    [359, 2],
    [-359, 2],
    [360, 3],
    [-360, 3],
  ])('of %d degrees is %d moves that turn as much in all and stay on the circle', (deg, n) => {
    const pen = new Pen(at(25)).sweep(C, deg * DEG, 350, 'lead');
    expect(pen.moves).toHaveLength(n);
    const parts = turned(pen.moves, at(25));
    expect(parts.reduce((a, b) => a + b, 0)).toBeCloseTo(deg, 6);
    for (const part of parts) expect(part).toBeCloseTo(deg / n, 6);
    for (const move of pen.moves) {
      expect(Math.hypot(move.to[0] - C[0], move.to[1] - C[1])).toBeCloseTo(5, 9);
      expect(move).toMatchObject({ kind: 'arc', c: C, ccw: deg > 0, feedMmPerMin: 350 });
      expect(move.role).toBe('lead');
    }
    expect(pen.at[0]).toBeCloseTo(at(25 + deg)[0], 9);
    expect(pen.at[1]).toBeCloseTo(at(25 + deg)[1], 9);
  });

  it('shorter than half a micrometre along the arc is none, longer is one', () => {
    for (const sign of [1, -1]) {
      const pen = new Pen(at(25));
      expect(pen.sweep(C, (sign * 4.9e-4) / 5, 400, 'cut').moves).toHaveLength(0);
      expect(pen.at).toEqual(at(25));
      expect(pen.sweep(C, (sign * 5.2e-4) / 5, 400, 'cut').moves).toHaveLength(1);
    }
  });
});

describe('moves as a list', () => {
  const moves: PlanarMove[] = [
    { kind: 'line', to: [4, 1], feedMmPerMin: 500, role: 'cut' },
    { kind: 'arc', to: [3, 2], c: [3, 1], ccw: true, feedMmPerMin: 300, role: 'lead' },
  ];

  it('are appended as they are, and the pen goes to their end', () => {
    const pen = new Pen([0, 0]).line([2, 0], 400, 'cut').append(moves);
    expect(pen.moves).toEqual([
      { kind: 'line', to: [2, 0], feedMmPerMin: 400, role: 'cut' },
      ...moves,
    ]);
    expect(pen.at).toEqual([3, 2]);
    expect(pen.append([]).at).toEqual([3, 2]);
  });

  it('a snap moves the last end only, also where nothing has been drawn', () => {
    const first = { kind: 'line', to: [2, 0], feedMmPerMin: 400, role: 'cut' } as const;
    const pen = new Pen([0, 0]).append([first, ...moves]).snap([3, 2.0001]);
    expect(pen.moves).toEqual([first, moves[0], { ...moves[1], to: [3, 2.0001] }]);
    expect(pen.at).toEqual([3, 2.0001]);
    expect(moves[1]!.to).toEqual([3, 2]);
    const bare = new Pen([0, 0]).snap([1e-7, 0]);
    expect(bare.moves).toEqual([]);
    expect(bare.at).toEqual([1e-7, 0]);
  });

  it('turned by a quarter, (x, y) is (-y, x), centres too; all else stays', () => {
    const [line, arc] = rotateMoves(moves, Math.PI / 2);
    expect(line).toMatchObject({ kind: 'line', feedMmPerMin: 500, role: 'cut' });
    expect(arc).toMatchObject({ kind: 'arc', ccw: true, feedMmPerMin: 300, role: 'lead' });
    const near = (p: Pt, [x, y]: Pt): void => {
      expect(p[0]).toBeCloseTo(x, 12);
      expect(p[1]).toBeCloseTo(y, 12);
    };
    near(line!.to, [-1, 4]);
    near(arc!.to, [-2, 3]);
    near((arc as { c: Pt }).c, [-1, 3]);
    expect(Object.keys(line!)).not.toContain('c');
  });

  it('at a depth: the same with Z, the centre still in the plane', () => {
    expect(atDepth(moves, -1.25)).toEqual([
      { kind: 'line', to: [4, 1, -1.25], feedMmPerMin: 500, role: 'cut' },
      { kind: 'arc', to: [3, 2, -1.25], c: [3, 1], ccw: true, feedMmPerMin: 300, role: 'lead' },
    ]);
  });
});
