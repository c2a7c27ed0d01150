import type { Pt } from '../profile/edges.js';

/** Position in the active work system, mm. */
export type Pt3 = readonly [x: number, y: number, z: number];

/**
 * What a program does, in order, independent of how it was written. All lengths mm (inch programs
 * are converted), feeds mm/min. `line` is the 1-based line of the text.
 */
export type CanonicalOp =
  | { readonly op: 'rapid'; readonly line: number; readonly from: Pt3; readonly to: Pt3 }
  | {
      readonly op: 'feed';
      readonly line: number;
      readonly from: Pt3;
      readonly to: Pt3;
      readonly feedMmPerMin: number;
      readonly spindleRpm: number;
    }
  | {
      readonly op: 'arc';
      readonly line: number;
      readonly from: Pt3;
      readonly to: Pt3;
      readonly plane: 'xy' | 'xz' | 'yz';
      /** Centre in the arc's plane: [x, y], [x, z] or [y, z]. */
      readonly center: Pt;
      readonly ccw: boolean;
      readonly feedMmPerMin: number;
      readonly spindleRpm: number;
      /** Difference of the two radii, mm. */
      readonly radiusErrorMm: number;
    }
  | { readonly op: 'dwell'; readonly line: number; readonly seconds: number }
  | { readonly op: 'spindle'; readonly line: number; readonly rpm: number; readonly on: boolean }
  | { readonly op: 'stop'; readonly line: number; readonly message: string }
  | { readonly op: 'end'; readonly line: number };

/** Capability class of a motion control, described by what it can do. */
export interface Controller {
  readonly id: string;
  readonly title: string;
  /** One line on what kind of control this is, without naming any. */
  readonly description: string;
  readonly maxLineLength: number;
  readonly parenComments: boolean;
  readonly semicolonComments: boolean;
  readonly messageComments: boolean;
  readonly percentLines: boolean;
  readonly helicalArcs: boolean;
  readonly workOffset: boolean;
  /** G53 known, and trusted when the machine is homed. */
  readonly machineCoordinates: boolean;
  readonly arcCentreModeWord: boolean;
  readonly cutterCompensationCancelWord: boolean;
  readonly toolLengthCancelWord: boolean;
  readonly cannedCycleCancelWord: boolean;
  readonly feedModeWord: boolean;
  readonly planeWord: boolean;
  readonly dwellUnit: 's' | 'ms';
  readonly programEnd: 'M2' | 'M30';
  /** True where an end code of the other kind deletes a file or does something else that hurts. */
  readonly m30Deletes: boolean;
  readonly pathControl: 'none' | 'g61' | 'g64p';
  readonly probe: boolean;
  readonly parameters: boolean;
  readonly maxBlocksPerS: number;
  readonly xyDecimals: number;
  readonly ijDecimals: number;
  readonly source: string;
}
