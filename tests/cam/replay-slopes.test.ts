/** Moves that change depth: what they meet, what they leave, and in which plane they turn. */
import { describe, expect, it } from 'vitest';
import { type Replay, type ReplaySetup, replay } from '../../src/cam/stock/replay.js';
import { slopeOf } from '../../src/cam/stock/replay/motion.js';
import { Histories, makeSlabs } from '../../src/cam/stock/slabs.js';
import { runsBelow, slopeDepths, slopeShares } from '../../src/cam/stock/replay/motion.js';
import { readProgram } from '../../src/post/rs274/reader.js';
import { makeDistanceField } from '../../src/profile/geometry/distance-field.js';
import { arc } from '../../src/profile/geometry/edge.js';
import { AROUND_PIN, discSetup as setup } from './disc-setup.js';

const HEAD = 'G21 G90 G17 G94\nG0 Z5\nM3 S10000\nG4 P1\nF300\n';

function run(body: string, other: Partial<ReplaySetup> = {}) {
  const read = readProgram(`${HEAD}${body}\nM2\n`);
  expect(read.errors).toEqual([]);
  const report = replay(read.ops, { ...setup, ...other });
  const at = (line: number): number => read.ops.findLastIndex((op) => op.line === line + 5);
  return { report, at, ops: read.ops };
}
const codes = (report: Replay): string[] =>
  report.findings.map(({ code, line }) => `${code} ${line - 5}`);

