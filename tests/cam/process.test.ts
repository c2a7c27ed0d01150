import { Refusal } from '../../src/model/refusal.js';
import { describe, expect, it } from 'vitest';
import { layPath } from '../../src/cam/sequence.js';
import {
  CHATTER_ACCEPTED,
  type GapSize,
  MAX_LEVELS,
  type Search,
  type Way,
  chooseWay,
  searchOf,
  speedsFor,
  wayOf,
} from '../../src/cam/choose.js';
import { OVERRUN_MM, type Process, chooseProcess, roughBoundMin } from '../../src/cam/process.js';
import type { Job } from '../../src/model/job.js';
import { wheelOf } from '../../src/profile/wheel/sprocket.js';
import { cutterForceN } from '../../src/machines/bear/cutter.js';
import { limitsOf } from '../../src/machines/bear/limits.js';
import { engagementConcaveRad } from '../../src/machines/load/engagement.js';
import { peakForce } from '../../src/machines/load/force.js';
import { listMachines } from '../../src/machines/machines.js';
import type { Machine } from '../../src/model/machine.js';
import { exampleJob, plannedNames, examplePlan, jobOf } from './jobs.js';
import { TeethTable } from './oracle/mini-kienzle.js';
import { LONG } from './oracle/runs.js';

const DEG = Math.PI / 180;

function sizeOf(job: Job): GapSize {
  const profile = wheelOf(job);
  const blank = profile.tipDiameterMm + 0.8;
  return {
    seatRadiusMm: profile.seatRadiusMm,
    depthMm: profile.thicknessMm + OVERRUN_MM,
    areaMm2: 0.35 * (Math.PI / 4) * blank ** 2,
    gapDepthMm: (blank - profile.rootDiameterMm) / 2,
    perimeterMm: 4 * blank,
    teeth: job.sprocket.teeth,
  };
}

/** @param process  where what is refused has nothing to do with it */
function refusalOf(job: Job, process?: Process): Refusal {
  try {
    layPath(job, wheelOf(job), undefined, process);
  } catch (error) {
    if (error instanceof Refusal) return error;
    throw error;
  }
  throw new Error('the job was planned');
}

/** A machine with all thrust curves brought to one level. */
function withThrust(machine: Machine, thrustN: number): Machine {
  const flat = [
    [0, thrustN],
    [10_000, thrustN],
  ] as const;
  return { ...machine, thrustN: { x: flat, y: flat, z: flat } };
}

describe.each(plannedNames())('process of %s', (name) => {
  const { job, cam } = examplePlan(name).planned;
  const { process } = cam;
  const size = sizeOf(job);

  it('levels are even, within the limit, and end below the teeth', () => {
    const { levelsMm, stepdownMm } = process;
    levelsMm.forEach((z, i) => expect(z).toBeCloseTo(-(i + 1) * stepdownMm, 9));
    expect(levelsMm[levelsMm.length - 1]).toBeCloseTo(-size.depthMm, 9);
    expect(stepdownMm).toBeLessThanOrEqual(process.maxStepdownMm);
    expect(stepdownMm).toBeLessThanOrEqual(job.cutter.fluteLengthMm);
  });

  it('spindle within the machine, power within what is left of it', () => {
    const { spindle } = job.machine;
    expect(process.spindleRpm).toBeGreaterThanOrEqual(spindle.minRpm);
    expect(process.spindleRpm).toBeLessThanOrEqual(spindle.maxRpm);
    expect(process.powerLimitW).toBeLessThanOrEqual(spindle.powerW * spindle.efficiency + 1e-9);
  });

  it('what roughing leaves can be finished in the seat within the limit', () => {
    const takes = process.allowanceMm + process.roughDeflectionMm;
    expect(process.allowanceMm).toBeGreaterThanOrEqual(0.1);
    const phi = engagementConcaveRad(takes, job.cutter.diameterMm / 2, size.seatRadiusMm);
    expect(phi).toBeLessThanOrEqual(process.planEngagementRad);
    expect(process.planEngagementRad).toBeLessThan(process.maxEngagementRad);
  });

  it('feed at any engagement keeps chip and force, by a force sum of its own', () => {
    const { material, machine, limits, cutter } = job;
    const law = {
      kc11: material.kc11NPerMm2,
      mc: material.mc,
      flutes: cutter.flutes,
      runout: machine.spindle.runoutMm,
      wear: limits.wearFactor,
    };
    let last = Infinity;
    for (let deg = 5; deg <= 170; deg += 5) {
      const feed = process.feed(deg * DEG);
      expect(feed).toBeGreaterThan(0);
      expect(feed).toBeLessThanOrEqual(machine.maxFeedMmPerMin);
      expect(feed).toBeLessThanOrEqual(last * (1 + 1e-9));
      last = feed;
      const fz = feed / (cutter.flutes * process.spindleRpm);
      const chip = fz * Math.sin(Math.min(deg, 90) * DEG);
      expect(chip).toBeLessThanOrEqual(process.chipCapMm * (1 + 1e-9));
      const depths = new Float64Array(720).fill(0);
      depths.fill(process.stepdownMm, 0, Math.floor(4 * deg));
      const table = new TeethTable(law, 720, feed, process.spindleRpm);
      const [, , force] = table.peaks(depths, 0, 1);
      expect(force).toBeLessThanOrEqual(process.forceLimitN * 1.002);
    }
  });

  it('the bound goes with the volume', () => {
    const one = roughBoundMin(process, 1000);
    expect(roughBoundMin(process, 3000)).toBeCloseTo(3 * one, 9);
    expect(one).toBeGreaterThan(0);
  });
});

