/**
 * The demand on a drive against a simulation of the axis in time that knows nothing of it
 * (`oracle/axis-in-time`): parameters known, the force raised until steps are lost.
 */
import { describe, expect, it } from 'vitest';
import {
  type DriveAxis,
  driveDemandN,
  driveDemandsN,
  driveResponse,
} from '../../src/machines/bear/drive.js';
import { entryOvershoot } from '../../src/machines/bear/chain.js';
import { forceSpectrum, swingCount } from '../../src/machines/load/spectrum.js';
import { LONG, nightly, runs } from '../cam/oracle/runs.js';
import { type Axis, meanAtLoss, turnForce } from './oracle/axis-in-time.js';
import { DEG, cutter3, steel } from './fixtures.js';
import { type Random, seeded } from './random.js';

/** The axes of the reference (drive-dynamics): motor, lead or belt, screw or belt spring, carriage. */
function axisOf(
  torqueNm: number,
  inertiaKgM2: number,
  leadMm: number,
  driveNPerM: number,
  carriageKg: number,
  more: Partial<Axis> = {},
): Axis {
  const turn = (2 * Math.PI) / (leadMm / 1000);
  return {
    thrustN: torqueNm * turn,
    periodM: leadMm / 1000 / 50,
    rotorKg: inertiaKgM2 * turn * turn,
    carriageKg,
    headKg: 0,
    driveNPerM,
    frameNPerM: 0,
    rotorDamping: 0.05,
    driveDamping: 0.02,
    frameDamping: 0.03,
    frictionN: 15,
    travelMPerS: 0,
    ...more,
  };
}
const SMALL_8 = axisOf(0.45, 5.4e-6, 8, 8e6, 5);
const LARGE_5 = axisOf(1.2, 3e-5, 5, 2e7, 8);
const LARGE_4 = axisOf(1.0, 2.6e-5, 4, 1.5e7, 4);
const BELT = axisOf(0.45, 5.4e-6, 40, 2.5e5, 2.5, { frictionN: 8 });
const SMALL_4 = axisOf(0.45, 5.4e-6, 4, 8e6, 5);

describe('the simulation itself', () => {
  const rotorHz = (a: Axis) =>
    Math.sqrt((2 * Math.PI * a.thrustN) / a.periodM / a.rotorKg) / (2 * Math.PI);
  const at = (axis: Axis, rpm: number, runout: number) =>
    meanAtLoss(axis, turnForce([1 + runout, 1 - runout, 1], 60 * DEG, 0.26, 0), rpm, 0.1);

  // Source: drive-dynamics, "Near a resonance", 60 degrees, three flutes, mean / F0 at loss: teeth at
  // 500 Hz without and with a runout of half a feed, teeth at the rotor's resonance, at half of it.
  // Its damping of the screw is not printed; 0.02 here. To 0.07.
  const PRINTED = [
    ['small, lead 8, 0.02', { ...SMALL_8, rotorDamping: 0.02 }, [0.99, 0.5, 0.58, 0.2]],
    ['larger, lead 5, 0.02', { ...LARGE_5, rotorDamping: 0.02 }, [0.99, 0.18, 0.26, 0.23]],
    ['larger, lead 4, 0.02', { ...LARGE_4, rotorDamping: 0.02 }, [0.99, 0.19, 0.21, 0.27]],
  ] as const;
  it.each(LONG ? PRINTED : PRINTED.slice(1, 2))(
    'gives the printed table: %s',
    (_, axis, printed) => {
      const hz = rotorHz(axis);
      const got = [
        at(axis, 10_000, 0),
        at(axis, 10_000, 0.5),
        at(axis, 20 * hz, 0),
        at(axis, 10 * hz, 0),
      ];
      got.forEach((share, i) => expect(Math.abs(share - printed[i]!)).toBeLessThan(0.07));
    },
  );

  // Teeth short in the cut, along a direction in which their mean all but cancels: with the force read at
  // points of a step the mean was off by a third.
  const SHORT_TEETH = [
    ['belt', { ...BELT, rotorDamping: 0.19, travelMPerS: 0.04 }, 16_851, 21, 1.029],
    ['larger, lead 5', { ...LARGE_5, travelMPerS: 0.03 }, 9778, 42, 1.243],
  ] as const;
  it.each(LONG ? SHORT_TEETH : SHORT_TEETH.slice(0, 1))(
    'does not hang on its step: %s',
    (_, axis, rpm, phiDeg, directionRad) => {
      const force = turnForce([1, 1, 1], phiDeg * DEG, 0.26, directionRad);
      const [usual, fine] = [4e-5, 1e-5].map((stepS) =>
        meanAtLoss(axis, force, rpm, 0.3, 1.05, stepS),
      );
      expect(Math.abs(usual! / fine! - 1)).toBeLessThan(0.015);
    },
  );
});

