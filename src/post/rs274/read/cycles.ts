import { has, I, J, K, L, P, Q, R, valueOf, X, Y, Z, type Block } from './block.js';
import { G_GROUPS, nameOfG } from './codes.js';
import {
  emitDwell,
  emitPathMode,
  emitSpindle,
  feedTo,
  moveState,
  push,
  rapidTo,
  type Sink,
} from './emit.js';
import { ReaderFault } from './errors.js';
import { requireWord } from './modal.js';
import { MM_PER_INCH, type State } from './state.js';

/** How far above the last depth the rapid of a peck stops (3.5.16.4): 0.254 mm, 0.010 inch. */
const PECK_CLEARANCE_MM = 0.01 * MM_PER_INCH;

/**
 * A cycle seen in its own plane: u and v in the plane, w along its normal (X Y Z for G17, Z X Y
 * for G18, Y Z X for G19).
 */
interface Frame {
  readonly uWord: number;
  readonly vWord: number;
  readonly wWord: number;
  /** Sticky words of G87: offsets from the hole along u and v, and the level along w. */
  readonly uOffset: 'i' | 'j' | 'k';
  readonly vOffset: 'i' | 'j' | 'k';
  readonly level: 'i' | 'j' | 'k';
  readonly read: (state: State) => readonly [u: number, v: number, w: number];
  readonly place: (u: number, v: number, w: number) => readonly [x: number, y: number, z: number];
}

const FRAMES: Readonly<Record<State['plane'], Frame>> = {
  xy: {
    uWord: X,
    vWord: Y,
    wWord: Z,
    uOffset: 'i',
    vOffset: 'j',
    level: 'k',
    read: (s) => [s.x, s.y, s.z],
    place: (u, v, w) => [u, v, w],
  },
  xz: {
    uWord: Z,
    vWord: X,
    wWord: Y,
    uOffset: 'k',
    vOffset: 'i',
    level: 'j',
    read: (s) => [s.z, s.x, s.y],
    place: (u, v, w) => [v, w, u],
  },
  yz: {
    uWord: Y,
    vWord: Z,
    wWord: X,
    uOffset: 'j',
    vOffset: 'k',
    level: 'i',
    read: (s) => [s.y, s.z, s.x],
    place: (u, v, w) => [w, u, v],
  },
};

/** One hole: everything resolved to absolute numbers of the active system. */
interface Hole {
  readonly u: number;
  readonly v: number;
  readonly r: number;
  readonly bottom: number;
  readonly clear: number;
}

/**
 * Expands a canned cycle (3.5.16) into rapids, feeds, dwells and spindle actions.
 * @param code  ten times the G code, 810 to 890
 */
export function runCycle(sink: Sink, state: State, block: Block, code: number): void {
  const before = sink.ops.length;
  sink.ceiling = Math.min(sink.maxOps, before + sink.maxCycleOps - sink.cycleOps);
  try {
    expand(sink, state, block, code);
  } finally {
    sink.ceiling = sink.maxOps;
    sink.cycleOps += sink.ops.length - before;
  }
}

function expand(sink: Sink, state: State, block: Block, code: number): void {
  const frame = FRAMES[state.plane];
  checkCycle(state, block, code);
  keepSticky(state, block, code, frame);
  const { cycle } = state;
  const [u0, v0, w0] = frame.read(state);
  const repeats = has(block, L) ? valueOf(block, L) : 1;

  const r = state.absolute ? cycle.r : cycle.r + w0;
  const bottom = state.absolute ? cycle.z : cycle.z + r;
  if (r < bottom) {
    throw new ReaderFault(
      'value-range',
      `retract plane R ${r} below the bottom ${bottom} of ${nameOfG(code)}`,
      block.columns[has(block, R) ? R : frame.wWord] as number,
    );
  }
  const uWord = has(block, frame.uWord) ? valueOf(block, frame.uWord) : state.absolute ? u0 : 0;
  const vWord = has(block, frame.vWord) ? valueOf(block, frame.vWord) : state.absolute ? v0 : 0;
  const startSpindle = state.spindle;
  const rapid = (u: number, v: number, w: number): void =>
    rapidTo(sink, state, ...frame.place(u, v, w));

  let old = w0;
  if (old < r) {
    rapid(u0, v0, r);
    old = r;
  }
  const clear = state.retractToOld ? old : r;
  const pathMode = state.pathMode;
  if (pathMode !== 'exact-path') emitPathMode(sink, state, 'exact-path');
  let u = state.absolute ? uWord : u0;
  let v = state.absolute ? vWord : v0;
  for (let i = 0; i < repeats; i++) {
    if (!state.absolute) {
      u += uWord;
      v += vWord;
    }
    rapid(u, v, old);
    if (old !== r) rapid(u, v, r);
    drill(sink, state, frame, code, { u, v, r, bottom, clear }, startSpindle);
    old = clear;
  }
  if (pathMode !== 'exact-path') emitPathMode(sink, state, pathMode);
}

