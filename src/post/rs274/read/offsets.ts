import type { Pt3 } from '../../../model/op.js';
import { axisWord } from './arcs.js';
import { codeOf, GROUPS, has, hasAxis, nameOfG, wordOr } from './block.js';
import {
  fromMachine,
  homeIndex,
  loadOrigin,
  originIndex,
  originMoved,
  rapidTo,
  refuseComp,
  setParameter,
  SHIFT,
  type State,
} from './state.js';

/** Changes offsets by `change` and keeps the machine where it is. */
export function reoffset(state: State, change: () => void): void {
  const [x, y, z] = [0, 1, 2].map((axis) => -fromMachine(state, axis, 0)) as [...Pt3];
  change();
  state.x += x + fromMachine(state, 0, 0);
  state.y += y + fromMachine(state, 1, 0);
  state.z += z + fromMachine(state, 2, 0);
  originMoved(state);
}

/** G10, G28, G30 and G92 to G92.3. */
export function runNonModal(state: State): void {
  const code = codeOf(state.block, GROUPS.nonModal);
  if (code < 0 || code === 40 || code === 530) return;
  if (code === 100) {
    setOrigin(state);
    return;
  }
  refuseComp(state, GROUPS.nonModal, nameOfG(code));
  if (code === 280 || code === 300) goHome(state, code);
  else if (code === 920) shiftAxes(state);
  else changeShift(state, code);
}

/** G10 L2: origin of a work system, in machine coordinates (3.5.5). L20: so that the machine stands at
 *  what the words say. */
function setOrigin(state: State): void {
  const { block, workSystem, mmPerUnit } = state;
  const system = systemOf(state);
  const byPlace = wordOr(block, 'L', 2) === 20;
  const here = [state.x, state.y, state.z].map((at, axis) => at + state.origin[axis]! / mmPerUnit);
  const change = (): void => {
    for (let axis = 0; axis < 3; axis++) {
      const word = axisWord(axis);
      if (!has(block, word)) continue;
      const value = wordOr(block, word, 0);
      setParameter(state, originIndex(system) + axis, byPlace ? here[axis]! - value : value);
    }
    if (system === workSystem) loadOrigin(state);
  };
  if (system === workSystem) reoffset(state, change);
  else change();
}

/** The work system that G10 is about, 1 to 9. */
export function systemOf({ block, workSystem }: State): number {
  return Math.round(wordOr(block, 'P', 0)) || workSystem;
}

/** G28, G30: by way of the programmed point, when there is one, to the stored position (3.5.8); on
 *  some controls with the named axes alone. */
function goHome(state: State, code: number): void {
  const { block, around } = state;
  const named = hasAxis(block);
  if (named) rapidTo(state, target(state, false));
  const home = homeIndex(code);
  const at = [state.x, state.y, state.z].map((here, axis) =>
    named && around.dialect.homesNamed && !has(block, axisWord(axis))
      ? here
      : fromMachine(state, axis, state.parameters[home + axis]! / state.mmPerUnit),
  );
  rapidTo(state, at as [...Pt3], true);
}

/** G92 makes the present point read as given (3.5.18). */
function shiftAxes(state: State): void {
  const { block, shift, mmPerUnit } = state;
  const here = [state.x, state.y, state.z].map((value, axis) => {
    const given = wordOr(block, axisWord(axis), value);
    shift[axis]! += (value - given) * mmPerUnit;
    return given;
  });
  [state.x, state.y, state.z] = here as [...Pt3];
  storeShift(state);
  originMoved(state);
}

/** G92.1 clears the offset of G92, .2 suspends it, .3 restores it (3.5.18). */
function changeShift(state: State, code: number): void {
  reoffset(state, () => {
    if (code === 923) state.shift.set(state.parameters.subarray(SHIFT, SHIFT + 3));
    else state.shift.fill(0);
    if (code === 921) storeShift(state);
  });
}

function storeShift({ parameters, known, shift }: State): void {
  parameters.set(shift, SHIFT);
  known.fill(1, SHIFT, SHIFT + 3);
}

/** Where the axis words lead, program units; axes without a word stay. */
export function target(state: State, machine: boolean): Pt3 {
  return [
    along(state, 0, state.x, machine),
    along(state, 1, state.y, machine),
    along(state, 2, state.z, machine),
  ];
}

function along(state: State, axis: number, here: number, machine: boolean): number {
  const word = axisWord(axis);
  if (!has(state.block, word)) return here;
  const value = wordOr(state.block, word, 0);
  if (machine) return fromMachine(state, axis, value);
  return state.absolute ? value : here + value;
}
