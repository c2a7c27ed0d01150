/**
 * What a sprocket does to a drive, as figures with their limits and sources. The new sprocket is the
 * driving wheel; the other wheel is driven.
 */
import { driveLength } from './length-section.js';
import { driveLimits } from './limits-section.js';
import { driveLoad } from './load-section.js';
import type { Service } from './rating.js';
import { driveRating } from './rating-section.js';
import { driveSpeed } from './speed-section.js';
import type { FigureSection } from '../../model/figure.js';

export interface DriveInput {
  readonly chain: {
    readonly designation: string | null;
    readonly pitchMm: number;
    readonly plateDepthMm: number | null;
    readonly minTensileN: number | null;
    readonly elongation: number;
  };
  readonly teeth: number;
  readonly otherTeeth: number;
  readonly centreDistanceMm: number;
  readonly powerKw: number;
  readonly speedRpm: number;
  readonly service: Service;
  /** Tooth count of the wheel being replaced; null where it stays. */
  readonly oldTeeth: number | null;
  /** Links of the chain that is on the drive; null where not counted. */
  readonly links: number | null;
  /** Torque of the motor when held, N m; null takes STALL_FACTOR times the rated one. */
  readonly stallTorqueNm: number | null;
  /** Whether centres are fixed (no adjustment and no tensioner). */
  readonly fixedCentres: boolean;
}

/** Sections of the drive: speeds, chain length, loads, ratings, limits. */
export function driveSections(input: DriveInput): readonly FigureSection[] {
  return [driveSpeed, driveLength, driveLoad, driveRating, driveLimits].map((part) => part(input));
}
