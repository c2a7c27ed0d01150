import type { Pt, Pt3 } from './edges.js';

export type { Pt3 };

/**
 * What a program does, in order, independent of how it was written. All lengths mm (inch programs
 * are converted), feeds mm/min, seconds, rev/min. `line` is the 1-based line of the text.
 * Positions are those of the active work system; where it is moved, an `origin-offsets` op says
 * by how much and the next op's `from` is the same place in the new system.
 */
export type CanonicalOp =
  | RapidOp
  | FeedOp
  | ArcOp
  | ProbeOp
  | Op<'dwell', { seconds: number }>
  /** `on` is `direction !== 'off'`; rpm is the speed set, whether turning or not. */
  | Op<'spindle', { rpm: number; on: boolean; direction: 'cw' | 'ccw' | 'off' }>
  | Op<'spindle-speed', { rpm: number }>
  /** F as the control takes it from here on, mm/min. */
  | Op<'feed-rate', { feedMmPerMin: number }>
  /** M0, M1 (optional) or M60; the message is the comment just before it, or empty. */
  | Op<'stop', { message: string; optional: boolean }>
  | Op<'end'>
  | Op<'message', { text: string }>
  | Op<'plane', { plane: ArcPlane }>
  | Op<'units', { units: 'mm' | 'inch' }>
  /** Sum of the active work origin and the G92 offset, mm in machine coordinates. */
  | Op<'origin-offsets', { offsetMm: Pt3 }>
  /** `toleranceMm`: how far a continuous path may be left (G64 P); left out where it is not said. */
  | Op<'path-mode', { mode: 'exact-path' | 'exact-stop' | 'continuous'; toleranceMm?: number }>
  | Op<'coolant', { kind: 'mist' | 'flood'; on: boolean }>
  | Op<'overrides', { enabled: boolean }>
  | Op<'select-tool' | 'change-tool', { slot: number }>
  /** Slot 0: none (G49, or G43 H0). */
  | Op<'tool-length', { offsetMm: number; slot: number }>
  /** Spindle turned to a fixed angle and held (back boring, G87). */
  | Op<'orient-spindle', { angleRad: number }>
  /** Feed locked to the spindle (tapping, G84). */
  | Op<'spindle-sync', { on: boolean }>;

type Op<K extends string, Figures = unknown> = {
  readonly op: K;
  readonly line: number;
} & Readonly<Figures>;

/** Machine motion from one place to another. */
interface Moving<K extends string> {
  readonly op: K;
  readonly line: number;
  readonly from: Pt3;
  readonly to: Pt3;
}

export type ArcPlane = 'xy' | 'xz' | 'yz';

/** `machine` is true for a G53 move and for the way to the stored position of G28 and G30: the
 *  target is in machine coordinates, so `to` is only as true as the work origin that the reader was
 *  told. */
export interface RapidOp extends Moving<'rapid'> {
  readonly machine?: boolean;
}

/** spindleRpm is 0 while the spindle stands still. */
export interface FeedOp extends Moving<'feed'> {
  readonly feedMmPerMin: number;
  readonly spindleRpm: number;
  readonly machine?: boolean;
}

/** A move at a feed. */
export type FeedMove = FeedOp | ArcOp;

export function isFeedMove(op: CanonicalOp): op is FeedMove {
  return op.op === 'feed' || op.op === 'arc';
}

/** Arc or helix; `to` equal to `from` in the plane is a full turn. */
export interface ArcOp extends Moving<'arc'> {
  readonly plane: ArcPlane;
  /** Centre in the arc's plane: [x, y], [x, z] or [y, z]. */
  readonly center: Pt;
  /** Counter-clockwise as G3 means it: seen from the positive end of the axis normal to the plane
   *  (+Z, +Y, +X). In the XZ plane that turns from +Z to +X, so it looks clockwise on a drawing
   *  with X right and Z up. */
  readonly ccw: boolean;
  readonly feedMmPerMin: number;
  readonly spindleRpm: number;
  /** Difference of the two radii, mm. */
  readonly radiusErrorMm: number;
  /** Given by its radius, R, and not by its centre; left out otherwise. */
  readonly byRadius?: true;
}

