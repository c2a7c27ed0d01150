/**
 * Whether the drive of an axis keeps its steps under a cut.
 *
 * The demand is the largest lag that the force makes, as a steady thrust that would make it:
 *
 *   demand = friction + acceleration + mean (1 + overshoot) + sum over swings |c reach / (rotor + c)| F
 *
 * with every swing at its worst moment. The field's spring is a sine, which softens as the lag swings, so
 * that resonances come down: `swingGain` says on which rate c a swing is reckoned.
 * What else the sine does is left out. Against our own simulation in time of random cuts (tests/machines/drive;
 * figures in DEVELOPERS.md) the demand at the force that loses steps is more than the thrust, most of all at
 * resonances. Neither resonances nor damping nor thrust are known well: the axis is looked at as `DRIVES` drives
 * spread as its figures are, and the odds are taken over them.
 */
import { exp, log } from '../../maths/elementary.js';
import { S_PER_MIN } from '../../maths/motion.js';
import { TURN_RAD } from '../../maths/angle.js';
import { logNormalCdf, normalQuantile } from '../../maths/normal.js';
import type { AxisName, Machine } from '../../model/machine.js';
import { type ForceSpectrum, alongAxis, swingsOf } from '../load/spectrum.js';
import { type Chain, entryOvershoot, swingGain } from './chain.js';
import { STEPS_PER_PERIOD, fullStepMm, rotorMassKg } from './motor.js';
import { draws, figureSigma, thrustSigma } from './spread.js';
import { accelerationForceN, thrustAtN } from './thrust.js';

/** One drive that the axis may be. */
export interface DriveMember {
  readonly chain: Chain;
  /** Friction and acceleration, its rotors' counted. N */
  readonly motionN: number;
  /** See `entryOvershoot`. */
  readonly overshoot: number;
}

export interface DriveAxis {
  /** Median of the thrust, and sigma of its logarithm. */
  readonly thrustN: number;
  readonly sigma: number;
  readonly members: readonly DriveMember[];
}

/** Drives that stand for an axis. */
const DRIVES = 32;
/** Losses happen where thrust is low: drives are drawn about one sigma below the median. */
const DRAWN_BELOW = 1;

/** Damping ratio of carriage on screw or belt. Common practice, no source. */
const DRIVE_DAMPING = 0.02;
/** Least share of the moving mass that is carriage and not head. Common practice, no source. */
const LEAST_CARRIAGE = 0.3;

/**
 * The drive of an axis as the profile knows it.
 * @param feedMmPerMin  at which its thrust counts
 *
 * The stiffness at the collet is taken as the give between carriage and head: screw and bearings of
 * light gantries are thirty times as stiff (owners measure 0.3 N/um at the tool).
 */
export function driveAxisOf(machine: Machine, axis: AxisName, feedMmPerMin = 0): DriveAxis {
  const { chain, frictionN, accelerationN } = chainOf(machine, axis, feedMmPerMin);
  const sigma = thrustSigma(machine, axis);
  const of = (path: string, kind: Parameters<typeof figureSigma>[2]): number =>
    figureSigma(machine, path, kind);
  const sigmas = [
    sigma,
    of(`drive.stiffnessNPerMm.${axis}`, 'stiffness'),
    of(`stiffnessNPerMm.${axis}`, 'stiffness'),
    of('headMassKg', 'mass'),
    of(`movingMassKg.${axis}`, 'mass'),
    of(`drive.damping.${axis}`, 'damping'),
    of(`modes.frameDamping.${axis}`, 'damping'),
    of(`frictionN.${axis}`, 'friction'),
  ];
  const members = spreadOver(sigmas, OFFSET[axis]).map((factors) =>
    memberOf(chain, frictionN, accelerationN, factors),
  );
  return { thrustN: chain.thrustN, sigma, members };
}

/** The drive of an axis with every figure as the profile has it: for loads that are compared. */
export function middleDriveOf(machine: Machine, axis: AxisName, feedMmPerMin = 0): DriveAxis {
  const { chain, frictionN, accelerationN } = chainOf(machine, axis, feedMmPerMin);
  const member = knownDrive(chain, frictionN + accelerationN);
  return { thrustN: chain.thrustN, sigma: thrustSigma(machine, axis), members: [member] };
}

function chainOf(machine: Machine, axis: AxisName, feedMmPerMin: number) {
  const thrustN = thrustAtN(machine, axis, feedMmPerMin);
  const moving = machine.movingMassKg[axis];
  const rotorKg = rotorMassKg(machine, axis);
  const chain: Chain = {
    thrustN,
    periodM: (STEPS_PER_PERIOD * fullStepMm(machine, axis)) / 1000,
    rotorKg,
    carriageKg: Math.max(moving - machine.headMassKg, LEAST_CARRIAGE * moving),
    headKg: machine.headMassKg,
    driveNPerM: 1000 * machine.drive.stiffnessNPerMm[axis],
    frameNPerM: 1000 * machine.stiffnessNPerMm[axis],
    rotorDamping: machine.drive.damping[axis],
    driveDamping: DRIVE_DAMPING,
    frameDamping: machine.modes.frameDamping[axis],
  };
  const accelerationN = accelerationForceN(machine, axis);
  return { chain, frictionN: machine.frictionN[axis], accelerationN };
}

