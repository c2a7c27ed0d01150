/** Ways down in many short lines: what they meet is what one move meets, and their number costs little. */
import { describe, expect, it } from 'vitest';
import { type Replay, type ReplaySetup, replay } from '../../src/cam/stock/replay.js';
import { Chain, withChains } from '../../src/cam/stock/replay/chain.js';
import { type Motion, isMotion } from '../../src/cam/stock/replay/motion.js';
import { levelPaths, slicesOf } from '../../src/cam/stock/slices.js';
import { readProgram } from '../../src/post/rs274/reader.js';
import { makeDistanceField } from '../../src/profile/geometry/distance-field.js';
import { arc } from '../../src/profile/geometry/edge.js';
import { cutter3 } from '../machines/fixtures.js';
import { AROUND_PIN, discSetup as setup } from './disc-setup.js';
import { LONG } from './oracle/runs.js';

/** The spindle stands still, unless it is asked for: forces are what costs. */
const HEAD = 'G21 G90 G17 G94\nG0 Z5\nF300\n';
const HEAD_LINES = 3;
const R = cutter3.diameterMm / 2;

function run(body: readonly string[], other: Partial<ReplaySetup> = {}): Replay {
  const read = readProgram(`${HEAD}${body.join('\n')}\nM2\n`);
  expect(read.errors).toEqual([]);
  return replay(read.ops, { ...setup, ...other });
}
const kinds = ({ findings }: Replay): string[] =>
  [...new Set(findings.map(({ code }) => code))].filter((code) => code !== 'spindle-stopped');
const deg = (rad: number): number => (rad * 180) / Math.PI;

/** A straight ramp from X-5 to X5, 0.5 mm down, in so many lines. */
const ramp = (n: number): string[] => [
  'G0 X-5 Y0',
  'G0 Z0',
  ...Array.from({ length: n }, (_, i) => {
    const share = (i + 1) / n;
    return `G1 X${(10 * share - 5).toFixed(4)} Z${(-share / 2).toFixed(4)}`;
  }),
];

/** Down round a rim, 0.3 mm off it, by so much a turn; heights to so many places. */
const spiral = (n: number, turns: number, dropMm: number, places: number, rimMm = 30): string[] => [
  'G0 X40 Y0',
  'G0 Z0',
  `G1 X${rimMm + R - 0.3}`,
  ...Array.from({ length: n }, (_, i) => {
    const a = (2 * Math.PI * turns * (i + 1)) / n;
    const z = (-dropMm * turns * (i + 1)) / n;
    const d = rimMm + R - 0.3;
    return `G1 X${(d * Math.cos(a)).toFixed(4)} Y${(-d * Math.sin(a)).toFixed(4)} Z${z.toFixed(places)}`;
  }),
];
// acos((d^2 + r^2 - R^2) / (2 d r)) with d = 11.2, R = 10.
const SPIRAL_DEG = deg(Math.acos((11.2 ** 2 + R ** 2 - 10 ** 2) / (2 * 11.2 * R)));

