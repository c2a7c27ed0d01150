import { describe, expect, it } from 'vitest';
import { JobError } from '../../src/text/fault.js';
import { withLog } from '../../src/machines/learn/believed.js';
import { learn, newEvidenceLog } from '../../src/machines/learn/evidence.js';
import { evidenceLogText, readEvidenceLog, withPull } from '../../src/machines/learn/log.js';
import { THIN, exampleJob, examplePlan, warningsFor } from '../planned.js';
import { findMachine } from '../../src/machines/machines.js';
import { thrustSigma } from '../../src/machines/bear/spread.js';
import {
  PULL_TEST_TEMPLATE,
  pullOf,
  pullTest,
  readPullTest,
} from '../../src/machines/learn/pull-test.js';
import { seeded } from './random.js';

const machine = findMachine('screw-gantry-light');

/** NIST Statistical Reference Datasets, Norris (linear regression, lower level of difficulty):
 *  36 pairs y, x. From memory; the certified values below would not come out of wrong data. */
const NORRIS = [
  0.1, 0.2, 338.8, 337.4, 118.1, 118.2, 888.0, 884.6, 9.2, 10.1, 228.1, 226.5, 668.5, 666.3, 998.5,
  996.3, 449.1, 448.6, 778.9, 777.0, 559.2, 558.2, 0.3, 0.4, 0.1, 0.6, 778.1, 775.5, 668.8, 666.9,
  339.3, 338.0, 448.9, 447.5, 10.8, 11.6, 557.7, 556.0, 228.3, 228.1, 998.0, 995.8, 888.8, 887.6,
  119.6, 120.2, 0.3, 0.3, 0.6, 0.3, 557.6, 556.8, 339.3, 339.1, 888.0, 887.2, 998.5, 999.0, 778.9,
  779.0, 10.2, 11.1, 117.6, 118.3, 228.9, 229.2, 668.4, 669.1, 449.2, 448.9, 0.2, 0.5,
];

/** What is said of a text that cannot be read. */
function faultsOf(read: () => unknown): readonly JobError[] {
  try {
    read();
  } catch (error) {
    if (error instanceof JobError) return error.errors;
  }
  throw new Error('no fault');
}

describe('least squares', () => {
  const stiffnessOf = (pulls: { forceN: number; readingMm: number }[]) =>
    pullTest({ scaleError: 0, axes: { x: { pulls, letsGoN: [] } } }, machine)[0]!.stiffnessNPerMm!;

  it('gives the certified values of NIST StRD Norris', () => {
    const pulls = Array.from({ length: 36 }, (_, i) => {
      return { readingMm: NORRIS[2 * i]!, forceN: NORRIS[2 * i + 1]! };
    });
    const { value, half95, readings } = stiffnessOf(pulls);
    expect(readings).toBe(36);
    // Certified: B1 1.00211681802045, its standard deviation 0.429796848199937e-3. A spring gives
    // way by B1 a newton; its table of t ends at 20 degrees of freedom with 2.086.
    expect(1 / value).toBeCloseTo(1.00211681802045, 12);
    expect(half95 / value).toBeCloseTo((2.086 * 0.429796848199937e-3) / 1.00211681802045, 12);
  });

  it('knows the 5 % points of Student t', () => {
    // Fisher and Yates, Statistical Tables, table III; the normal limit is 1.960.
    for (const [n, t] of [
      [2, 12.706],
      [11, 2.228],
      [21, 2.086],
      [500, 2.086],
    ] as const) {
      // Pulls of 500, 501, 502, ... N: n(n + 1)/12 is the variance of n numbers in a row.
      const letsGoN = Array.from({ length: n }, (_, i) => 500 + i);
      const sd = Math.sqrt((n * (n + 1)) / 12);
      const [x] = pullTest({ scaleError: 0, axes: { x: { pulls: [], letsGoN } } }, machine);
      expect(x!.thrustN!.half95).toBeCloseTo((t * sd) / Math.sqrt(n), 9);
    }
  });

  it('refuses too few points and points at one place', () => {
    const at = (...forces: number[]) => forces.map((forceN, i) => ({ forceN, readingMm: i / 10 }));
    expect(() => stiffnessOf(at(1, 2))).toThrow('x.pulls: a line needs three points');
    expect(() => stiffnessOf(at(1, 1, 1))).toThrow('x.pulls: all points are at one place');
  });
});