describe('a ramp', () => {
  it('is engaged over half a turn, at the depth it has reached', () => {
    const { report, at } = run('G0 X-10 Y0\nG0 Z0\nG1 X10 Z-1\nG0 Z5\nG0 X-10\nG0 Z0\nG1 X10 Z-1');
    // Again over the same way: told again, on the careful side, for slabs count whole and the part
    // of one that is above the ramp's floor still stands.
    expect(codes(report)).toEqual(['ramp 3', 'ramp 7']);
    expect((report.loads.engagementRad[at(3)]! * 180) / Math.PI).toBeCloseTo(180, 1);
    expect(report.loads.axialMm[at(3)]!).toBeCloseTo(1, 6);
    // Straight along the floor it has reached, twice: the second time nothing is met.
    const twice = run('G0 X-10 Y0\nG0 Z0\nG1 X10 Z-1\nG1 X-10\nG1 X10');
    expect(twice.report.loads.engagementRad[twice.at(5)]!).toBe(0);
  });

  it('leaves what is above its floor: a level cut after it takes the wedge that stands', () => {
    const { report, at } = run('G0 X-10 Y0\nG0 Z0\nG1 X10 Z-1\nG1 X-10 Z-1\nG1 X10 Z-1');
    expect(report.loads.axialMm[at(4)]!).toBeCloseTo(1, 6);
    expect(report.loads.engagementRad[at(4)]!).toBeGreaterThan(3);
    expect(report.loads.engagementRad[at(5)]!).toBe(0);
    // Slot of 20 x 3 mm with round ends, 1 mm deep; slabs count whole, so up to 0.25 mm of the
    // ramp is taken twice. Without the first half disc, into which the cutter came from above.
    const slot = 20 * 3 + (Math.PI * 1.5 ** 2) / 2;
    expect(report.removedMm3).toBeGreaterThan(slot);
    expect(report.removedMm3).toBeLessThan(slot + 0.25 * 60 + 8);
  });

  it('with the spindle off is told; on the way up it is a cut like any', () => {
    const { report } = run('G0 X-10 Y0\nG0 Z0\nM5\nG1 X10 Z-1');
    expect(codes(report)).toEqual(['ramp 4', 'spindle-stopped 4']);
    // Over the blank it meets nothing.
    expect(codes(run('G0 X-10 Y0\nG0 Z3\nM5\nG1 X10 Z1').report)).toEqual([]);
    const up = run('G0 X40 Y0\nG1 Z-2\nG1 X20 Z-1\nG0 Z5');
    expect(codes(up.report)).toEqual([]);
    expect(up.report.loads.engagementRad[up.at(3)]!).toBeGreaterThan(3);
    const air = run('G0 X40 Y0\nG1 Z-2\nG1 X32 Z-1\nG1 X40 Y20 Z-3\nG0 X10 Z5');
    expect(codes(air.report)).toEqual([]);
  });

  it('a rapid that slants is a collision, a plunge is a plunge, each to its own depth', () => {
    expect(codes(run('G0 X0 Y0\nG0 X5 Z-1').report)).toEqual(['rapid-in-material 2']);
    expect(codes(run('G0 X0 Y0\nG1 Z-1\nG1 Z-2\nG1 Z-1.5\nG1 Z-2').report)).toEqual([
      'plunge 2',
      'plunge 3',
    ]);
    const probe = run('G0 X0 Y0\nG38.2 Z-1');
    expect(codes(probe.report)).toEqual(['rapid-in-material 2']);
    expect(probe.report.findings[0]!.text).toContain('a probe move');
  });

  it('is told with where and how steep', () => {
    // atan(1 / 20) = 2.86 deg.
    expect(run('G0 X-10 Y0\nG0 Z0\nG1 X10 Z-1').report.findings[0]!.text).toBe(
      'the cutter goes down into material at Z 0.000, 2.9 deg steep; 2 deg is the most for a ramp',
    );
  });

  it('onto a pin thinner than the cutter, which its rim never meets', () => {
    const ring = AROUND_PIN.join('\n');
    const onto = (z: number) => codes(run(`${ring}\nG0 Z0.2\nG1 X0.3 Z${z}`).report).slice(1);
    expect(onto(-0.5)).toEqual(['ramp 7']);
    // Only its end is below the face.
    expect(onto(-0.001)).toEqual(['ramp 7']);
    expect(onto(0.1)).toEqual([]);
    // Gone round on the inside, too, there is no pin.
    const gone = ring.replace('G0 Z5', 'G1 X0.5\nG0 Z5');
    expect(codes(run(`${gone}\nG0 Z0.2\nG1 X0.3 Z-0.5`).report).slice(1)).toEqual([]);
  });

  it('is no deeper than where it still meets something', () => {
    // A slot from X2 on is there already: where the cutter stands in its round end it is in air.
    const slot = 'G0 X12 Y0\nG1 Z-1\nG1 X2\nG0 Z5\nG0 X-10\nG0 Z0\n';
    const { report, at } = run(`${slot}G1 X10 Z-1`);
    const mm = report.loads.axialMm[at(7)]!;
    // 12 mm of 20 mm on the way to Z-1, to within a millimetre of way.
    expect(mm).toBeGreaterThan(0.6 - 0.051);
    expect(mm).toBeLessThan(0.6 + 0.051);
  });

  it('its gouge is measured where it is below the face', () => {
    const wheel = makeDistanceField([
      arc([8, 0], [-8, 0], [0, 0], true),
      arc([-8, 0], [8, 0], [0, 0], true),
    ]);
    // Along X from 20 to 5, Z1 to Z-1: below the face from X12.5 on, at the end 8 - (5 - 1.5) deep.
    const { report, at } = run('G0 X20 Y0\nG0 Z1\nG1 X5 Z-1', { field: wheel });
    expect(report.gougesMm[at(3)]!).toBeCloseTo(8 - (5 - 1.5), 6);
    expect(report.gougeMm).toMatchObject({ line: 8 });
    const above = run('G0 X20 Y0\nG0 Z3\nG1 X5 Z0', { field: wheel });
    expect(above.report.gougeMm.value).toBe(0);
  });
});

