import { Refusal } from '../../src/model/refusal.js';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { datumSchedule, unusedDatum } from '../../src/cam/datum.js';
import { readJob } from '../../src/job/load.js';
import { layPath } from '../../src/cam/sequence.js';

import { filesFrom } from '../job/job-text.js';
import { THIN, datumPlan, examplePlan, thinBarrow, warningsFor } from '../planned.js';

const EXAMPLE = thinBarrow();

const JOB = readJob(EXAMPLE, 'barrow.yaml', filesFrom());
const AROUND = { reachMm: 50, clearanceZMm: 5, tableZMm: -20 };

const without = examplePlan('nursery-barrow', THIN).planned;

/** The job with more keys, and its path with the wheel, blank and process of the job without. */
function lay(extra: string) {
  const job = readJob(`${EXAMPLE}\n${extra}\n`, 'barrow.yaml', filesFrom());
  const { blank, process } = without.cam;
  return { job, cam: layPath(job, without.profile, blank, process) };
}

function refusal(extra: string): string {
  try {
    lay(extra);
  } catch (error) {
    if (error instanceof Refusal) return error.code;
    throw error;
  }
  return 'planned';
}

describe('where to check', () => {
  it('bounds the work at risk, by brute force', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 1, max: 900, noNaN: true }), { minLength: 1, maxLength: 30 }),
        fc.double({ min: 60, max: 3000, noNaN: true }),
        (groups, every) => {
          const job = { ...JOB, checkEveryMin: every / 60 };
          const { plan, afterRough } = datumSchedule(job, AROUND, groups, [])!;
          const after = [...afterRough];
          const worstS = 60 * plan.worstAtRiskMin;
          let since = 0;
          let worst = 0;
          groups.forEach((s, i) => {
            since += s;
            worst = Math.max(worst, since);
            if (after.includes(i)) since = 0;
          });
          expect(worstS).toBeCloseTo(worst, 9);
          // Only a group that is longer by itself goes over, and it stands alone.
          expect(worst).toBeLessThanOrEqual(Math.max(every, ...groups) + 1e-9);
          // No check could be left out: two neighbouring stretches are longer together.
          expect(after).not.toContain(groups.length - 1);
          const bounds = [-1, ...after, groups.length - 1];
          for (let k = 2; k < bounds.length; k++) {
            const both = groups.slice(bounds[k - 2]! + 1, bounds[k]! + 1);
            expect(both.reduce((a, b) => a + b, 0)).toBeGreaterThan(every);
          }
        },
      ),
    );
  });
});

describe('a reference without check-every', () => {
  it('is said to be unused, and only then', () => {
    const datum = { xMm: 80, yMm: 80, pin: null };
    expect(unusedDatum({ ...JOB, datum })).toMatchObject({ code: 'datum-unused' });
    expect(unusedDatum({ ...JOB, datum, checkEveryMin: 20 })).toBeNull();
    expect(unusedDatum(JOB)).toBeNull();
  });
});

describe('a pin', () => {
  // The cutter has 8 mm of flutes and sticks out 12 mm; its tip stands 2 mm + 8 mm below the pin's top.
  const around = { reachMm: 30, clearanceZMm: 30, tableZMm: -16 };
  const at = (mm: number, topMm: number) => () => {
    const datum = { xMm: mm, yMm: mm, pin: { diameterMm: 6, topMm } };
    return datumSchedule({ ...JOB, datum, checkEveryMin: 10 }, around, [60], []);
  };

  it('stays 2 mm below the ways across', () => {
    expect(at(60, 28)).not.toThrow();
    expect(at(60, 28.1)).toThrow(/crosses at Z 30; take one no higher than Z 28/);
  });

  it('is high enough for the tip to stay over the table', () => {
    expect(at(60, -6)).not.toThrow();
    expect(at(60, -6.1)).toThrow(/table, which may lie at Z -16.0; take one of Z -6.0 or higher/);
  });

  it('is high enough for the nut, or farther out', () => {
    // Nut 2 mm over the top. Waiting 3 + 1.5 + 6 mm before the pin on X and Y.
    expect(at(35, -1)).not.toThrow();
    expect(at(35, -1.1)).toThrow(/nut is at Z 0.9 and meets the blank; take one of Z -1.0/);
    // 30 mm and the nut's 11 mm away: (x - 10.5) times root 2 is 41 at x = 39.49.
    expect(at(39.4, -1.1)).toThrow(/meets the blank/);
    expect(at(39.6, -1.1)).not.toThrow();
  });
});

