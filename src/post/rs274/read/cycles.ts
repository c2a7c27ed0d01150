import type { Pt3 } from '../../../model/op.js';
import { MM_PER_INCH } from '../../../text/units.js';
import { axisWord, PLANES, type PlaneAxes } from './arcs.js';
import { codeColumn, codeOf, GROUPS, columnOf, has, nameOfG, wordOr, type Block } from './block.js';
import { refuse } from './errors.js';
import { requireWord } from './modal.js';
import { feedTo, moveState, push, rapidTo, setPathMode, setSpindle, type State } from './state.js';

/** How far above the last depth the rapid of a peck stops (3.5.16.4): 0.254 mm, 0.010 inch. */
const PECK_CLEARANCE_MM = 0.01 * MM_PER_INCH;

/** Point on the axes of the plane: u and v in it, w along its normal. */
function place(axes: PlaneAxes, u: number, v: number, w: number): Pt3 {
  const point: [...Pt3] = [0, 0, 0];
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
  /** How the spindle turned when the cycle began. */
  readonly spindle: State['spindle'];
}

/**
 * Expands a canned cycle (3.5.16) into rapids, feeds, dwells and spindle actions. Of one that asks for
 * too many, none stays: nothing after it is read, and what stays has to be judged, which takes longer.
 * @param code  ten times the G code, 810 to 890
 */
export function runCycle(state: State, code: number): void {
  const before = state.ops.length;
  const { maxOps, maxCycleOps } = state.around;
  state.ceiling = Math.min(maxOps, before + maxCycleOps - state.cycleOps);
  try {
    expand(state, code);
  } catch (error) {
    if (state.ops.length >= state.ceiling) state.ops.length = before;
    throw error;
  } finally {
    state.ceiling = maxOps;
    state.cycleOps += state.ops.length - before;
  }
}

function expand(state: State, code: number): void {
  const { block, cycle, absolute, pathMode, spindle } = state;
  const axes = PLANES[state.plane];
  const levelWord = axisWord(axes.normal);
  checkCycle(state, code);
  keepSticky(state, code, levelWord);
  const at = [state.x, state.y, state.z];
  const [u0, v0, w0] = [at[axes.from]!, at[axes.to]!, at[axes.normal]!];
  const r = absolute ? cycle.R : cycle.R + w0;
  const bottom = absolute ? cycle.Z : cycle.Z + r;
  if (r < bottom) {
    const what = `retract plane R ${r} below the bottom ${bottom} of ${nameOfG(code)}`;
    refuse('value-range', what, columnOf(block, has(block, 'R') ? 'R' : levelWord));
  }
  const rapid = (u: number, v: number, w: number): void => rapidTo(state, place(axes, u, v, w));
  let old = Math.max(w0, r);
  if (w0 < r) rapid(u0, v0, r);
  const clear = state.retractToOld ? old : r;
  if (pathMode !== 'exact-path') setPathMode(state, 'exact-path');
  const stepU = wordOr(block, axisWord(axes.from), absolute ? u0 : 0);
  const stepV = wordOr(block, axisWord(axes.to), absolute ? v0 : 0);
  let [u, v] = absolute ? [stepU, stepV] : [u0, v0];
  for (let i = 0; i < wordOr(block, 'L', 1); i++) {
    if (!absolute) {
      u += stepU;
      v += stepV;
    }
    rapid(u, v, old);
    if (old !== r) rapid(u, v, r);
    drill(state, axes, code, { u, v, r, bottom, clear, spindle });
    old = clear;
  }
  if (pathMode !== 'exact-path') setPathMode(state, pathMode);
}

/** Column of the motion code; 0 where the line repeats the last cycle. */
const cycleColumn = (block: Block): number =>
  codeOf(block, GROUPS.motion) >= 0 ? codeColumn(block, GROUPS.motion) : 0;

function checkCycle({ block, comp, inverseTime, feed, spindle }: State, code: number): void {
  const name = nameOfG(code);
  const at = cycleColumn(block);
  if (comp !== 'off') refuse('cutter-comp', `${name} under cutter radius compensation`, at);
  if (inverseTime) refuse('feed-mode', `${name} in G93`, at);
  if (!(feed > 0)) refuse('feed-missing', `${name} with feed rate zero`, at);
  if (wordOr(block, 'L', 1) < 1) refuse('value-range', `${name} L0`, columnOf(block, 'L'));
  if (code === 840 && spindle !== 'cw') {
    refuse('spindle-state', 'G84 while the spindle does not turn clockwise', at);
  }
  if ((code === 860 || code === 870 || code === 880) && spindle === 'off') {
    refuse('spindle-state', `${name} while the spindle stands still`, at);
  }
}

