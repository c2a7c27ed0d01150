/** What a replay is given and what it reports. */
import type { CutConditions } from '../../../machines/load/load.js';
import type { CanonicalOp } from '../../../model/op.js';
import type { Machine } from '../../../model/machine.js';
import type { DistanceField } from '../../../profile/geometry/distance-field.js';
import type { BlankHole } from '../stock-front.js';

/** What is on the machine, as far as the replay needs to know. */
export interface ReplaySetup {
  readonly machine: Machine;
  /** Cutting conditions; speed and axial depth are taken from the program. */
  readonly conditions: Omit<CutConditions, 'spindleRpm' | 'axialDepthMm'>;
  /** Radius of the blank at its largest, centring error included. mm */
  readonly blankRadiusMm: number;
  readonly thicknessMm: number;
  readonly holes: readonly BlankHole[];
  /** What was cut before the program begins: it shapes the stock, and nothing is reported of it. */
  readonly before?: readonly CanonicalOp[];
  /** Signed distance to the finished outline, positive in air; null when there is none to keep. */
  readonly field: DistanceField | null;
  /** Points of the finished outline at which leftover is looked for: flat [x0, y0, ...]. */
  readonly outlinePoints: Float64Array;
}

export type FindingCode =
  'plunge' | 'ramp' | 'rapid-in-material' | 'spindle-stopped' | 'holder' | 'travel';

export interface ReplayFinding {
  readonly line: number;
  readonly code: FindingCode;
  readonly text: string;
  readonly value: number | null;
}

/** Measured at each operation of the program; index as in the list of operations. */
export interface OpLoads {
  readonly engagementRad: Float64Array;
  readonly xN: Float64Array;
  readonly yN: Float64Array;
  readonly resultantN: Float64Array;
  readonly chipMm: Float64Array;
  /** Thickness of material met, mm. */
  readonly axialMm: Float64Array;
  readonly powerW: Float64Array;
}

export interface Measured<T = number> {
  readonly value: T;
  readonly line: number;
}

export interface ReplayReport {
  readonly loads: OpLoads;
  readonly peakEngagementRad: Measured;
  readonly peakForceN: { readonly x: Measured; readonly y: Measured };
  readonly peakChipMm: Measured;
  readonly peakPowerW: Measured;
  readonly peakAxialMm: Measured;
  /** Deepest cut into the finished outline. mm, 0 or more */
  readonly gougeMm: Measured;
  /** Deepest cut of each operation into the finished outline; index as in the operations. mm */
  readonly gougesMm: Float64Array;
  /** Most stock left on the finished outline. mm; Infinity where nothing ever came near */
  readonly leftoverMm: number;
  readonly leftoverAt: readonly [x: number, y: number] | null;
  readonly worstArcRadiusErrorMm: Measured;
  readonly removedMm3: number;
  readonly findings: readonly ReplayFinding[];
  /** Positions at which the stock was asked, repeats not counted. */
  readonly samples: number;
}

export interface ReplayOptions {
  /** Distance between samples along a cut. mm */
  readonly stepMm?: number;
  /** Most work, as counted by Budget; more is a ReplayLimit. */
  readonly maxWork?: number;
  /** Operations by which the travel of the machine is judged: those replayed, unless others are
   *  given; none where the caller has judged it. */
  readonly travelOps?: readonly CanonicalOp[];
  readonly onProgress?: (done: number, of: number) => void;
}
