import type { ArcPlane, CanonicalOp, Pt3 } from '../../../model/op.js';
import { PLANES, type ArcGeometry, type ArcRule } from './arcs.js';
import { codeColumn, createBlock, nameOfG, type Dialect } from './block.js';
import { MAX_PARAMETER } from './expression.js';
import { refuse } from './errors.js';

/** Slot of the tool table. */
export interface ToolSlot {
  readonly lengthMm: number;
  /** null: not known, and then no move under cutter radius compensation can be read. */
  readonly diameterMm: number | null;
}

/** Number of slots in the tool changer, as in the report's own set-up. */
const TOOL_SLOTS = 68;

export const G80 = 800;

/** What the control knows that the program does not say, and how many actions are too many. */
export interface Surroundings {
  readonly arcRule: ArcRule;
  readonly dialect: Dialect;
  readonly toolSlot: (slot: number) => ToolSlot;
  readonly maxOps: number;
  /** Of these, actions out of canned cycles. */
  readonly maxCycleOps: number;
}

export type State = ReturnType<typeof createState>;
type Direction = 'cw' | 'ccw' | 'off';

/**
 * The interpreter's world (2.2, 3.2), the line at hand, and what was done so far. Positions are in
 * program units of the active work system, as the program sees them; offsets are in mm of the
 * machine, so that they stay where they are when the units change.
 */
export function createState(around: Surroundings) {
  const parameters = new Float64Array(MAX_PARAMETER + 1);
  parameters[5220] = 1;
  return {
    around,
    block: createBlock(),
    line: 0,
    ops: [] as CanonicalOp[],
    /** Number of actions at which it is too much: set lower while a cycle is carried out. */
    ceiling: around.maxOps,
    /** Actions that canned cycles have come to, without the cycle being carried out. */
    cycleOps: 0,
    /** Comments since the last line that did something; shown with a stop. */
    remarks: '',
    x: 0,
    y: 0,
    z: 0,
    /** 1 or 25.4. */
    mmPerUnit: 1,
    /** Last position as handed out, mm; shared by the `to` of one op and the `from` of the next. */
    point: [0, 0, 0] as Pt3,
    plane: 'xy' as ArcPlane,
    absolute: true,
    inverseTime: false,
    /** G90.1: I, J and K are places, not offsets from the start. */
    absoluteCentres: false,
    /** Active motion code, ten times G; G80 when there is none. */
    motion: G80,
    /** Units per minute. */
    feed: 0,
    rpm: 0,
    spindle: 'off' as Direction,
    mist: false,
    flood: false,
    overrides: true,
    pathMode: 'continuous' as 'exact-path' | 'exact-stop' | 'continuous',
    /** 1 to 9 for G54 to G59.3. */
    workSystem: 1,
    /** Origin of the active work system, mm in machine coordinates. A parameter that is set by hand
     *  counts when its system is next selected (3.2.2, table 2). */
    origin: new Float64Array(3),
    /** Axis offsets of G92 in force, mm. */
    shift: new Float64Array(3),
    toolLengthMm: 0,
    selectedTool: 0,
    tool: 0,
    comp: 'off' as 'off' | 'left' | 'right',
    /** Of the cutter that the compensation is for; null where it is not known. */
    compDiameterMm: 0 as number | null,
    retractToOld: true,
    /** Words of a canned cycle that stay. */
    cycle: { R: 0, Z: 0, P: 0, Q: 0, I: 0, J: 0, K: 0 },
    /** 5400 numbers; those of LENGTHS are kept in mm. */
    parameters,
    /** 1 where the program itself has given the parameter its value. */
    known: new Uint8Array(MAX_PARAMETER + 1),
  };
}

