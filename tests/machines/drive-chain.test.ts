/** An axis as three masses on springs, and its motor, against published figures and a plain solution
 *  of the equations of motion. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import {
  type Chain,
  type RotorAnswer,
  entryOvershoot,
  fieldNPerM,
  rotorAnswer,
  swingGain,
} from '../../src/machines/bear/chain.js';
import { rotorMassKg, stepperCornerRpm } from '../../src/machines/bear/motor.js';
import { findMachine } from '../../src/machines/machines.js';
import { seeded } from './random.js';

interface Oracle {
  readonly name: string;
  readonly inputs: Readonly<Record<string, never>>;
  readonly expected: Readonly<Record<string, never>>;
  readonly tolerance: number;
}
/** Figures with their sources: dynamics-oracles.json. */
const ORACLES = JSON.parse(
  readFileSync(new URL('../oracles/dynamics-oracles.json', import.meta.url), 'utf8'),
) as readonly Oracle[];
function oracle(name: string) {
  const found = ORACLES.find((o) => o.name.startsWith(name))!;
  return {
    given: found.inputs as Readonly<Record<string, number>>,
    expected: found.expected as Readonly<Record<string, number>>,
    near: (got: number, want: number) =>
      expect(Math.abs(got / want - 1)).toBeLessThanOrEqual(found.tolerance),
  };
}

const LEAD_M = 0.008;
const TURN = (2 * Math.PI) / LEAD_M;
/** A motor of 50 rotor teeth on an 8 mm lead with next to nothing behind it. */
const bare = (torqueNm: number, inertiaKgM2: number): Chain => ({
  thrustN: torqueNm * TURN,
  periodM: LEAD_M / 50,
  rotorKg: inertiaKgM2 * TURN * TURN,
  carriageKg: 1e-6,
  headKg: 1e-6,
  driveNPerM: 1e9,
  frameNPerM: 1e9,
  rotorDamping: 0.05,
  driveDamping: 0.02,
  frameDamping: 0.02,
});

