/** A short look at what `npm run bench -- learning` looks at with 2,000 machines a world. */
import { describe, expect, it } from 'vitest';
import { newEvidenceLog } from '../../src/machines/learn/evidence.js';
import { LONG } from '../cam/oracle/runs.js';
import { examplePlan } from '../planned.js';
import { StudyFamily } from '../bench/learning-programs.js';
import { type WorldResult, WORLDS, studyWorld } from '../bench/learning.js';

/** Enough to see a fault: a share of 1 % in so many runs, of machines that differ. */
const MACHINES = LONG ? 200 : 24;
const { planned } = examplePlan('nursery-barrow');
const setting = {
  ...{ machines: MACHINES, seed: 1, risk: 0.01 },
  family: new StudyFamily(planned),
  prior: newEvidenceLog(planned.job.machine).prior.x,
};
const results: WorldResult[] = WORLDS.filter(({ inTest }) => inTest).map((world) =>
  studyWorld(world, setting),
);

describe(`${MACHINES} synthetic machines with hidden limits`, () => {
  it.each(results)('$name: programs planned at 1 % lose steps in 3 % of runs at most', (world) => {
    // Machines differ by more than runs: three standard errors of a mean of skew shares.
    const chance = 0.05 / Math.sqrt(MACHINES);
    expect(world.lost).toBeLessThan(0.03 + chance);
    expect(world.lost).toBeGreaterThan(0);
  });

  it('90 % intervals hold the truth', () => {
    const inside = results.reduce((sum, { coverage }) => sum + coverage, 0) / results.length;
    expect(Math.abs(inside - 0.9)).toBeLessThan(0.08);
  });
});
