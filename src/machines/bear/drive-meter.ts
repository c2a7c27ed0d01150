/** The drives of X and Y, asked about one cut after the other; what depends on the spindle speed alone
 *  is reckoned once a speed. */
import { exp } from '../../maths/elementary.js';
import type { EngagementInterval, Machine } from '../../model/machine.js';
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

const AXES = ['x', 'y'] as const;
type PerLoadedAxis<T> = Readonly<Record<'x' | 'y', T>>;

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
    for (const axis of AXES) {
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
    const made = {
      x: driveResponse(this.axes.x, spindleRpm, swings),
      y: driveResponse(this.axes.y, spindleRpm, swings),
    };
    this.bySpeed.set(spindleRpm, made);
    return made;
  }
}

/** Odds over everything that is not known of the drives. */
export class DriveOdds extends Meter {
  constructor(machine: Machine) {
    const feed = machine.maxFeedMmPerMin;
    super({ x: driveAxisOf(machine, 'x', feed), y: driveAxisOf(machine, 'y', feed) });
  }

  /** Demands of nothing yet: the greatest of what is {@link add}ed gathers in them. N */
  none(): PerLoadedAxis<Float64Array> {
    const empty = (axis: 'x' | 'y') => new Float64Array(this.axes[axis].members.length);
    return { x: empty('x'), y: empty('y') };
  }

  /** Demands of moving alone, without any cut: friction and acceleration. N */
  moving(): PerLoadedAxis<Float64Array> {
    const of = (axis: 'x' | 'y') =>
      Float64Array.from(this.axes[axis].members, (member) => member.motionN);
    return { x: of('x'), y: of('y') };
  }

  /** A cut in its worst direction. */
  add(into: PerLoadedAxis<Float64Array>, cut: SteadyCut): void {
    this.gather(into, cut, [undefined]);
  }

  /** Thrust of each axis with a risk of having less. N */
  thrustN(risk: number): { readonly x: number; readonly y: number } {
    return { x: driveThrustN(this.axes.x, risk), y: driveThrustN(this.axes.y, risk) };
  }

  /** Probability that both axes keep their steps, with thrusts so many sigmas higher than known. */
  hold(demands: PerLoadedAxis<Float64Array>, sigmas = 0): number {
    const drives = AXES.map((name) => {
      const axis = this.axes[name];
      const thrustN = axis.thrustN * exp(axis.sigma * sigmas);
      return { axis: { ...axis, thrustN }, demandsN: demands[name] };
    });
    return driveHoldsProbability(drives);
  }

  /** One figure for each axis, to be held against its thrust at a risk. N */
  demandN(demands: PerLoadedAxis<Float64Array>): { readonly x: number; readonly y: number } {
    const of = (axis: 'x' | 'y') => driveDemandN(this.axes[axis], demands[axis]);
    return { x: of('x'), y: of('y') };
  }
}

/** Share of the accepted risk that the drives may take. */
const DRIVE_RISK_SHARE = 0.3;

/** Risk of losing steps that both drives together may take, and so either of them at most. */
export const driveRisk = (riskShare: number): number => DRIVE_RISK_SHARE * riskShare;

/** Demand that cutting may make of each drive at a risk of losing steps. N, 0 or more */
export function driveForceN(machine: Machine, risk: number): { x: number; y: number } {
  const feed = machine.maxFeedMmPerMin;
  const left = (axis: 'x' | 'y'): number => {
    const drive = middleDriveOf(machine, axis, feed);
    return Math.max(0, driveThrustN(drive, risk) - drive.members[0]!.motionN);
  };
  return { x: left('x'), y: left('y') };
}

/** Cutting part of the demand on drives as the profile has them: loads to compare and to learn from. */
export class DriveLoad extends Meter {
  private readonly out = { x: new Float64Array(1), y: new Float64Array(1) };

  constructor(machine: Machine) {
    super({ x: middleDriveOf(machine, 'x'), y: middleDriveOf(machine, 'y') });
  }

  /**
   * Demand on X and Y of a cut that goes through several headings, without friction and acceleration:
   * the greatest for each. In proportion to the depth. N
   * @param headingsRad  left out: the worst direction
   */
  along(
    cut: SteadyCut,
    headingsRad: readonly (number | undefined)[] = [undefined],
  ): { x: number; y: number } {
    for (const axis of AXES) this.out[axis][0] = 0;
    this.gather(this.out, cut, headingsRad);
    const most = (axis: 'x' | 'y') =>
      Math.max(0, this.out[axis][0]! - this.axes[axis].members[0]!.motionN);
    return { x: most('x'), y: most('y') };
  }
}