describe('a ramp in short lines', () => {
  // A wedge of 10 x 3 mm, 0.5 mm at its end. Slabs of 0.005 mm count whole.
  const WEDGE_MM3 = (0.5 * 10 * 3) / 2;

  it('is told as the ramp that it is, engaged and deep as in one line', () => {
    const one = run(ramp(1));
    const many = run(ramp(125));
    expect(kinds(one)).toEqual(['ramp']);
    expect(kinds(many)).toEqual(['ramp']);
    const ramps = many.findings.filter(({ code }) => code === 'ramp');
    expect(ramps.length).toBeGreaterThan(122);
    // atan(1 / 20) = 2.86 deg, less a rounding step over the millimetre it is measured on.
    expect(ramps[75]!.value).toBeCloseTo(deg(Math.atan(0.049)), 1);
    expect(deg(many.peakEngagementRad.value)).toBeCloseTo(180, 0);
    expect(many.peakAxialMm.value).toBeCloseTo(one.peakAxialMm.value, 6);
    expect(many.removedMm3 / WEDGE_MM3).toBeGreaterThan(0.97);
    expect(many.removedMm3 / WEDGE_MM3).toBeLessThan(1.06);
  });

  it('takes what it goes through: back along it, higher up, there is nothing until the ramp was higher', () => {
    // At X0 it was at Z-0.25: with the rim at X0 or beyond, all above Z-0.2 is gone.
    const body = [...ramp(100), 'G1 Z-0.2', 'G1 X1.5', 'G1 X-5'];
    const { loads } = run(body);
    const { ops } = readProgram(`${HEAD}${body.join('\n')}\nM2\n`);
    const [near, far] = [1, 0].map((k) => ops.findLastIndex(({ line }) => line === body.length + HEAD_LINES - k)); // prettier-ignore
    expect(loads.engagementRad[near!]).toBe(0);
    expect(loads.axialMm[far!]!).toBeCloseTo(0.2, 2);
  });

  it('longer than a step takes no more; each line is as deep as it goes, and into the part where it is', () => {
    // Lines of 0.1 mm towards a disc of 3 mm about X5: within the cutter's radius of it from X0.5 on.
    const field = makeDistanceField([
      arc([8, 0], [2, 0], [5, 0], true),
      arc([2, 0], [8, 0], [5, 0], true),
    ]);
    const { ops } = readProgram(`${HEAD}${ramp(100).join('\n')}\nM2\n`);
    const report = replay(ops, { ...setup, field });
    expect(report.removedMm3 / WEDGE_MM3).toBeGreaterThan(0.97);
    expect(report.removedMm3 / WEDGE_MM3).toBeLessThan(1.06);
    for (const [i, { line, op }] of ops.entries()) {
      if (op !== 'feed') continue;
      const n = line - HEAD_LINES - 2;
      expect(Math.abs(report.loads.axialMm[i]! - 0.005 * n), `line ${n}`).toBeLessThan(0.0051);
      // Line n ends at X 0.1 n - 5.
      const gougeMm = Math.max(0, 0.1 * n - 5.5);
      expect(report.gougesMm[i]!, `line ${n}`).toBeCloseTo(gougeMm, 6);
    }
    expect(report.gougeMm.line).toBe(HEAD_LINES + 2 + 100);
  });

  it('costs no more in 256 lines than in 64', () => {
    const [few, many] = [run(ramp(64)), run(ramp(256))];
    expect(many.samples).toBeLessThan(1.3 * few.samples);
    expect(many.peakAxialMm.value).toBeCloseTo(few.peakAxialMm.value, 6);
  });

  it('onto a pin thinner than the cutter meets it, though the rim is free', () => {
    const ring = [...AROUND_PIN, 'G0 Z0.2'];
    const down = Array.from({ length: 10 }, (_, i) => {
      const share = (i + 1) / 10;
      return `G1 X${(0.3 * share).toFixed(3)} Z${(0.2 - 0.7 * share).toFixed(3)}`;
    });
    const found = (way: readonly string[]) =>
      run([...way, ...down]).findings.filter(({ line }) => line > HEAD_LINES + way.length);
    const ramps = found(ring).filter(({ code }) => code === 'ramp');
    // From Z 0.2 in steps of 0.07 mm: the third goes through the face.
    expect(ramps[0]!.line).toBe(HEAD_LINES + ring.length + 3);
    // Gone round on the inside, too, there is none.
    const gone = ring.flatMap((line) => (line === 'G0 Z5' ? ['G1 X0.5', line] : [line]));
    expect(found(gone)).toEqual([]);
  });

  it('leaves its wedge standing: a level cut after it takes that', () => {
    const level = [...ramp(100), 'G1 X-5'];
    const { loads } = run(level);
    const { ops } = readProgram(`${HEAD}${level.join('\n')}\nM2\n`);
    const at = ops.findLastIndex(({ line }) => line === level.length + HEAD_LINES);
    // To within a slab, of which there are a hundred.
    expect(loads.axialMm[at]!).toBeGreaterThan(0.48);
    expect(loads.axialMm[at]!).toBeLessThan(0.5001);
    expect(deg(loads.engagementRad[at]!)).toBeGreaterThan(170);
  });

  it('flat, it is a cut like any; with the spindle off it is told', () => {
    const flatter = (lines: readonly string[]): string[] =>
      lines.map((line) =>
        line.replace(/Z-([\d.]+)/, (_, z: string) => `Z-${(Number(z) * 0.68).toFixed(4)}`),
      );
    const flat = flatter(ramp(40));
    // atan(0.34 / 10) = 1.95 deg.
    const { findings } = run(flat);
    expect(findings.map(({ code }) => code)).toEqual(Array(40).fill('spindle-stopped'));
    const turning = run(['M3 S10000', ...flat]);
    expect(turning.findings).toEqual([]);
    const one = run(['M3 S10000', ...flatter(ramp(1))]);
    expect(turning.peakForceN.y.value / one.peakForceN.y.value).toBeCloseTo(1, 1);
  });

  it('from over the face, only the lines that go below it are told', () => {
    // Through the face within the third line of five that are looked at together.
    const heights = ramp(100).map((line) =>
      line.replace(/Z-(0\.\d+)/, (_, z: string) => `Z${(0.238 - Number(z)).toFixed(4)}`),
    );
    const { findings } = run(heights.map((line) => (line === 'G0 Z0' ? 'G0 Z0.238' : line)));
    const told = findings.filter(({ code }) => code === 'ramp').map(({ line }) => line);
    // Line n ends at Z 0.238 - 0.005 n: from the 48th on, after the two of the way in.
    expect(told[0]! - HEAD_LINES - 2).toBe(48);
    expect(told).toHaveLength(53);
  });

  it('in air there is nothing', () => {
    const far = ramp(100).map((line) => line.replace('Y0', 'Y40'));
    const report = run(far);
    expect(kinds(report)).toEqual([]);
    expect(report.removedMm3).toBe(0);
  });
});

