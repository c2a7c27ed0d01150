/** A second, larger cutter for the ring: against the area that it has to take and the passes that it
 *  needs for it. */
import { describe, expect, it } from 'vitest';
import { planRing } from '../../src/cam/ring.js';
import { blankSize, layPath } from '../../src/cam/sequence.js';
import { findCutter } from '../../src/machines/cutters.js';
import { CHANGE_MIN, secondCutter } from '../../src/plan/second-cutter.js';
import { wheelOf } from '../../src/profile/wheel/sprocket.js';
import { THIN, exampleJob } from '../planned.js';

const WIDE = ['blank: { diameter: auto', 'blank: { diameter: 90 mm'] as const;
const larger = [{ name: 'six', cutter: findCutter('carbide-6mm-3fl') }];

/** The job with its own cutter alone, and with a 6 mm cutter before it. */
function both(...changes: readonly (readonly [string, string])[]) {
  const job = exampleJob('nursery-barrow', THIN, ...changes);
  const wheel = wheelOf(job);
  const blank = blankSize(job, wheel);
  const oneMin = layPath(job, wheel, blank).times.totalMin;
  return { job, blank, oneMin, wheel, two: secondCutter(job, wheel, blank, oneMin, larger)! };
}

describe('a second, larger cutter', () => {
  const wide = both(WIDE);

  it('takes the ring down to the wall, in as many rounds as the engagement asks for', () => {
    const [outer, wall, r] = [45, 28, 3];
    const limit = (90 * Math.PI) / 180;
    const { moves } = planRing({
      ...{ blankRadiusMm: outer, wallRadiusMm: wall, toWall: true, cutterRadiusMm: r },
      ...{ maxEngagementRad: limit, touchRad: 0, feed: () => 600, linkFeedMmPerMin: 2000 },
    });
    // Radii of the whole circles about the wheel's centre.
    const rounds = moves.flatMap((m) =>
      m.kind === 'arc' && m.c[0] === 0 && m.c[1] === 0 && m.role === 'cut'
        ? [Math.hypot(m.to[0], m.to[1])]
        : [],
    );
    const radii = [...new Set(rounds.map((radius) => radius.toFixed(4)))].map(Number);
    expect(Math.min(...radii)).toBeCloseTo(wall + r, 4);
    // On a straight wall 90 deg of engagement is a step of one radius; round the outside a little more.
    expect(radii.length).toBeGreaterThanOrEqual(Math.floor((outer - wall) / (1.2 * r)));
    expect(radii.length).toBeLessThanOrEqual(Math.ceil((outer - wall) / r));
  });

  it('pays for a wide ring, by what is left of the time, and not for a close blank', () => {
    const { oneMin, wheel, two } = wide;
    expect(two.totalMin).toBeCloseTo(two.ringMin + CHANGE_MIN + two.restMin, 9);
    expect(two.savesMin).toBeCloseTo(oneMin - two.totalMin, 9);
    expect(two.savesMin).toBeGreaterThan(0);
    // Down to the tips and an allowance of some tenths.
    expect(two.ringToMm).toBeGreaterThan(wheel.tipDiameterMm);
    expect(two.ringToMm).toBeLessThan(wheel.tipDiameterMm + 1.5);
    const close = both();
    expect(close.two.savesMin).toBeLessThan(0);
    // The rest is the close blank's job, less its skin and its error of centring.
    expect(two.restMin).toBeLessThan(close.oneMin);
    expect(two.restMin).toBeGreaterThan(0.7 * close.oneMin);
  });

  it('says the chance of both, which is less than that of either', () => {
    const { job, wheel, blank, two } = wide;
    const round = { ...blank, diameterMm: two.ringToMm, centringErrorMm: 0 };
    const rest = layPath(job, wheel, round).process.way.odds.all;
    expect(two.finishProbability).toBeLessThan(rest);
    // Probabilities: both misses together are at most their sum, and each keeps the job's risk.
    expect(1 - two.finishProbability).toBeLessThanOrEqual(2 * job.riskShare);
    // Of the minutes of both, one loss in a hundred hours at the least (from memory, as the plan has it).
    const hours = (two.ringMin + two.restMin) / 60;
    expect(1 - two.finishProbability).toBeGreaterThan(0.005 * hours);
  });

  it('none where no larger cutter can', () => {
    const job = exampleJob('nursery-barrow', THIN);
    const wheel = wheelOf(job);
    const short = { ...findCutter('carbide-6mm-3fl'), fluteLengthMm: 1 };
    const none = secondCutter(job, wheel, blankSize(job, wheel), 10, [
      { name: 's', cutter: short },
    ]);
    expect(none).toBeNull();
  });
});
