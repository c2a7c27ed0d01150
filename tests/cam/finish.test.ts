import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type FinishPass,
  type FinishSetting,
  passPlans,
  runPasses,
} from '../../src/cam/finish-error.js';
import { parallelCurve } from '../../src/cam/parallel.js';
import { planFinish } from '../../src/cam/finish.js';
import { chooseProcess } from '../../src/cam/process.js';
import { gapSize } from '../../src/cam/sequence.js';
import { conditionsFor } from '../../src/cam/choose.js';
import type { Move } from '../../src/model/toolpath.js';
import { wallCompliance } from '../../src/machines/bear/wall-shift.js';
import type { Job } from '../../src/model/job.js';
import type { Loop } from '../../src/model/edges.js';
import { perimeter } from '../../src/profile/geometry/loop.js';
import { examplePlan } from './jobs.js';
import { CurveGrid, edgeCurve, pointsAlong } from './oracle/curves.js';
import { runs } from './oracle/runs.js';
import { gapCaseArb, profileOf } from './random-gap.js';

const { job, profile, cam: plan } = examplePlan('nursery-barrow').planned;
const r = job.cutter.diameterMm / 2;

function gridOf(outline: Loop, reach: number): CurveGrid {
  const grid = new CurveGrid(reach);
  for (const edge of outline) grid.add(edgeCurve(edge), [...pointsAlong(edge, 0.2), edge.b], 0.2);
  return grid;
}

describe('path of the cutter', () => {
  it('lies at its distance from the outline all round, for all tooth forms', () => {
    let fitted = 0;
    fc.assert(
      fc.property(gapCaseArb, (c) => {
        const shape = profileOf(c);
        if (!shape || c.cutterRadiusMm > 0.95 * shape.seatRadiusMm) return;
        fitted++;
        const path = parallelCurve(shape.outline, c.cutterRadiusMm, c.teeth);
        const grid = gridOf(shape.outline, c.cutterRadiusMm + 0.1);
        const off = path
          .flatMap((edge) => pointsAlong(edge, 0.1))
          .map(([x, y]) => Math.abs(grid.distance(x, y) - c.cutterRadiusMm));
        expect(Math.max(...off)).toBeLessThan(1e-6);
      }),
      { numRuns: runs(12) },
    );
    // A case whose seat the cutter does not go into says nothing.
    expect(fitted).toBeGreaterThan(runs(12) / 4);
  });

  it('is arcs and lines of the outline, not chords: no more edges than the outline has', () => {
    expect(parallelCurve(profile.outline, r, job.sprocket.teeth).length).toBeLessThanOrEqual(
      profile.outline.length,
    );
  });
});

/** Moves of the finishing part: after the stop that roughing ends with. */
function finishing(moves: readonly Move[]): Move[] {
  const at = moves.findIndex((move) => move.kind === 'stop' && move.why === 'roughed');
  return moves.slice(at + 1);
}