interface Cut {
  readonly name: string;
  readonly axis: Axis;
  readonly rpm: number;
  readonly phiRad: number;
  readonly runout: number;
  readonly directionRad: number;
}

/** An axis of the reference or one of its kind, with or without the give of a frame, in a cut. */
function randomCut({ even }: Random): Cut {
  const between = (low: number, high: number) => low * Math.pow(high / low, even());
  const named = Object.entries({ SMALL_8, LARGE_5, LARGE_4, BELT, SMALL_4 });
  const [name, base] =
    even() < 0.5
      ? named[Math.floor(named.length * even())]!
      : ([
          'random',
          axisOf(
            between(0.3, 2.5),
            between(5e-6, 6e-5),
            between(4, 10),
            between(5e6, 3e7),
            between(2.5, 25),
          ),
        ] as const);
  const frame = even() < 0.75;
  const axis: Axis = {
    ...base,
    rotorDamping: between(0.02, 0.2),
    driveDamping: between(0.015, 0.05),
    frameDamping: between(0.01, 0.04),
    headKg: frame ? between(1.5, 4) : 0,
    frameNPerM: name === 'BELT' ? between(8e4, 3e5) : between(2e5, 4e6),
    travelMPerS: between(0.005, 0.04),
  };
  return {
    name,
    axis,
    rpm: between(5000, 24_000),
    phiRad: (20 + 160 * even()) * DEG,
    runout: even(),
    directionRad: Math.PI * even(),
  };
}

/** Feed per tooth: with a runout of as much the thickest chip still has Kr = 1. mm */
const FEED_MM = 0.007;

/** Demand over thrust at the mean at which the simulation loses steps. */
function demandAtLoss({ axis, rpm, phiRad, runout, directionRad }: Cut): number {
  const feeds = [0, 1, 2].map((k) => 1 + runout * Math.cos((2 * Math.PI * k) / 3));
  const share = meanAtLoss(axis, turnForce(feeds, phiRad, steel.mc, directionRad), rpm);
  const cond = {
    material: steel,
    cutter: cutter3,
    runoutMm: runout * FEED_MM,
    wearFactor: 1,
    spindleRpm: rpm,
    axialDepthMm: 1,
  };
  const spectrum = forceSpectrum(cond, 3 * FEED_MM * rpm, [{ fromRad: 0, toRad: phiRad }]);
  const rigid = axis.headKg === 0;
  const chain = {
    ...axis,
    headKg: rigid ? 0.01 : axis.headKg,
    frameNPerM: rigid ? 1e9 : axis.frameNPerM,
  };
  const known: DriveAxis = {
    thrustN: axis.thrustN,
    sigma: 0,
    members: [{ chain, motionN: axis.frictionN, overshoot: entryOvershoot(chain) }],
  };
  const demandsN = new Float64Array(1);
  const response = driveResponse(known, rpm, swingCount(3, rpm));
  driveDemandsN(response, spectrum, demandsN, directionRad);
  const meanN = Math.abs(
    Math.cos(directionRad) * spectrum.meanNormalN + Math.sin(directionRad) * spectrum.meanFeedN,
  );
  const cutN = driveDemandN(known, demandsN) - axis.frictionN;
  return (axis.frictionN + (cutN * share * axis.thrustN) / meanN) / axis.thrustN;
}

