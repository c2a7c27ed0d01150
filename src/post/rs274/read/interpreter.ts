import { F, has, S, T, valueOf, type Block } from './block.js';
import { G_GROUPS, M_GROUPS } from './codes.js';
import { emitSpindle, push, type Sink } from './emit.js';
import { checkWords, motionOf, NO_MOTION } from './modal.js';
import { runModes } from './modes.js';
import { runMotion } from './motion.js';
import { reoffset, runNonModal } from './offsets.js';
import {
  G80,
  loadOrigin,
  setParameter,
  type State,
  checkSlot,
  type Surroundings,
} from './state.js';

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
  else if (coolant === 9) {
    setCoolant(sink, state, 'mist', false);
    setCoolant(sink, state, 'flood', false);
  }
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
