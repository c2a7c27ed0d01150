import { beforeAll, describe, expect, it } from 'vitest';
import type { Toolpath } from '../../src/cam/toolpath.js';
import { planParts } from '../../src/job/pipeline.js';
import type { PlannedJob } from '../../src/job/planned.js';
import { exampleJob, exampleNames, jobOf } from './jobs.js';
import { type OracleMove, readMini } from './oracle/mini-rs274.js';

const DEG = Math.PI / 180;

/** Moves of a toolpath, as the text should say them. */
function planned(toolpath: Toolpath): Exclude<Toolpath['moves'][number], { kind: 'note' }>[] {
  return toolpath.moves.filter(
    (move): move is Exclude<typeof move, { kind: 'note' }> => move.kind !== 'note',
  );
}

describe.each(exampleNames())('plan of %s', (name) => {
  let plan: PlannedJob;
  let moves: readonly OracleMove[];
  beforeAll(() => {
    plan = planParts(exampleJob(name));
    moves = readMini(plan.program.text).moves;
  });

  it('every figure of its own replay is within what is allowed', () => {
    const { limits, predicted } = plan.summary;
    expect(predicted.peakEngagementDeg).toBeLessThanOrEqual(limits.maxEngagementDeg + 1);
    expect(predicted.peakForceN.x).toBeLessThanOrEqual(limits.allowedForceN.x);
    expect(predicted.peakForceN.y).toBeLessThanOrEqual(limits.allowedForceN.y);
    expect(predicted.gougeMm).toBeLessThanOrEqual(0.005);
    expect(predicted.leftoverMm).toBeLessThanOrEqual(0.01);
    expect(plan.replay.findings).toEqual([]);
    expect(plan.replay.worstArcRadiusErrorMm.value).toBeLessThanOrEqual(0.002);
    expect(plan.replay.peakAxialMm.value).toBeLessThanOrEqual(limits.maxStepdownMm + 1e-3);
    const { chipCapMm } = plan.cam.process;
    expect(plan.replay.peakChipMm.value).toBeLessThanOrEqual(chipCapMm * 1.05);
    // It was not all air.
    expect(plan.replay.peakEngagementRad.value / DEG).toBeGreaterThan(
      0.8 * limits.maxEngagementDeg,
    );
    expect(plan.replay.removedMm3).toBeGreaterThan(plan.cam.roughVolumeMm3);
  });

  it('roughing within 1.6 of the bound, links within 40 % of cutting', () => {
    const { predicted } = plan.summary;
    expect(predicted.roughCutMin).toBeLessThanOrEqual(1.6 * predicted.roughBoundMin);
    expect(predicted.roughCutMin).toBeGreaterThan(predicted.roughBoundMin);
    expect(predicted.linkMin).toBeLessThanOrEqual(
      0.4 * (predicted.roughCutMin + predicted.finishMin),
    );
  });

  it('the text is ASCII, has no long line, and says the planned moves to the output step', () => {
    const { text } = plan.program;
    // eslint-disable-next-line no-control-regex
    expect(text).toMatch(/^[\x0a\x20-\x7e]*$/);
    for (const line of text.split('\n')) expect(line.length).toBeLessThanOrEqual(70);
    // Positions in order; the writer may split an arc, never leave out a move that shows.
    let i = 0;
    for (const move of planned(plan.cam.toolpath)) {
      if (!('to' in move)) continue;
      const near = (m: OracleMove): boolean =>
        m.to.every((v, k) => Math.abs(v - move.to[k]!) <= 0.00051);
      const from = i;
      while (i < moves.length && !near(moves[i]!)) i++;
      if (i === moves.length) i = from;
      expect(i - from).toBeLessThan(4);
    }
  });

  it('is planned alike twice', () => {
    if (name !== 'barrow-winch-9t-08b') return;
    expect(planParts(exampleJob(name)).program.text).toBe(plan.program.text);
  });
});

describe('blanks that are not what the plan would take by default', () => {
  it.each([
    ['more than a pass over the tips', 'diameter: 58 mm, held-by: plate'],
    ['three passes over the tips', 'diameter: 60 mm, held-by: plate'],
    ['far off centre', 'held-by: plate, centring-error: 1.5 mm'],
    ['dead true', 'held-by: plate, centring-error: 0 mm'],
  ])('%s', (_what, blank) => {
    for (const roughing of ['climb', 'both-ways']) {
      const job = jobOf({ blank, limits: `roughing: ${roughing}`, thickness: '1.5 mm' });
      const { summary, replay } = planParts(job);
      expect(replay.findings).toEqual([]);
      expect(summary.predicted.peakEngagementDeg).toBeLessThan(61);
    }
  });
});