function memberOf(
  chain: Chain,
  frictionN: number,
  accelerationN: number,
  [thrust, drive, frame, head, carriage, rotorZ, frameZ, friction]: readonly number[],
): DriveMember {
  const own: Chain = {
    ...chain,
    thrustN: chain.thrustN * thrust!,
    driveNPerM: chain.driveNPerM * drive!,
    frameNPerM: chain.frameNPerM * frame!,
    headKg: chain.headKg * head!,
    carriageKg: chain.carriageKg * carriage!,
    rotorDamping: chain.rotorDamping * rotorZ!,
    frameDamping: chain.frameDamping * frameZ!,
  };
  return knownDrive(own, frictionN * friction! + accelerationN);
}

/** A drive with every figure known. @param motionN  friction and acceleration */
function knownDrive(chain: Chain, motionN: number): DriveMember {
  return { chain, motionN, overshoot: entryOvershoot(chain) };
}

/** Where the sequence of each axis starts, so that X and Y are spread apart from each other. */
const OFFSET: Readonly<Record<AxisName, number>> = { x: 0.5, y: 0.25, z: 0.75 };

/** Factors on the figures of each drive, log-normal; the first figure lower by `DRAWN_BELOW` sigmas. */
function spreadOver(sigmas: readonly number[], offset: number): number[][] {
  const spreads = sigmas.map((sigma, d) => ({
    median: d === 0 ? exp(-DRAWN_BELOW * sigma) : 1,
    factor: exp(sigma),
  }));
  const factors = draws(spreads, DRIVES, offset);
  return Array.from({ length: DRIVES }, (_, i) => factors.map((values) => values[i]!));
}

/** An axis at one spindle speed: made once for all cuts at that speed. */
export interface DriveResponse {
  readonly axis: DriveAxis;
  /** For each drive the gain at each multiple of the turn: see `swingGain`. */
  readonly gains: readonly Float64Array[];
}

/** @param swings  how many multiples of the turn: `swingCount` */
export function driveResponse(axis: DriveAxis, spindleRpm: number, swings: number): DriveResponse {
  const turn = (TURN_RAD * spindleRpm) / S_PER_MIN;
  const gains = axis.members.map(({ chain }) =>
    Float64Array.from({ length: swings }, (_, i) => swingGain(chain, (i + 1) * turn)),
  );
  return { axis, gains };
}

/** Directions over half a turn that are looked at for the worst: within 1 % of it. */
const DIRECTIONS = 12;
const MOST_SWINGS = 32;
const along = Array.from({ length: DIRECTIONS }, () => new Float64Array(MOST_SWINGS + 1));

/**
 * Demand of a cut on each drive that the axis may be. N
 * @param into  as long as the axis has members; what is greater stands, so that the demand of a whole
 *   program gathers in it
 * @param axisRad  the axis in the wall's frame (`axisInWallRad`); left out: the worst direction
 */
export function driveDemandsN(
  { axis, gains }: DriveResponse,
  spectrum: ForceSpectrum,
  into: Float64Array,
  axisRad?: number,
): void {
  const ways = axisRad === undefined ? DIRECTIONS : 1;
  for (let w = 0; w < ways; w++) {
    alongAxis(spectrum, axisRad ?? (w * Math.PI) / DIRECTIONS, along[w]!);
  }
  const count = Math.min(swingsOf(spectrum), gains[0]?.length ?? 0);
  axis.members.forEach(({ motionN, overshoot }, i) => {
    const gain = gains[i]!;
    let most = 0;
    for (let w = 0; w < ways; w++) {
      const way = along[w]!;
      let sum = Math.abs(way[0]!) * (1 + overshoot);
      for (let m = 0; m < count; m++) sum += gain[m]! * way[m + 1]!;
      most = Math.max(most, sum);
    }
    into[i] = Math.max(into[i]!, motionN + most);
  });
}

/** Thrust that the axis has with a risk of having less. N */
export function driveThrustN({ thrustN, sigma }: DriveAxis, risk: number): number {
  return thrustN * exp(sigma * normalQuantile(risk));
}

/** Probability that demands are more than the axis's thrust. */
function slipProbability(axis: DriveAxis, demandsN: Float64Array): number {
  let sum = 0;
  for (const demandN of demandsN) sum += slips(axis, demandN);
  return sum / demandsN.length;
}

function slips({ thrustN, sigma }: DriveAxis, demandN: number): number {
  if (!(demandN > 0)) return 0;
  const over = log(demandN / thrustN);
  return sigma > 0 ? exp(logNormalCdf(over / sigma)) : over > 0 ? 1 : 0;
}

/**
 * The one demand that an axis of known resonances would have to bear for the same odds: at or under
 * `driveThrustN` of a risk exactly where `slipProbability` is no more than the risk. N
 */
export function driveDemandN(axis: DriveAxis, demandsN: Float64Array): number {
  const { thrustN, sigma } = axis;
  if (!(sigma > 0)) return Math.max(...demandsN);
  const p = slipProbability(axis, demandsN);
  // Beyond what a probability holds, the greatest demand says it.
  if (!(p > 1e-250 && p < 1)) return Math.max(...demandsN);
  return thrustN * exp(sigma * normalQuantile(p));
}

/** Probability that all axes hold: what one is like says nothing of the other. */
export function driveHoldsProbability(
  axes: readonly { readonly axis: DriveAxis; readonly demandsN: Float64Array }[],
): number {
  return axes.reduce((p, { axis, demandsN }) => p * (1 - slipProbability(axis, demandsN)), 1);
}