describe('a helix', () => {
  it('goes down a turn at a time; a turn on the floor meets the last wedge only', () => {
    const { report, at } = run(
      'G0 X2 Y0\nG0 Z0\nG3 X2 Y0 I-2 J0 Z-0.5\nG3 X2 Y0 I-2 J0 Z-1\nG3 X2 Y0 I-2 J0\nG3 X2 Y0 I-2 J0',
    );
    expect(codes(report)).toEqual(['ramp 3', 'ramp 4']);
    for (const line of [3, 4, 5]) {
      expect(report.loads.engagementRad[at(line)]!, `line ${line}`).toBeGreaterThan(1);
    }
    expect(report.loads.engagementRad[at(6)]!).toBe(0);
    expect(report.loads.axialMm[at(5)]!).toBeLessThanOrEqual(0.5 + 1e-9);
  });

  it('is as round as a turn on a level: half-way up again there is nothing left to meet', () => {
    const { report, at } = run(
      'G0 X2 Y0\nG0 Z0\nG3 X2 Y0 I-2 J0 Z-0.5\nG3 X2 Y0 I-2 J0 Z-1\nG1 Z-0.5\nG3 X2 Y0 I-2 J0',
    );
    expect(report.loads.engagementRad[at(6)]!).toBe(0);
  });
});

describe('a light way down round the rim', () => {
  // 0.3 mm off a rim of 10 mm: acos((d^2 + r^2 - R^2) / (2 d r)) with d = 11.2, r = 1.5, R = 10.
  const [d, r, R] = [11.2, 1.5, 10];
  const deg = (Math.acos((d * d + r * r - R * R) / (2 * d * r)) * 180) / Math.PI;
  const START = `G0 X40 Y0\nG0 Z0\nG1 X${d} F300`;
  /** Down 0.2 mm a turn, in chords or in whole turns, and a turn on the floor. */
  const turn = (k: number, n: number) => {
    const a = (2 * Math.PI * k) / n;
    return `G1 X${(d * Math.cos(a)).toFixed(4)} Y${(-d * Math.sin(a)).toFixed(4)} Z${((-0.2 * k) / n).toFixed(4)}`;
  };
  const chords = Array.from({ length: 44 }, (_, k) => turn(k + 1, 40)).join('\n');
  const whole = `G2 X${d} Y0 I${-d} J0 Z-0.2\nG2 X${d} Y0 I${-d} J0`;

  it('is no ramp into the solid: it is judged as the cut that it is', () => {
    for (const [body, what] of [
      [chords, 'chords'],
      [whole, 'turns'],
    ] as const) {
      const { report } = run(`${START}\n${body}`, { blankRadiusMm: R });
      expect(codes(report), what).toEqual([]);
      const most = (report.peakEngagementRad.value * 180) / Math.PI;
      // Chords of 1.6 mm cut 0.011 mm deeper in their middle.
      expect(most, what).toBeGreaterThan(deg - 0.3);
      expect(most, what).toBeLessThan(1.25 * deg);
      // 0.2 mm stand before the cutter; a slab that the turn before cut in part counts whole.
      expect(report.peakAxialMm.value, what).toBeGreaterThan(0.2 - 0.01);
      expect(report.peakAxialMm.value, what).toBeLessThan(0.2 + 0.25);
    }
  });

  it('steeper than 2 deg it is a ramp, at 2 deg it is not', () => {
    const down = (mm: number) => codes(run(`G0 X40 Y0\nG0 Z0\nG1 X30 Z-${mm.toFixed(4)}`).report);
    // 10 mm along: 10 tan 2 deg = 0.3492 mm.
    expect(down(0.349)).toEqual([]);
    expect(down(0.35)).toEqual(['ramp 3']);
  });
});

