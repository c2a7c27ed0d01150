import type { Pt3 } from '../types.js';
import { arcGeometry, planeAxes, type ArcGeometry, type ArcRule } from './arcs.js';
import { D, F, H, has, P, S, T, valueOf, X, Y, Z, type Block, type Dialect } from './block.js';
import { G_GROUPS, M_GROUPS, nameOfG } from './codes.js';
import { runCycle } from './cycles.js';
import {
  arcTo,
  emitDwell,
  emitOrigin,
  emitPathMode,
  emitSpindle,
  feedTo,
  push,
  rapidTo,
  refreshPoint,
  type Sink,
} from './emit.js';
import { ReaderFault } from './errors.js';
import { checkWords, motionOf, NO_MOTION, requireWord } from './modal.js';
import {
  fromMachine,
  G80,
  homeIndex,
  loadOrigin,
  MM_PER_INCH,
  originIndex,
  PROBED_INDEX,
  setParameter,
  SHIFT_INDEX,
  TOOL_SLOTS,
  type State,
  type ToolSlot,
} from './state.js';

/** What the control knows that the program does not say. */
export interface Surroundings {
  readonly arcRule: ArcRule;
  readonly dialect: Dialect;
  readonly toolSlot: (slot: number) => ToolSlot;
  /** Remarks since the last line that did something; shown with a stop. */
  readonly remark: () => string;
}

/**
 * Carries out one line in the order of table 8 (3.8), whatever the order it was written in.
 * @returns the end code met (2 or 30), or null
 */
export function execute(
  sink: Sink,
  state: State,
  block: Block,
  around: Surroundings,
): 2 | 30 | null {
  const motion = motionOf(block, state, around.dialect);
  checkWords(block, state, motion, around.dialect);
  for (let i = 0; i < block.settings.length; i += 2) {
    setParameter(state, block.settings[i] as number, block.settings[i + 1] as number);
  }
  if (block.message !== null) {
    push(sink, { op: 'message', line: sink.line, text: block.message });
  }
  const mode = block.g[G_GROUPS.feedMode] as number;
  if (mode >= 0) state.inverseTime = mode === 930;
  if (has(block, F) && !state.inverseTime) setFeed(sink, state, valueOf(block, F));
  if (has(block, S)) {
    state.rpm = valueOf(block, S);
    push(sink, { op: 'spindle-speed', line: sink.line, rpm: state.rpm });
  }
  if (has(block, T)) selectTool(sink, state, block);
  if (block.mCount > 0) runMiscellaneous(sink, state, block);
  runModes(sink, state, block, around, motion);
  runNonModal(sink, state, block);
  if (motion === G80) state.motion = G80;
  else if (motion !== NO_MOTION) runMotion(sink, state, block, motion, around);
  return runStop(sink, state, block, around);
}

function setFeed(sink: Sink, state: State, feedPerMin: number): void {
  state.feed = feedPerMin;
  push(sink, {
    op: 'feed-rate',
    line: sink.line,
    feedMmPerMin: feedPerMin * state.mmPerUnit,
  });
}

function selectTool(sink: Sink, state: State, block: Block): void {
  const slot = valueOf(block, T);
  checkSlot(slot, 'T', block.columns[T] as number);
  state.selectedTool = slot;
  push(sink, { op: 'select-tool', line: sink.line, slot });
}

function checkSlot(slot: number, word: string, at: number): void {
  if (slot > TOOL_SLOTS) {
    throw new ReaderFault('value-range', `${word}${slot}; slots run to ${TOOL_SLOTS}`, at);
  }
}

