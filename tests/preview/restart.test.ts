import { beforeAll, describe, expect, it } from 'vitest';
import { StockFront } from '../../src/cam/stock/stock-front.js';
import { isMotion, pieceOf } from '../../src/cam/stock/replay/motion.js';
import { type RestartRequest, planRestart } from '../../src/plan/restart.js';
import type { Plan } from '../../src/post/plan.js';
import { unpackPage } from '../../src/preview/data/pack.js';
import { type PageData, pageDataOf } from '../../src/preview/data/page-data.js';
import { type Model, modelOf } from '../../src/preview/page/model.js';
import { compareWithOutline } from '../../src/preview/stock/leftover.js';
import { CUT_BEFORE, UNCUT } from '../../src/preview/stock/tile-field.js';
import { seeded } from '../machines/random.js';
import { THIN, examplePlan } from '../planned.js';
import { packed } from './example.js';

const whole = examplePlan('nursery-barrow', THIN).planned;
const section = (name: string) => ({ kind: 'section', name }) as const;

function restart(request: Partial<RestartRequest>): Plan {
  const resumeAt = section('rough 5');
  return planRestart(whole, { resumeAt, stoppedAt: null, offsetMm: [0, 0], ...request });
}

/** Depth of a roughing level, as the program's own heading states it. mm */
function roughZMm(level: number): number {
  return Number(
    new RegExp(`ROUGH LEVEL ${level} OF .*Z (-[\\d.]+)`, 'i').exec(whole.program.text)![1],
  );
}

describe('the page of a restart', { timeout: 120_000 }, () => {
  let made: Plan;
  let data: PageData;
  let model: Model;

  beforeAll(() => {
    made = restart({});
    data = unpackPage(packed(pageDataOf(made)));
    model = modelOf(data);
  });

  it('begins with the gaps open to the depth cut before, and no deeper', () => {
    const { profile, job } = data.figures;
    const { teeth } = job.sprocket;
    // A gap is cut wherever the outline is not: between seat and tip, half a pitch off a tooth.
    const radiusMm = (profile.rootDiameterMm + profile.tipDiameterMm) / 4;
    const depthMm = roughZMm(4);
    for (let gap = 0; gap < teeth; gap++) {
      const angle = (2 * Math.PI * gap) / teeth;
      for (const { topMm, bottomMm, field } of model.stock.at(0, 0)) {
        const middleMm = (topMm + bottomMm) / 2;
        const stands = field.at(radiusMm * Math.cos(angle), radiusMm * Math.sin(angle)) > 0;
        expect([gap, middleMm, stands]).toEqual([gap, middleMm, middleMm < depthMm]);
      }
    }
  });

  it('ends as the replay ends: nothing of what was cut before is left standing', () => {
    const found = compareWithOutline(model);
    expect(found.mostLeft.mm).toBeCloseTo(made.replay.leftoverMm, 3);
    expect(Math.abs(found.areaShare)).toBeLessThan(5e-4);
  });

  it('runs the restart only: its lines, its time, its first move first', () => {
    expect(data.lines).toEqual(made.program.text.trimEnd().split('\n'));
    expect(model.ends[model.ends.length - 1]! / 60).toBeCloseTo(made.summary.predicted.totalMin, 4);
    // The stop that asks whether the way up is free, then the first move.
    const [first] = made.program.ops.filter((op) => 'from' in op || op.op === 'stop');
    expect(data.track.line[0]).toBe(first!.line);
    for (const { entry } of model.moments) {
      if (entry !== null) expect(entry).toBeLessThan(data.track.line.length);
    }
  });

  it('tells walls of the run before from its own and from the blank', () => {
    const owners = (entry: number, fraction: number) => {
      const met = new Set<number>();
      for (const { field } of model.stock.at(entry, fraction)) {
        for (const { owner } of field.tiles) owner.forEach((o) => met.add(o));
      }
      return [...met];
    };
    expect(owners(0, 0).sort()).toEqual([UNCUT, CUT_BEFORE]);
    expect(owners(model.ends.length - 1, 1).filter((o) => o >= 0).length).toBeGreaterThan(100);
  });

  it('stands where the exact front stands, a shifted stretch with it (seed 5)', () => {
    const offsetMm = [0.06, -0.04] as const;
    const shifted = restart({ stoppedAt: section('rough 6'), offsetMm });
    const page = modelOf(pageDataOf(shifted));
    const { askedLine, stoppedLine } = shifted.restart!;
    const { diameterMm, centringErrorMm } = whole.cam.blank;
    const blankRadiusMm = diameterMm / 2 + centringErrorMm;
    const cutterRadiusMm = whole.job.cutter.diameterMm / 2;
    const { even } = seeded(5);
    for (const layer of page.stock.at(0, 0)) {
      // Oracle: every move of the stopped program at or below the depth, those off their place moved.
      const depthMm = (layer.topMm + layer.bottomMm) / 2;
      const front = new StockFront({ blankRadiusMm, cutterRadiusMm });
      for (const op of whole.program.ops) {
        if (!isMotion(op) || op.line > stoppedLine || op.to[2] > depthMm) continue;
        const [dx, dy] = op.line < askedLine ? [0, 0] : offsetMm;
        const piece = pieceOf(op);
        if (!piece) continue;
        const { ax, ay, bx, by, cx, cy } = piece;
        const moved = { ax: ax + dx, ay: ay + dy, bx: bx + dx, by: by + dy };
        front.add({ ...piece, ...moved, cx: cx + dx, cy: cy + dy });
      }
      let asked = 0;
      const wrong: number[][] = [];
      for (let k = 0; k < 800; k++) {
        const r = blankRadiusMm * Math.sqrt(even());
        const a = 2 * Math.PI * even();
        const [x, y] = [r * Math.cos(a), r * Math.sin(a)];
        const value = layer.field.at(x, y);
        // Nearer to a wall than this, either answer is as good; a hole is no part of the front.
        if (Math.abs(value) < 0.3 * page.stock.grid.cellMm || r < whole.job.bore.diameterMm)
          continue;
        asked++;
        if (value > 0 !== front.standsAt(x, y)) wrong.push([x, y]);
      }
      expect(wrong, `at ${depthMm} mm`).toEqual([]);
      expect(asked).toBeGreaterThan(500);
    }
  });
});
