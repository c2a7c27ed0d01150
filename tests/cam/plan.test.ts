import { beforeAll, describe, expect, it } from 'vitest';
import { layPath } from '../../src/cam/sequence.js';
import { writeProgram } from '../../src/post/rs274/writer.js';
import { wheelOf } from '../../src/profile/wheel/sprocket.js';
import type { Plan } from '../../src/post/plan.js';
import { examplePlan, jobOf, plannedNames } from './jobs.js';
import { type OracleMove, readMini } from './oracle/mini-rs274.js';
import { LONG } from './oracle/runs.js';
import { firstLevels, rasterReplay } from './raster-replay.js';

const DEG = Math.PI / 180;

/** Does a move of the text end at a place, to half its output step? */
function isAt({ to }: OracleMove, x: number, y: number, z: number): boolean {
  const half = 0.00051;
  return Math.abs(to[0] - x) <= half && Math.abs(to[1] - y) <= half && Math.abs(to[2] - z) <= half;
}

describe.each(plannedNames())('plan of %s', (name) => {
  let plan: Plan;
  let moves: readonly OracleMove[];
  beforeAll(() => {
    plan = examplePlan(name).planned;
    moves = readMini(plan.program.text).moves;
  });

  // Its limits are judged in raster-replay.test.ts, by an oracle that knows nothing of the gate.
  it('no cut is deeper than the stepdown, and it is not all air', () => {
    const { limits } = plan.summary;
    expect(plan.replay.peakAxialMm.value).toBeLessThanOrEqual(limits.maxStepdownMm + 1e-3);
    expect(plan.replay.peakEngagementRad.value / DEG).toBeGreaterThan(
      0.8 * limits.maxEngagementDeg,
    );
    expect(plan.replay.removedMm3).toBeGreaterThan(plan.cam.roughVolumeMm3);
  });

  it('roughing takes longer than the bound that no path can beat, links within half of cutting', () => {
    const { predicted } = plan.summary;
    expect(predicted.roughCutMin).toBeGreaterThan(predicted.roughBoundMin);
    expect(predicted.linkMin).toBeLessThanOrEqual(
      0.5 * (predicted.roughCutMin + predicted.finishMin),
    );
  });

  it('the text is ASCII, has no long line, and says the planned moves to the output step', () => {
    const { text } = plan.program;
    // oxlint-disable-next-line no-control-regex
    expect(text).toMatch(/^[\x0a\x20-\x7e]*$/);
    expect(text.split('\n').filter((line) => line.length > 70)).toEqual([]);
    // Positions in order; the writer may split an arc or leave out a move that does not show.
    let i = 0;
    let missed = 0;
    let seen = 0;
    for (const move of plan.cam.toolpath.moves) {
      if (!('to' in move)) continue;
      seen++;
      const [x, y, z] = move.to;
      let k = i;
      while (k < Math.min(moves.length, i + 4) && !isAt(moves[k]!, x, y, z)) k++;
      if (k < moves.length && isAt(moves[k]!, x, y, z)) i = k;
      else missed++;
    }
    expect(seen).toBeGreaterThan(2000);
    expect(missed).toBeLessThanOrEqual(0.001 * seen);
    expect(i).toBe(moves.length - 1);
  });
});

const HEAD = { title: 'blank', jobDigest: '00', homed: false };

describe('blanks that are not what the plan would take by default', () => {
  const blanks: readonly (readonly [string, string, 'climb' | 'both-ways'])[] = [
    ['three passes over the tips', 'diameter: 60 mm, held-by: plate', 'both-ways'],
    ['far off centre', 'held-by: plate, centring-error: 1.5 mm', 'climb'],
    ['more than a pass over the tips', 'diameter: 58 mm, held-by: plate', 'climb'],
    ['dead true', 'held-by: plate, centring-error: 0 mm', 'both-ways'],
  ];
  const both = 'diameter: 60 mm, held-by: plate, centring-error: 1.5 mm';
  const byDay: typeof blanks = [['the first two at once', both, 'both-ways']];
  it.each(LONG ? blanks : byDay)('%s', (_what, blank, first) => {
    for (const roughing of LONG ? ['climb', 'both-ways'] : [first]) {
      const job = jobOf({ blank, limits: `roughing: ${roughing}`, thickness: '1.5 mm' });
      const sprocket = wheelOf(job);
      const { toolpath, blank: size, process } = layPath(job, sprocket);
      const { text } = writeProgram(toolpath, job.controller, HEAD);
      const { maxEngagementDeg } = process;
      // Steel of some strength: forces are not looked at here. The blank sits as far off as it may.
      const report = rasterReplay(
        firstLevels(text, 1),
        { sprocket, blank: size, cutter: job.cutter },
        {
          ...{ kc11: 2500, mc: 0.26, cell: LONG ? 0.03 : 0.04 },
          blankAt: [job.blank.centringErrorMm, 0],
        },
      );
      expect(report.steps).toBeGreaterThan(1000);
      expect(report.engagementDeg.value).toBeGreaterThan(0.8 * maxEngagementDeg);
      expect(report.engagementDeg.value).toBeLessThanOrEqual(maxEngagementDeg + 2);
      expect([report.plunges, report.rapidsInMaterial]).toEqual([[], []]);
    }
  });
});
