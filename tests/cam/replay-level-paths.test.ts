import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type ReplaySetup, replay, replaySteps } from '../../src/cam/stock/replay.js';
import { levelPaths } from '../../src/cam/stock/slices.js';
import type { Motion } from '../../src/cam/stock/replay/motion.js';
import { findMachine } from '../../src/machines/machines.js';
import { readProgram } from '../../src/post/rs274/reader.js';
import { cutter3, steel } from '../machines/fixtures.js';

const setup: ReplaySetup = {
  machine: findMachine('screw-gantry-light'),
  conditions: { material: steel, cutter: cutter3, runoutMm: 0, wearFactor: 1 },
  blankRadiusMm: 20,
  thicknessMm: 2,
  holes: [],
  field: null,
  outlinePoints: new Float64Array(),
};

function opsOf(body: string) {
  const read = readProgram(`G21 G90 G17 G94\nG0 Z5\nM3 S10000\nG4 P1\n${body}\nG0 Z5\nM2\n`);
  expect(read.errors).toEqual([]);
  return read.ops;
}

describe('a path that was met before at another depth', () => {
  // Once over the blank and once in it: the same motions, with other lines between them.
  const path = (between: string) => `G1 X-30 F300\n${between}G0 X25\n`;
  const rapids = (first: string, second: string) => {
    const ops = opsOf(
      `G0 Z6\nG0 X-25 Y0\nG0 Z5\n${path(first)}G0 Z6\nG0 X-25\nG0 Z-1\n${path(second)}`,
    );
    const { findings, loads } = replay(ops, setup);
    const last = ops.findLastIndex((op) => op.op === 'rapid' && op.from[0] === -30);
    return { findings, line: ops[last]!.line, deg: (loads.engagementRad[last]! * 180) / Math.PI };
  };

  it.each([
    ['', ''],
    ['F200\nF300\n', ''],
    ['', 'F200\nF300\n'],
    ['(MSG, over it)\nG4 P1\n', '(MSG, in it)\n'],
  ])('keeps its loads and faults on its own lines (%j, then %j)', (first, second) => {
    const { findings, line, deg } = rapids(first, second);
    // A slot: half the rim. The rapid is the only motion in material.
    expect(deg).toBeCloseTo(180, 3);
    expect(findings).toEqual([expect.objectContaining({ line, code: 'rapid-in-material' })]);
  });
});

describe('replaySteps', () => {
  it('stops between the motions of one path, and ends with what replay gives', () => {
    const ops = opsOf('G0 X25 Y0\nG0 Z-1\nG1 X10 F300\nG1 X0\nG1 X-25');
    const steps = replaySteps(ops, setup);
    let count = 0;
    let step = steps.next();
    for (; step.done !== true; step = steps.next()) count++;
    // Three slices (over the blank, down, along it), up again, and each of the three motions.
    expect(count).toBeGreaterThanOrEqual(7);
    expect(step.value).toEqual(replay(ops, setup));
  });

  it('tells after each part how many of them are done', () => {
    const ops = opsOf('G0 X25 Y0\nG0 Z-1\nG1 X-25 F300\nG0 Z5');
    const told: (readonly [done: number, of: number])[] = [];
    replay(ops, setup, { onProgress: (done, of) => told.push([done, of]) });
    const of = told.length;
    expect(of).toBeGreaterThan(1);
    expect(told).toEqual(Array.from({ length: of }, (_, i) => [i + 1, of]));
  });
});

describe('levelPaths', () => {
  /** As text, the plain way to say what two paths have in common. */
  function textOf(path: readonly Motion[]): string {
    const words = path.map((m) => {
      if (m.op === 'arc') {
        return `arc ${m.to.slice(0, 2)} ${m.center} ${m.ccw} ${m.feedMmPerMin} ${m.spindleRpm}`;
      }
      if (m.op === 'feed') return `feed ${m.to.slice(0, 2)} ${m.feedMmPerMin} ${m.spindleRpm}`;
      return `through the air ${m.to.slice(0, 2)}`;
    });
    return `${path[0]!.from.slice(0, 2)} ${words.join(' ')}`;
  }

  it('gives two paths one number exactly where they do the same', () => {
    const few = fc.constantFrom(-1.5, -0, 0, 2);
    const point = fc.tuple(few, few, fc.constantFrom(-1, -2));
    const motion: fc.Arbitrary<Motion> = fc
      .record({
        op: fc.constantFrom('rapid', 'feed', 'arc', 'probe'),
        from: point,
        to: point,
        center: fc.tuple(few, few),
        ccw: fc.boolean(),
        feedMmPerMin: fc.constantFrom(100, 200),
        spindleRpm: fc.constantFrom(0, 9000),
        plane: fc.constant('xy'),
        radiusErrorMm: fc.constant(0),
        line: fc.nat(),
      })
      .map((m) => m as Motion);
    const path = fc.array(motion, { minLength: 1, maxLength: 3 });
    fc.assert(
      fc.property(fc.array(path, { minLength: 1, maxLength: 12 }), (paths) => {
        const motions = paths.flat();
        const numbers = levelPaths((position) => motions[position]!);
        const byText = new Map<string, number>();
        let first = 0;
        for (const own of paths) {
          const last = first + own.length - 1;
          const number = numbers.numberOf(first, last, () => byText.size);
          const text = textOf(own);
          if (!byText.has(text)) byText.set(text, byText.size);
          expect(number).toBe(byText.get(text));
          first = last + 1;
        }
      }),
    );
  });
});
