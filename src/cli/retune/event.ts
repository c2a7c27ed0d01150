/** What a person saw of a run, as an entry of the evidence log. */
import { basename } from 'node:path';
import type * as RetuneRun from '../../plan/retune/run.js';
import type { OpRange, ProgramRun } from '../../plan/retune/run.js';
import { NO_LOAD } from '../../machines/learn/load-history.js';
import type { AxisShift } from '../../machines/learn/offsets.js';
import { type LoggedRun, baseName } from '../../machines/learn/evidence.js';
import { findRung, isTrim, loadsBeforeRung, readLadderRecord } from '../../plan/ladder/record.js';
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
export function checkEvent(args: EventArgs): void {
  const lost = args.event === 'lost' || (args.event === undefined && args.measured !== undefined);
  if (args.event === 'finished' && args.measured !== undefined) {
    throw new UserError(
      'retune: --measured tells of a wrong part, --event finished of a good one; give one of them',
    );
  }
  if (args.ladder !== undefined && args.measured !== undefined) {
    throw new UserError('retune: --measured tells of a part, --ladder of a test; give one of them');
  }
  if (args.ladder !== undefined && args.event === undefined) {
    throw new UserError(
      'retune: --ladder needs to know how it ended; add --event finished, or --event lost and --at with the rung',
    );
  }
  for (const key of ['at', 'axis', 'direction', 'amount'] as const) {
    if (args[key] === undefined || lost) continue;
    throw new UserError(`retune: --${key} tells of a loss; add --event lost`);
  }
  if (args.event === undefined && args.measured === undefined && args.note !== undefined) {
    throw new UserError('retune: --note belongs to a run; add --event finished or --event lost');
  }
  // Before anything is planned: a slip of the finger need not wait for that.
  if (args.ladder === undefined && args.at !== undefined) parseStretch(args.at);
}

type Seen = Pick<LoggedRun, 'outcome' | 'date' | 'axis' | 'direction' | 'amountMm' | 'note'>;

/** What was seen apart from where; null when there is nothing to add. */
export function seenOf(
  args: EventArgs,
  shifts: readonly AxisShift[] | null,
  env: Env,
): Seen | null {
  if (args.event === undefined && shifts === null) return null;
  const note = args.note === undefined ? null : plainText(args.note).slice(0, MAX_NOTE);
  const date = env.today();
  if (args.event === 'finished') {
    return { outcome: 'finished', date, axis: null, direction: null, amountMm: null, note };
  }
  // Of several axes that are off, the one that lost most steps.
  const off = (shifts ?? []).filter((s) => s.off).sort((a, b) => b.fullSteps - a.fullSteps)[0];
  if (shifts !== null && off === undefined && args.event === undefined) return null;
  const measuredWay = off?.way ?? null;
  const way = args.direction === undefined ? null : args.direction === 'plus' ? '+' : '-';
  return {
    outcome: 'lost',
    date,
    axis: args.axis === 'unknown' ? null : (args.axis ?? off?.axis ?? null),
    direction: way ?? measuredWay,
    amountMm:
      args.amount === undefined
        ? off === undefined || !off.amountKnown
          ? null
          : Math.abs(off.shiftMm)
        : Math.abs(parseLength(args.amount, 'amount')),
    note,
  };
}

/** The part of the planning side that lays a run open; loaded when it is needed. */
type RunKernel = Pick<typeof RetuneRun, 'findStretch' | 'loadsOf' | 'loadsBefore'>;

/** An entry for a run of the job's program. */
export function programEntry(
  seen: Seen,
  args: EventArgs & { readonly job: string },
  run: ProgramRun,
  runs: RunKernel,
): { readonly logged: LoggedRun; readonly range: OpRange } {
  const program = `${plainText(basename(args.job))} ${run.digest}`;
  const common = { ...seen, program, material: run.planned.job.material.id };
  const stretch = parseStretch(args.at ?? 'whole');
  const range = withPlaces('--at', 'retune', () => runs.findStretch(run, stretch));
  if (seen.outcome === 'finished') {
    return {
      range,
      logged: { ...common, seen: null, held: runs.loadsOf(run, range), suspect: null },
    };
  }
  return {
    range,
    logged: {
      ...common,
      seen: range.text.replaceAll('"', ''),
      held: runs.loadsBefore(run, range),
      suspect: runs.loadsOf(run, range),
    },
  };
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
  const common = {
    ...seen,
    program: `ladder ${record.axis} ${record.digest}`,
    material: record.material,
  };
  if (seen.outcome === 'finished') {
    return { ...common, seen: null, held: loadsBeforeRung(record, null), suspect: null };
  }
  if (isTrim(args.at ?? '')) {
    return { ...common, seen: 'trimming', held: { x: NO_LOAD, y: NO_LOAD }, suspect: record.trim };
  }
  const index = findRung(record, args.at ?? '');
  const rung = record.rungs[index];
  if (rung === undefined) {
    const names = record.rungs.map((r) => r.name);
    throw new UserError(
      `retune: --at "${plainText(args.at ?? '')}" is no rung of this ladder; name one from ${names[0]} to ${names[names.length - 1]}, or trim`,
    );
  }
  return {
    ...common,
    seen: `rung ${rung.name}`,
    held: loadsBeforeRung(record, index),
    suspect: rung.loads,
  };
}
