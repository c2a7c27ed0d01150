/** A plan's own program, read back and replayed: limits that it meets are refusals, not faults. */
import { Refusal } from '../model/refusal.js';
import { ReplayLimit } from '../cam/stock/replay.js';
import type { ReadResult } from '../post/rs274/reader.js';

/**
 * @throws Refusal 'program-too-long' where the program is over a limit of the reader
 * @throws Error where it does not read back at all, which is a fault of this tool
 */
export function refuseFaults(read: ReadResult, what: string): void {
  const fault = read.errors[0];
  if (!fault) return;
  if (fault.errorClass === 'limit') {
    throw new Refusal('program-too-long', `the ${what} has ${fault.message}`);
  }
  throw new Error(`the ${what} does not read back: line ${fault.line}: ${fault.message}`);
}

/** @throws Refusal 'replay-limit' where a replay asks for more work than its limit */
export function replayWithin<T>(work: () => T): T {
  try {
    return work();
  } catch (error) {
    throw limitAsRefusal(error);
  }
}

/** As {@link replayWithin}, for a replay in steps. */
export function* replayStepsWithin<T>(work: Generator<void, T, void>): Generator<void, T, void> {
  try {
    return yield* work;
  } catch (error) {
    throw limitAsRefusal(error);
  }
}

function limitAsRefusal(error: unknown): unknown {
  if (!(error instanceof ReplayLimit)) return error;
  return new Refusal('replay-limit', error.message, null, error.limit);
}