describe('pull test', () => {
  const pulls = (k: number, noise: number, seed: number) => {
    const random = seeded(seed);
    return Array.from({ length: 8 }, (_, i) => {
      const forceN = 10 + 10 * i;
      return { forceN, readingMm: 0.04 + forceN / k + noise * random.normal() };
    });
  };

  it('finds the stiffness that made the readings, inside its 95 % interval 95 % of the time', () => {
    let inside = 0;
    const runs = 1000;
    for (let seed = 0; seed < runs; seed++) {
      const axes = { x: { pulls: pulls(300, 0.004, seed), letsGoN: [] } };
      const [x] = pullTest({ scaleError: 0, axes }, machine);
      const { value, half95 } = x!.stiffnessNPerMm!;
      if (Math.abs(value - 300) <= half95) inside++;
    }
    // Three standard errors of a share of 0.95 in 1000: 0.021.
    expect(inside / runs).toBeGreaterThan(0.93);
    expect(inside / runs).toBeLessThan(0.97);
  });

  it('takes friction off what holds the standing axis', () => {
    const axes = { x: { pulls: [], letsGoN: [310, 330, 320] } };
    const [x] = pullTest({ scaleError: 0.02, axes }, machine);
    expect(x!.thrustN!.value).toBeCloseTo(320 - machine.frictionN.x, 9);
    // t(2) s / sqrt 3 = 4.303 * 10 / sqrt 3, with 2 sigma of a scale good to 2 %.
    expect(x!.thrustN!.half95).toBeCloseTo(Math.hypot((4.303 * 10) / Math.sqrt(3), 12.8), 6);
    expect(x!.stiffnessNPerMm).toBeNull();
  });

  it('says what is doubtful', () => {
    const one = pullTest({ scaleError: 0.02, axes: { y: { pulls: [], letsGoN: [300] } } }, machine);
    expect(one[0]!.doubts[0]).toContain('let go once only');
    const crooked = pulls(300, 0, 1).map((p, i) => ({ ...p, readingMm: i < 4 ? 0.05 : 0.3 }));
    const [x] = pullTest({ scaleError: 0, axes: { x: { pulls: crooked, letsGoN: [] } } }, machine);
    expect(x!.doubts[0]).toContain('slack');
    // Three readings: t(1) is 12.7, and the interval is most of the figure.
    const few = [20, 40, 60].map((forceN, i) => ({ forceN, readingMm: [0.05, 0.11, 0.16][i]! }));
    const [vague] = pullTest(
      { scaleError: 0.02, axes: { x: { pulls: few, letsGoN: [] } } },
      machine,
    );
    expect(vague!.doubts[0]).toMatch(/^stiffness of X is known to \d\d % only: take more readings/);
    const flat = pulls(300, 0, 1).map((p, i) => ({ ...p, readingMm: i % 2 }));
    expect(() =>
      pullTest({ scaleError: 0, axes: { x: { pulls: flat, letsGoN: [] } } }, machine),
    ).toThrow('x.pulls: the indicator does not move');
  });

  it('goes into the log, which reads back and says more of the thrust than the profile', () => {
    const axes = { x: { pulls: pulls(280, 0.002, 3), letsGoN: [310, 330, 320] } };
    const found = pullTest({ scaleError: 0.02, axes }, machine);
    const pull = pullOf(found, '2026-05-03');
    // 320 N less the friction of the profile; the interval as told, 1.96 sigmas to each side.
    expect(pull.limits.x!.thrustN).toBeCloseTo(320 - machine.frictionN.x, 9);
    const { half95, value } = found[0]!.thrustN!;
    expect(pull.limits.x!.sigma).toBeCloseTo(half95 / value / 1.96, 9);
    expect(pull.limits.y).toBeUndefined();
    const text = withPull(evidenceLogText(newEvidenceLog(machine)), pull);
    const log = readEvidenceLog(text, 'log');
    expect(log.pulls[0]!.date).toBe('2026-05-03');
    expect(log.pulls[0]!.limits.x!.thrustN).toBeCloseTo(300, 1);

    const job = exampleJob('nursery-barrow');
    const mine = withLog(job, learn(log), 'mine.evidence.yaml').machine;
    expect(mine.learnt).toEqual({
      file: 'mine.evidence.yaml',
      ...{ runs: 0, losses: 0, pulled: '2026-05-03', edgeLives: 0 },
      ...{ beganN: { x: 278, y: 278 }, statedN: { x: 278, y: 278 } },
    });
    expect(mine.stiffnessNPerMm.x).toBeCloseTo(found[0]!.stiffnessNPerMm!.value, 1);
    expect(mine.stiffnessNPerMm.y).toBe(machine.stiffnessNPerMm.y);
    expect(mine.provenance['stiffnessNPerMm.x']).toMatch(/^measured 2026-05-03/);
    expect(thrustSigma(mine, 'x')).toBeLessThan(thrustSigma(machine, 'x'));
    // What was not pulled is as it was: a log that has taught nothing changes nothing.
    expect(thrustSigma(mine, 'y')).toBeCloseTo(thrustSigma(machine, 'y'), 1);
    expect(mine.thrustN.y[0]![1] / machine.thrustN.y[0]![1]).toBeCloseTo(1, 1);
    expect(withLog(job, learn(newEvidenceLog(machine)), 'log')).toBe(job);
  });

  it('a machine file changed after its log began is told of: the log goes on from what it began with', () => {
    const { planned } = examplePlan('nursery-barrow', THIN);
    const { job } = planned;
    const pull = { date: '2026-05-03', limits: {}, stiffnessNPerMm: { x: 300 } };
    const log = readEvidenceLog(withPull(evidenceLogText(newEvidenceLog(machine)), pull), 'log');
    const told = (factor: number) => {
      const x = job.machine.thrustN.x.map(([feed, n]) => [feed, factor * n] as const);
      const changed = { ...job.machine, thrustN: { ...job.machine.thrustN, x } };
      const logged = withLog({ ...job, machine: changed }, learn(log), 'log');
      return warningsFor(planned, logged).filter(({ code }) => code === 'log-began');
    };
    expect(told(1.005)).toEqual([]);
    expect(told(1.1)).toMatchObject([{ limit: 278 }]);
  });
});

