/** What a person saw of a run, from the options; and a ladder's run as an entry of the log. */
import { NO_LOADS } from '../../machines/learn/load-history.js';
import type { AxisShift } from '../../machines/learn/offsets.js';
import {
  type LoggedRun,
  type Seen,
  type Sound,
  baseName,
  loggedRun,
} from '../../machines/learn/evidence.js';
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
import { parseLength, parseOption, parseStretch } from './args.js';

/** How a run ended, or what was heard of it. */
export const EVENTS = ['finished', 'quiet', 'chatter', 'lost'] as const;
type Event = (typeof EVENTS)[number];

export interface EventArgs {
  readonly event?: Event;
  readonly at?: string;
  readonly axis?: AxisName | 'unknown';
  readonly direction?: 'plus' | 'minus';
  readonly amount?: string;
  readonly pitch?: string;
  readonly measured?: string;
  readonly ladder?: string;
  readonly note?: string;
}

const MAX_LADDER_BYTES = 4 * 1024 * 1024;
const MAX_NOTE = 200;

/** Options that do not go together. @throws UserError */
export function checkEvent(args: EventArgs): void {
  const given = (key: keyof EventArgs): boolean => args[key] !== undefined;
  const lost = args.event === 'lost' || (!given('event') && given('measured'));
  const chatter = args.event === 'chatter';
  const stray = lost ? null : (['axis', 'direction', 'amount'] as const).find(given);
  const wrong = [
    given('measured') &&
      given('event') &&
      !lost &&
      `--measured tells of a wrong part, --event ${args.event} does not; give one of them`,
    given('ladder') &&
      (chatter || args.event === 'quiet') &&
      `--event ${args.event} is for a program, not for a ladder; give --event finished or lost`,
    given('measured') &&
      given('ladder') &&
      '--measured tells of a part, --ladder of a test; give one of them',
    given('ladder') &&
      !given('event') &&
      '--ladder needs to know how it ended; add --event finished, or --event lost and --at with the rung',
    stray && `--${stray} tells of a loss; add --event lost`,
    given('at') &&
      !lost &&
      !chatter &&
      '--at tells of a loss or of chatter; add --event lost or --event chatter',
    given('pitch') && !chatter && '--pitch is that of a howl; add --event chatter',
    given('note') &&
      !given('event') &&
      !given('measured') &&
      '--note belongs to a run; add --event finished or --event lost',
  ].find(Boolean);
  if (wrong) throw new UserError(`retune: ${wrong}`);
  // Before anything is planned: a slip of the finger need not wait for that.
  if (!given('ladder') && args.at !== undefined) parseStretch(args.at);
}

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
  if (args.event === 'quiet' || args.event === 'chatter') {
    return { outcome: 'finished', ...head, sound: soundOf(args.event, args.pitch) };
  }
  const measuredMm = off?.amountKnown ? off.shiftMm : null;
  const amountMm = args.amount === undefined ? measuredMm : parseLength(args.amount, 'amount');
  const told = args.direction && ({ plus: '+', minus: '-' } as const)[args.direction];
  return {
    ...head,
    outcome: 'lost',
    axis: args.axis === 'unknown' ? null : (args.axis ?? off?.axis ?? null),
    otherHeld: false,
    direction: told ?? off?.way ?? null,
    amountMm: amountMm === null ? null : Math.abs(amountMm),
  };
}

/** What can be heard. Hz */
const HEARD_HZ = { min: 10, max: 20_000 } as const;

function soundOf(sound: Sound['sound'], pitch: string | undefined): Sound {
  if (pitch === undefined) return { sound };
  const pitchHz = parseOption(pitch, 'frequency', 'pitch');
  if (pitchHz >= HEARD_HZ.min && pitchHz <= HEARD_HZ.max) return { sound, pitchHz };
  throw new UserError(
    `retune: --pitch "${plainText(pitch)}" is not between ${HEARD_HZ.min} and ${HEARD_HZ.max} Hz; give it as a tuner shows it, "480 Hz"`,
  );
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
  return loggedRun(seen, {
    ...{ program, material: record.material, bar: null, edge: null },
    ...rungPlace(record, at),
  });
}

/** @param at  null: every rung held */
function rungPlace(record: LadderRecord, at: string | null) {
  if (at === null) return { seen: null, held: loadsBeforeRung(record), suspect: NO_LOADS };
  if (isTrim(at)) return { seen: 'trimming', held: NO_LOADS, suspect: record.trim };
  const index = findRung(record, at);
  const rung = record.rungs[index];
  if (rung) {
    return { seen: `rung ${rung.name}`, held: loadsBeforeRung(record, index), suspect: rung.loads };
  }
  throw new UserError(
    `retune: --at "${plainText(at)}" is no rung of this ladder; name one from ${record.rungs[0]!.name} to ${record.rungs.at(-1)!.name}, or trim`,
  );
}
