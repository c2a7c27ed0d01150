import { Refusal } from '../../src/model/refusal.js';
import { describe, expect, it } from 'vitest';
import { shiftedGouges } from '../../src/cam/stock/shifted-gouge.js';
import { replay } from '../../src/cam/stock/replay.js';
import { blankStart } from '../../src/plan/start.js';
import { type RestartRequest, planRestart } from '../../src/plan/restart.js';

import { readProgram } from '../../src/post/rs274/reader.js';
import type { CanonicalOp } from '../../src/model/op.js';
import { loopFlatten } from '../../src/profile/geometry/loop.js';
import { THIN, examplePlan } from '../planned.js';
import { LONG, runs } from './oracle/runs.js';
import { seeded } from '../machines/random.js';

const { planned } = examplePlan('nursery-barrow', THIN);
const { job } = planned;
const { ops } = planned.program;
const lastLine = ops[ops.length - 1]!.line;
const at = (line: number) => ({ kind: 'lines', from: line, to: line }) as const;
const section = (name: string) => ({ kind: 'section', name }) as const;

function restart(request: Partial<RestartRequest>) {
  const made = planRestart(planned, {
    resumeAt: section('rough 5'),
    stoppedAt: null,
    offsetMm: [0, 0],
    ...request,
  });
  const { text } = made.program;
  const { predicted } = made.summary;
  return {
    ...predicted,
    ...made.restart!,
    text,
    read: readProgram(text, { controller: job.controller }),
  };
}

function refusal(request: Partial<RestartRequest>): Refusal {
  try {
    restart(request);
  } catch (error) {
    if (error instanceof Refusal) return error;
    throw error;
  }
  throw new Error('the restart was written');
}

/** Restarts that several tests look at. */
const made = new Map<number, ReturnType<typeof restart>>();
function restartAt(line: number): ReturnType<typeof restart> {
  const known = made.get(line) ?? restart({ resumeAt: at(line) });
  made.set(line, known);
  return known;
}

/** First line at which a section begins. */
function lineOf(heading: RegExp): number {
  return planned.program.text.split('\n').findIndex((line) => heading.test(line)) + 1;
}

const IN_LEVEL_2 = lineOf(/ROUGH LEVEL 2 /) + 200;

