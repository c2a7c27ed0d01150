import { axisWord, PLANES, type PlaneAxes } from './arcs.js';
import { has, I, J, K, L, P, Q, R, valueOf, type Block } from './block.js';
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

/** Letters of the offsets of G87 by axis: beside the hole in the plane, and the level along w. */
const OFFSETS = ['i', 'j', 'k'] as const;

/** Position on the axes of the plane: u and v in it, w along its normal. */
function inPlane(state: State, axes: PlaneAxes): readonly [u: number, v: number, w: number] {
  const at = [state.x, state.y, state.z];
  return [at[axes.from]!, at[axes.to]!, at[axes.normal]!];
}

function place(axes: PlaneAxes, u: number, v: number, w: number): [number, number, number] {
  const point: [number, number, number] = [0, 0, 0];
  point[axes.from] = u;
  point[axes.to] = v;
  point[axes.normal] = w;
  return point;
}

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
  const axes = PLANES[state.plane];
  checkCycle(state, block, code);
  keepSticky(state, block, code, axisWord(axes.normal));
  const { cycle } = state;
  const [u0, v0, w0] = inPlane(state, axes);
  const repeats = has(block, L) ? valueOf(block, L) : 1;

  const r = state.absolute ? cycle.r : cycle.r + w0;
  const bottom = state.absolute ? cycle.z : cycle.z + r;
  if (r < bottom) {
    throw new ReaderFault(
      'value-range',
      `retract plane R ${r} below the bottom ${bottom} of ${nameOfG(code)}`,
      block.columns[has(block, R) ? R : axisWord(axes.normal)] as number,
    );
  }
  const given = (axis: number, here: number): number =>
    has(block, axisWord(axis)) ? valueOf(block, axisWord(axis)) : state.absolute ? here : 0;
  const uWord = given(axes.from, u0);
  const vWord = given(axes.to, v0);
  const startSpindle = state.spindle;
  const rapid = (u: number, v: number, w: number): void =>
    rapidTo(sink, state, ...place(axes, u, v, w));

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
    drill(sink, state, axes, code, { u, v, r, bottom, clear }, startSpindle);
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
function keepSticky(state: State, block: Block, code: number, levelWord: number): void {
  const { cycle } = state;
  const first = state.motion !== code;
  const at =
    (block.g[G_GROUPS.motion] as number) >= 0 ? (block.gColumns[G_GROUPS.motion] as number) : 0;
  const keep = (word: number, key: keyof State['cycle']): void => {
    if (has(block, word)) cycle[key] = valueOf(block, word);
    else if (first) requireWord(block, word, nameOfG(code), at);
  };
  keep(R, 'r');
  keep(levelWord, 'z');
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

type Step =
  | 'peck'
  | 'feed in'
  | 'feed out'
  | 'rapid out'
  | 'dwell'
  | 'spindle off'
  | 'spindle cw'
  | 'spindle ccw'
  | 'spindle as before'
  | 'spindle locked to feed'
  | 'spindle free'
  | 'out by hand'
  | 'bore backwards';

/** What each cycle does at a hole, from the retract plane on (3.5.16.3 to 3.5.16.11). */
const STEPS: Readonly<Record<number, readonly Step[]>> = {
  810: ['feed in', 'rapid out'],
  820: ['feed in', 'dwell', 'rapid out'],
  830: ['peck', 'feed in', 'rapid out'],
  // prettier-ignore
  840: [
    'spindle locked to feed', 'feed in', 'spindle off', 'spindle ccw',
    'feed out', 'spindle free', 'spindle off', 'spindle cw',
  ],
  850: ['feed in', 'feed out'],
  860: ['feed in', 'dwell', 'spindle off', 'rapid out', 'spindle as before'],
  870: ['bore backwards'],
  880: ['feed in', 'dwell', 'spindle off', 'out by hand', 'spindle as before'],
  890: ['feed in', 'dwell', 'feed out'],
};

function drill(
  sink: Sink,
  state: State,
  axes: PlaneAxes,
  code: number,
  hole: Hole,
  spindle: State['spindle'],
): void {
  const { u, v, r, bottom, clear } = hole;
  const { line } = sink;
  const rapid = (w: number): void => rapidTo(sink, state, ...place(axes, u, v, w));
  const feed = (w: number): void => feedTo(sink, state, ...place(axes, u, v, w), state.feed);
  const turn = (direction: State['spindle']): void => emitSpindle(sink, state, direction);
  const peck = (): void => {
    const back = PECK_CLEARANCE_MM / state.mmPerUnit;
    for (let depth = r - state.cycle.q; depth > bottom; depth -= state.cycle.q) {
      feed(depth);
      rapid(clear);
      rapid(depth + back);
    }
  };
  const byHand = (): void => {
    push(sink, { op: 'stop', line, message: 'retract the spindle by hand', optional: false });
    // Nothing is sent to the axes, but what follows counts from where a retract leads.
    moveState(state, ...place(axes, u, v, clear));
  };
  const act: Readonly<Record<Step, () => void>> = {
    peck,
    'feed in': () => feed(bottom),
    'feed out': () => feed(clear),
    'rapid out': () => rapid(clear),
    dwell: () => emitDwell(sink, state.cycle.p),
    'spindle off': () => turn('off'),
    'spindle cw': () => turn('cw'),
    'spindle ccw': () => turn('ccw'),
    'spindle as before': () => turn(spindle),
    'spindle locked to feed': () => push(sink, { op: 'spindle-sync', line, on: true }),
    'spindle free': () => push(sink, { op: 'spindle-sync', line, on: false }),
    'out by hand': byHand,
    'bore backwards': () => backBore(sink, state, axes, hole, spindle),
  };
  for (const step of STEPS[code]!) act[step]();
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
  axes: PlaneAxes,
  hole: Hole,
  spindle: State['spindle'],
): void {
  const { u, v, r, bottom, clear } = hole;
  const { cycle } = state;
  const level = cycle[OFFSETS[axes.normal]!];
  const middle = state.absolute ? level : bottom + level;
  const rapid = (a: number, b: number, w: number): void =>
    rapidTo(sink, state, ...place(axes, a, b, w));
  const feed = (w: number): void => feedTo(sink, state, ...place(axes, u, v, w), state.feed);
  const hold = (): void => {
    emitSpindle(sink, state, 'off');
    push(sink, { op: 'orient-spindle', line: sink.line, angleRad: 0 });
  };
  const besideU = u + cycle[OFFSETS[axes.from]!];
  const besideV = v + cycle[OFFSETS[axes.to]!];
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