/** Cuts that lost steps below their demand while a part of it was missing. */
const TAUGHT: readonly Cut[] = [
  {
    name: 'the turn meets a resonance that came down: 0.84 on the whole rate of the field',
    axis: {
      ...LARGE_4,
      rotorDamping: 0.0212,
      driveDamping: 0.0254,
      frameDamping: 0.0148,
      headKg: 2.2,
      frameNPerM: 3.67e6,
      travelMPerS: 0.0093,
    },
    rpm: 9354,
    phiRad: 126.2 * DEG,
    runout: 0.99,
    directionRad: 0.6,
  },
  {
    name: 'the turn feeds a mode of half its frequency: 0.91 where that is not seen',
    axis: { ...LARGE_4, rotorDamping: 0.0268, driveDamping: 0.0394, travelMPerS: 0.0198 },
    rpm: 20_296,
    phiRad: 55.06 * DEG,
    runout: 0.632,
    directionRad: 1.776,
  },
  {
    name: 'carriage on a field much stiffer than its screw: 0.9 where every swing counts as left behind',
    axis: {
      ...axisOf(1, 1, 4, 6.88e6, 10.96),
      thrustN: 2377,
      periodM: 1.1473e-4,
      rotorKg: 6.44,
      headKg: 1.959,
      frameNPerM: 1.049e6,
      rotorDamping: 0.0693,
      driveDamping: 0.0255,
      frameDamping: 0.01008,
      travelMPerS: 0.0311,
    },
    rpm: 9464,
    phiRad: 0.5009,
    runout: 0.599,
    directionRad: 0.416,
  },
  {
    name: 'an entry beside a frequency at which the rotor holds the frame: 0.85 by the slope of its stiffness',
    axis: {
      ...axisOf(1, 1, 4, 6.363e6, 10.01),
      thrustN: 2256.5,
      periodM: 1.04645e-4,
      rotorKg: 28,
      headKg: 2.4564,
      frameNPerM: 941_560,
      rotorDamping: 0.0623,
      driveDamping: 0.01763,
      frameDamping: 0.0115,
      travelMPerS: 0.009,
    },
    rpm: 5545.3,
    phiRad: 2.1997,
    runout: 0.869,
    directionRad: 1.1649,
  },
];

/** Demand over thrust at the loss, of random cuts, rising. */
function ratiosOf(count: number) {
  const random = seeded(11);
  const cuts = Array.from({ length: count }, () => randomCut(random));
  const found = cuts.map((cut) => ({ cut, ratio: demandAtLoss(cut) }));
  return found.sort((a, b) => a.ratio - b.ratio);
}

describe('demand at the force at which steps are lost', () => {
  it.each(TAUGHT)('$name', (cut) => {
    const ratio = demandAtLoss(cut);
    expect(ratio).toBeGreaterThan(0.95);
    // No more than the worst tenth of random cuts.
    expect(ratio).toBeLessThan(1.82);
  });

  it('is never 5 % less than the thrust, and in the median more', () => {
    // A dozen cuts say nothing closer of a median: the night's do.
    const found = ratiosOf(runs(48));
    expect(found[0]!.ratio, JSON.stringify(found[0]!.cut)).toBeGreaterThan(0.95);
    expect(found[Math.floor(found.length / 2)]!.ratio).toBeGreaterThan(1);
  });

  nightly(
    'is up to a quarter more in the median of 700, 1.9 times in the worst tenth, and never 5 % less',
    () => {
      const found = ratiosOf(700);
      const median = found[350]!.ratio;
      expect(median).toBeGreaterThan(1);
      expect(median).toBeLessThan(1.25);
      expect(found[630]!.ratio).toBeLessThan(1.95);
      expect(found[0]!.ratio, JSON.stringify(found[0]!.cut)).toBeGreaterThan(0.95);
    },
    600_000,
  );
});