describe('file of a pull test', () => {
  it('reads forces in several units and the template when filled in', () => {
    const text = PULL_TEST_TEMPLATE.replace(
      '  # - [20 N, 0.07 mm]\n  lets-go:\n  # - 210 N',
      '    - [20 N, 0.07 mm]\n    - [4 kgf, 0.14 mm]\n    - [15 lbf, 9 thou]\n  lets-go:\n    - 210 N\n    - 48 lbf',
    );
    const readings = readPullTest(text, 'pull.yaml');
    const { pulls, letsGoN } = readings.axes.x!;
    // 1 kgf = 9.80665 N exactly (3rd CGPM), 1 lbf = 4.4482216152605 N, 1 thou = 0.0254 mm.
    expect(pulls[1]!.forceN).toBeCloseTo(39.2266, 9);
    expect(pulls[2]!.readingMm).toBeCloseTo(0.2286, 9);
    expect(letsGoN[1]).toBeCloseTo(48 * 4.4482216152605, 9);
    expect(readings.scaleError).toBeCloseTo(0.02, 12);
  });

  it.each([
    [PULL_TEST_TEMPLATE, 'holds no readings'],
    ['x:\n  pulls:\n    - 20 N\n', 'x.pulls.1: 20 N is not a pair such as [20 N, 0.07 mm]'],
    ['x:\n  pulls:\n    - [20, 0.07 mm]\n', 'has no unit'],
    ['x:\n  lets-go:\n    - 2 kg\n', 'has no clear unit'],
    ['x:\n  let-go:\n    - 2 N\n', 'did you mean lets-go?'],
    ['q:\n  lets-go:\n    - 2 N\n', 'is not a key of a pull test'],
    ['x:\n  lets-go: 200 N\n', 'is not a list'],
  ])('names the line of what is wrong: %#', (text, message) => {
    const faults = faultsOf(() => readPullTest(text, 'pull.yaml'));
    const line = faults[0]!.message;
    expect(line).toContain(message);
    expect(line).toMatch(/^pull\.yaml:\d+: /);
  });
});
