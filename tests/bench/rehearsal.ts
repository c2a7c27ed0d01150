/**
 * A rehearsal: sampled machines run the worst of each program in the time domain, and the share that
 * loses steps is held against what the plan promised. Side by side: ours, the quickest passes of fixed
 * parameters, and ours with every feed halved.
 */
import { rotorMassKg } from '../../src/machines/bear/motor.js';
import { accelerationForceN, thrustAtN } from '../../src/machines/bear/thrust.js';
import { thrustSigma } from '../../src/machines/bear/spread.js';
import { DriveOdds } from '../../src/machines/bear/drive-meter.js';
import { toothFeedsMm } from '../../src/machines/load/chip.js';
import { forceSpectrum } from '../../src/machines/load/spectrum.js';
import { conditionsFor } from '../../src/cam/choose.js';
import { fullStepMm } from '../../src/machines/bear/motor.js';
import type { Job } from '../../src/model/job.js';
import { losesSteps, turnForce } from '../machines/oracle/axis-in-time.js';
import { seeded } from '../machines/random.js';
import type { Row } from './measure.js';

/** The cut of a program that asks most. */
export interface WorstCut {
  readonly spindleRpm: number;
  readonly phiRad: number;
  readonly feedMmPerMin: number;
  readonly depthMm: number;
}

const MACHINES = 1000;

export function rehearse(
  name: string,
  job: Job,
  cuts: Readonly<Record<string, WorstCut | null>>,
): Row {
  const row: Record<string, string | number | null> = { example: name };
  for (const [what, cut] of Object.entries(cuts)) {
    row[`${what} promised %`] = cut ? 100 * promised(job, cut) : null;
    row[`${what} lost %`] = cut ? 100 * lost(job, cut) : null;
  }
  return row;
}

function promised(job: Job, cut: WorstCut): number {
  const drives = new DriveOdds(job.machine);
  const demands = drives.none();
  drives.add(demands, {
    conditions: conditionsFor(job, cut.spindleRpm, cut.depthMm),
    feedMmPerMin: cut.feedMmPerMin,
    intervals: [{ fromRad: 0, toRad: cut.phiRad }],
    climb: true,
  });
  return 1 - drives.hold(demands);
}

/** Share of machines on which X or Y loses steps, each axis along the direction that pulls most. */
function lost(job: Job, cut: WorstCut): number {
  const { machine } = job;
  const random = seeded(21);
  const draw = (median: number, sigma: number) => median * Math.exp(sigma * random.normal());
  const conditions = conditionsFor(job, cut.spindleRpm, cut.depthMm);
  const spectrum = forceSpectrum(conditions, cut.feedMmPerMin, [{ fromRad: 0, toRad: cut.phiRad }]);
  const axisRad = Math.atan2(spectrum.meanFeedN, spectrum.meanNormalN);
  const meanN = Math.hypot(spectrum.meanFeedN, spectrum.meanNormalN);
  const feeds = new Float64Array(job.cutter.flutes);
  toothFeedsMm(
    cut.feedMmPerMin / (job.cutter.flutes * cut.spindleRpm),
    machine.spindle.runoutMm,
    feeds,
  );
  const force = turnForce([...feeds], cut.phiRad, job.material.mc, axisRad);
  let count = 0;
  for (let i = 0; i < MACHINES; i++) {
    const slips = (['x', 'y'] as const).some((axis) => {
      const moving = machine.movingMassKg[axis];
      const own = {
        thrustN: draw(thrustAtN(machine, axis, cut.feedMmPerMin), thrustSigma(machine, axis)),
        periodM: (4 * fullStepMm(machine, axis)) / 1000,
        rotorKg: rotorMassKg(machine, axis),
        carriageKg: draw(Math.max(0.3 * moving, moving - machine.headMassKg), 0.2),
        headKg: draw(machine.headMassKg, 0.2),
        driveNPerM: draw(1000 * machine.drive.stiffnessNPerMm[axis], 0.3),
        frameNPerM: draw(1000 * machine.stiffnessNPerMm[axis], 0.3),
        rotorDamping: draw(machine.drive.damping[axis], 0.45),
        driveDamping: 0.02,
        frameDamping: draw(machine.modes.frameDamping[axis], 0.45),
        // Acceleration of carriage, head and rotor comes on top, as one steady pull.
        frictionN: draw(machine.frictionN[axis], 0.3) + accelerationForceN(machine, axis),
        travelMPerS: cut.feedMmPerMin / 60_000,
      };
      return losesSteps(own, force, meanN / force.mean, cut.spindleRpm);
    });
    if (slips) count++;
  }
  return count / MACHINES;
}
