/** What a person saw of a run, as an entry of the evidence log. */
import { basename } from 'node:path';
import type * as RetuneRun from '../../plan/retune/run.js';
import type { OpRange, ProgramRun } from '../../plan/retune/run.js';
import { type AxisLoads, NO_LOAD } from '../../machines/learn/load-history.js';
import type { LossSeen, Lost } from '../../machines/learn/lost.js';
import type { AxisShift } from '../../machines/learn/offsets.js';
import { type LoggedRun, type RunHead, baseName } from '../../machines/learn/evidence.js';
import {
  type LadderRecord,
  findRung,
  isTrim,
  loadsBeforeRung,
  readLadderRecord,
} from '../../plan/ladder/record.js';
import type { AxisName } from '../../model/machine.js';
import { plainText } from '../../text/program-text.js';
import { UserError } from '../command.js';
import type { Env } from '../env.js';
import { readTextFile } from '../io/read-text.js';
import { parseLength, parseStretch, withPlaces } from './args.js';

export interface EventArgs {
  readonly event?: 'finished' | 'lost';
  readonly at?: string;
  readonly axis?: AxisName | 'unknown';
  readonly direction?: 'plus' | 'minus';
  readonly amount?: string;
  readonly measured?: string;
  readonly ladder?: string;
  readonly note?: string;
}

const MAX_LADDER_BYTES = 4 * 1024 * 1024;
const MAX_NOTE = 200;

/** Options that do not go together. @throws UserError */
export function checkEvent({ event, measured, ladder, ...args }: EventArgs): void {
  const refuse = (rule: string): never => {
    throw new UserError(`retune: ${rule}`);
  };
  if (measured !== undefined && event === 'finished') {
    refuse('--measured tells of a wrong part, --event finished of a good one; give one of them');
  }
  if (measured !== undefined && ladder !== undefined) {
    refuse('--measured tells of a part, --ladder of a test; give one of them');
  }
  if (ladder !== undefined && event === undefined) {
    refuse(
      '--ladder needs to know how it ended; add --event finished, or --event lost and --at with the rung',
    );
  }
  const lost = event === 'lost' || (event === undefined && measured !== undefined);
  for (const key of ['at', 'axis', 'direction', 'amount'] as const) {
    if (args[key] !== undefined && !lost) refuse(`--${key} tells of a loss; add --event lost`);
  }
  if (event === undefined && measured === undefined && args.note !== undefined) {
    refuse('--note belongs to a run; add --event finished or --event lost');
  }
  // Before anything is planned: a slip of the finger need not wait for that.
  if (ladder === undefined && args.at !== undefined) parseStretch(args.at);
}

/** What was seen apart from where. */
type Seen = Pick<RunHead, 'date' | 'note'> &
  (
    | { readonly outcome: 'finished' }
    | ({ readonly outcome: 'lost' } & Pick<Lost, 'axis'> & Omit<LossSeen, 'seen'>)
  );

/** @returns null when there is nothing to add */
export function seenOf(
  args: EventArgs,
  shifts: readonly AxisShift[] | null,
  env: Env,
): Seen | null {
  // Of several axes that are off, the one that lost most steps.
  const off = shifts?.filter((s) => s.off).sort((a, b) => b.fullSteps - a.fullSteps)[0];
  if (args.event === undefined && off === undefined) return null;
  const note = args.note === undefined ? null : plainText(args.note).slice(0, MAX_NOTE);
  const head = { date: env.today(), note };
  if (args.event === 'finished') return { outcome: 'finished', ...head };
  const measuredMm = off?.amountKnown ? off.shiftMm : null;
  const amountMm = args.amount === undefined ? measuredMm : parseLength(args.amount, 'amount');
  return {
    ...head,
    outcome: 'lost',
    axis: args.axis === 'unknown' ? null : (args.axis ?? off?.axis ?? null),
    direction:
      args.direction === undefined ? (off?.way ?? null) : args.direction === 'plus' ? '+' : '-',
    amountMm: amountMm === null ? null : Math.abs(amountMm),
  };
}

/** What ran, and its loads before and at the place of a loss; all of them are before where there
 *  was none. */
interface Place extends Pick<RunHead, 'program' | 'material'> {
  readonly seen: string;
  readonly held: AxisLoads;
  readonly suspect: AxisLoads;
}

function entry(seen: Seen, place: Place): LoggedRun {
  const { program, material, held } = place;
  return seen.outcome === 'lost' ? { ...seen, ...place } : { ...seen, program, material, held };
}

const NO_LOADS: AxisLoads = { x: NO_LOAD, y: NO_LOAD };

/** The part of the planning side that lays a run open; loaded when it is needed. */
type RunKernel = Pick<typeof RetuneRun, 'findStretch' | 'loadsOf' | 'loadsBefore'>;

/** An entry for a run of the job's program, and the stretch that it speaks of. */
export function programEntry(
  seen: Seen,
  args: EventArgs & { readonly job: string },
  run: ProgramRun,
  runs: RunKernel,
): { readonly logged: LoggedRun; readonly range: OpRange } {
  const stretch = parseStretch(args.at ?? 'whole');
  const range = withPlaces('--at', 'retune', () => runs.findStretch(run, stretch));
  const loads = runs.loadsOf(run, range);
  const logged = entry(seen, {
    program: `${plainText(basename(args.job))} ${run.digest}`,
    material: run.planned.job.material.id,
    seen: range.text.replaceAll('"', ''),
    held: seen.outcome === 'lost' ? runs.loadsBefore(run, range) : loads,
    suspect: loads,
  });
  return { logged, range };
}

/** An entry for a ladder. @throws UserError for another machine's ladder, or no such rung */
export function ladderEntry(seen: Seen, args: EventArgs, machineId: string, env: Env): LoggedRun {
  const path = args.ladder!;
  const record = readLadderRecord(readTextFile(path, env.cwd, MAX_LADDER_BYTES), path);
  if (baseName(record.machine) !== baseName(machineId)) {
    throw new UserError(
      `retune: --ladder ${plainText(path)} was made for machine ${record.machine}, the job names ${machineId}; name the machine that it was run on`,
    );
  }
  const program = `ladder ${record.axis} ${record.digest}`;
  const at = seen.outcome === 'lost' ? (args.at ?? '') : null;
  return entry(seen, { program, material: record.material, ...rungPlace(record, at) });
}

/** @param at  null: every rung held */
function rungPlace(record: LadderRecord, at: string | null) {
  if (at === null) return { seen: '', held: loadsBeforeRung(record, null), suspect: NO_LOADS };
  if (isTrim(at)) return { seen: 'trimming', held: NO_LOADS, suspect: record.trim };
  const index = findRung(record, at);
  const rung = record.rungs[index];
  if (rung === undefined) {
    const [first, last] = [record.rungs[0]!.name, record.rungs.at(-1)!.name];
    throw new UserError(
      `retune: --at "${plainText(at)}" is no rung of this ladder; name one from ${first} to ${last}, or trim`,
    );
  }
  return {
    seen: `rung ${rung.name}`,
    held: loadsBeforeRung(record, index),
    suspect: rung.loads,
  };
}
