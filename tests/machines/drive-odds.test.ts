/** Odds of a drive: what is not known about it, and what measuring changes. */
import { describe, expect, it } from 'vitest';
import {
  driveAxisOf,
  driveDemandN,
  driveDemandsN,
  driveHoldsProbability,
  driveResponse,
  driveThrustN,
} from '../../src/machines/bear/drive.js';
import { fullStepMm, rotorMassKg } from '../../src/machines/bear/motor.js';
import { thrustAtN } from '../../src/machines/bear/thrust.js';
import { findMachine } from '../../src/machines/machines.js';
import { machineFileText } from '../../src/machines/machine-file.js';
import { forceSpectrum, swingCount } from '../../src/machines/load/spectrum.js';
import { normalQuantile, logNormalCdf } from '../../src/maths/normal.js';
import { nightly } from '../cam/oracle/runs.js';
import { losesSteps, turnForce } from './oracle/axis-in-time.js';
import { DEG, cutter3, steel } from './fixtures.js';
import { machineOf } from './machine-of.js';
import { seeded } from './random.js';

const machine = findMachine('screw-gantry-light');
const RPM = 10_000;
const spectrumOf = (phiDeg: number, depthMm: number, fzMm = 0.014, runoutMm = 0.015) =>
  forceSpectrum(
    {
      material: steel,
      cutter: cutter3,
      runoutMm,
      wearFactor: 1,
      spindleRpm: RPM,
      axialDepthMm: depthMm,
    },
    fzMm * 3 * RPM,
    [{ fromRad: 0, toRad: phiDeg * DEG }],
  );
function demandsOf(of: typeof machine, phiDeg: number, depthMm: number) {
  const axis = driveAxisOf(of, 'x');
  const demandsN = new Float64Array(axis.members.length);
  driveDemandsN(
    driveResponse(axis, RPM, swingCount(3, RPM)),
    spectrumOf(phiDeg, depthMm),
    demandsN,
  );
  return { axis, demandsN };
}

it('quantiles of the normal distribution: printed, and put back into it', () => {
  // Abramowitz and Stegun, table 26.5: Phi^-1 of 0.975, 0.99, 0.5.
  for (const [p, z] of [
    [0.975, 1.95996],
    [0.99, 2.32635],
    [0.5, 0],
    [0.025, -1.95996],
  ] as const) {
    expect(normalQuantile(p)).toBeCloseTo(z, 5);
  }
  for (const logP of [-700, -50, -3, -0.4, -1e-4, -1e-9]) {
    expect(logNormalCdf(normalQuantile(Math.exp(logP))) / logP).toBeCloseTo(1, 6);
  }
});

describe('spread', () => {
  it('demand is at or under the thrust of a risk just where the odds are', () => {
    for (const [phi, depth] of [
      [60, 0.46],
      [60, 2],
      [120, 1.3],
      [180, 1],
    ] as const) {
      const { axis, demandsN } = demandsOf(machine, phi, depth);
      const p = 1 - driveHoldsProbability([{ axis, demandsN }]);
      const demandN = driveDemandN(axis, demandsN);
      expect(driveThrustN(axis, p * 1.001)).toBeGreaterThan(demandN);
      expect(driveThrustN(axis, p * 0.999)).toBeLessThan(demandN);
      expect(
        driveHoldsProbability([
          { axis, demandsN },
          { axis, demandsN },
        ]),
      ).toBeCloseTo((1 - p) ** 2, 12);
    }
  });

  it('is a factor of 1.5 for two in three of a thrust that nobody measured', () => {
    const { axis } = demandsOf(machine, 60, 0.46);
    // One sigma: 15.87 % lie below.
    expect(driveThrustN(axis, 0.15866) / 278).toBeCloseTo(1 / 1.4918, 3);
    expect(driveThrustN(axis, 0.5)).toBeCloseTo(278, 6);
  });

  it('narrows with what is measured, and so do the demands', () => {
    const known = {
      ...machine,
      provenance: {
        ...machine.provenance,
        'stiffnessNPerMm.x': 'measured 2026-05-03',
        'thrustN.x': 'measured 2026-05-03',
      },
    };
    const width = ({ demandsN }: { demandsN: Float64Array }) =>
      Math.max(...demandsN) - Math.min(...demandsN);
    expect(width(demandsOf(known, 120, 1))).toBeLessThan(width(demandsOf(machine, 120, 1)));
    expect(driveThrustN(demandsOf(known, 60, 1).axis, 0.02)).toBeGreaterThan(
      driveThrustN(demandsOf(machine, 60, 1).axis, 0.02),
    );
  });

  it('grows with depth as the force does, and gathers the worst place of a program', () => {
    const { axis, demandsN } = demandsOf(machine, 60, 2);
    const gathered = new Float64Array(axis.members.length);
    const response = driveResponse(axis, RPM, swingCount(3, RPM));
    driveDemandsN(response, spectrumOf(60, 1), gathered);
    axis.members.forEach(({ motionN }, i) =>
      expect(motionN + 2 * (gathered[i]! - motionN)).toBeCloseTo(demandsN[i]!, 9),
    );
    driveDemandsN(response, spectrumOf(60, 2), gathered);
    driveDemandsN(response, spectrumOf(20, 0.1), gathered);
    gathered.forEach((n, i) => expect(n).toBeCloseTo(demandsN[i]!, 9));
    // No direction asks for more than the worst.
    const one = new Float64Array(axis.members.length);
    for (let deg = 0; deg < 180; deg += 7) {
      driveDemandsN(response, spectrumOf(60, 2), one, deg * DEG);
    }
    one.forEach((n, i) => expect(n).toBeLessThan(demandsN[i]! * 1.012));
  });
});