/** M6, then M3 M4 M5, then M7 M8 M9, then M48 M49. */
function runMiscellaneous(sink: Sink, state: State, block: Block): void {
  const { line } = sink;
  if (block.m[M_GROUPS.toolChange] === 6) {
    state.tool = state.selectedTool;
    // The spindle stands still after a tool change (3.6.3).
    state.spindle = 'off';
    push(sink, { op: 'change-tool', line, slot: state.tool });
  }
  const spindle = block.m[M_GROUPS.spindle] as number;
  if (spindle >= 0) emitSpindle(sink, state, spindle === 3 ? 'cw' : spindle === 4 ? 'ccw' : 'off');
  const coolant = block.m[M_GROUPS.coolant] as number;
  if (coolant === 7) setCoolant(sink, state, 'mist', true);
  else if (coolant === 8) setCoolant(sink, state, 'flood', true);
  else if (coolant === 9) coolantOff(sink, state);
  const overrides = block.m[M_GROUPS.overrides] as number;
  if (overrides >= 0) {
    state.overrides = overrides === 48;
    push(sink, { op: 'overrides', line, enabled: state.overrides });
  }
}

function setCoolant(sink: Sink, state: State, kind: 'mist' | 'flood', on: boolean): void {
  state[kind] = on;
  push(sink, { op: 'coolant', line: sink.line, kind, on });
}

function coolantOff(sink: Sink, state: State): void {
  if (state.mist) setCoolant(sink, state, 'mist', false);
  if (state.flood) setCoolant(sink, state, 'flood', false);
}

/** Dwell, plane, units, compensations, work system, path control, distance and retract modes. */
function runModes(
  sink: Sink,
  state: State,
  block: Block,
  around: Surroundings,
  motion: number,
): void {
  const { g } = block;
  if (g[G_GROUPS.nonModal] === 40) emitDwell(sink, valueOf(block, P));
  const plane = g[G_GROUPS.plane] as number;
  if (plane >= 0) setPlane(sink, state, block, plane);
  const units = g[G_GROUPS.units] as number;
  if (units >= 0) setUnits(sink, state, block, units);
  const radius = g[G_GROUPS.cutterRadius] as number;
  if (radius >= 0) setCompensation(state, block, radius, around);
  const length = g[G_GROUPS.toolLength] as number;
  if (length >= 0) setToolLength(sink, state, block, length, around);
  const system = g[G_GROUPS.workOffset] as number;
  if (system >= 0) setWorkSystem(sink, state, block, system);
  const path = g[G_GROUPS.pathControl] as number;
  if (path >= 0) {
    emitPathMode(
      sink,
      state,
      path === 610 ? 'exact-path' : path === 611 ? 'exact-stop' : 'continuous',
    );
  }
  const distance = g[G_GROUPS.distance] as number;
  if (distance >= 0) state.absolute = distance === 900;
  const retract = g[G_GROUPS.cycleReturn] as number;
  if (retract >= 0) state.retractToOld = retract === 980;
  if (motion !== NO_MOTION && g[G_GROUPS.nonModal] === 530 && state.comp !== 'off') {
    refuseComp(block, G_GROUPS.nonModal, 'G53');
  }
}

function refuseComp(block: Block, group: number, what: string): never {
  throw new ReaderFault(
    'cutter-comp',
    `${what} under cutter radius compensation`,
    block.gColumns[group] as number,
  );
}

function setPlane(sink: Sink, state: State, block: Block, code: number): void {
  if (state.comp !== 'off' && code !== 170) refuseComp(block, G_GROUPS.plane, nameOfG(code));
  state.plane = code === 170 ? 'xy' : code === 180 ? 'xz' : 'yz';
  push(sink, { op: 'plane', line: sink.line, plane: state.plane });
}

/** The position is expressed in the new units; the feed rate keeps its number (3.5.7). */
function setUnits(sink: Sink, state: State, block: Block, code: number): void {
  if (state.comp !== 'off') refuseComp(block, G_GROUPS.units, nameOfG(code));
  const mmPerUnit = code === 210 ? 1 : MM_PER_INCH;
  if (mmPerUnit !== state.mmPerUnit) {
    const factor = mmPerUnit === 1 ? MM_PER_INCH : 1 / MM_PER_INCH;
    state.x *= factor;
    state.y *= factor;
    state.z *= factor;
    state.mmPerUnit = mmPerUnit;
    refreshPoint(state);
  }
  push(sink, { op: 'units', line: sink.line, units: code === 210 ? 'mm' : 'inch' });
}