/** Words that some cycles take besides R and the level. */
const MORE_WORDS: Readonly<Record<number, string>> = {
  820: 'P',
  830: 'Q',
  860: 'P',
  870: 'IJK',
  880: 'P',
  890: 'P',
};

/**
 * Words that keep their value while the same cycle is repeated: required the first time, optional
 * afterwards (3.5.16). L is not one of them.
 */
function keepSticky({ block, cycle, motion }: State, code: number, levelWord: string): void {
  const keep = (word: string, key = word as keyof State['cycle']): void => {
    if (motion !== code) requireWord(block, word, nameOfG(code), cycleColumn(block));
    cycle[key] = wordOr(block, word, cycle[key]);
  };
  keep('R');
  keep(levelWord, 'Z');
  for (const word of MORE_WORDS[code] ?? '') keep(word);
  if (code === 830 && !(cycle.Q > 0)) {
    refuse('value-range', `G83 Q${cycle.Q}`, columnOf(block, 'Q'));
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

function drill(state: State, axes: PlaneAxes, code: number, hole: Hole): void {
  const { line, cycle, feed: feedPerMin } = state;
  const { u, v, r, bottom, clear, spindle } = hole;
  const rapid = (w: number): void => rapidTo(state, place(axes, u, v, w));
  const feed = (w: number): void => feedTo(state, place(axes, u, v, w), feedPerMin);
  const act: Readonly<Record<Step, () => void>> = {
    peck: () => {
      const back = PECK_CLEARANCE_MM / state.mmPerUnit;
      for (let depth = r - cycle.Q; depth > bottom; depth -= cycle.Q) {
        feed(depth);
        rapid(clear);
        rapid(depth + back);
      }
    },
    'feed in': () => feed(bottom),
    'feed out': () => feed(clear),
    'rapid out': () => rapid(clear),
    dwell: () => push(state, { op: 'dwell', line, seconds: cycle.P }),
    'spindle off': () => setSpindle(state, 'off'),
    'spindle cw': () => setSpindle(state, 'cw'),
    'spindle ccw': () => setSpindle(state, 'ccw'),
    'spindle as before': () => setSpindle(state, spindle),
    'spindle locked to feed': () => push(state, { op: 'spindle-sync', line, on: true }),
    'spindle free': () => push(state, { op: 'spindle-sync', line, on: false }),
    'out by hand': () => {
      push(state, { op: 'stop', line, message: 'retract the spindle by hand', optional: false });
      // Nothing is sent to the axes, but what follows counts from where a retract leads.
      moveState(state, ...place(axes, u, v, clear));
    },
    'bore backwards': () => backBore(state, axes, hole),
  };
  for (const step of STEPS[code]!) act[step]();
}

/**
 * G87 (3.5.16.8): down beside the hole with the spindle held at an angle, across to its axis, then
 * cutting to the level of K and back, and out the way it came. K is a level in absolute mode and an
 * increment from the bottom in incremental mode; in the other planes the words go with their axes
 * (sample program C.3).
 */
function backBore(state: State, axes: PlaneAxes, hole: Hole): void {
  const { u, v, r, bottom, clear, spindle } = hole;
  const { I, J, K } = state.cycle;
  const offsets = [I, J, K];
  const level = offsets[axes.normal]!;
  const middle = state.absolute ? level : bottom + level;
  const [besideU, besideV] = [u + offsets[axes.from]!, v + offsets[axes.to]!];
  const rapid = (a: number, b: number, w: number): void => rapidTo(state, place(axes, a, b, w));
  const hold = (): void => {
    setSpindle(state, 'off');
    push(state, { op: 'orient-spindle', line: state.line, angleRad: 0 });
  };
  rapid(besideU, besideV, r);
  hold();
  rapid(besideU, besideV, bottom);
  rapid(u, v, bottom);
  setSpindle(state, spindle);
  for (const w of [middle, bottom]) feedTo(state, place(axes, u, v, w), state.feed);
  hold();
  rapid(besideU, besideV, bottom);
  rapid(besideU, besideV, clear);
  rapid(u, v, clear);
  setSpindle(state, spindle);
}
