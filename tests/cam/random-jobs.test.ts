import { Refusal } from '../../src/model/refusal.js';
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { planParts } from '../../src/plan/plan.js';

import { jobFrom, jobText } from './jobs.js';
import { runs } from './oracle/runs.js';
import { jobArb } from './random-job.js';

/**
 * Random jobs: each is refused with a reason that its text explains, or its program passes its own
 * replay by the numbers. A refusal by the replay itself is a fault of the planner and fails.
 * GULLET_RUNS takes more of them.
 */

/** Codes that a person can act on, with what the text must name. */
const REASONS: Readonly<Record<string, RegExp>> = {
  'cutter-too-large': /mm cutter .*(deg|reach|clear|way)/,
  'cutter-too-small': /mm cutter .*deg/,
  'chip-rubs': /um/,
  'no-force': /thrust/,
  travel: /travels \d+ mm/,
  'program-too-long': /moves/,
  'stick-out-too-short': /stick-out/,
  'flute-too-short': /flutes/,
  'unfit-fit': /strike the rollers.*would do/,
};

/** Share of jobs that may be refused. Most are for a cutter out of range of the gap. */
const MOST_REFUSED = 0.5;

it('random jobs are planned within every limit, or refused with a reason', () => {
  const refused = new Map<string, number>();
  const replayRefused: string[] = [];
  let planned = 0;
  const worst = { over: -Infinity, gouge: 0, leftover: 0, force: 0, rough: 0 };
  const check = (text: string): void => {
    try {
      const { summary, replay, cam } = planParts(jobFrom(text));
      const { limits, predicted } = summary;
      planned++;
      const over = predicted.peakEngagementDeg - limits.maxEngagementDeg;
      const force = Math.max(
        predicted.driveDemandN.x / limits.driveDemandN.x,
        predicted.driveDemandN.y / limits.driveDemandN.y,
        replay.peakResultantN.value / limits.peakForceN,
      );
      expect(over).toBeLessThanOrEqual(2);
      expect(force).toBeLessThanOrEqual(1.02);
      expect(predicted.gougeMm).toBeLessThanOrEqual(0.005);
      expect(predicted.leftoverMm).toBeLessThanOrEqual(0.01);
      expect(replay.findings).toEqual([]);
      expect(replay.worstArcRadiusErrorMm.value).toBeLessThanOrEqual(0.002);
      expect(replay.peakAxialMm.value).toBeLessThanOrEqual(limits.maxStepdownMm + 1e-3);
      expect(replay.removedMm3).toBeGreaterThan(cam.roughVolumeMm3);
      worst.over = Math.max(worst.over, over);
      worst.force = Math.max(worst.force, force);
      worst.gouge = Math.max(worst.gouge, predicted.gougeMm);
      worst.leftover = Math.max(worst.leftover, predicted.leftoverMm);
      worst.rough = Math.max(worst.rough, predicted.roughCutMin / predicted.roughBoundMin);
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      if (error.code.startsWith('replay-')) {
        replayRefused.push(`${error.code}: ${error.message}\n${text}`);
        return;
      }
      expect(REASONS[error.code], error.code).toBeDefined();
      expect(error.message).toMatch(REASONS[error.code]!);
      refused.set(error.code, (refused.get(error.code) ?? 0) + 1);
    }
  };
  fc.assert(
    fc.property(jobArb, (figures) => check(jobText(figures))),
    // Planning is long: nothing is shrunk.
    { numRuns: runs(14), endOnFailure: true },
  );
  const no = [...refused.values()].reduce((a, b) => a + b, 0);
  const share = no / (no + planned + replayRefused.length);
  const codes = [...refused].map(([code, n]) => `${code} ${n}`).join(', ');
  process.stdout.write(
    `random jobs: ${planned} planned, ${no} refused (${(100 * share).toFixed(0)} %: ${codes}), ` +
      `${replayRefused.length} by the replay; worst: engagement ${worst.over.toFixed(2)} deg over the limit, ` +
      `force ${worst.force.toFixed(3)} of what cutter and drives bear, gouge ${worst.gouge.toFixed(4)}, ` +
      `leftover ${worst.leftover.toFixed(4)} mm, roughing ${worst.rough.toFixed(2)} x bound\n`,
  );
  expect(replayRefused).toEqual([]);
  expect(planned).toBeGreaterThanOrEqual(0.3 * runs(14));
  expect(share).toBeLessThanOrEqual(MOST_REFUSED);
}, 3_600_000);
