/** A cut that takes more than an edge lasts stops for a fresh one, and the sheet says what to do. */
import { describe, expect, it } from 'vitest';
import { planParts } from '../../src/plan/plan.js';
import { livesFor } from '../../src/machines/bear/edge.js';
import { warningSheet } from '../../src/post/sheet/sheet.js';
import { exampleJob } from '../cam/jobs.js';
import { THIN } from '../planned.js';

describe('a cut that an edge does not last', () => {
  const thin = exampleJob('nursery-barrow', THIN);
  // An edge meant for 40 m/min: at four times that, v T^n = C with n = 1/4 leaves it a 256th of its time.
  const soft = { ...thin, material: { ...thin.material, edgeSpeedMPerMin: 40 } };
  const planned = planParts(soft);
  const { predicted } = planned.summary;
  const stops = planned.program.text
    .split('\n')
    .flatMap((text, i, all) => (/THE EDGE IS USED UP/.test(text) ? [all.slice(i, i + 6)] : []));

  it('shares its levels between as many edges as it needs', () => {
    expect(predicted.edges).toBeGreaterThan(1);
    expect(predicted.edgeLivesEach).toBeLessThan(1);
    expect(planned.cam.process.way.edgeShares.edges).toBe(predicted.edges);
  });

  it('has a stop for each change, in roughing, and goes on after it', () => {
    expect(stops).toHaveLength(predicted.edges - 1);
    for (const lines of stops) expect(lines.join('\n')).toMatch(/\bM0?0\b/);
    const text = planned.program.text;
    const after = text.slice(text.indexOf('THE EDGE IS USED UP'));
    expect(after).toMatch(/\bM3\b/);
    expect(after).toContain('ROUGHED');
    expect(planned.replay.findings).toEqual([]);
  });

  it('is told on the sheet, with what to touch off again', () => {
    const sheet = warningSheet(planned).replace(/\s+/g, ' ');
    expect(sheet).toContain('THE EDGE IS USED UP: CHANGE THE CUTTER, TOUCH OFF Z AGAIN');
    expect(sheet).toContain('Touch off Z on the face of the blank again');
  });
});

it('is planned again where the replay finds that an edge does more than was reckoned', () => {
  const job = exampleJob('nursery-barrow', THIN);
  const before = planParts(job).cam.process.way;
  // An edge that just lasts, as the choice reckons it; the replay finds a few hundredths more.
  const speed = job.material.edgeSpeedMPerMin ?? 91.5;
  const most = livesFor(job.riskShare);
  const tight = speed * (before.edgeLives / most) ** 0.25;
  const planned = [1.002, 1.02].map((spare) =>
    planParts({ ...job, material: { ...job.material, edgeSpeedMPerMin: spare * tight } }),
  );
  expect(planned.some(({ cam }) => cam.process.way.edgeScale > 1)).toBe(true);
  for (const { summary } of planned) {
    expect(summary.predicted.edgeLivesEach).toBeLessThanOrEqual(summary.limits.edgeLives);
  }
});