describe('a profile’s motors', () => {
  const based = (change: object) =>
    machineOf({ id: 'mine', basedOn: 'screw-gantry-light', ...change }, 'mine.yaml');

  it('give the thrust unless it is stated: a curve, or one figure at standstill', () => {
    // Twice the torque, twice the thrust; twice the lead, half of it at twice the feed.
    const strong = based({ drive: { holdingTorqueNm: 0.92 } });
    expect(thrustAtN(strong, 'x', 0)).toBe(556);
    const quick = based({ drive: { travelPerTurnMm: 8 } });
    expect(quick.thrustN.y.slice(0, 2)).toEqual([
      [0, 139],
      [4800, 139],
    ]);
    expect(fullStepMm(quick, 'x')).toBe(0.04);
    expect(rotorMassKg(quick, 'x') * 4).toBeCloseTo(rotorMassKg(machine, 'x'), 9);
    const pulled = based({ thrustN: { x: { value: [[0, 139]], source: 'measured 2026-05-03' } } });
    machine.thrustN.x.forEach(([feed, thrust], i) => {
      const [f, n] = pulled.thrustN.x[i]!;
      expect(f).toBe(feed);
      expect(Math.abs(n - thrust / 2)).toBeLessThanOrEqual(0.051);
    });
    expect(pulled.provenance['thrustN.x']).toBe('measured 2026-05-03');
    expect(pulled.thrustN.y).toEqual(machine.thrustN.y);
  });

  it('stay the source of the thrust in a file that is written and read again', () => {
    const text = machineFileText({ ...machine, id: 'again' }, 'heading');
    expect(text).toMatch(/thrustN:\s+\{\s*value: null,\s*source: "derived from drive/);
    const again = machineOf(text, 'again.yaml');
    expect(again.thrustN).toEqual(machine.thrustN);
    const stronger = machineOf(text.replace(/value: 0\.46\b/g, 'value: 0.92'), 'again.yaml');
    expect(thrustAtN(stronger, 'x', 0)).toBe(556);
  });
});

nightly('a rehearsal: 300 sampled machines lose steps no more often than promised', () => {
  // Figures drawn with the spreads stated in bear/spread, the cut simulated in time; each depth by
  // itself, along the direction of the greatest mean. Counting error of 300: 2 sigma. Seen: 1.9 %
  // promised at 3 mm and 0.7 % lost, 6.3 and 1.3 % at 4 mm: turn and teeth lie among the resonances of
  // these machines, where the sum of swings is on the safe side.
  const random = seeded(21);
  const draw = (median: number, sigma: number) => median * Math.exp(sigma * random.normal());
  const axes = Array.from({ length: 300 }, () => ({
    thrustN: draw(278, 0.4),
    periodM: 8e-5,
    rotorKg: rotorMassKg(machine, 'x'),
    carriageKg: draw(2, 0.2),
    headKg: draw(2, 0.2),
    driveNPerM: draw(1e7, 0.3),
    frameNPerM: draw(3e5, 0.3),
    rotorDamping: draw(0.15, 0.45),
    driveDamping: 0.02,
    frameDamping: draw(0.02, 0.45),
    // Acceleration of carriage, head and rotor comes on top, as one steady pull.
    frictionN:
      draw(machine.frictionN.x, 0.3) +
      ((4 + rotorMassKg(machine, 'x')) * machine.accelerationMmPerS2.x) / 1000,
    travelMPerS: 0.02,
  }));
  const rows = [0.5, 1.5, 2, 3, 4].map((depthMm) => {
    const spectrum = spectrumOf(60, depthMm, 0.007, 0.007);
    const axisRad = Math.atan2(spectrum.meanFeedN, spectrum.meanNormalN);
    const axis = driveAxisOf(machine, 'x');
    const demandsN = new Float64Array(axis.members.length);
    driveDemandsN(driveResponse(axis, RPM, swingCount(3, RPM)), spectrum, demandsN, axisRad);
    const force = turnForce([2, 0.5, 0.5], 60 * DEG, steel.mc, axisRad);
    const meanN = Math.hypot(spectrum.meanFeedN, spectrum.meanNormalN);
    const lost = axes.filter((own) => losesSteps(own, force, meanN / force.mean, RPM)).length / 300;
    return { depthMm, meanN, promised: 1 - driveHoldsProbability([{ axis, demandsN }]), lost };
  });
  for (const { promised, lost } of rows) {
    expect(lost).toBeLessThan(promised + 2 * Math.sqrt((promised * (1 - promised)) / 300) + 0.005);
    expect(lost).toBeGreaterThan(promised / 3 - 0.02);
  }
});
