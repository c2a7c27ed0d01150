import { describe, expect, it } from 'vitest';
import { planParts } from '../../src/plan/plan.js';
import { oddsWarnings } from '../../src/plan/warnings.js';
import { machineOf } from '../machines/machine-of.js';
import { THIN, exampleJob } from '../planned.js';

/** At one speed: where no way is fit, every way at each of them is weighed to the end. */
const thin = exampleJob('nursery-barrow', [THIN[0], 'thickness: 1.2 mm, tip-rounding']);
const SLOW = { ...thin, limits: { ...thin.limits, spindleRpm: 10_000 } };

const odds = (all: number) => ({ drive: 1, cutter: 1, edge: all, other: 1, all });
const codes = (all: number, chatter: number) =>
  oddsWarnings({ riskShare: 0.02 }, { odds: odds(all), chatterProbability: chatter }).map(
    (w) => w.code,
  );

describe('a plan that is less sure than was asked for says so', () => {
  it.each([
    [0.98, 0.15, []],
    [0.9799, 0.15, ['odds']],
    [0.99, 0.18, ['chatter']],
    [0.9, 0.4, ['odds', 'chatter']],
  ])('odds %d, chatter %d', (all, chatter, expected) => {
    expect(codes(all, chatter)).toEqual(expected);
  });

  it('with both figures and what to do', () => {
    const [warning] = oddsWarnings(
      { riskShare: 0.02 },
      { odds: odds(0.9534), chatterProbability: 0 },
    );
    expect(warning).toMatchObject({ value: 0.9534, limit: 0.98 });
    expect(warning!.text).toMatch(/95\.3 %.*98\.0 %.*--explain/);
  });
});

describe('a plan whose drives decide', () => {
  it('asks neither axis for more than its thrust at risk, however unlike they are', () => {
    const thrustN = { x: 160, y: 130 };
    const machine = machineOf({ id: 'unlike', basedOn: 'screw-gantry-light', thrustN }, 'own');
    const { predicted, limits } = planParts({ ...SLOW, machine }).summary;
    const { driveDemandN: asked, driveThrustN: borne } = predicted;
    expect(limits.driveDemandN).toEqual(borne);
    // Y is what binds: it is asked for what it bears, and X for what that leaves.
    expect(asked.y).toBeLessThanOrEqual(borne.y);
    expect(asked.y).toBeGreaterThan(0.85 * borne.y);
    expect(asked.x / borne.x).toBeLessThan(asked.y / borne.y);
  });
});

it('refuses a cut that is likelier to fail than any job may accept, and says of what', () => {
  // Six times as fast as the edge is meant to go: v T^n = C leaves it a 1300th of its time.
  const soft = { ...SLOW, material: { ...SLOW.material, edgeSpeedMPerMin: 15 } };
  expect(() => planParts(soft)).toThrow(/with a chance of under 0.1 %.*a worn-out edge/);
});