describe('datum checks in a program', { timeout: 120_000 }, () => {
  const checked = datumPlan('indicators').planned;

  it('come at the times promised, with the spindle still', () => {
    const { datum } = checked.cam;
    expect(datum).toMatchObject({ kind: 'indicators', everyMin: 5 });
    expect(datum!.worstAtRiskMin).toBeLessThanOrEqual(5);
    const { ops } = checked.program;
    const stops = ops.flatMap((op, i) =>
      op.op === 'stop' && /MUST READ|SET BOTH/.test(op.message) ? [i] : [],
    );
    expect(stops).toHaveLength(datum!.checks + 1);
    let turning = false;
    let cutS = 0;
    let worst = 0;
    ops.forEach((op, i) => {
      if (op.op === 'spindle') turning = op.on;
      if (op.op === 'feed' || op.op === 'arc') {
        const length = Math.hypot(op.to[0] - op.from[0], op.to[1] - op.from[1]);
        if (checked.replay.loads.axialMm[i]! > 0) cutS += (60 * length) / op.feedMmPerMin;
      }
      if (!stops.includes(i)) return;
      expect(turning).toBe(false);
      worst = Math.max(worst, cutS);
      cutS = 0;
      // Standing at the reference, at the height that the plan names.
      const before = ops.slice(0, i).findLast((o) => 'to' in o)!;
      expect('to' in before && before.to).toEqual([...datum!.checkX, datum!.heightMm]);
    });
    expect(worst).toBeLessThanOrEqual(300);
    expect(worst).toBeGreaterThan(60);
  });

  it('leave the cutting as it was, and the levels alike', () => {
    expect(checked.replay.findings).toEqual([]);
    expect(checked.replay.removedMm3).toBeCloseTo(without.replay.removedMm3, 6);
    expect(checked.replay.peakForceN.x.value).toBe(without.replay.peakForceN.x.value);
    expect(checked.replay.leftoverMm).toBe(without.replay.leftoverMm);
    // Levels that are alike are still simulated once.
    expect(checked.replay.samples).toBeLessThan(1.05 * without.replay.samples);
  });

  it('say when one level is longer than asked for', () => {
    const { job, cam } = lay('check-every: 1 min');
    expect(warningsFor(without, job, cam).map((w) => w.code)).toContain('check-every');
    expect(checked.summary.warnings.map((w) => w.code)).not.toContain('check-every');
  });

  it('touch a pin with a feeler where there is no probe, and with the probe where there is', () => {
    const feeler = datumPlan('feeler').planned;
    if (feeler.job.controller.probe) throw new Error('choose a class without a probe');
    expect(feeler.cam.datum?.kind).toBe('feeler');
    // Shank 3 mm and pin 6 mm in diameter with 1 mm between: 5.5 mm from centre to centre.
    const [x, y] = feeler.cam.datum!.checkX;
    expect(Math.hypot(60 - x, -50 - y)).toBeCloseTo(1.5 + 3 + 1, 9);
    expect(feeler.program.ops.some((op) => op.op === 'probe')).toBe(false);

    const probe = datumPlan('probe').planned;
    expect(probe.cam.datum?.kind).toBe('probe');
    const probes = probe.program.ops.filter((op) => op.op === 'probe');
    expect(probes).toHaveLength(2 * (probe.cam.datum!.checks + 1));
    for (const op of probes) {
      // On the way it passes the place where shank and pin touch.
      const far = (p: readonly number[]) => Math.hypot(60 - p[0]!, -50 - p[1]!);
      expect(far(op.from)).toBeGreaterThan(1.5 + 3);
      expect(far(op.to)).toBeLessThan(1.5 + 3);
    }
    expect(probe.replay.findings).toEqual([]);
  });

  it.each([
    ['datum: { x: 20 mm, y: 0 mm }', 'datum-in-the-way'],
    ['datum: { x: 290 mm, y: 0 mm }', 'datum-travel'],
    ['datum: { x: 35 mm, y: 5 mm, pin-diameter: 6 mm }', 'datum-in-the-way'],
    ['datum: { x: 45 mm, y: 45 mm }', 'planned'],
  ])('%s gives %s', (datum, code) => {
    expect(refusal(`check-every: 10 min\n${datum}`)).toBe(code);
  });
});