describe('refusals', () => {
  const sizes = LONG ? ['4 mm', '6 mm', '8 mm'] : ['6 mm'];

  it.each(sizes)(
    'a cutter of %s that does not get round says which one does, and that one does',
    (d) => {
      for (const chain of LONG ? ['06B', '420', '219'] : ['420']) {
        const cutter = (size: string): string =>
          `diameter: ${size}, flutes: 3, stick-out: 12 mm, flute-length: 8 mm, shank-diameter: ${size}`;
        const job = jobOf({ chain, cutter: cutter(d), thickness: '2 mm' });
        let refused: Refusal;
        try {
          layPath(job, wheelOf(job));
          continue;
        } catch (error) {
          if (!(error instanceof Refusal)) throw error;
          refused = error;
        }
        expect(refused.code).toBe('cutter-too-large');
        expect(refused.value).toBe(job.cutter.diameterMm);
        expect(refused.message).toContain(`a cutter of ${job.cutter.diameterMm} mm buries itself`);
        if (refused.limit === null) continue;
        expect(refused.limit).toBeLessThan(job.cutter.diameterMm);
        expect(refused.message).toContain(`${refused.limit.toFixed(1)} mm`);
        expect(refused.message).not.toMatch(/ -\d/);
        const smaller = jobOf({ chain, cutter: cutter(`${refused.limit} mm`), thickness: '2 mm' });
        expect(() => layPath(smaller, wheelOf(smaller))).not.toThrow();
      }
    },
  );

  it('a cutter so small that the least allowance buries it is told so, and by how much', () => {
    // Engagement for a depth goes as r (R - r): on either side of half the seat's radius it grows.
    const cutter = (d: number): string =>
      `diameter: ${d} mm, flutes: 3, stick-out: 6 mm, flute-length: 3 mm, shank-diameter: ${d} mm`;
    const limits = 'max-engagement: 45 deg';
    const rest = { chain: '05T', machine: 'belt-gantry-light', material: '6082-T6', limits };
    const job = jobOf({ ...rest, teeth: 18, thickness: '2 mm', cutter: cutter(1) });
    const refused = refusalOf(job);
    expect(refused.code).toBe('cutter-too-small');
    expect(refused.message).not.toMatch(/smaller| -\d/);
    expect(refused.limit).toBeGreaterThan(1);
    expect(refused.message).toContain(`from ${refused.limit!.toFixed(1)} to`);
    // A tenth above the edge, where rounding up to a tenth leaves room.
    const wider = jobOf({
      ...rest,
      teeth: 18,
      thickness: '2 mm',
      cutter: cutter(refused.limit! + 0.1),
    });
    expect(() => chooseProcess(wider, sizeOf(wider))).not.toThrow();
  });

  it('a machine that friction and acceleration leave nothing: no-force', () => {
    const job = exampleJob('nursery-barrow');
    const refused = refusalOf({ ...job, machine: withThrust(job.machine, 20) });
    expect(refused.code).toBe('no-force');
    expect(refused.message).toMatch(
      /^the drives of screw-gantry-light .*friction and acceleration/,
    );
    // Half of such machines have less than the 20 N that friction alone takes: most lose steps.
    expect(refused.value).toBeGreaterThan(0.5);
    expect(refused.limit).toBe(job.riskShare);
  });

  it('a machine that cannot push a chip thick enough: chip-rubs', () => {
    // At one speed: where none is fit, every way at each of them is weighed to the end.
    const barrow = exampleJob('nursery-barrow');
    const job = { ...barrow, limits: { ...barrow.limits, spindleRpm: 10_000 } };
    for (let thrust = 40; thrust < 400; thrust += 2) {
      const weak = { ...job, machine: withThrust(job.machine, thrust) };
      let refused: Refusal;
      try {
        chooseProcess(weak, sizeOf(weak));
        break;
      } catch (error) {
        if (!(error instanceof Refusal)) throw error;
        refused = error;
      }
      expect(['no-force', 'chip-rubs']).toContain(refused.code);
      if (refused.code !== 'chip-rubs') continue;
      expect(refused.value!).toBeLessThan(refused.limit!);
      expect(refused.message).toMatch(/um/);
      return;
    }
    throw new Error('no thrust was found at which the chip rubs');
  });

  it('a feed is not sought below the chip at which the edge rubs', () => {
    const barrow = exampleJob('nursery-barrow');
    const job = { ...barrow, limits: { ...barrow.limits, spindleRpm: 10_000 } };
    const weak = { ...job, machine: withThrust(job.machine, 100) };
    const search = searchOf(weak, sizeOf(weak));
    let times = 0;
    const drive: Search['drive'] = (...cut) => {
      times++;
      return search.drive(...cut);
    };
    const limits = { ...search.limits, maxEngagementDeg: 45 };
    const { best, fewestLevels } = chooseWay({ ...search, limits, drive });
    expect(best).toBeNull();
    // One engagement, one speed. Each step down takes a fifth off the force, which goes as h^0.74: from the
    // cap of 15 um to the floor of 6 um there are three, and one is below it, of twelve that there may be.
    const ways = MAX_LEVELS + 1 - fewestLevels;
    expect(times).toBeGreaterThan(ways);
    expect(times / ways).toBeLessThan(1 + 4);
  });

  it('short stick-out, short flutes under a thick shank, a hub in the way, a small blank', () => {
    const cutter = (rest: string): string => `diameter: 3 mm, flutes: 3, ${rest}`;
    const { process } = examplePlan('nursery-barrow').planned.cam;
    const refused = (rest: string) => refusalOf(jobOf({ cutter: cutter(rest) }), process);
    expect(refused('stick-out: 5 mm, flute-length: 4 mm').code).toBe('stick-out-too-short');
    const thick = refused('stick-out: 12 mm, flute-length: 4 mm, shank-diameter: 6 mm');
    expect(thick.code).toBe('flute-too-short');
    // A plain shank rubs as a thick one does; a neck that clears the walls does not.
    const plain = refused('stick-out: 12 mm, flute-length: 5 mm');
    expect(plain.code).toBe('flute-too-short');
    expect(plain.message).toMatch(/take 3 mm flutes of \d+\.\d mm or more \(as carbide-3mm-/);
    const job = exampleJob('nursery-barrow');
    const hub = { diameterMm: 41.2, lengthMm: 8 };
    expect(refusalOf({ ...job, hub }, process).code).toBe('hub-in-the-way');
    const blank = { ...job.blank, diameterMm: 54.8 };
    const small = refusalOf({ ...job, blank }, process);
    expect(small.code).toBe('blank-too-small');
    expect(small.message).toContain(small.limit!.toFixed(2));
    // At what it says it must be, it is taken.
    const enough = { ...job.blank, diameterMm: Math.ceil(100 * small.limit!) / 100 };
    const planned = layPath({ ...job, blank: enough }, wheelOf(job), undefined, process);
    expect(planned.blank.diameterMm).toBe(enough.diameterMm);
  });
});

describe('the way that is chosen', () => {
  const fits = (way: Way, { job, limits }: Search): boolean =>
    way.odds.all >= 1 - job.riskShare &&
    way.chatterProbability <= CHATTER_ACCEPTED &&
    way.hMaxMm >= Math.min(limits.chipFloorMm, limits.chipCapMm) &&
    way.finishRad <= way.planEngagementRad;

  it.each(['barrow-winch-9t-08b', 'nursery-barrow'])(
    'of %s is fit, and no slower than any fit way of a grid of speed, engagement and levels',
    (name) => {
      const job = exampleJob(name);
      const search = searchOf(job, sizeOf(job));
      const { best } = chooseWay(search);
      expect(fits(best!, search)).toBe(true);
      const { depthMm } = search.size;
      let fit = 0;
      for (const engagementDeg of [45, 75, 105, 120]) {
        const phiRad = (engagementDeg - 0.15) * DEG;
        for (const spindleRpm of speedsFor(job, phiRad)) {
          const { chatter } = search.stability(spindleRpm, phiRad);
          const pair = { spindleRpm, engagementDeg, phiRad };
          for (
            let levels = Math.ceil(depthMm / search.limits.maxStepdownMm);
            levels < 40;
            levels += 5
          ) {
            const way = wayOf(search, pair, levels, chatter);
            if (!fits(way, search)) continue;
            fit++;
            // As quick is within 2 %: there the one that asks less may be taken.
            expect(best!.timeS).toBeLessThan(1.02 * way.timeS);
          }
        }
      }
      expect(fit).toBeGreaterThan(10);
    },
  );

  it('keeps the force that the drives leave, where they are the weaker', () => {
    const barrow = exampleJob('nursery-barrow');
    const job = { ...barrow, limits: { ...barrow.limits, spindleRpm: 10_000 } };
    const weak = { ...job, machine: withThrust(job.machine, 140) };
    const size = sizeOf(weak);
    const strong = chooseProcess(job, size);
    const process = chooseProcess(weak, size);
    // What the cutter bears, less a hundredth for rounding.
    const bears = cutterForceN(job.cutter, strong.stepdownMm);
    expect(strong.forceLimitN).toBeCloseTo(0.99 * bears, 6);
    expect(process.forceLimitN).toBeLessThan(0.9 * strong.forceLimitN);
    expect(process.way.timeS).toBeGreaterThan(strong.way.timeS);
    for (const deg of [20, 45, process.maxEngagementDeg]) {
      const arc = [{ fromRad: 0, toRad: deg * DEG }];
      const { resultantN } = peakForce(process.conditions, process.feed(deg * DEG), arc);
      expect(resultantN).toBeLessThan(1.01 * process.forceLimitN);
    }
  });
});

describe('limits of each machine', () => {
  it.each(listMachines().map((machine) => machine.id))('%s: no more than it may give', (id) => {
    const job = jobOf({
      machine: id,
      material: '6082-T6',
      chain: '08B',
      teeth: 10,
      thickness: '4 mm',
    });
    const process = chooseProcess(job, sizeOf(job));
    expect(process.maxEngagementDeg).toBeLessThanOrEqual(job.machine.limits.maxEngagementDeg);
    expect(process.maxStepdownMm).toBeLessThanOrEqual(job.machine.limits.maxStepdownMm);
    expect(process.forceLimitN).toBeLessThan(cutterForceN(job.cutter, process.stepdownMm));
    expect(process.chipCapMm).toBeLessThanOrEqual(limitsOf(job).chipCapMm);
    for (const axis of ['x', 'y'] as const) {
      expect(process.driveForceN[axis]).toBeLessThan(job.machine.thrustN[axis][0]![1]);
    }
  });
});
