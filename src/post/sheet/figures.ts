import { OVERRUN_MM } from '../../cam/process.js';
import { type StopKind, headingOf } from '../../model/section.js';
import type { Move } from '../../model/toolpath.js';
import type { Plan, Program } from '../plan.js';
import { turnedRelief } from '../../profile/wheel/solid.js';
import { programFiles } from '../file-names.js';
import { plainDigest } from '../rs274/envelope.js';
import { holdingPlan } from './holding-plan.js';
import { reachOf } from './reach.js';

export type SheetFigures = ReturnType<typeof sheetFigures>;

/** Every figure on the sheet that the plan does not hold as it is. */
export function sheetFigures(planned: Plan) {
  const { job, jobDigest, program, cam, profile, summary } = planned;
  const reach = reachOf(planned);
  return {
    digest: plainDigest(jobDigest),
    lineCount: program.lineCount,
    programFile: programFiles(job)[planned.restart === null ? 'teeth' : 'restart'],
    firstLine: firstLineOf(program),
    reach,
    holding: holdingPlan(planned, reach),
    relief: turnedRelief(profile),
    overrunMm: OVERRUN_MM,
    cutFeed: feedRange(planned, 'cut'),
    finishFeed: feedRange(planned, 'finish'),
    /** Cutting edges that pass a point in a second. */
    toothPassHz: (cam.process.spindleRpm * job.cutter.flutes) / 60,
    minPerLevel: minutesPerLevel(cam),
    stops: stopsOf(planned),
    /** Total indicator reading that the setting of the bore stands for. */
    centringReadingMm: 2 * summary.blank.settingMm,
  };
}

/** By which a copy of a program is known. */
export function firstLineOf({ text }: Pick<Program, 'text'>): string {
  return text.slice(0, text.indexOf('\n')).trim();
}

/** Of a roughing level; of a finishing one where no roughing is left. */
function minutesPerLevel({ times, process, finish }: Plan['cam']): number {
  const { length } = process.levelsMm;
  if (length > 0) return (times.roughCutMin + times.roughLinkMin) / length;
  return (times.finishMin + times.finishLinkMin) / Math.max(1, finish.levelsMm.length);
}

function feedRange({ cam }: Plan, role: 'cut' | 'finish') {
  let low = Infinity;
  let high = 0;
  for (const move of cam.toolpath.moves) {
    if ((move.kind !== 'line' && move.kind !== 'arc') || move.role !== role) continue;
    low = Math.min(low, move.feedMmPerMin);
    high = Math.max(high, move.feedMmPerMin);
  }
  return { low: Math.min(low, high), high };
}

// Stops of the program as the reader finds them; those that ask for the same are one entry.

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
  /** With the marks that a program's remark may not hold, such as "?". */
  readonly message: string;
  /** Heading of the numbered check it belongs to, as it stands in its message. */
  readonly check: string | null;
  readonly afterMin: number;
}

function stopsOf({ program, cam }: Pick<Plan, 'program' | 'cam'>): SheetStop[] {
  const planned = plannedStops(cam.toolpath.moves, cam.secondsOf);
  const found = program.ops.filter((op) => op.op === 'stop');
  const known = found.length === planned.length;
  const stops = new Map<string, SheetStop & { readonly lines: number[] }>();
  found.forEach((op, i) => {
    const said = op.message.replace(/^STOP:\s*/i, '');
    const { why, check, afterMin, message } = known
      ? planned[i]!
      : { why: null, check: null, afterMin: null, message: said };
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
      stops.push({
        why: move.why ?? null,
        message: move.message,
        check: read ? check : null,
        afterMin,
      });
    }
    seconds += secondsOf[i] ?? 0;
  });
  return stops;
}

function ofAll(message: string, check: string): string {
  return message.replace(`NOTE ${check}`, 'NOTE ITS NUMBER').replaceAll(check, 'EACH DATUM CHECK');
}