/** Lowest frequency at which the rotor's stiffness and the field's cancel. Hz */
function resonanceHz(chain: Chain, from: number, to: number): number {
  let [low, high] = [from, to];
  const stiff = (hz: number) => rotorAnswer(chain, 2 * Math.PI * hz).re + 1 > 0;
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (stiff(middle)) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

describe('motor', () => {
  it('natural frequency: published from a small angle, and from data sheets', () => {
    const small = oracle('stepper: spring rate');
    // T = Tm sin(50 lag) has the published rate k = 50 Tm at its middle.
    const { kNmPerRad, fHz } = small.expected;
    const chain = bare(kNmPerRad! / 50, small.given['inertiaKgM2']!);
    small.near(fieldNPerM(chain) / TURN ** 2, kNmPerRad!);
    small.near(resonanceHz(chain, 1, 1000), fHz!);
    const sheet = oracle('motor data sheet to natural frequency (NEMA 17');
    const { holdingTorqueNm, inertiaKgM2 } = sheet.given;
    sheet.near(resonanceHz(bare(holdingTorqueNm!, inertiaKgM2!), 1, 1000), sheet.expected['fHz']!);
  });

  it('lag of a load: the field’s sine', () => {
    const { inputs, expected } = ORACLES.find((o) => o.name.startsWith('torque lag'))!;
    const shares = inputs['shareOfHolding'] as unknown as readonly number[];
    const lags = expected['lagDeg'] as unknown as readonly number[];
    const chain = bare(1, 1e-5);
    shares.forEach((share, i) => {
      const atM = ((lags[i]! / 360) * LEAD_M * 2 * Math.PI) / chain.periodM;
      expect(Math.sin(atM)).toBeCloseTo(share, 4);
    });
  });

  it('magnetic spring, rotor as a mass, corner speed', () => {
    const spring = oracle('magnetic spring seen at the carriage');
    const { holdingTorqueNm, leadMm } = spring.given;
    const turn = (2 * Math.PI) / (leadMm! / 1000);
    const chain = {
      ...bare(1, 1),
      thrustN: holdingTorqueNm! * turn,
      periodM: leadMm! / 1000 / 50,
    };
    spring.near(fieldNPerM(chain) / 1e6, spring.expected['nPerUm']!);
    const { drive } = findMachine('screw-gantry-light');
    const rotorKg = (inertiaKgM2: number, leadMm: number): number => {
      const rotor = {
        motors: { ...drive.motors, x: 1 },
        rotorInertiaGCm2: { ...drive.rotorInertiaGCm2, x: inertiaKgM2 * 1e7 },
        travelPerTurnMm: { ...drive.travelPerTurnMm, x: leadMm },
      };
      return rotorMassKg({ drive: { ...drive, ...rotor } }, 'x');
    };
    for (const name of ['reflected rotor mass, J 5.7e-06 kg', 'reflected rotor mass, J 3e-05']) {
      const { given, expected, near } = oracle(name);
      near(rotorKg(given['inertiaKgM2']!, given['leadMm']!), expected['massKg']!);
    }
    const belt = oracle('reflected rotor mass, belt');
    const { inertiaKgM2, pulleyTeeth, pitchMm } = belt.given;
    belt.near(rotorKg(inertiaKgM2!, pulleyTeeth! * pitchMm!), belt.expected['massKg']!);
    const corner = ORACLES.find((o) => o.name.startsWith('corner speed'))!;
    const [volts, rpm] = [corner.inputs['volts'], corner.expected['rpm']] as unknown as number[][];
    volts!.forEach((v, i) => expect(stepperCornerRpm(v, 3, 2.8, 200)).toBeCloseTo(rpm![i]!, 1));
  });
});

const reachOf = ({ reachRe, reachIm }: RotorAnswer) => Math.hypot(reachRe, reachIm);

describe('three masses', () => {
  it('one mass on one spring, as published; a screw with its rotor free and held fast', () => {
    const one = oracle('one mass on one spring');
    const { kNPerM, massKg } = one.given;
    const single = {
      ...bare(1, 1),
      thrustN: kNPerM! / (2 * Math.PI),
      periodM: 1,
      rotorKg: massKg!,
    };
    one.near(resonanceHz(single, 0.1, 100), one.expected['fHz']!);
    // Screw 30 N/um, rotor 47.4 kg, carriage 8 kg: 333 Hz free, 308 Hz held (dynamics.md 2.1).
    const screw = { ...bare(1, 1), rotorKg: 47.4, carriageKg: 8, driveNPerM: 3e7, periodM: 1e-4 };
    const gains = [325, 333, 341].map((hz) =>
      swingGain({ ...screw, thrustN: 1e-3 }, 2 * Math.PI * hz),
    );
    expect(gains[1]).toBeGreaterThan(Math.max(gains[0]!, gains[2]!));
    const held = { ...screw, thrustN: 1e6 };
    const reaches = [300, 308, 316].map((hz) => reachOf(rotorAnswer(held, 2 * Math.PI * hz)));
    expect(reaches[1]).toBeGreaterThan(Math.max(reaches[0]!, reaches[2]!));
  });

  it('answer as the equations of motion solved at once say', () => {
    const { even } = seeded(9);
    const between = (low: number, high: number) => low * Math.pow(high / low, even());
    for (let i = 0; i < 100; i++) {
      const chain: Chain = {
        thrustN: between(50, 3000),
        periodM: between(8e-5, 8e-4),
        rotorKg: between(0.1, 100),
        carriageKg: between(1, 20),
        headKg: between(0.5, 10),
        driveNPerM: between(1e5, 3e7),
        frameNPerM: between(1e5, 4e6),
        rotorDamping: between(0.02, 0.3),
        driveDamping: between(0.01, 0.1),
        frameDamping: between(0.01, 0.1),
      };
      const w = 2 * Math.PI * between(20, 800);
      const answer = rotorAnswer(chain, w);
      const ours = reachOf(answer) / Math.hypot(answer.re + 1, answer.im);

      expect(Math.abs(ours / lagOfForce(chain, w) - 1)).toBeLessThan(1e-9);
    }
  });

  it('an entry overshoots less, the stiffer and the quicker the axis is', () => {
    const chain = {
      ...bare(0.5, 1e-5),
      carriageKg: 5,
      headKg: 2,
      driveNPerM: 1e7,
      frameNPerM: 3e5,
    };
    expect(entryOvershoot({ ...chain, frameNPerM: 6e5 })).toBeLessThan(entryOvershoot(chain));
    expect(entryOvershoot({ ...chain, headKg: 1 })).toBeLessThan(entryOvershoot(chain));
    // 62 Hz of head on frame alone: 1 / (2 pi 62 x 0.05) = 0.05 for either corner of the ramp.
    expect(entryOvershoot(chain)).toBeGreaterThan(0.05);
    expect(entryOvershoot(chain)).toBeLessThan(0.15);
  });
});

/** Lag of the rotor over that of a force at rest: (K + i w C - w^2 M) x = force at the head, solved
 *  by Gauss on the six real equations. */
function lagOfForce(chain: Chain, w: number): number {
  const { rotorKg, carriageKg, headKg, driveNPerM: kd, frameNPerM: kf } = chain;
  const field = (2 * Math.PI * chain.thrustN) / chain.periodM;
  const cr = 2 * chain.rotorDamping * Math.sqrt(field * rotorKg) * w;
  const cd = 2 * chain.driveDamping * Math.sqrt(kd * carriageKg) * w;
  const cf = 2 * chain.frameDamping * Math.sqrt(kf * headKg) * w;
  const stiff = [
    [field + kd - w * w * rotorKg, -kd, 0],
    [-kd, kd + kf - w * w * carriageKg, -kf],
    [0, -kf, kf - w * w * headKg],
  ];
  const damp = [
    [cr + cd, -cd, 0],
    [-cd, cd + cf, -cf],
    [0, -cf, cf],
  ];
  const rows = [0, 1, 2, 3, 4, 5].map((r) => {
    const [i, lower] = [r % 3, r > 2];
    const real = [0, 1, 2].map((j) => (lower ? damp[i]![j]! : stiff[i]![j]!));
    const imaginary = [0, 1, 2].map((j) => (lower ? stiff[i]![j]! : -damp[i]![j]!));
    return [...real, ...imaginary, r === 2 ? 1 : 0];
  });
  for (let c = 0; c < 6; c++) {
    const pivot = rows.slice(c).reduce((a, b) => (Math.abs(b[c]!) > Math.abs(a[c]!) ? b : a));
    rows.splice(rows.indexOf(pivot), 1);
    rows.splice(c, 0, pivot);
    rows.forEach((row, r) => {
      if (r === c) return;
      const factor = row[c]! / pivot[c]!;
      for (let j = c; j < 7; j++) row[j]! -= factor * pivot[j]!;
    });
  }
  const x = (r: number) => rows[r]![6]! / rows[r]![r]!;
  return Math.hypot(x(0), x(3)) * field;
}
