import type { ArcPlane, CanonicalOp, Controller, Pt3 } from '../../../model/op.js';
import type { ArcRule } from './arcs.js';
import type { ProgramError } from './errors.js';
import type { ToolSlot, State } from './state.js';
import { nameOfG } from './codes.js';

/** Limits that keep a hostile or broken file from taking the machine with it. */
export const LIMITS = {
  /** Characters of a line, RS274/NGC 3.3. */
  lineLength: 256,
  characters: 16_000_000,
  lines: 500_000,
  /** Actions, after canned cycles are expanded. */
  ops: 1_000_000,
  /** Of these, actions out of canned cycles: one short line can ask for any number. */
  cycleOps: 100_000,
  /** Errors gathered before reading stops even when asked to go on. */
  errors: 100,
} as const;

export interface ReadOptions {
  /** 'stop' (default): nothing after the first error is read. 'collect': a line with an error is
   *  skipped and reading goes on, so later positions may be wrong; for a list of faults only. */
  readonly onError?: 'stop' | 'collect';
  /** The lines are not a whole file: no end code is required, and M2 does not end the reading. */
  readonly fragment?: boolean;
  /** The switch that skips lines starting with a slash. Default off: they are carried out. */
  readonly blockDelete?: boolean;
  /** Default 'nist'. */
  readonly arcRule?: ArcRule;
  /** Reads what this control class accepts beyond the standard. Default: the standard alone. */
  readonly controller?: Controller;
  /** Machine coordinates of the work zero of G54, mm, where they are known. Default 0 0 0. */
  readonly workOriginMm?: Pt3;
  /** Where the machine stands at the start, in the work system. Default 0 0 0. */
  readonly startMm?: Pt3;
  /** Tool table by slot. Default: lengths zero, diameters not known. */
  readonly tools?: Readonly<Record<number, ToolSlot>>;
  readonly limits?: Partial<Record<keyof typeof LIMITS, number>>;
}

/** A figure that the program takes from the control without having put it there; read as zero. */
export interface UnknownValue {
  readonly line: number;
  /** "#500", "G92.3". */
  readonly what: string;
}

/** Modes when reading ended: what the program leaves behind. */
export interface ModalState {
  /** Active motion code, "G1"; "G80" when none. */
  readonly motion: string;
  readonly plane: ArcPlane;
  readonly units: 'mm' | 'inch';
  readonly distance: 'absolute' | 'incremental';
  readonly feedMode: 'per-minute' | 'inverse-time';
  readonly feedMmPerMin: number;
  readonly rpm: number;
  readonly spindle: 'cw' | 'ccw' | 'off';
  readonly coolant: { readonly mist: boolean; readonly flood: boolean };
  /** "G54" to "G59.3". */
  readonly workSystem: string;
  readonly shiftMm: Pt3;
  readonly toolLengthMm: number;
  readonly cutterCompensation: 'off' | 'left' | 'right';
  readonly cycleRetract: 'old-z' | 'r-plane';
  readonly pathMode: 'exact-path' | 'exact-stop' | 'continuous';
  readonly overrides: boolean;
  readonly toolSlot: number;
  /** Position in the active work system, mm. */
  readonly position: Pt3;
}

/** A mode that a program should state before it moves. */
export type StatedMode =
  'units' | 'distance' | 'plane' | 'feedMode' | 'workOffset' | 'cutterRadius';

export interface ReadResult {
  readonly ops: readonly CanonicalOp[];
  /** Empty when the program is good. */
  readonly errors: readonly ProgramError[];
  readonly modal: ModalState;
  /** Modes just before M2 or M30 put them back; null when the program has no such end. */
  readonly modalBeforeEnd: ModalState | null;
  /** In the order they were switched to; empty when the program never says. */
  readonly unitsSeen: readonly ('mm' | 'inch')[];
  /** Modes that had been stated when the first move came (or by the end, without a move). */
  readonly statedBeforeMotion: readonly StatedMode[];
  readonly firstMotionLine: number | null;
  /** Distance mode of the first move. */
  readonly firstMotionDistance: 'absolute' | 'incremental' | null;
  /** In order, each kind once. */
  readonly unknownValues: readonly UnknownValue[];
  /** Lines in the text, and the last one that was read. */
  readonly lineCount: number;
  readonly lastLineRead: number;
  /** How the program ended; null when it did not. */
  readonly end: 'M2' | 'M30' | 'percent' | null;
}

/** The interpreter's modes as the outside sees them. */
export function modalOf(state: State): ModalState {
  const system = state.workSystem;
  return {
    motion: nameOfG(state.motion),
    plane: state.plane,
    units: state.mmPerUnit === 1 ? 'mm' : 'inch',
    distance: state.absolute ? 'absolute' : 'incremental',
    feedMode: state.inverseTime ? 'inverse-time' : 'per-minute',
    feedMmPerMin: state.feed * state.mmPerUnit,
    rpm: state.rpm,
    spindle: state.spindle,
    coolant: { mist: state.mist, flood: state.flood },
    workSystem: system <= 6 ? `G${53 + system}` : `G59.${system - 6}`,
    shiftMm: [state.shift[0]!, state.shift[1]!, state.shift[2]!],
    toolLengthMm: state.toolLengthMm,
    cutterCompensation: state.comp,
    cycleRetract: state.retractToOld ? 'old-z' : 'r-plane',
    pathMode: state.pathMode,
    overrides: state.overrides,
    toolSlot: state.tool,
    position: state.point,
  };
}
