/**
 * A rehearsal: sampled machines run the worst of each program in the time domain, and the share that
 * loses steps is held against what the plan promised. Side by side: ours, the quickest passes of fixed
 * parameters, and ours with every feed halved.
 */
import { rotorMassKg } from '../../src/machines/bear/motor.js';
import { accelerationForceN, motionForceN, thrustAtN } from '../../src/machines/bear/thrust.js';
import { thrustSigma } from '../../src/machines/bear/spread.js';
import { DriveLoad, DriveOdds } from '../../src/machines/bear/drive-meter.js';
import { toothFeedsMm } from '../../src/machines/load/chip.js';
import { forceSpectrum } from '../../src/machines/load/spectrum.js';
import { conditionsFor } from '../../src/cam/choose.js';
import { fullStepMm } from '../../src/machines/bear/motor.js';
import type { Job } from '../../src/model/job.js';
import { type Axis, losesSteps, meanAtLoss, turnForce } from '../machines/oracle/axis-in-time.js';
import { type Random, seeded } from '../machines/random.js';
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

/** A cut's force in time, along the direction that pulls most, and its mean. */
function timedForce(job: Job, cut: WorstCut) {
  const { machine, material, cutter } = job;
  const conditions = conditionsFor(job, cut.spindleRpm, cut.depthMm);
  const spectrum = forceSpectrum(conditions, cut.feedMmPerMin, [{ fromRad: 0, toRad: cut.phiRad }]);
  const axisRad = Math.atan2(spectrum.meanFeedN, spectrum.meanNormalN);
  const feeds = new Float64Array(cutter.flutes);
  toothFeedsMm(
    cut.feedMmPerMin / (cutter.flutes * cut.spindleRpm),
    machine.spindle.runoutMm,
    feeds,
  );
  const force = turnForce([...feeds], cut.phiRad, material.mc, axisRad);
  return { conditions, force, meanN: Math.hypot(spectrum.meanFeedN, spectrum.meanNormalN) };
}

/** An axis of a machine as its profile may be. */
function sampledAxis(
  { machine }: Job,
  axis: 'x' | 'y',
  feedMmPerMin: number,
  random: Random,
): Axis {
  const draw = (median: number, sigma: number) => median * Math.exp(sigma * random.normal());
  const moving = machine.movingMassKg[axis];
  return {
    thrustN: draw(thrustAtN(machine, axis, feedMmPerMin), thrustSigma(machine, axis)),
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
    travelMPerS: feedMmPerMin / 60_000,
  };
}

/** Share of machines on which X or Y loses steps, each axis along the direction that pulls most. */
function lost(job: Job, cut: WorstCut): number {
  const random = seeded(21);
  const { force, meanN } = timedForce(job, cut);
  let count = 0;
  for (let i = 0; i < MACHINES; i++) {
    const slips = (['x', 'y'] as const).some((axis) => {
      const own = sampledAxis(job, axis, cut.feedMmPerMin, random);
      return losesSteps(own, force, meanN / force.mean, cut.spindleRpm);
    });
    if (slips) count++;
  }
  return count / MACHINES;
}

/**
 * What a log would have as the demand of a cut, of which the profile's drive is the measure, when sampled
 * machines lose steps in it, over the thrust that a pull on them shows.
 */
export function demandAtLoss(job: Job, cut: WorstCut, machines: number): number[] {
  const random = seeded(22);
  const { conditions, force, meanN } = timedForce(job, cut);
  const intervals = [{ fromRad: 0, toRad: cut.phiRad }];
  const asked = new DriveLoad(job.machine).along({
    ...{ conditions, intervals, feedMmPerMin: cut.feedMmPerMin, climb: true },
  });
  return Array.from({ length: machines }, (_, i) => {
    const axis = i % 2 === 0 ? 'x' : 'y';
    const own = sampledAxis(job, axis, cut.feedMmPerMin, random);
    const shareAtLoss = meanAtLoss(own, force, cut.spindleRpm, 0.02);
    const cutN = (asked[axis] * shareAtLoss * own.thrustN) / meanN;
    return (cutN + motionForceN(job.machine, axis)) / own.thrustN;
  });
}