describe('arcs in upright planes (RS274/NGC 3.5.3: seen from the plus end of the normal)', () => {
  /** Lowest and highest Z, and the X or Y there. */
  function reach(body: string): { low: number; high: number; end: readonly number[] } {
    const { ops } = run(body);
    const op = ops.filter((o) => o.op === 'arc').at(-1)!;
    if (op.op !== 'arc') throw new Error('no arc');
    const slope = slopeOf(op);
    const zs = [...slopeShares(slope)].map((share) => slope.at(share)[2]);
    return { low: Math.min(...zs), high: Math.max(...zs), end: slope.at(1) };
  }

  it('G18: G2 from X0 to X10 about X5 passes below, G3 above', () => {
    const g2 = reach('G0 X0 Y0\nG0 Z5\nG18 G2 X10 Z5 I5 K0');
    expect(g2.low).toBeCloseTo(0, 2);
    expect(g2.high).toBeCloseTo(5, 6);
    const g3 = reach('G0 X0 Y0\nG0 Z5\nG18 G3 X10 Z5 I5 K0');
    expect(g3.high).toBeCloseTo(10, 2);
    expect(g3.low).toBeCloseTo(5, 6);
    expect(g3.end).toEqual([10, 0, 5]);
  });

  it('G19: G3 turns from Y to Z, so from Y10 to Y0 about Y5 it passes above', () => {
    expect(reach('G0 X0 Y10\nG0 Z5\nG19 G3 Y0 Z5 J-5 K0').high).toBeCloseTo(10, 2);
    expect(reach('G0 X0 Y10\nG0 Z5\nG19 G2 Y0 Z5 J-5 K0').low).toBeCloseTo(0, 2);
  });

  it('that dip into the blank are found, with the depth they reach and the travel they need', () => {
    const dip = run('G0 X40 Y0\nG0 Z1\nG18 G3 X20 Z1 I-10 K0');
    // Half circle of 10 mm from Z1 down to Z-9: through the whole thickness.
    // With flutes of 8 mm there is a millimetre of shank in it, too.
    expect(codes(dip.report)).toEqual(['shank 3', 'ramp 3']);
    expect(dip.report.loads.axialMm[dip.at(3)]!).toBeCloseTo(4, 6);
    const flat = run('G0 X40 Y0\nG0 Z1\nG18 G3 X37 Z1 I-1.5 K0');
    expect(codes(flat.report)).toEqual([]);
    const full = run('G0 X10 Y0\nG0 Z8\nG18 G2 X10 Z8 I0 K-5');
    expect(codes(full.report)).toEqual(['ramp 3']);
    const aside = run('G0 X0 Y10\nG0 Z5\nG18 G2 X10 Y-10 Z5 I5 K0');
    expect(codes(aside.report)).toEqual([]);
    const travel = run('G0 X0 Y0\nG0 Z5\nG18 G2 X10 Z5 I5 K-400');
    expect(codes(travel.report).map((c) => c.split(' ')[0])).toContain('travel');
  });

  it('are engaged over half a turn in the solid, chord after chord', () => {
    // 20 mm about a centre 200 mm up: 0.25 mm deep in the middle.
    const { report } = run('G0 X-10 Y0\nG0 Z0\nG18 G2 X10 Z0 I10 K200\nG17');
    expect((report.peakEngagementRad.value * 180) / Math.PI).toBeCloseTo(180, 0);
    expect(report.peakAxialMm.value).toBeCloseTo(200 - Math.sqrt(200 ** 2 - 100) + 0, 1);
  });

  it('that come down from over the face meet what is there, and take it', () => {
    // From beside the blank over X26.5 down to X20: below the face at both ends.
    const over = 'G0 X33 Y0\nG1 Z-0.5\nG18 G2 X20 Z-0.5 I-6.5 K-1\nG17\nG0 Z5';
    expect(codes(run(over).report)).toEqual(['ramp 3']);
    const down = (x: number) => codes(run(`${over}\nG0 X${x}\nG1 Z-0.4`).report).slice(1);
    expect(down(20)).toEqual([]);
    expect(down(23)).toEqual(['plunge 7']);
  });

  it('sweep as far as they bulge, which is farther than their ends', () => {
    // From X3 to X-3 about Z-2: radius 3.61 mm, widest two mm under the face.
    const dip = 'G0 X3 Y0\nG0 Z0\nG18 G3 X-3 Z0 I-3 K-2\nG17\nG0 Z5';
    const down = (x: number) => codes(run(`${dip}\nG0 X${x}\nG1 Z-0.9`).report).slice(1);
    expect(down(3.55)).toEqual([]);
    expect(down(-3.55)).toEqual([]);
    expect(down(3.7)).toEqual(['plunge 7']);
  });
});

