/**
 * What a block does to the state of the machine, in the order of NISTIR 6556. Of the folder: lex, block and
 * expression read a line; modal, offsets, motion, arcs and cycles are what it means; errors what is wrong.
 */
import { MM_PER_INCH } from '../../../text/units.js';
import { codeColumn, codeOf, GROUPS, columnOf, has, messageOf, nameOfG, wordOr } from './block.js';
import { refuse } from './errors.js';
import { checkWords, motionOf, NO_MOTION, requireWord } from './modal.js';
import { runMotion } from './motion.js';
import { reoffset, runNonModal } from './offsets.js';
import {
  checkSlot,
  G80,
  push,
  refreshPoint,
  refuseComp,
  selectSystem,
  setParameter,
  setPathMode,
  setSpindle,
  type State,
} from './state.js';

/**
 * Carries out one line in the order of table 8 (3.8), whatever the order it was written in.
 * @returns the end code met, or null
 */
export function execute(state: State): 'M2' | 'M30' | null {
  const { block, line } = state;
  const motion = motionOf(state);
  checkWords(state, motion);
  for (let i = 0; i < block.settings.length; i += 2) {
    setParameter(state, block.settings[i]!, block.settings[i + 1]!);
  }
  const message = messageOf(block);
  if (message !== null) push(state, { op: 'message', line, text: message });
  const feedMode = codeOf(block, GROUPS.feedMode);
  if (feedMode >= 0) state.inverseTime = feedMode === 930;
  if (has(block, 'F') && !state.inverseTime) {
    state.feed = wordOr(block, 'F', 0);
    push(state, { op: 'feed-rate', line, feedMmPerMin: state.feed * state.mmPerUnit });
  }
  if (has(block, 'S')) {
    state.rpm = wordOr(block, 'S', 0);
    push(state, { op: 'spindle-speed', line, rpm: state.rpm });
  }
  if (has(block, 'T')) {
    state.selectedTool = checkSlot(wordOr(block, 'T', 0), 'T', columnOf(block, 'T'));
    push(state, { op: 'select-tool', line, slot: state.selectedTool });
  }
  if (block.mCount > 0) runMiscellaneous(state);
  runModes(state, motion);
  runNonModal(state);
  if (motion === G80) state.motion = G80;
  else if (motion !== NO_MOTION) runMotion(state, motion);
  return runStop(state);
}

/** M6, then M3 M4 M5, then M7 M8 M9, then M48 M49. */
function runMiscellaneous(state: State): void {
  const { block, line } = state;
  if (codeOf(block, GROUPS.toolChange) >= 0) {
    state.tool = state.selectedTool;
    // The spindle stands still after a tool change (3.6.3).
    state.spindle = 'off';
    push(state, { op: 'change-tool', line, slot: state.tool });
  }
  const spindle = codeOf(block, GROUPS.spindle);
  if (spindle >= 0) setSpindle(state, spindle === 30 ? 'cw' : spindle === 40 ? 'ccw' : 'off');
  const coolant = codeOf(block, GROUPS.coolant);
  if (coolant === 70 || coolant === 90) setCoolant(state, 'mist', coolant === 70);
  if (coolant === 80 || coolant === 90) setCoolant(state, 'flood', coolant === 80);
  const overrides = codeOf(block, GROUPS.overrides);
  if (overrides >= 0) setOverrides(state, overrides === 480);
}

function setCoolant(state: State, kind: 'mist' | 'flood', on: boolean): void {
  state[kind] = on;
  push(state, { op: 'coolant', line: state.line, kind, on });
}

function setOverrides(state: State, enabled: boolean): void {
  state.overrides = enabled;
  push(state, { op: 'overrides', line: state.line, enabled });
}

/** Dwell, plane, units, compensations, work system, path control, distance and retract modes. */
function runModes(state: State, motion: number): void {
  const { block } = state;
  const nonModal = codeOf(block, GROUPS.nonModal);
  if (nonModal === 40)
    push(state, { op: 'dwell', line: state.line, seconds: wordOr(block, 'P', 0) });
  const plane = codeOf(block, GROUPS.plane);
  if (plane >= 0) {
    if (plane !== 170) refuseComp(state, GROUPS.plane, nameOfG(plane));
    setPlane(state, plane === 170 ? 'xy' : plane === 180 ? 'xz' : 'yz');
  }
  const units = codeOf(block, GROUPS.units);
  if (units >= 0) setUnits(state, units);
  const radius = codeOf(block, GROUPS.cutterRadius);
  if (radius >= 0) setCompensation(state, radius);
  const length = codeOf(block, GROUPS.toolLength);
  if (length >= 0) setToolLength(state, length === 430);
  const system = codeOf(block, GROUPS.workOffset);
  if (system >= 0) setWorkSystem(state, system);
  const path = codeOf(block, GROUPS.pathControl);
  if (path >= 0) {
    const mode = path === 610 ? 'exact-path' : path === 611 ? 'exact-stop' : 'continuous';
    const told = path === 640 && nonModal < 0 && has(block, 'P');
    setPathMode(state, mode, told ? wordOr(block, 'P', 0) * state.mmPerUnit : null);
  }
  const distance = codeOf(block, GROUPS.distance);
  if (distance >= 0) state.absolute = distance === 900;
  const centres = codeOf(block, GROUPS.arcCentre);
  if (centres >= 0) state.absoluteCentres = centres === 901;
  const retract = codeOf(block, GROUPS.cycleReturn);
  if (retract >= 0) state.retractToOld = retract === 980;
  if (motion !== NO_MOTION && nonModal === 530) refuseComp(state, GROUPS.nonModal, 'G53');
}