function checkCycle(state: State, block: Block, code: number): void {
  const name = nameOfG(code);
  const at =
    (block.g[G_GROUPS.motion] as number) >= 0 ? (block.gColumns[G_GROUPS.motion] as number) : 0;
  if (state.comp !== 'off') {
    throw new ReaderFault('cutter-comp', `${name} under cutter radius compensation`, at);
  }
  if (state.inverseTime) throw new ReaderFault('feed-mode', `${name} in G93`, at);
  if (!(state.feed > 0)) throw new ReaderFault('feed-missing', `${name} with feed rate zero`, at);
  if (has(block, L) && valueOf(block, L) < 1) {
    throw new ReaderFault('value-range', `${name} L0`, block.columns[L] as number);
  }
  if (code === 840 && state.spindle !== 'cw') {
    throw new ReaderFault('spindle-state', 'G84 while the spindle does not turn clockwise', at);
  }
  if ((code === 860 || code === 870 || code === 880) && state.spindle === 'off') {
    throw new ReaderFault('spindle-state', `${name} while the spindle stands still`, at);
  }
}

/**
 * Words that keep their value while the same cycle is repeated: required the first time, optional
 * afterwards (3.5.16). L is not one of them.
 */
function keepSticky(state: State, block: Block, code: number, frame: Frame): void {
  const { cycle } = state;
  const first = state.motion !== code;
  const at =
    (block.g[G_GROUPS.motion] as number) >= 0 ? (block.gColumns[G_GROUPS.motion] as number) : 0;
  const keep = (word: number, key: keyof State['cycle']): void => {
    if (has(block, word)) cycle[key] = valueOf(block, word);
    else if (first) requireWord(block, word, nameOfG(code), at);
  };
  keep(R, 'r');
  keep(frame.wWord, 'z');
  if (code === 820 || code === 860 || code === 880 || code === 890) keep(P, 'p');
  if (code === 830) {
    keep(Q, 'q');
    if (!(cycle.q > 0)) {
      throw new ReaderFault('value-range', `G83 Q${cycle.q}`, block.columns[Q] as number);
    }
  }
  if (code === 870) {
    keep(I, 'i');
    keep(J, 'j');
    keep(K, 'k');
  }
}

function drill(
  sink: Sink,
  state: State,
  frame: Frame,
  code: number,
  hole: Hole,
  spindle: State['spindle'],
): void {
  const { u, v, r, bottom, clear } = hole;
  const rapid = (w: number): void => rapidTo(sink, state, ...frame.place(u, v, w));
  const feed = (w: number): void => feedTo(sink, state, ...frame.place(u, v, w), state.feed);
  const sync = (on: boolean): void => push(sink, { op: 'spindle-sync', line: sink.line, on });
  const turn = (direction: State['spindle']): void => emitSpindle(sink, state, direction);
  switch (code) {
    case 810:
      feed(bottom);
      rapid(clear);
      return;
    case 820:
      feed(bottom);
      emitDwell(sink, state.cycle.p);
      rapid(clear);
      return;
    case 830: {
      const step = state.cycle.q;
      const back = PECK_CLEARANCE_MM / state.mmPerUnit;
      for (let depth = r - step; depth > bottom; depth -= step) {
        feed(depth);
        rapid(clear);
        rapid(depth + back);
      }
      feed(bottom);
      rapid(clear);
      return;
    }
    case 840:
      sync(true);
      feed(bottom);
      turn('off');
      turn('ccw');
      feed(clear);
      sync(false);
      turn('off');
      turn('cw');
      return;
    case 850:
      feed(bottom);
      feed(clear);
      return;
    case 860:
      feed(bottom);
      emitDwell(sink, state.cycle.p);
      turn('off');
      rapid(clear);
      turn(spindle);
      return;
    case 870:
      backBore(sink, state, frame, hole, spindle);
      return;
    case 880:
      feed(bottom);
      emitDwell(sink, state.cycle.p);
      turn('off');
      push(sink, {
        op: 'stop',
        line: sink.line,
        message: 'retract the spindle by hand',
        optional: false,
      });
      turn(spindle);
      // Nothing is sent to the axes, but what follows counts from where a retract leads.
      moveState(state, ...frame.place(u, v, clear));
      return;
    case 890:
      feed(bottom);
      emitDwell(sink, state.cycle.p);
      feed(clear);
      return;
  }
}

/**
 * G87 (3.5.16.8): down beside the hole with the spindle held at an angle, across to its axis, then
 * cutting to the level of K and back, and out the way it came. K is a level in absolute mode and an
 * increment from the bottom in incremental mode; in the other planes the words go with their axes
 * (sample program C.3).
 */
function backBore(
  sink: Sink,
  state: State,
  frame: Frame,
  hole: Hole,
  spindle: State['spindle'],
): void {
  const { u, v, r, bottom, clear } = hole;
  const { cycle } = state;
  const level = cycle[frame.level];
  const middle = state.absolute ? level : bottom + level;
  const rapid = (a: number, b: number, w: number): void =>
    rapidTo(sink, state, ...frame.place(a, b, w));
  const feed = (w: number): void => feedTo(sink, state, ...frame.place(u, v, w), state.feed);
  const hold = (): void => {
    emitSpindle(sink, state, 'off');
    push(sink, { op: 'orient-spindle', line: sink.line, angleRad: 0 });
  };
  const besideU = u + cycle[frame.uOffset];
  const besideV = v + cycle[frame.vOffset];
  rapid(besideU, besideV, r);
  hold();
  rapid(besideU, besideV, bottom);
  rapid(u, v, bottom);
  emitSpindle(sink, state, spindle);
  feed(middle);
  feed(bottom);
  hold();
  rapid(besideU, besideV, bottom);
  rapid(besideU, besideV, clear);
  rapid(u, v, clear);
  emitSpindle(sink, state, spindle);
}