function setCompensation(state: State, block: Block, code: number, around: Surroundings): void {
  if (code === 400) {
    state.comp = 'off';
    state.compFrom = null;
    return;
  }
  const name = nameOfG(code);
  const at = block.gColumns[G_GROUPS.cutterRadius] as number;
  if (state.plane !== 'xy') {
    throw new ReaderFault('cutter-comp', `${name} outside the XY plane`, at, 'write G17 first');
  }
  if (state.comp !== 'off') throw new ReaderFault('cutter-comp', `${name} while already on`, at);
  const slot = has(block, D) ? valueOf(block, D) : state.tool;
  if (has(block, D)) checkSlot(slot, 'D', block.columns[D] as number);
  const { diameterMm } = around.toolSlot(slot);
  state.comp = code === 410 ? 'left' : 'right';
  state.compRadiusMm = diameterMm === null ? null : diameterMm / 2;
  state.compFrom = null;
}

function setToolLength(
  sink: Sink,
  state: State,
  block: Block,
  code: number,
  around: Surroundings,
): void {
  let lengthMm = 0;
  if (code === 430) {
    requireWord(block, H, 'G43', block.gColumns[G_GROUPS.toolLength] as number);
    const slot = valueOf(block, H);
    checkSlot(slot, 'H', block.columns[H] as number);
    lengthMm = around.toolSlot(slot).lengthMm;
  }
  state.z += (state.toolLengthMm - lengthMm) / state.mmPerUnit;
  state.toolLengthMm = lengthMm;
  refreshPoint(state);
  push(sink, { op: 'tool-length', line: sink.line, offsetMm: lengthMm });
}

/** G54 to G59.3: nothing moves, the same place gets new coordinates. */
function setWorkSystem(sink: Sink, state: State, block: Block, code: number): void {
  if (state.comp !== 'off') refuseComp(block, G_GROUPS.workOffset, nameOfG(code));
  const system = code < 590 ? code / 10 - 53 : code - 584;
  if (system === state.workSystem) return;
  reoffset(sink, state, () => {
    state.workSystem = system;
    state.parameters[5220] = system;
    loadOrigin(state);
  });
}

/** Changes offsets by `change` and keeps the machine where it is. */
function reoffset(sink: Sink, state: State, change: () => void): void {
  const machine = [0, 1, 2].map((axis) => -fromMachine(state, axis, 0));
  change();
  state.x += machine[0]! + fromMachine(state, 0, 0);
  state.y += machine[1]! + fromMachine(state, 1, 0);
  state.z += machine[2]! + fromMachine(state, 2, 0);
  refreshPoint(state);
  emitOrigin(sink, state);
}

const AXIS_WORDS = [X, Y, Z] as const;

/** G10, G28, G30 and G92 to G92.3. */
function runNonModal(sink: Sink, state: State, block: Block): void {
  const code = block.g[G_GROUPS.nonModal] as number;
  if (code < 0 || code === 40 || code === 530) return;
  const name = nameOfG(code);
  if (state.comp !== 'off' && code !== 100) refuseComp(block, G_GROUPS.nonModal, name);
  if (code === 100) setOrigin(sink, state, block);
  else if (code === 280 || code === 300) goHome(sink, state, block, code);
  else shiftAxes(sink, state, block, code);
}

/** G10 L2: origin of a work system, in machine coordinates (3.5.5). */
function setOrigin(sink: Sink, state: State, block: Block): void {
  const system = Math.round(valueOf(block, P));
  const change = (): void => {
    AXIS_WORDS.forEach((word, axis) => {
      if (has(block, word)) setParameter(state, originIndex(system) + axis, valueOf(block, word));
    });
    if (system === state.workSystem) loadOrigin(state);
  };
  if (system === state.workSystem) reoffset(sink, state, change);
  else change();
}