function setPlane(state: State, plane: State['plane']): void {
  state.plane = plane;
  push(state, { op: 'plane', line: state.line, plane });
}

/** The position is expressed in the new units; the feed rate keeps its number (3.5.7). */
function setUnits(state: State, code: number): void {
  refuseComp(state, GROUPS.units, nameOfG(code));
  const mmPerUnit = code === 210 ? 1 : MM_PER_INCH;
  if (mmPerUnit !== state.mmPerUnit) {
    const convert = (v: number): number => (mmPerUnit === 1 ? v * MM_PER_INCH : v / MM_PER_INCH);
    state.x = convert(state.x);
    state.y = convert(state.y);
    state.z = convert(state.z);
    state.mmPerUnit = mmPerUnit;
    refreshPoint(state);
  }
  push(state, { op: 'units', line: state.line, units: code === 210 ? 'mm' : 'inch' });
}

function setCompensation(state: State, code: number): void {
  const { block } = state;
  if (code === 400) {
    state.comp = 'off';
    return;
  }
  const name = nameOfG(code);
  const at = codeColumn(block, GROUPS.cutterRadius);
  if (state.plane !== 'xy') {
    refuse('cutter-comp', `${name} outside the XY plane`, at, 'write G17 first');
  }
  if (state.comp !== 'off') refuse('cutter-comp', `${name} while already on`, at);
  const slot = checkSlot(wordOr(block, 'D', state.tool), 'D', columnOf(block, 'D'));
  state.comp = code === 410 ? 'left' : 'right';
  state.compDiameterMm = state.around.toolSlot(slot).diameterMm;
}

/** G43 or, when not `on`, G49. */
function setToolLength(state: State, on: boolean): void {
  const { block, line } = state;
  let offsetMm = 0;
  let slot = 0;
  if (on) {
    slot = requireWord(block, 'H', 'G43', codeColumn(block, GROUPS.toolLength));
    checkSlot(slot, 'H', columnOf(block, 'H'));
    offsetMm = state.around.toolSlot(slot).lengthMm;
  }
  state.z += (state.toolLengthMm - offsetMm) / state.mmPerUnit;
  state.toolLengthMm = offsetMm;
  refreshPoint(state);
  push(state, { op: 'tool-length', line, offsetMm, slot });
}

/** G54 to G59.3: nothing moves, the same place gets new coordinates. */
function setWorkSystem(state: State, code: number): void {
  refuseComp(state, GROUPS.workOffset, nameOfG(code));
  const system = code < 590 ? code / 10 - 53 : code - 584;
  if (system !== state.workSystem) reoffset(state, () => selectSystem(state, system));
}

/** M0, M1, M60, M2 and M30: last on the line. */
function runStop(state: State): ReturnType<typeof execute> {
  const code = codeOf(state.block, GROUPS.stop);
  if (code < 0) return null;
  if (code === 20 || code === 300) {
    endProgram(state);
    return code === 20 ? 'M2' : 'M30';
  }
  push(state, { op: 'stop', line: state.line, message: state.remarks, optional: code === 10 });
  return null;
}

/** What M2 and M30 put back (3.6.1). Units, F, S, T, tool length, path and retract modes stay. */
function endProgram(state: State): void {
  reoffset(state, () => {
    selectSystem(state, 1);
    state.shift.fill(0);
  });
  if (state.plane !== 'xy') setPlane(state, 'xy');
  state.absolute = true;
  state.inverseTime = false;
  if (!state.overrides) setOverrides(state, true);
  state.comp = 'off';
  setSpindle(state, 'off');
  state.motion = 10;
  if (state.mist) setCoolant(state, 'mist', false);
  if (state.flood) setCoolant(state, 'flood', false);
  push(state, { op: 'end', line: state.line });
}
