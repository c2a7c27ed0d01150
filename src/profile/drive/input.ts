import type { Service } from '../../model/job.js';

/** What is known of a drive. The new sprocket is the driving wheel; the other wheel is driven. */
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

/** Where the chain books print what the sections share. */
export const CATALOGUES = 'Mott, Machine Elements in Mechanical Design, chain drives';