/** The interpreter's modes as the outside sees them. */
export function modalOf(state: State) {
  const { workSystem: system, shift } = state;
  return {
    /** Active motion code, "G1"; "G80" when none. */
    motion: nameOfG(state.motion),
    plane: state.plane,
    units: state.mmPerUnit === 1 ? 'mm' : 'inch',
    distance: state.absolute ? 'absolute' : 'incremental',
    arcCentres: state.absoluteCentres ? 'places' : 'offsets',
    feedMode: state.inverseTime ? 'inverse-time' : 'per-minute',
    feedMmPerMin: state.feed * state.mmPerUnit,
    rpm: state.rpm,
    spindle: state.spindle,
    coolant: { mist: state.mist, flood: state.flood },
    /** "G54" to "G59.3". */
    workSystem: systemName(system),
    shiftMm: [shift[0]!, shift[1]!, shift[2]!] as Pt3,
    toolLengthMm: state.toolLengthMm,
    cutterCompensation: state.comp,
    cycleRetract: state.retractToOld ? 'old-z' : 'r-plane',
    pathMode: state.pathMode,
    overrides: state.overrides,
    /** Position in the active work system, mm. */
    position: state.point,
  } as const;
}

const G28_HOME = 5161;
const G30_HOME = 5181;
/** Parameters that hold the X of the last probed point, and of the offset of G92. */
export const PROBED = 5061;
export const SHIFT = 5211;
const SYSTEM_1 = 5221;
const SYSTEM_STEP = 20;

/** Parameter that holds the X origin of a work system 1 to 9. */
export const originIndex = (system: number): number => SYSTEM_1 + SYSTEM_STEP * (system - 1);

/** The offset that a parameter is part of, by the code that uses it: G28, G30, G92, or a work system;
 *  null for any other. 5220 is which system is active. */
export function offsetAt(index: number): string | null {
  const within = (first: number): boolean => index >= first && index < first + 3;
  if (within(G28_HOME)) return 'G28';
  if (within(G30_HOME)) return 'G30';
  if (within(SHIFT)) return 'G92';
  if (index === SYSTEM_1 - 1) return 'the active work system';
  const system = 1 + Math.floor((index - SYSTEM_1) / SYSTEM_STEP);
  return system >= 1 && system <= 9 && within(originIndex(system)) ? systemName(system) : null;
}

/** "G54" to "G59.3" for 1 to 9. */
function systemName(system: number): string {
  return system <= 6 ? `G${53 + system}` : `G59.${system - 6}`;
}

/** Parameter that holds the X of the stored position of G28 or G30. */
export const homeIndex = (code10: number): number => (code10 === 280 ? G28_HOME : G30_HOME);

/** Parameters that are lengths (table 2): kept in mm, seen by the program in its own units. */
const LENGTHS = new Uint8Array(MAX_PARAMETER + 1);
const ORIGINS = Array.from({ length: 9 }, (_, i) => originIndex(i + 1));
for (const first of [PROBED, G28_HOME, G30_HOME, SHIFT, ...ORIGINS]) {
  LENGTHS.fill(1, first, first + 3);
}

export function readParameter(state: State, index: number): number {
  const value = state.parameters[index]!;
  return LENGTHS[index] === 1 ? value / state.mmPerUnit : value;
}

export function setParameter(state: State, index: number, value: number): void {
  state.parameters[index] = LENGTHS[index] === 1 ? value * state.mmPerUnit : value;
  // Where a probe will trip nobody knows beforehand.
  if (index < PROBED || index >= PROBED + 3) state.known[index] = 1;
}

/** Origin of the active system plus the G92 offset on one axis (0, 1, 2), mm in the machine. */
function offsetMm({ origin, shift }: State, axis: number): number {
  return origin[axis]! + shift[axis]!;
}

/** Takes the origin of the active work system from its parameters. */
export function loadOrigin({ workSystem, parameters, origin }: State): void {
  const first = originIndex(workSystem);
  origin.set(parameters.subarray(first, first + 3));
}

export function selectSystem(state: State, system: number): void {
  state.workSystem = system;
  state.parameters[5220] = system;
  loadOrigin(state);
}

/** Machine coordinate (program units) -> coordinate of the active system. */
export function fromMachine(state: State, axis: number, value: number): number {
  const lengthMm = axis === 2 ? state.toolLengthMm : 0;
  return value - (offsetMm(state, axis) + lengthMm) / state.mmPerUnit;
}