describe('slabs', () => {
  it('lie between all depths of level travel, within the thickness, top down', () => {
    const slabs = makeSlabs([-1, -0.5, -1.00004, 3, -9, -2], [-0.75], 4);
    expect(slabs.map((s) => [s.topMm, s.bottomMm])).toEqual([
      [0, -0.5],
      [-0.5, -0.75],
      [-0.75, -1],
      [-1, -2],
      [-2, -4],
    ]);
  });

  it('thin out the depths of slanted moves, never those of level ones', () => {
    const level = Array.from({ length: 300 }, (_, i) => -0.01 * (i + 1));
    const slant = Array.from({ length: 950 }, (_, i) => -0.004 * (i + 1) - 0.0013);
    const bottoms = new Set(makeSlabs(level, slant, 4).map((s) => s.bottomMm));
    for (const z of level) expect(bottoms.has(z)).toBe(true);
    const kept = slant.filter((z) => bottoms.has(z)).length;
    expect(kept).toBeGreaterThan(100 / 2);
    expect(kept).toBeLessThanOrEqual(100);
  });

  it('of one history are known as such', () => {
    const slabs = makeSlabs([-1, -2], [], 3);
    const histories = new Histories(slabs);
    expect(histories.count(0)).toBe(3);
    histories.sweep(slabs[0]!, 7);
    histories.sweep(slabs[1]!, 7);
    expect(slabs[0]!.history).toBe(slabs[1]!.history);
    expect(histories.count(slabs[0]!.history)).toBe(2);
    expect(histories.count(0)).toBe(1);
    histories.sweep(slabs[1]!, 8);
    expect(slabs[1]!.history).not.toBe(slabs[0]!.history);
    expect(histories.count(slabs[0]!.history)).toBe(1);
    expect([...slabs[1]!.swept]).toEqual([7, 8]);
    expect(histories.count(99)).toBe(0);
  });
});

describe('slopes', () => {
  it('runs below a depth are told apart, with both ends', () => {
    const shares = Float64Array.of(0, 0.25, 0.5, 0.75, 1);
    const below = (...zs: number[]) => runsBelow(Float64Array.from(zs), shares, 0);
    expect(below(1, -1, -1, 1, -1)).toEqual([
      { from: 0.25, to: 0.5 },
      { from: 1, to: 1 },
    ]);
    expect(below(-1, -1, -1, -1, -1)).toEqual([{ from: 0, to: 1 }]);
    expect(below(1, 1, 1, 1, 0)).toEqual([]);
    expect(below(-1, 1, 1, 1, 1)).toEqual([{ from: 0, to: 0 }]);
  });

  it('depths at which slabs should end: both ends, the lowest place, quarters of a millimetre', () => {
    const { ops } = run('G0 X0 Y0\nG0 Z0.1\nG1 X10 Z-0.6');
    const line = ops.filter((op) => op.op === 'feed').at(-1)!;
    if (line.op !== 'feed') throw new Error('no feed');
    expect(slopeDepths(slopeOf(line), 4).sort((a, b) => b - a)).toEqual([
      0.1, 0, -0.25, -0.5, -0.6, -0.6,
    ]);
    expect(slopeDepths(slopeOf({ ...line, to: [0, 0, -0.6] }), 4)).toEqual([-0.6]);
  });
});