describe('a light spiral in short lines', () => {
  for (const places of LONG ? [5, 3, 2] : [5, 2]) {
    it(`heights to ${places} places: no ramp, engaged as by the triangle`, () => {
      // 70 lines to a turn: the chords of every turn lie over those of the last.
      const report = run(spiral(91, 1.3, 0.2, places, 10), { blankRadiusMm: 10 });
      expect(kinds(report)).toEqual([]);
      expect(deg(report.peakEngagementRad.value)).toBeGreaterThan(SPIRAL_DEG - 0.4);
      expect(deg(report.peakEngagementRad.value)).toBeLessThan(1.25 * SPIRAL_DEG);
      // 0.2 mm stand before the cutter, and at most a slab that the turn before cut in part.
      expect(report.peakAxialMm.value).toBeGreaterThan(0.19);
      expect(report.peakAxialMm.value).toBeLessThan(0.22);
    });
  }

  it('as far off the rim as the cutter is wide nothing is met', () => {
    const clear = spiral(400, 1, 0.2, 3).map((line) =>
      line.replace(/([XY])(-?[\d.]+)/g, (_, axis: string, v: string) => axis + Number(v) * 1.02),
    );
    expect(run(clear).peakEngagementRad.value).toBe(0);
  });
});

describe('the body of the tool along a chain', () => {
  const stubby = { ...cutter3, fluteLengthMm: 1, stickOutMm: 6, shankDiameterMm: 3 };
  const conditions = { ...setup.conditions, cutter: stubby };

  /** Lines of 0.6 mm: longer than two they are looked at one by one. */
  const LINES = 75;
  const RIM = { blankRadiusMm: 6 };
  const down = (turns: number) => spiral(Math.round(LINES * turns), turns, 1, 4, 6);

  it('the shank meets the wall below the flutes, not above', () => {
    const deep = run(down(1.2), { ...RIM, conditions });
    expect(kinds(deep)).toEqual(['shank']);
    // The flutes of 1 mm are under the face until the tip is at Z-1.
    const first = deep.findings.find(({ code }) => code === 'shank')!;
    expect(Number(first.value)).toBeGreaterThan(1);
    expect(Number(first.value)).toBeLessThan(1.03);
    expect(kinds(run(down(0.98), { ...RIM, conditions }))).toEqual([]);
    // A neck of 2.9 mm stays clear of a wall that the cutter of 3 mm has made.
    const neck = { ...setup.conditions, cutter: { ...stubby, shankDiameterMm: 2.9 } };
    expect(kinds(run(down(1.2), { ...RIM, conditions: neck }))).toEqual([]);
  });

  it('the nut meets the face', () => {
    const short = { ...setup.conditions, cutter: { ...cutter3, stickOutMm: 1 } };
    const report = run(down(1.2), { ...RIM, conditions: short });
    expect(kinds(report)).toContain('holder');
    const { line } = report.findings.find(({ code }) => code === 'holder')!;
    // At 1 mm of 1.2 mm, after a turn and the three lines of the way in.
    expect(line - HEAD_LINES - 3).toBeGreaterThanOrEqual(LINES);
    expect(line - HEAD_LINES - 3).toBeLessThan(LINES + 3);
  });
});

