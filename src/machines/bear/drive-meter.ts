/** The drives of X and Y, asked about one cut after the other; what depends on the spindle speed alone
 *  is reckoned once a speed. */
import { exp } from '../../maths/elementary.js';
import {
  type EngagementInterval,
  LOADED_AXES,
  type Machine,
  type PerLoadedAxis,
  perLoadedAxis,
} from '../../model/machine.js';
import type { CutConditions } from '../load/force.js';
import { axisInWallRad, forceSpectrum, swingCount } from '../load/spectrum.js';
import {
  type DriveAxis,
  type DriveResponse,
  driveAxisOf,
  driveDemandN,
  driveDemandsN,
  driveHoldsProbability,
  driveResponse,
  driveThrustN,
  middleDriveOf,
} from './drive.js';

/** A steady cut: see `peakForce`. */
export interface SteadyCut {
  readonly conditions: CutConditions;
  readonly feedMmPerMin: number;
  readonly intervals: readonly EngagementInterval[];
  readonly climb: boolean;
}

class Meter {
  readonly axes: PerLoadedAxis<DriveAxis>;
  private readonly bySpeed = new Map<number, PerLoadedAxis<DriveResponse>>();

  constructor(axes: PerLoadedAxis<DriveAxis>) {
    this.axes = axes;
  }

  /** Gathers the greatest demand of a cut on each axis, through several headings; undefined: the worst
   *  direction. N */
  protected gather(
    into: PerLoadedAxis<Float64Array>,
    { conditions, feedMmPerMin, intervals, climb }: SteadyCut,
    headingsRad: readonly (number | undefined)[],
  ): void {
    const spectrum = forceSpectrum(conditions, feedMmPerMin, intervals, climb);
    const responses = this.responses(conditions.spindleRpm, conditions.cutter.flutes);
    for (const axis of LOADED_AXES) {
      for (const headingRad of headingsRad) {
        const axisRad =
          headingRad === undefined ? undefined : axisInWallRad(axis, headingRad, climb);
        driveDemandsN(responses[axis], spectrum, into[axis], axisRad);
      }
    }
  }

  private responses(spindleRpm: number, flutes: number): PerLoadedAxis<DriveResponse> {
    const known = this.bySpeed.get(spindleRpm);
    if (known) return known;
    const swings = swingCount(flutes, spindleRpm);
    const made = perLoadedAxis((axis) => driveResponse(this.axes[axis], spindleRpm, swings));
    this.bySpeed.set(spindleRpm, made);
    return made;
  }
}

/** Odds over everything that is not known of the drives. */
export class DriveOdds extends Meter {
  constructor(machine: Machine) {
    const feed = machine.maxFeedMmPerMin;
    super(perLoadedAxis((axis) => driveAxisOf(machine, axis, feed)));
  }

  /** Demands of nothing yet: the greatest of what is {@link add}ed gathers in them. N */
  none(): PerLoadedAxis<Float64Array> {
    return perLoadedAxis((axis) => new Float64Array(this.axes[axis].members.length));
  }

  /** Demands of moving alone, without any cut: friction and acceleration. N */
  moving(): PerLoadedAxis<Float64Array> {
    return perLoadedAxis((axis) =>
      Float64Array.from(this.axes[axis].members, (member) => member.motionN),
    );
  }

  /** A cut in its worst direction. */
  add(into: PerLoadedAxis<Float64Array>, cut: SteadyCut): void {
    this.gather(into, cut, [undefined]);
  }

  /** Thrust of each axis with a risk of having less. N */
  thrustN(risk: number): PerLoadedAxis<number> {
    return perLoadedAxis((axis) => driveThrustN(this.axes[axis], risk));
  }

  /** Probability that both axes keep their steps, with thrusts so many sigmas higher than known. */
  hold(demands: PerLoadedAxis<Float64Array>, sigmas = 0): number {
    const drives = LOADED_AXES.map((name) => {
      const axis = this.axes[name];
      const thrustN = axis.thrustN * exp(axis.sigma * sigmas);
      return { axis: { ...axis, thrustN }, demandsN: demands[name] };
    });
    return driveHoldsProbability(drives);
  }

  /** One figure for each axis, to be held against its thrust at a risk. N */
  demandN(demands: PerLoadedAxis<Float64Array>): PerLoadedAxis<number> {
    return perLoadedAxis((axis) => driveDemandN(this.axes[axis], demands[axis]));
  }
}

/** Share of the accepted risk that the drives may take. */
const DRIVE_RISK_SHARE = 0.3;

/** Risk of losing steps that both drives together may take, and so either of them at most. */
export const driveRisk = (riskShare: number): number => DRIVE_RISK_SHARE * riskShare;

/** Demand that cutting may make of each drive at a risk of losing steps. N, 0 or more */
export function driveForceN(machine: Machine, risk: number): PerLoadedAxis<number> {
  const feed = machine.maxFeedMmPerMin;
  return perLoadedAxis((axis) => {
    const drive = middleDriveOf(machine, axis, feed);
    return Math.max(0, driveThrustN(drive, risk) - drive.members[0]!.motionN);
  });
}

/** Cutting part of the demand on drives as the profile has them: loads to compare and to learn from. */
export class DriveLoad extends Meter {
  private readonly out = { x: new Float64Array(1), y: new Float64Array(1) };

  constructor(machine: Machine) {
    super(perLoadedAxis((axis) => middleDriveOf(machine, axis)));
  }

  /**
   * Demand on X and Y of a cut that goes through several headings, without friction and acceleration:
   * the greatest for each. In proportion to the depth. N
   * @param headingsRad  left out: the worst direction
   */
  along(
    cut: SteadyCut,
    headingsRad: readonly (number | undefined)[] = [undefined],
  ): PerLoadedAxis<number> {
    for (const axis of LOADED_AXES) this.out[axis][0] = 0;
    this.gather(this.out, cut, headingsRad);
    return perLoadedAxis((axis) =>
      Math.max(0, this.out[axis][0]! - this.axes[axis].members[0]!.motionN),
    );
  }
}