/** @throws ReaderFault value-range when there is no such slot */
export function checkSlot(slot: number, word: string, at: number): number {
  if (slot <= TOOL_SLOTS) return slot;
  refuse('value-range', `${word}${slot}; slots run to ${TOOL_SLOTS}`, at);
}

/** @throws ReaderFault cutter-comp where `what` may not be done while compensation is on */
export function refuseComp(state: State, group: number, what: string) {
  if (state.comp === 'off') return;
  const at = codeColumn(state.block, group);
  refuse('cutter-comp', `${what} under cutter radius compensation`, at);
}

export function push(state: State, op: CanonicalOp): void {
  const { ops, ceiling } = state;
  if (ops.length >= ceiling) {
    const { maxOps, maxCycleOps } = state.around;
    const what =
      ceiling < maxOps
        ? `more than ${maxCycleOps} actions out of canned cycles`
        : `more than ${maxOps} actions in the program`;
    refuse('limit', what, 0);
  }
  ops.push(op);
}

/** Sets the position (program units) and returns it in mm. */
export function moveState(state: State, x: number, y: number, z: number): Pt3 {
  const scale = state.mmPerUnit;
  const point: Pt3 = [x * scale, y * scale, z * scale];
  if (!Number.isFinite(point[0] + point[1] + point[2])) {
    refuse('arithmetic', 'the position is not a finite number', 0);
  }
  state.x = x;
  state.y = y;
  state.z = z;
  state.point = point;
  return point;
}

export function rapidTo(state: State, end: Pt3, machine = false): void {
  const { line, point: from } = state;
  const to = moveState(state, end[0], end[1], end[2]);
  push(state, machine ? { op: 'rapid', line, from, to, machine } : { op: 'rapid', line, from, to });
}

const turningRpm = ({ spindle, rpm }: State): number => (spindle === 'off' ? 0 : rpm);

/** Straight feed at `feedPerMin` program units a minute. */
export function feedTo(state: State, end: Pt3, feedPerMin: number, machine = false): void {
  const { line, point: from } = state;
  const to = moveState(state, end[0], end[1], end[2]);
  const feedMmPerMin = feedPerMin * state.mmPerUnit;
  const spindleRpm = turningRpm(state);
  const op: CanonicalOp = { op: 'feed', line, from, to, feedMmPerMin, spindleRpm };
  push(state, machine ? { ...op, machine } : op);
}

export function arcTo(
  state: State,
  arc: ArcGeometry,
  ccw: boolean,
  end: Pt3,
  feedPerMin: number,
): void {
  const { line, point: from, plane, mmPerUnit: scale } = state;
  const to = moveState(state, end[0], end[1], end[2]);
  const c0 = arc.c[0] * scale;
  const c1 = arc.c[1] * scale;
  const op: CanonicalOp = {
    op: 'arc',
    line,
    from,
    to,
    plane,
    center: PLANES[plane].from < PLANES[plane].to ? [c0, c1] : [c1, c0],
    ccw,
    feedMmPerMin: feedPerMin * scale,
    spindleRpm: turningRpm(state),
    radiusErrorMm: arc.radiusError * scale,
  };
  push(state, arc.byRadius ? { ...op, byRadius: true } : op);
}

export function setSpindle(state: State, direction: Direction): void {
  const { line, rpm } = state;
  state.spindle = direction;
  push(state, { op: 'spindle', line, rpm, on: direction !== 'off', direction });
}

export function setPathMode(
  state: State,
  mode: State['pathMode'],
  toleranceMm: number | null = null,
): void {
  const { line } = state;
  state.pathMode = mode;
  push(state, { op: 'path-mode', line, mode, ...(toleranceMm !== null && { toleranceMm }) });
}

/** Position again in mm after the units or the work system have changed; nothing moves. */
export function refreshPoint(state: State): void {
  moveState(state, state.x, state.y, state.z);
}

/** Says where the origin is after it was moved. */
export function originMoved(state: State): void {
  refreshPoint(state);
  const offset: Pt3 = [offsetMm(state, 0), offsetMm(state, 1), offsetMm(state, 2)];
  push(state, { op: 'origin-offsets', line: state.line, offsetMm: offset });
}