/** G28, G30: by way of the programmed point, when there is one, to the stored position (3.5.8). */
function goHome(sink: Sink, state: State, block: Block, code: number): void {
  if (AXIS_WORDS.some((word) => has(block, word))) {
    rapidTo(sink, state, ...target(state, block, false));
  }
  const home = homeIndex(code);
  const at = [0, 1, 2].map((axis) =>
    fromMachine(state, axis, (state.parameters[home + axis] as number) / state.mmPerUnit),
  );
  rapidTo(sink, state, at[0]!, at[1]!, at[2]!);
}

/** G92 makes the present point read as given; .1 clears, .2 suspends, .3 restores (3.5.18). */
function shiftAxes(sink: Sink, state: State, block: Block, code: number): void {
  const { shift, parameters } = state;
  if (code === 920) {
    const here = [state.x, state.y, state.z];
    AXIS_WORDS.forEach((word, axis) => {
      if (has(block, word)) {
        shift[axis]! += (here[axis]! - valueOf(block, word)) * state.mmPerUnit;
        here[axis] = valueOf(block, word);
      }
      parameters[SHIFT_INDEX + axis] = shift[axis]!;
    });
    [state.x, state.y, state.z] = here as [number, number, number];
    refreshPoint(state);
    emitOrigin(sink, state);
    return;
  }
  reoffset(sink, state, () => {
    for (let axis = 0; axis < 3; axis++) {
      shift[axis] = code === 923 ? (parameters[SHIFT_INDEX + axis] as number) : 0;
      if (code === 921) parameters[SHIFT_INDEX + axis] = 0;
    }
  });
}

/** Where the axis words lead, program units; axes without a word stay. */
function target(state: State, block: Block, machine: boolean): Pt3 {
  return [
    along(state, block, X, 0, state.x, machine),
    along(state, block, Y, 1, state.y, machine),
    along(state, block, Z, 2, state.z, machine),
  ];
}

function along(
  state: State,
  block: Block,
  word: number,
  axis: number,
  here: number,
  machine: boolean,
): number {
  if (!has(block, word)) return here;
  const value = valueOf(block, word);
  if (machine) return fromMachine(state, axis, value);
  return state.absolute ? value : here + value;
}

function runMotion(
  sink: Sink,
  state: State,
  block: Block,
  motion: number,
  around: Surroundings,
): void {
  const at = motionColumn(block);
  if (motion >= 810) {
    runCycle(sink, state, block, motion);
  } else {
    const machine = block.g[G_GROUPS.nonModal] === 530;
    const end = target(state, block, machine);
    if (state.comp !== 'off' && state.compRadiusMm !== 0) {
      throw new ReaderFault(
        'cutter-comp',
        `${nameOfG(motion)} under cutter radius compensation is not carried out by this reader`,
        at,
        'let the program hold the path of the cutter centre, with G40',
      );
    }
    if (motion === 0) rapidTo(sink, state, end[0], end[1], end[2], machine);
    else if (motion === 10) {
      const length = Math.hypot(end[0] - state.x, end[1] - state.y, end[2] - state.z);
      const feed = feedFor(sink, state, block, motion, at, length);
      feedTo(sink, state, end[0], end[1], end[2], feed, machine);
    } else if (motion === 382) runProbe(sink, state, end, at);
    else runArc(sink, state, block, motion, end, around, at);
  }
  state.motion = motion;
}

function motionColumn(block: Block): number {
  if ((block.g[G_GROUPS.motion] as number) >= 0) return block.gColumns[G_GROUPS.motion] as number;
  const columns = AXIS_WORDS.filter((word) => has(block, word)).map((w) => block.columns[w] ?? 0);
  return Math.min(...columns);
}

