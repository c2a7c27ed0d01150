import type { Move, Toolpath } from '../../src/model/toolpath.js';
import type { Pt } from '../../src/model/edges.js';

/**
 * A small job with every kind of move: stop over the blank, a helix, level roughing in arcs and
 * lines with changing feeds, a full circle, and a finishing pass of short arcs round nine gaps.
 */
export function sampleToolpath(): Toolpath {
  const moves: Move[] = [];
  const at = (radius: number, angle: number): Pt => [
    radius * Math.cos(angle),
    radius * Math.sin(angle),
  ];
  moves.push({ kind: 'spindle', rpm: 9000, dwellS: 3.5 });
  moves.push({ kind: 'note', text: 'AIR PASS 2 MM ABOVE THE BLANK' });
  moves.push({ kind: 'rapid', to: [31, 0, 2] });
  moves.push({
    kind: 'arc',
    to: [31, 0, 2],
    c: [0, 0],
    ccw: false,
    feedMmPerMin: 600,
    role: 'air',
  });
  moves.push({ kind: 'rapid', to: [31, 0, 5] });
  moves.push({ kind: 'stop', message: 'look at the air pass, then press cycle start' });
  moves.push({ kind: 'note', text: 'ROUGH LEVEL 1 OF 2' });
  for (let level = 1; level <= 2; level++) {
    moves.push({ kind: 'rapid', to: [31, 0, 5] });
    moves.push({
      kind: 'arc',
      to: [-31, 0, -0.25 * level],
      c: [0, 0],
      ccw: false,
      feedMmPerMin: 300,
      role: 'air',
    });
    moves.push({
      kind: 'line',
      to: [-29.1234567, 0.0004, -0.25 * level],
      feedMmPerMin: 187.36,
      role: 'cut',
    });
    const r = Math.hypot(29.1234567, 0.0004);
    const a0 = Math.atan2(0.0004, -29.1234567);
    let a = a0;
    for (let k = 0; k < 7; k++) {
      a -= 0.21 * (k + 1);
      const [x, y] = at(r, a);
      moves.push({
        kind: 'arc',
        to: [x, y, -0.25 * level],
        c: [0, 0],
        ccw: false,
        feedMmPerMin: 187.36 + 7.77 * k,
        role: 'cut',
      });
    }
    const [x, y] = at(31, a);
    moves.push({ kind: 'line', to: [x, y, -0.25 * level], feedMmPerMin: 500, role: 'link' });
    moves.push({ kind: 'rapid', to: [x, y, 5] });
  }
  moves.push({ kind: 'note', text: 'FINISH' });
  const start = at(25, 0);
  moves.push({ kind: 'rapid', to: [start[0], start[1], 5] });
  moves.push({ kind: 'line', to: [start[0], start[1], -3], feedMmPerMin: 100, role: 'lead' });
  for (let gap = 0; gap < 9; gap++) {
    // Concave arc of 1.7 mm about a centre on the circle of 25 mm, from tip to tip.
    const centre = at(25, -((2 * gap + 1) * Math.PI) / 9);
    const from = at(25, -(2 * gap * Math.PI) / 9);
    const to = at(25, -((2 * gap + 2) * Math.PI) / 9);
    const direction = (p: Pt): Pt => {
      const d = Math.hypot(p[0] - centre[0], p[1] - centre[1]);
      return [(p[0] - centre[0]) / d, (p[1] - centre[1]) / d];
    };
    const u = direction(from);
    const v = direction(to);
    const near: Pt = [centre[0] + 1.7 * u[0], centre[1] + 1.7 * u[1]];
    const far: Pt = [centre[0] + 1.7 * v[0], centre[1] + 1.7 * v[1]];
    moves.push({ kind: 'line', to: [near[0], near[1], -3], feedMmPerMin: 240, role: 'finish' });
    moves.push({
      kind: 'arc',
      to: [far[0], far[1], -3],
      c: centre,
      ccw: true,
      feedMmPerMin: 120.04,
      role: 'finish',
    });
    moves.push({ kind: 'line', to: [to[0], to[1], -3], feedMmPerMin: 240, role: 'finish' });
  }
  moves.push({ kind: 'rapid', to: [start[0], start[1], 5] });
  return { start: [31, 0, 5], clearanceZMm: 5, moves };
}

export const SAMPLE_HEADER = {
  title: 'Nursery barrow pinion, 12 teeth',
  jobDigest: '3f2a91c4',
  homed: false,
  notes: ['cutter: 3 mm, 3 flutes, carbide', 'zero: X Y bore axis, Z top of the teeth'],
} as const;
