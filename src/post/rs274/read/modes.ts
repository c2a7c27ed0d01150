import { D, H, has, P, valueOf, type Block } from './block.js';
import { G_GROUPS, nameOfG } from './codes.js';
import { emitDwell, emitPathMode, push, refreshPoint, type Sink } from './emit.js';
import { ReaderFault } from './errors.js';
import { NO_MOTION, requireWord } from './modal.js';
import { refuseComp, reoffset } from './offsets.js';
import { loadOrigin, MM_PER_INCH, type State, checkSlot, type Surroundings } from './state.js';

/** Dwell, plane, units, compensations, work system, path control, distance and retract modes. */
export function runModes(
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
    const convert = (v: number): number => (mmPerUnit === 1 ? v * MM_PER_INCH : v / MM_PER_INCH);
    state.x = convert(state.x);
    state.y = convert(state.y);
    state.z = convert(state.z);
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
  let slot = 0;
  if (code === 430) {
    requireWord(block, H, 'G43', block.gColumns[G_GROUPS.toolLength] as number);
    slot = valueOf(block, H);
    checkSlot(slot, 'H', block.columns[H] as number);
    lengthMm = around.toolSlot(slot).lengthMm;
  }
  state.z += (state.toolLengthMm - lengthMm) / state.mmPerUnit;
  state.toolLengthMm = lengthMm;
  refreshPoint(state);
  push(sink, { op: 'tool-length', line: sink.line, offsetMm: lengthMm, slot });
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
