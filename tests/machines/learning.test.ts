/** A short look at what `npm run bench -- learning` looks at with 2,000 machines a world. */
import { describe, expect, it } from 'vitest';
import { type WorldResult, WORLDS, ownerOf, studyWorld } from '../bench/learning.js';
import { LONG } from '../cam/oracle/runs.js';

/** Enough to see a fault: a share of 1 % in so many runs, of machines that differ. */
const MACHINES = LONG ? 200 : 6;
const results: WorldResult[] = WORLDS.filter(({ inTest }) => inTest).map((world) =>
  studyWorld(world, ownerOf(MACHINES)),
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