/** Straight probe towards `to`; read back as if it had reached it. */
export interface ProbeOp extends Moving<'probe'> {
  readonly feedMmPerMin: number;
}

/** A code that does something else on this class than a program would mean by it. */
export interface SurpriseCode {
  /** "M30", "G28". */
  readonly code: string;
  readonly effect: string;
  readonly severity: 'danger' | 'warning';
  /** What to do; without it the code is to be removed. */
  readonly fix?: string | null;
}

/** Capability class of a motion control, described by what it can do. */
export interface Controller {
  readonly id: string;
  /** Other names that a machine file may use for it. */
  readonly alsoCalled: readonly string[];
  readonly title: string;
  /** One line on what kind of control this is, without naming any. */
  readonly description: string;
  /** What the person must set or know before running a program, one sentence each. */
  readonly setUp: readonly string[];
  /** Characters of a line, without the line end. */
  readonly maxLineLength: number;
  /** What happens to a longer line: refused with an error, or cut and run all the same. */
  readonly longLines: 'refused' | 'cut';
  readonly parenComments: boolean;
  readonly semicolonComments: boolean;
  readonly messageComments: boolean;
  /** Words or signs at the head of a comment in parentheses that make the control act on it. */
  readonly activeComments: readonly string[];
  /** What follows a comment in parentheses on the same line is dropped. */
  readonly commentCutsLine: boolean;
  /** Characters that act at once wherever they stand, also inside a comment. */
  readonly liveCharacters: string;
  /** Bytes above 127 act at once. */
  readonly liveBytes: boolean;
  /** A line that starts with one of these is a system command. */
  readonly systemLineStarts: string;
  readonly lowerCaseLines: 'same' | 'system';
  readonly percentLines: boolean;
  readonly blockDelete: 'yes' | 'ignored' | 'error';
  readonly lineNumbers: 'ok' | 'checked';
  readonly helicalArcs: boolean;
  readonly radiusArcs: boolean;
  /** Larger arcs lose precision and are written as lines. mm. */
  readonly maxArcRadiusMm: number;
  readonly workOffset: boolean;
  /** G53 known, and trusted when the machine is homed. */
  readonly machineCoordinates: boolean;
  /** Both ways of giving arc centres are known, so the program must say which (G91.1). */
  readonly arcCentreModeWord: boolean;
  readonly cutterCompensationCancelWord: boolean;
  readonly toolLengthCancelWord: boolean;
  readonly cannedCycleCancelWord: boolean;
  readonly feedModeWord: boolean;
  readonly planeWord: boolean;
  /** G28 and G30 with axis words drive those axes alone to the stored position, not all. */
  readonly homesNamed: boolean;
  /** Axis words without a G word repeat the last motion. */
  readonly impliedMotion: boolean;
  /** G0 to G3 without an axis word are accepted and change the mode only. */
  readonly bareMotionWord: boolean;
  /** Words are carried out from left to right, not in the standard's order. */
  readonly leftToRight: boolean;
  /** Two codes of one modal group on a line are refused. */
  readonly modalConflictsRefused: boolean;
  readonly dwellUnit: 's' | 'ms';
  readonly spindleUnit: 'rpm' | 'pwm255';
  readonly programEnd: 'M2' | 'M30';
  /** True where an end code of the other kind deletes a file or does something else that hurts. */
  readonly m30Deletes: boolean;
  /** The end code puts the modes back as RS274/NGC 3.6.1 says. */
  readonly endResetsModes: boolean;
  readonly pathControl: 'none' | 'g61' | 'g64p';
  readonly probe: boolean;
  readonly parameters: boolean;
  readonly maxBlocksPerS: number;
  readonly xyDecimals: number;
  readonly ijDecimals: number;
  /** Codes that the class knows, "G38.2", "M3". */
  readonly codes: readonly string[];
  readonly surprises: readonly SurpriseCode[];
  /** What the class as a whole was described from. */
  readonly source: string;
  /** Source of each field, by its name. */
  readonly sources: Readonly<Record<string, string>>;
}

/** Whether the top of travel is found in machine coordinates: homed, and a control that knows them. */
export function knowsTop(homed: boolean | undefined, controller: Controller): boolean {
  return homed === true && controller.machineCoordinates;
}