describe('restart', { timeout: 240_000 }, () => {
  it('states every mode, sends the spindle up and comes down in air', () => {
    const { text, read } = restartAt(IN_LEVEL_2);
    expect(read.errors).toEqual([]);
    const preamble = (program: string) =>
      program.split('\n').filter((line) => /^G(21|90|17|94|40|49|80|91\.1|54|61|64)\b/.test(line));
    expect(preamble(text)).toEqual(preamble(planned.program.text));
    expect(preamble(text)).toContain('G21');
    // Before anything at depth: spindle on, waited for, moved over at the clearance height.
    const down = read.ops.findIndex((op) => 'to' in op && op.to[2] < 0);
    const before = read.ops.slice(0, down);
    expect(before.findLast((op) => op.op === 'spindle')).toMatchObject({ on: true });
    expect(before.findLast((op) => op.op === 'dwell')).toMatchObject({
      seconds: job.machine.spindle.spinUpS,
    });
    const highest = before.filter((op) => 'to' in op).map((op) => ('to' in op ? op.to[2] : 0));
    expect(Math.max(...highest)).toBe(planned.cam.toolpath.clearanceZMm);
  });

  it('finishes the part from anywhere, inside the loads of the plan', () => {
    // What was cut right, then the restart: replayed together, nothing may be left or hit.
    const random = seeded(11);
    const first = lineOf(/ROUGH LEVEL 1 /);
    const lines = Array.from({ length: LONG ? runs(4) : 0 }, () =>
      Math.floor(first + 1 + random.even() * (lastLine - first - 50)),
    );
    const inFinish = lineOf(/FINISH LEVEL 4 /) + 3;
    for (const line of LONG ? [...lines, IN_LEVEL_2, inFinish] : [IN_LEVEL_2]) {
      const { read, ...summary } = restartAt(line);
      expect(summary.fromLine).toBeLessThanOrEqual(line + 1);
      const good = ops.filter((op) => op.line < line);
      const later = read.ops.map((op) => ({ ...op, line: op.line + 1_000_000 }));
      const { profile, cam } = planned;
      const report = replay(
        [...good, ...later],
        blankStart(job, profile, cam.blank, cam.field).setup,
      );
      expect(report.findings.filter((f) => f.line > 1_000_000)).toEqual([]);
      expect(report.leftoverMm).toBeLessThan(0.01);
      expect(report.removedMm3).toBeCloseTo(planned.replay.removedMm3, 1);
      for (const axis of ['x', 'y'] as const) {
        expect(summary.peakForceN[axis]).toBeLessThanOrEqual(
          planned.replay.peakForceN[axis].value + 1e-6,
        );
      }
    }
  });

  it('cuts the rest of its first level at half the load', () => {
    const summary = restartAt(IN_LEVEL_2);
    // Force goes with axial depth, so half the depth is half the force.
    expect(summary.firstLevelPeakForceN.x / summary.peakForceN.x).toBeLessThan(0.51);
    expect(summary.firstLevelPeakForceN.x / summary.peakForceN.x).toBeGreaterThan(0.4);
  });

  it('takes up no later than the place named, and in the same level', () => {
    const summary = restartAt(IN_LEVEL_2);
    expect(summary.fromLine).toBeLessThanOrEqual(IN_LEVEL_2);
    expect(summary.fromLine).toBeGreaterThanOrEqual(lineOf(/ROUGH LEVEL 2 /));
    expect(summary.section).toMatch(/ROUGH LEVEL 2 /);
  });

  it('saves a part whose shifted cuts stayed in the allowance', () => {
    const from = lineOf(/ROUGH LEVEL 5 /) + 10;
    const summary = restart({
      resumeAt: at(from),
      stoppedAt: at(from + 800),
      offsetMm: [0.07, 0.05],
    });
    // Roughing leaves more than that on the flanks.
    expect(planned.cam.process.allowanceMm).toBeGreaterThan(Math.hypot(0.07, 0.05));
    expect(summary.gougeMm).toBe(0);
    expect(summary.leftoverMm).toBeLessThan(0.01);
  });

  it('refuses scrap and says which tooth, how deep, and against what', () => {
    const from = lineOf(/ROUGH LEVEL 5 /) + 10;
    const error = refusal({
      resumeAt: at(from),
      stoppedAt: at(from + 2000),
      offsetMm: [-1.5, 0],
    });
    expect(error.code).toBe('restart-scrap');
    expect(error.message).toMatch(
      /^the part is scrap: the tooth at \d+ deg is cut \d\.\d\d mm too deep by line \d+ at Z -\d\.\d\d, 0\.05 mm are allowed/,
    );
    expect(error.limit).toBe(job.limits.toleranceMm);
    expect(error.value).toBeGreaterThan(1);
    expect(error.value).toBeLessThan(1.5 + 1e-6);
    // Left open where it stopped, the worst is assumed and said.
    expect(refusal({ resumeAt: at(from), offsetMm: [-1.5, 0] }).message).toContain('--stopped-at');
  });

  it('refuses an order that cannot be, and a place before any cut', () => {
    const line = lineOf(/ROUGH LEVEL 5 /);
    expect(refusal({ resumeAt: at(line), stoppedAt: at(line - 500) }).code).toBe('restart-order');
    expect(refusal({ resumeAt: at(30) }).code).toBe('restart-no-entry');
    expect(refusal({ resumeAt: at(lastLine + 1000) }).code).toBe('no-such-place');
    expect(refusal({ resumeAt: section('rough 99') }).code).toBe('no-such-place');
  });
});

describe('gouges of a shifted run', () => {
  const { field } = planned.cam;
  const r = job.cutter.diameterMm / 2;
  const lastPass = lineOf(/FINISH LEVEL (\d+) OF \1 .*PASS 2/);
  const finish = ops.filter((op) => op.line > lastPass);

  /** Deepest outline point inside the swept cutter, by brute force over points and positions. */
  function bruteDepth(list: readonly CanonicalOp[], dx: number, dy: number): number {
    const points = loopFlatten(planned.profile.outline, 0.02);
    let nearest = Infinity;
    const near = (x: number, y: number): void => {
      for (let i = 0; i + 1 < points.length; i += 2) {
        const [u, v] = [points[i]! - x, points[i + 1]! - y];
        nearest = Math.min(nearest, u * u + v * v);
      }
    };
    // Where one move ends the next begins.
    for (const op of list) {
      if ((op.op !== 'feed' && op.op !== 'arc') || op.to[2] >= 0) continue;
      near(op.to[0] + dx, op.to[1] + dy);
    }
    return r - Math.sqrt(nearest);
  }

  it.each([
    [0.4, 0],
    [0, -0.25],
    [-0.3, 0.3],
  ])('are as deep as the shift where the wall faces it: %s, %s', (dx, dy) => {
    const found = shiftedGouges(finish, [dx, dy], field, r, job.sprocket.teeth, 0.005);
    const shift = Math.hypot(dx, dy);
    // Some wall of a sprocket faces every way, so the worst is the shift itself.
    expect(found[0]!.depthMm).toBeLessThan(shift + 0.005);
    expect(found[0]!.depthMm).toBeGreaterThan(0.95 * shift);
    const brute = bruteDepth(finish, dx, dy);
    expect(Math.abs(found[0]!.depthMm - brute)).toBeLessThan(0.03);
    expect(new Set(found.map((g) => g.toothDeg)).size).toBe(found.length);
  });

  it('are none without a shift', () => {
    expect(shiftedGouges(finish, [0, 0], field, r, job.sprocket.teeth, 0.005)).toEqual([]);
  });
});
