import type { ArcRule } from './arcs.js';
import type { Dialect } from './block.js';
import { ReaderFault } from './errors.js';
import { TOOL_SLOTS, type ToolSlot } from './state.js';

/** What the control knows that the program does not say. */
export interface Surroundings {
  readonly arcRule: ArcRule;
  readonly dialect: Dialect;
  readonly toolSlot: (slot: number) => ToolSlot;
  /** Remarks since the last line that did something; shown with a stop. */
  readonly remark: () => string;
}

/** @throws ReaderFault value-range when there is no such slot */
export function checkSlot(slot: number, word: string, at: number): void {
  if (slot > TOOL_SLOTS) {
    throw new ReaderFault('value-range', `${word}${slot}; slots run to ${TOOL_SLOTS}`, at);
  }
}
