/** Stops of the program as the reader finds them; those that ask for the same are one entry. */
import type { PlannedJob } from '../plan.js';

/** One M0 of the program, or several that ask for the same. */
export interface SheetStop {
  readonly message: string;
  /** Lines of the program it stands on; checks that repeat are one entry. */
  readonly lines: readonly number[];
  /** Running time from the start to the first of them; null where it is not known. */
  readonly afterMin: number | null;
}

const CHECK_NUMBER = /DATUM CHECK (\d+) OF (\d+)/g;

export function stopsOf({ ops, cam }: Pick<PlannedJob, 'ops' | 'cam'>): SheetStop[] {
  const times: number[] = [];
  let seconds = 0;
  cam.toolpath.moves.forEach((move, i) => {
    if (move.kind === 'stop') times.push(seconds / 60);
    seconds += cam.secondsOf[i] ?? 0;
  });
  const found = ops.filter((op) => op.op === 'stop');
  const known = found.length === times.length;
  const stops = new Map<string, { message: string; lines: number[]; afterMin: number | null }>();
  found.forEach((op, i) => {
    const message = op.message.replace(/^STOP:\s*/i, '');
    const key = message.replace(CHECK_NUMBER, 'DATUM CHECK');
    const same = stops.get(key);
    if (same) {
      same.lines.push(op.line);
      // Checks that differ in their number only go under all their numbers.
      if (same.message !== message) same.message = ofAll(message);
    } else {
      stops.set(key, { message, lines: [op.line], afterMin: known ? times[i]! : null });
    }
  });
  return [...stops.values()];
}

function ofAll(message: string): string {
  return message
    .replace(/NOTE DATUM CHECK \d+ OF \d+/, 'NOTE ITS NUMBER')
    .replace(CHECK_NUMBER, 'EACH DATUM CHECK');
}
