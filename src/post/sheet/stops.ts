/** Stops of the program as the reader finds them; those that ask for the same are one entry. */
import { type StopKind, headingOf } from '../../model/section.js';
import type { Move } from '../../model/toolpath.js';
import type { PlannedJob } from '../plan.js';

/** One M0 of the program, or several that ask for the same. */
export interface SheetStop {
  readonly message: string;
  readonly why: StopKind | null;
  /** Lines of the program it stands on; checks that repeat are one entry. */
  readonly lines: readonly number[];
  /** Running time from the start to the first of them; null where it is not known. */
  readonly afterMin: number | null;
}

interface PlannedStop {
  readonly why: StopKind | null;
  /** Heading of the numbered check it belongs to, as it stands in its message. */
  readonly check: string | null;
  readonly afterMin: number;
}

export function stopsOf({ program, cam }: Pick<PlannedJob, 'program' | 'cam'>): SheetStop[] {
  const planned = plannedStops(cam.toolpath.moves, cam.secondsOf);
  const found = program.ops.filter((op) => op.op === 'stop');
  const known = found.length === planned.length;
  const stops = new Map<string, SheetStop & { readonly lines: number[] }>();
  found.forEach((op, i) => {
    const { why, check, afterMin } = known
      ? planned[i]!
      : { why: null, check: null, afterMin: null };
    const message = op.message.replace(/^STOP:\s*/i, '');
    const key = check === null ? message : message.replaceAll(check, '');
    const same = stops.get(key);
    if (!same) {
      stops.set(key, { message, why, lines: [op.line], afterMin });
      return;
    }
    same.lines.push(op.line);
    // Checks that differ in their number only go under all their numbers.
    if (check !== null) stops.set(key, { ...same, message: ofAll(message, check) });
  });
  return [...stops.values()];
}

function plannedStops(moves: readonly Move[], secondsOf: Float64Array): PlannedStop[] {
  const stops: PlannedStop[] = [];
  let seconds = 0;
  let check: string | null = null;
  moves.forEach((move, i) => {
    if (move.kind === 'section') {
      check = move.head.kind === 'datum-check' ? headingOf(move.head) : null;
    } else if (move.kind === 'stop') {
      const read = move.why === 'datum-read' || move.why === 'probe-off';
      const afterMin = seconds / 60;
      stops.push({ why: move.why ?? null, check: read ? check : null, afterMin });
    }
    seconds += secondsOf[i] ?? 0;
  });
  return stops;
}

function ofAll(message: string, check: string): string {
  return message.replace(`NOTE ${check}`, 'NOTE ITS NUMBER').replaceAll(check, 'EACH DATUM CHECK');
}
