import type { ArcPlane, Pt3 } from '../../../model/op.js';
import { MAX_PARAMETER } from './expression.js';
import type { ArcRule } from './arcs.js';
import type { Dialect } from './block.js';
import { ReaderFault } from './errors.js';

export const MM_PER_INCH = 25.4;

/** Slot of the tool table. */
export interface ToolSlot {
  readonly lengthMm: number;
  /** null: not known, and then no move under cutter radius compensation can be read. */
  readonly diameterMm: number | null;
}

/** Number of slots in the tool changer, as in the report's own set-up. */
const TOOL_SLOTS = 68;

export const G80 = 800;

/**
 * The interpreter's world (2.2, 3.2). Positions are in program units of the active work system, as
 * the program sees them; offsets are in mm of the machine, so that they stay where they are when
 * the units change.
 */
export interface State {
  x: number;
  y: number;
  z: number;
  /** 1 or 25.4. */
  mmPerUnit: number;
  /** Last position as handed out, mm; shared by the `to` of one op and the `from` of the next. */
  point: Pt3;
  plane: ArcPlane;
  absolute: boolean;
  inverseTime: boolean;
  /** Active motion code, ten times G; G80 when there is none. */
  motion: number;
  /** Units per minute. */
  feed: number;
  rpm: number;
  spindle: 'cw' | 'ccw' | 'off';
  mist: boolean;
  flood: boolean;
  overrides: boolean;
  pathMode: 'exact-path' | 'exact-stop' | 'continuous';
  /** 1 to 9 for G54 to G59.3. */
  workSystem: number;
  /** Origin of the active work system, mm in machine coordinates. A parameter that is set by hand
   *  counts when its system is next selected (3.2.2, table 2). */
  readonly origin: Float64Array;
  /** Axis offsets of G92 in force, mm. */
  readonly shift: Float64Array;
  toolLengthMm: number;
  selectedTool: number;
  tool: number;
  comp: 'off' | 'left' | 'right';
  compRadiusMm: number | null;
  /** Where the programmed path is while the cutter runs beside it; null before the first move. */
  compFrom: readonly [x: number, y: number] | null;
  retractToOld: boolean;
  readonly cycle: { r: number; z: number; p: number; q: number; i: number; j: number; k: number };
  /** 5400 numbers; those of LENGTHS are kept in mm. */
  readonly parameters: Float64Array;
  /** 1 where the program itself has given the parameter its value. */
  readonly known: Uint8Array;
}

export function createState(): State {
  const state: State = {
    x: 0,
    y: 0,
    z: 0,
    mmPerUnit: 1,
    point: [0, 0, 0],
    plane: 'xy',
    absolute: true,
    inverseTime: false,
    motion: G80,
    feed: 0,
    rpm: 0,
    spindle: 'off',
    mist: false,
    flood: false,
    overrides: true,
    pathMode: 'continuous',
    workSystem: 1,
    origin: new Float64Array(3),
    shift: new Float64Array(3),
    toolLengthMm: 0,
    selectedTool: 0,
    tool: 0,
    comp: 'off',
    compRadiusMm: null,
    compFrom: null,
    retractToOld: true,
    cycle: { r: 0, z: 0, p: 0, q: 0, i: 0, j: 0, k: 0 },
    parameters: new Float64Array(MAX_PARAMETER + 1),
    known: new Uint8Array(MAX_PARAMETER + 1),
  };
  state.parameters[5220] = 1;
  return state;
}

const G28_HOME = 5161;
const G30_HOME = 5181;
const PROBED = 5061;
const SHIFT = 5211;
const SYSTEM_1 = 5221;
const SYSTEM_STEP = 20;

/** Parameters that are lengths (table 2): kept in mm, seen by the program in its own units. */
const LENGTHS = new Uint8Array(MAX_PARAMETER + 1);
for (const first of [PROBED, G28_HOME, G30_HOME, SHIFT]) LENGTHS.fill(1, first, first + 3);
for (let system = 0; system < 9; system++) {
  LENGTHS.fill(1, SYSTEM_1 + SYSTEM_STEP * system, SYSTEM_1 + SYSTEM_STEP * system + 3);
}

export function readParameter(state: State, index: number): number {
  const value = state.parameters[index] as number;
  return LENGTHS[index] === 1 ? value / state.mmPerUnit : value;
}

export function setParameter(state: State, index: number, value: number): void {
  state.parameters[index] = LENGTHS[index] === 1 ? value * state.mmPerUnit : value;
  // Where a probe will trip nobody knows beforehand.
  if (index < PROBED || index >= PROBED + 3) state.known[index] = 1;
}

/** Origin of the active system plus the G92 offset on one axis (0, 1, 2), mm in the machine. */
export function offsetMm(state: State, axis: number): number {
  return (state.origin[axis] as number) + (state.shift[axis] as number);
}

/** Takes the origin of the active work system from its parameters. */
export function loadOrigin(state: State): void {
  const first = originIndex(state.workSystem);
  for (let axis = 0; axis < 3; axis++)
    state.origin[axis] = state.parameters[first + axis] as number;
}

/** Parameter that holds the X origin of a work system 1 to 9. */
export function originIndex(system: number): number {
  return SYSTEM_1 + SYSTEM_STEP * (system - 1);
}

export const SHIFT_INDEX = SHIFT;
export const PROBED_INDEX = PROBED;

/** Parameter that holds the X of the stored position of G28 or G30. */
export function homeIndex(code10: number): number {
  return code10 === 280 ? G28_HOME : G30_HOME;
}

/** Machine coordinate (program units) -> coordinate of the active system. */
export function fromMachine(state: State, axis: number, value: number): number {
  const lengthMm = axis === 2 ? state.toolLengthMm : 0;
  return value - (offsetMm(state, axis) + lengthMm) / state.mmPerUnit;
}

export function isSpindleOn(state: State): boolean {
  return state.spindle !== 'off';
}

/** What the control knows that the program does not say. */
export interface Surroundings {
  readonly arcRule: ArcRule;
  readonly dialect: Dialect;
  readonly toolSlot: (slot: number) => ToolSlot;
  /** Remarks since the last line that did something; shown with a stop. */
  readonly remark: () => string;
}

/** @throws ReaderFault value-range when there is no such slot */
export function checkSlot(slot: number, word: string, at: number): void {
  if (slot > TOOL_SLOTS) {
    throw new ReaderFault('value-range', `${word}${slot}; slots run to ${TOOL_SLOTS}`, at);
  }
}