describe('passes of the example', () => {
  const moves = finishing(plan.toolpath.moves);
  const pitch = (2 * Math.PI) / job.sprocket.teeth;
  const last = plan.finish.passes[plan.finish.passes.length - 1]!;

  it('go clockwise round the part: climb with a cutter that turns clockwise', () => {
    let turned = 0;
    moves.forEach((move, i) => {
      const before = moves[i - 1];
      if (!('role' in move) || move.role !== 'finish' || !before || !('to' in before)) return;
      const [[ax, ay], [bx, by]] = [before.to, move.to];
      turned += Math.atan2(ax * by - ay * bx, ax * bx + ay * by);
    });
    const rounds = plan.finish.passes.length * plan.finish.levelsMm.length;
    expect(turned / (2 * Math.PI * rounds)).toBeCloseTo(-1, 1);
  });

  it('begin and end on the middle of a tip, where no roller runs', () => {
    let contacts = 0;
    moves.forEach((move, i) => {
      const before = moves[i - 1];
      if (!('role' in move) || !before || !('role' in before)) return;
      const enters = before.role === 'lead' && move.role === 'finish';
      const leaves = before.role === 'finish' && move.role === 'lead';
      if (!enters && !leaves) return;
      contacts++;
      // A gap is centred on +X, so tips are at odd half pitches.
      const angle = Math.atan2(before.to[1], before.to[0]) / pitch - 0.5;
      const off = Math.abs(angle - Math.round(angle)) * pitch * Math.hypot(...before.to);
      // Past the start a little, so that no crest is left.
      expect(off).toBeLessThan(enters ? 1e-6 : 0.6);
      expect(Math.hypot(before.to[0], before.to[1])).toBeGreaterThan(
        profile.tipDiameterMm / 2 + r - 0.01,
      );
    });
    expect(contacts).toBe(2 * plan.finish.passes.length * plan.finish.levelsMm.length);
  });

  it('come in and go out along arcs that touch the path, from air', () => {
    const grid = gridOf(profile.outline, r + 3);
    const stock = plan.process.allowanceMm + plan.process.roughDeflectionMm;
    let arcs = 0;
    moves.forEach((move, i) => {
      if (!('role' in move) || move.role !== 'lead' || move.kind !== 'arc') return;
      const before = moves[i - 1]!;
      if (!('to' in before)) return;
      arcs++;
      const radius = Math.hypot(move.to[0] - move.c[0], move.to[1] - move.c[1]);
      expect(radius).toBeGreaterThan(1);
      const comesIn = !('role' in before && before.role === 'finish');
      const far = comesIn ? before.to : move.to;
      const near = comesIn ? move.to : before.to;
      expect(grid.distance(far[0], far[1])).toBeGreaterThan(r + stock);
      // The centre of the arc is on the normal of the path there: square to the tip circle.
      const cross = near[0] * move.c[1] - near[1] * move.c[0];
      expect(Math.abs(cross) / Math.hypot(...near)).toBeLessThan(0.05);
      expect(Math.hypot(...move.c)).toBeGreaterThan(Math.hypot(near[0], near[1]));
    });
    // In and out of every pass.
    expect(arcs).toBe(2 * plan.finish.passes.length * plan.finish.levelsMm.length);
  });

  it('the last pass of each level is on the outline itself', () => {
    expect(last.offsetMm).toBe(0);
    expect(plan.finish.withinTolerance).toBe(plan.finish.errorMm <= job.limits.toleranceMm);
    expect(plan.finish.errorMm).toBeCloseTo(last.errorMm, 12);
    expect(plan.finish.levelsMm[plan.finish.levelsMm.length - 1]!).toBeLessThan(
      -profile.thicknessMm,
    );
  });
});

function settingFor(stickOutMm: number, levels = 13, of: Job = job): FinishSetting {
  const cutter = { ...of.cutter, stickOutMm };
  const other = { ...of, cutter };
  const { process } = plan;
  return {
    conditions: conditionsFor(other, process.spindleRpm, profile.thicknessMm / levels),
    limits: plan.process,
    seatRadiusMm: profile.seatRadiusMm,
    compliance: wallCompliance(of.machine, cutter, process.spindleRpm),
    stockMm: 0.14,
    maxEngagementRad: process.planEngagementRad,
  };
}

/** One pass on the outline, however far it is engaged. */
function onePass(setting: FinishSetting): FinishPass {
  return runPasses({ ...setting, maxEngagementRad: Math.PI }, [0])![0]!;
}

