/** Bores cut by the router: every one replayed on the exact stock front. */
import { engagementConcaveRad } from '../../src/machines/load/engagement.js';
import { Refusal } from '../../src/model/refusal.js';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { planBore } from '../../src/cam/bore.js';
import { replay } from '../../src/cam/stock/replay.js';
import { boreStart } from '../../src/plan/start.js';
import { type Job } from '../../src/model/job.js';
import { readProgram } from '../../src/post/rs274/reader.js';
import { writeProgram } from '../../src/post/rs274/writer.js';
import { jobOf } from './jobs.js';
import { LONG, runs } from './oracle/runs.js';

const THICKNESS_MM = 4;

function boreJob(
  boreMm: number,
  pilotMm: number,
  cutterMm: number,
  machine: string,
  limitDeg: number,
): Job {
  const job = jobOf({
    machine,
    cutter: `diameter: ${cutterMm} mm, flutes: 3, stick-out: 12 mm, flute-length: 8 mm`,
    limits: `max-engagement: ${limitDeg} deg`,
    material: 'C45-rolled',
  });
  return {
    ...job,
    bore: { ...job.bore, diameterMm: boreMm, pilotHoleMm: pilotMm, madeBy: 'router' },
  };
}

function replayed(job: Job) {
  const plan = planBore(job, THICKNESS_MM, 30);
  const { text } = writeProgram(plan.toolpath, job.controller, {
    title: 'bore',
    jobDigest: '00',
    homed: false,
  });
  const read = readProgram(text, { controller: job.controller });
  expect(read.errors).toEqual([]);
  return { plan, report: replay(read.ops, boreStart(job, plan.depthMm, 30).setup) };
}

describe('bores by the router', () => {
  it('keep the engagement limit and come out at their size', { timeout: 120_000 }, () => {
    let planned = 0;
    fc.assert(
      fc.property(
        fc.double({ min: 6, max: LONG ? 24 : 14, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.constantFrom(2, 3, 4),
        fc.constantFrom('belt-gantry-light', 'screw-gantry-stiff', 'bench-mill-converted'),
        fc.constantFrom(45, 60, 75, 90),
        (bore, share, cutter, machine, limit) => {
          const least = cutter + 0.5;
          if (bore < least + 0.5) return;
          const job = boreJob(bore, least + share * (bore - 0.3 - least), cutter, machine, limit);
          let made: ReturnType<typeof replayed>;
          try {
            made = replayed(job);
          } catch (error) {
            if (error instanceof Refusal) return;
            throw error;
          }
          planned++;
          const { report, plan } = made;
          const deg = (report.peakEngagementRad.value * 180) / Math.PI;
          expect(deg).toBeLessThan(plan.process.maxEngagementDeg + 0.5);
          expect(report.findings).toEqual([]);
          expect(report.gougeMm.value).toBeLessThan(0.001);
          expect(report.leftoverMm).toBeLessThan(0.001);
        },
      ),
      { numRuns: runs(20) },
    );
    expect(planned).toBeGreaterThan(runs(20) / 4);
  });

  it('go through all of a blank that is thicker than its teeth, and through a hub', () => {
    const job = boreJob(20, 12, 3, 'screw-gantry-light', 60);
    const lowest = (of: Job): number =>
      Math.min(
        ...planBore(of, THICKNESS_MM, 30).toolpath.moves.map((m) => ('to' in m ? m.to[2] : 0)),
      );
    const plain = lowest(job);
    const thick = { ...job, blank: { ...job.blank, thicknessMm: THICKNESS_MM + 2 } };
    expect(lowest(thick)).toBeCloseTo(plain - 2, 9);
    const hub = { ...thick, hub: { diameterMm: 30, lengthMm: 1.5 } };
    expect(lowest(hub)).toBeCloseTo(plain - 3.5, 9);
  });

  it('from a small pilot, where the wall is far from a circle, the steps are made shorter', () => {
    // Steps for a round wall met 3 deg more than planned here.
    const { plan, report } = replayed(boreJob(10, 6, 4, 'screw-gantry-stiff', 75));
    const { maxEngagementDeg, planEngagementRad, allowanceMm } = plan.process;
    expect((report.peakEngagementRad.value * 180) / Math.PI).toBeLessThan(maxEngagementDeg + 0.2);
    // Walls that stay round, each as far out of the last as the engagement lets it be.
    let [wallMm, round] = [3, 0];
    while (wallMm < 5 - allowanceMm - 1e-6) {
      const keeps = (mm: number) => engagementConcaveRad(mm, 2, wallMm + mm) <= planEngagementRad;
      let stepMm = 0;
      while (stepMm < 2 && keeps(stepMm + 0.001)) stepMm += 0.001;
      wallMm += stepMm;
      round++;
    }
    // No more than a turn longer for it.
    expect(plan.turns).toBeGreaterThanOrEqual(round - 1);
    expect(plan.turns).toBeLessThanOrEqual(round + 1);
    const wide = replayed(boreJob(24, 20, 4, 'screw-gantry-stiff', 75));
    expect((wide.report.peakEngagementRad.value * 180) / Math.PI).toBeGreaterThan(
      0.9 * wide.plan.process.maxEngagementDeg,
    );
  });
});
