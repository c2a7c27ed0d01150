import type { Pt3 } from '../../../model/op.js';
import { has, valueOf, X, Y, Z, type Block } from './block.js';
import { fromMachine, type State } from './state.js';

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
