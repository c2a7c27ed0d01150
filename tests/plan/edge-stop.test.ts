/** A cut that takes more than an edge lasts stops for a fresh one, and the sheet says what to do. */
import { describe, expect, it } from 'vitest';
import { planParts } from '../../src/plan/plan.js';
import { planRoutedBore } from '../../src/plan/plan-bore.js';
import { wheelOf } from '../../src/profile/wheel/sprocket.js';
import { livesFor } from '../../src/machines/bear/edge.js';
import { warningSheet } from '../../src/post/sheet/sheet.js';
import { exampleJob, examplePlan } from '../cam/jobs.js';
import { LONG } from '../cam/oracle/runs.js';
import { THIN } from '../planned.js';
import { SMALL_JOB } from './check/mutants.js';

describe('a cut that an edge does not last', () => {
  // An edge meant for 20 m/min: at 75 m/min, v T^n = C with n = 1/4 leaves it a 200th of its time.
  // At one speed of the spindle, for ways are weighed the longer the more edges they take.
  const soft = {
    ...{ ...SMALL_JOB, limits: { ...SMALL_JOB.limits, spindleRpm: 12_000 } },
    material: { ...SMALL_JOB.material, edgeSpeedMPerMin: 20 },
  };
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
  const before = examplePlan('nursery-barrow', THIN).planned.cam.process.way;
  // An edge that just lasts, as the choice reckons it; the replay finds a few hundredths more.
  const speed = job.material.edgeSpeedMPerMin ?? 91.5;
  const most = livesFor(job.riskShare);
  const tight = speed * (before.edgeLives / most) ** 0.25;
  const planned = (LONG ? [1.002, 1.02] : [1.002]).map((spare) =>
    planParts({ ...job, material: { ...job.material, edgeSpeedMPerMin: spare * tight } }),
  );
  expect(planned.some(({ cam }) => cam.process.way.edgeScale > 1)).toBe(true);
  for (const { summary } of planned) {
    expect(summary.predicted.edgeLivesEach).toBeLessThanOrEqual(summary.limits.edgeLives);
  }
});

describe('a bore that an edge does not last', () => {
  const pump = exampleJob('mist-pump-18t-06b');
  // As above. The teeth are not looked at: the bore alone is planned.
  const soft = { ...pump, material: { ...pump.material, edgeSpeedMPerMin: 30 } };
  const blankRadiusMm = 32;
  const bore = planRoutedBore(soft, wheelOf(soft), blankRadiusMm, '00')!;
  const changes = bore.program.text.match(/THE EDGE IS USED UP/g) ?? [];

  it('stops for as many edges as its odds count on, up and away from the hole', () => {
    const { edges } = bore.plan.process.way.edgeShares;
    expect(edges).toBeGreaterThan(1);
    expect(changes).toHaveLength(edges - 1);
    expect(bore.replay.findings).toEqual([]);
    const lines = bore.program.text.split('\n');
    const at = lines.findIndex((line) => line.includes('THE EDGE IS USED UP'));
    expect(lines.slice(at - 3, at).map((line) => line.replace(/[-\d.]+/g, ''))).toEqual([
      'G Z',
      'G X Y',
      'M',
    ]);
  });

  it('states at its head what the plan says of it', () => {
    const said = Number(/reaches its end (\d+) times/.exec(bore.program.text)![1]);
    // The head has the chance as it was chosen, the plan that of the replay.
    expect(Math.abs(100 * bore.finishProbability - said)).toBeLessThan(4);
    const { edges } = planRoutedBore(pump, wheelOf(pump), blankRadiusMm, '00')!.plan.process.way
      .edgeShares;
    expect(edges).toBe(1);
  });
});