/** Feed in units a minute; in G93 the move lasts 1/F minutes and F is on the line (3.5.19). */
function feedFor(
  sink: Sink,
  state: State,
  block: Block,
  motion: number,
  at: number,
  length: number,
): number {
  if (!state.inverseTime) {
    if (state.feed > 0) return state.feed;
    throw new ReaderFault('feed-missing', `${nameOfG(motion)} with feed rate zero`, at);
  }
  if (!has(block, F)) {
    throw new ReaderFault('feed-missing', `${nameOfG(motion)} in G93 without F on the line`, at);
  }
  const perMinute = valueOf(block, F);
  if (!(perMinute > 0)) throw new ReaderFault('feed-missing', 'F0 in G93', at);
  const feed = length * perMinute;
  push(sink, { op: 'feed-rate', line: sink.line, feedMmPerMin: feed * state.mmPerUnit });
  return feed;
}

function runArc(
  sink: Sink,
  state: State,
  block: Block,
  motion: number,
  end: Pt3,
  around: Surroundings,
  at: number,
): void {
  const start: Pt3 = [state.x, state.y, state.z];
  const ccw = motion === 30;
  if (!state.inverseTime) feedFor(sink, state, block, motion, at, 0);
  const arc = arcGeometry(block, state.plane, ccw, start, end, state.mmPerUnit, around.arcRule, at);
  const feed = feedFor(sink, state, block, motion, at, arcLength(state, arc, start, end));
  arcTo(sink, state, state.plane, arc, ccw, end, feed);
}

/** Length along the helix: feed applies along the path, not its projection (2.1.2.6). */
function arcLength(state: State, arc: ArcGeometry, start: Pt3, end: Pt3): number {
  const normal = planeAxes(state.plane).normal;
  return Math.hypot(arc.radius * arc.sweep, (end[normal] as number) - (start[normal] as number));
}

/** G38.2 (3.5.9): read as if the probe tripped at the target. */
function runProbe(sink: Sink, state: State, end: Pt3, at: number): void {
  if (state.comp !== 'off') {
    throw new ReaderFault('cutter-comp', 'G38.2 under cutter radius compensation', at);
  }
  if (state.inverseTime)
    throw new ReaderFault('probe', 'G38.2 in inverse time feed mode (G93)', at);
  if (!(state.feed > 0)) throw new ReaderFault('feed-missing', 'G38.2 with feed rate zero', at);
  const far = Math.hypot(end[0] - state.x, end[1] - state.y, end[2] - state.z);
  const least = state.mmPerUnit === 1 ? 0.254 : 0.01;
  if (far < least) {
    throw new ReaderFault('probe', `probe target ${far} away, less than ${least}`, at);
  }
  const from = state.point;
  state.x = end[0];
  state.y = end[1];
  state.z = end[2];
  refreshPoint(state);
  end.forEach((value, axis) => setParameter(state, PROBED_INDEX + axis, value));
  push(sink, {
    op: 'probe',
    line: sink.line,
    from,
    to: state.point,
    feedMmPerMin: state.feed * state.mmPerUnit,
  });
}

/** M0, M1, M60, M2 and M30: last on the line. */
function runStop(sink: Sink, state: State, block: Block, around: Surroundings): 2 | 30 | null {
  const code = block.m[M_GROUPS.stop] as number;
  if (code < 0) return null;
  if (code === 2 || code === 30) {
    endProgram(sink, state);
    return code;
  }
  push(sink, { op: 'stop', line: sink.line, message: around.remark(), optional: code === 1 });
  return null;
}

/** What M2 and M30 put back (3.6.1). Units, F, S, T, tool length, path and retract modes stay. */
function endProgram(sink: Sink, state: State): void {
  reoffset(sink, state, () => {
    state.workSystem = 1;
    state.parameters[5220] = 1;
    loadOrigin(state);
    state.shift.fill(0);
  });
  if (state.plane !== 'xy') {
    state.plane = 'xy';
    push(sink, { op: 'plane', line: sink.line, plane: 'xy' });
  }
  state.absolute = true;
  state.inverseTime = false;
  if (!state.overrides) {
    state.overrides = true;
    push(sink, { op: 'overrides', line: sink.line, enabled: true });
  }
  state.comp = 'off';
  state.compFrom = null;
  emitSpindle(sink, state, 'off');
  state.motion = 10;
  coolantOff(sink, state);
  push(sink, { op: 'end', line: sink.line });
}
