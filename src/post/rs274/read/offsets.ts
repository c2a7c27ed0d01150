import { has, P, valueOf, type Block, X, Y, Z } from './block.js';
import { G_GROUPS, nameOfG } from './codes.js';
import { emitOrigin, rapidTo, refreshPoint, type Sink } from './emit.js';
import { ReaderFault } from './errors.js';
import {
  fromMachine,
  homeIndex,
  loadOrigin,
  originIndex,
  setParameter,
  SHIFT_INDEX,
  type State,
} from './state.js';
import type { Pt3 } from '../../../model/op.js';

/** Changes offsets by `change` and keeps the machine where it is. */
export function reoffset(sink: Sink, state: State, change: () => void): void {
  const machine = [0, 1, 2].map((axis) => -fromMachine(state, axis, 0));
  change();
  state.x += machine[0]! + fromMachine(state, 0, 0);
  state.y += machine[1]! + fromMachine(state, 1, 0);
  state.z += machine[2]! + fromMachine(state, 2, 0);
  refreshPoint(state);
  emitOrigin(sink, state);
}

/** G10, G28, G30 and G92 to G92.3. */
export function runNonModal(sink: Sink, state: State, block: Block): void {
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
  rapidTo(sink, state, at[0]!, at[1]!, at[2]!, true);
}

/** G92 makes the present point read as given; .1 clears, .2 suspends, .3 restores (3.5.18). */
function shiftAxes(sink: Sink, state: State, block: Block, code: number): void {
  const { shift, parameters, known } = state;
  if (code === 920) {
    const here = [state.x, state.y, state.z];
    AXIS_WORDS.forEach((word, axis) => {
      if (has(block, word)) {
        shift[axis]! += (here[axis]! - valueOf(block, word)) * state.mmPerUnit;
        here[axis] = valueOf(block, word);
      }
      parameters[SHIFT_INDEX + axis] = shift[axis]!;
      known[SHIFT_INDEX + axis] = 1;
    });
    [state.x, state.y, state.z] = here as [number, number, number];
    refreshPoint(state);
    emitOrigin(sink, state);
    return;
  }
  reoffset(sink, state, () => {
    for (let axis = 0; axis < 3; axis++) {
      shift[axis] = code === 923 ? (parameters[SHIFT_INDEX + axis] as number) : 0;
      if (code !== 921) continue;
      parameters[SHIFT_INDEX + axis] = 0;
      known[SHIFT_INDEX + axis] = 1;
    }
  });
}

/** @throws ReaderFault cutter-comp: `what` may not be done while compensation is on */
export function refuseComp(block: Block, group: number, what: string): never {
  throw new ReaderFault(
    'cutter-comp',
    `${what} under cutter radius compensation`,
    block.gColumns[group] as number,
  );
}

export const AXIS_WORDS = [X, Y, Z] as const;

/** Where the axis words lead, program units; axes without a word stay. */
export function target(state: State, block: Block, machine: boolean): Pt3 {
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
