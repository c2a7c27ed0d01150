import { nameOfG } from './codes.js';
import type { ModalState } from './result.js';
import type { State } from './state.js';

/** The interpreter's modes as the outside sees them. */
export function modalOf(state: State): ModalState {
  const system = state.workSystem;
  return {
    motion: nameOfG(state.motion),
    plane: state.plane,
    units: state.mmPerUnit === 1 ? 'mm' : 'inch',
    distance: state.absolute ? 'absolute' : 'incremental',
    feedMode: state.inverseTime ? 'inverse-time' : 'per-minute',
    feedMmPerMin: state.feed * state.mmPerUnit,
    rpm: state.rpm,
    spindle: state.spindle,
    coolant: { mist: state.mist, flood: state.flood },
    workSystem: system <= 6 ? `G${53 + system}` : `G59.${system - 6}`,
    shiftMm: [state.shift[0]!, state.shift[1]!, state.shift[2]!],
    toolLengthMm: state.toolLengthMm,
    cutterCompensation: state.comp,
    cycleRetract: state.retractToOld ? 'old-z' : 'r-plane',
    pathMode: state.pathMode,
    overrides: state.overrides,
    toolSlot: state.tool,
    position: state.point,
  };
}