describe('predicted form error', () => {
  it('falls from pass to pass on the outline, and never below nothing', () => {
    const passes = runPasses(settingFor(12), [0, 0, 0, 0, 0])!;
    passes.forEach((pass, i) => {
      expect(pass.errorMm).toBeGreaterThan(0);
      if (i > 0) {
        expect(pass.errorMm).toBeLessThan(passes[i - 1]!.errorMm);
        expect(pass.stockBeforeMm).toBe(passes[i - 1]!.errorMm);
      }
    });
  });

  it('balances: what is left is what the force of what is taken pushes the cutter off', () => {
    // The pushed-off distance is below the stock, or nothing would be cut at all.
    const pass = onePass(settingFor(12));
    expect(pass.errorMm).toBeLessThan(0.14);
    // Twice as soft pushes more than as far, but less than twice: the bite gets smaller.
    const { compliance } = settingFor(12);
    const soft = onePass({
      ...settingFor(12),
      compliance: {
        meanMmPerN: 2 * compliance.meanMmPerN,
        swingMmPerN: 2 * compliance.swingMmPerN,
        toolMmPerN: 2 * compliance.toolMmPerN,
      },
    });
    expect(soft.errorMm).toBeGreaterThan(1.2 * pass.errorMm);
    expect(soft.errorMm).toBeLessThan(2 * pass.errorMm);
  });

  it('rises with stick-out, and with depth of cut while the chip and not the force limits the feed', () => {
    const errors = [8.5, 10, 12, 15, 20, 25].map((s) => onePass(settingFor(s)).errorMm);
    for (let i = 1; i < errors.length; i++) expect(errors[i]!).toBeGreaterThan(errors[i - 1]!);
    const deep = [80, 40, 20].map((n) => onePass(settingFor(12, n)).errorMm);
    for (let i = 1; i < deep.length; i++) expect(deep[i]!).toBeGreaterThan(deep[i - 1]!);
  });

  it('every way of splitting ends on the outline and keeps the engagement limit', () => {
    const plans = passPlans(settingFor(12));
    expect(plans.length).toBeGreaterThan(6);
    for (const passes of plans) {
      expect(passes[passes.length - 1]!.offsetMm).toBe(0);
      for (const pass of passes) {
        expect(pass.engagementRad).toBeLessThanOrEqual(plan.process.planEngagementRad);
      }
    }
  });
});

describe('taper', () => {
  /**
   * Cantilever with a step in section, by numerical integration of M / (E I) twice from the clamp:
   * shank of its own diameter, flutes as a bar of 0.8 D (Kops and Vo, equivalent diameter of an end
   * mill), E of carbide 600 GPa (common figure, from memory).
   */
  function bends(stickOut: number, flutes: number, d: number, at: number): number {
    const n = 20_000;
    const dx = stickOut / n;
    let slope = 0;
    let y = 0;
    for (let i = 0; i < n; i++) {
      const x = (i + 0.5) * dx;
      if (x > stickOut - at) break;
      const bar = x < stickOut - flutes ? d : 0.8 * d;
      slope += ((stickOut - x) / (600e3 * ((Math.PI * bar ** 4) / 64))) * dx;
      y += slope * dx;
    }
    return y;
  }

  const stuckOut = new Map(
    [10, 25].map((stickOutMm) => {
      const other = { ...job, cutter: { ...job.cutter, stickOutMm } };
      const process = chooseProcess(other, gapSize(other, profile, plan.blank));
      return [stickOutMm, planFinish(other, profile, process, perimeter(profile.outline))];
    }),
  );

  it('is the difference in bending of a cantilever between tip and top face, per newton', () => {
    for (const [stickOutMm, finish] of stuckOut) {
      const force = finish.passes[finish.passes.length - 1]!.normalN;
      const { fluteLengthMm, diameterMm } = job.cutter;
      const perN =
        bends(stickOutMm, fluteLengthMm, diameterMm, 0) -
        bends(stickOutMm, fluteLengthMm, diameterMm, profile.thicknessMm);
      expect(finish.taperMm / force / perN).toBeCloseTo(1, 2);
    }
  });

  it('from 10 to 25 mm of stick-out grows as the cantilever says, force for force', () => {
    // Uniform bar: y(L) - y(L - t) = F / 6EI (2 L^3 - (L - t)^2 (2 L + t)); the flutes are of the
    // same length on both, so the stepped bar grows less than a plain one and more than its square.
    const t = profile.thicknessMm;
    const plain = (l: number): number => 2 * l ** 3 - (l - t) ** 2 * (2 * l + t);
    const taper = (stickOutMm: number): number => {
      const finish = stuckOut.get(stickOutMm)!;
      return finish.taperMm / finish.passes[finish.passes.length - 1]!.normalN;
    };
    const grows = taper(25) / taper(10);
    expect(grows).toBeLessThan(plain(25) / plain(10));
    expect(grows).toBeGreaterThan(2.5);
  });
});