describe('what makes a chain', () => {
  const slicesFor = (body: readonly string[]) => {
    const motions = readProgram(`${HEAD}${body.join('\n')}\nM2\n`).ops.filter(isMotion);
    const at = (position: number): Motion => motions[position]!;
    const all = { count: motions.length, at, paths: levelPaths(at) };
    let known = 0;
    const slices = withChains(
      slicesOf(all, () => known++),
      all,
    );
    const chains = slices.filter(({ first, last, signature }) => last > first && signature < 0);
    return { slices, chains, at };
  };
  const steps = (n: number, length = 0.1) =>
    Array.from({ length: n }, (_, i) => `G1 X${((i + 1) * length).toFixed(3)} Z${-0.01 * (i + 1)}`);

  it('eight depths in a row in lines of up to 2 mm', () => {
    expect(slicesFor(['G0 X0 Y0', 'G0 Z0', ...steps(8)]).chains).toHaveLength(1);
    expect(slicesFor(['G0 X0 Y0', 'G0 Z0', ...steps(7)]).chains).toHaveLength(0);
    expect(slicesFor(['G0 X0 Y0', 'G0 Z0', ...steps(9, 2)]).chains).toHaveLength(1);
    expect(slicesFor(['G0 X0 Y0', 'G0 Z0', ...steps(9, 2.01)]).chains).toHaveLength(0);
  });

  it('a rapid, a plunge or a long level path ends it', () => {
    const cut = (by: string): number =>
      slicesFor(['G0 X0 Y0', 'G0 Z0', ...steps(9), by, ...steps(9)]).chains.length;
    expect(cut('G1 X0 Y0.5')).toBe(1);
    for (const by of ['G0 Z5', 'G1 Z-3', 'G1 Y2.1', 'G18 G3 X1 Z-0.09 I0.05 K0\nG17']) {
      expect(cut(by), by).toBe(2);
    }
    const level = (mm: number): string =>
      Array.from({ length: mm }, (_, i) => `G1 Y${i + 1}`).join('\n');
    expect(cut(level(10))).toBe(1);
    expect(cut(level(11))).toBe(2);
  });

  it('a window holds half a millimetre of one feed', () => {
    const feeds = steps(12).map((line, i) => (i === 8 ? `${line} F400` : line));
    const { chains, at } = slicesFor(['G0 X0 Y0', 'G0 Z0', ...feeds]);
    const chain = new Chain(chains[0]!, at);
    expect(chain.windows).toEqual([0, 5, 8, 12]);
  });
});
