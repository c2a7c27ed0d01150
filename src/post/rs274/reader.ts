/** Reads RS-274 programs, independently of the writer. */
import { Reading } from './read/reading.js';
import type { ReadOptions, ReadResult } from './read/result.js';

export type { ArcRule } from './read/arcs.js';
export type { Dialect } from './read/block.js';
export { formatProgramError, type ErrorClass, type ProgramError } from './read/errors.js';
export {
  dialectOf,
  LIMITS,
  type ModalState,
  type ReadOptions,
  type ReadResult,
  type StatedMode,
} from './read/result.js';
export type { ToolSlot } from './read/state.js';

/**
 * Reads an RS-274 program by NISTIR 6556 and returns what it does, in order.
 * Start-up state: mm, G17, G90, G94, no motion code, G54 with zero offsets, position 0 0 0
 * (unless `startMm` says otherwise), feed and speed 0, spindle and coolant off.
 * Never throws on bad text: faults are in `errors`, with line, column, rule and fix.
 */
export function readProgram(text: string, options: ReadOptions = {}): ReadResult {
  return new Reading(text, options).run();
}
