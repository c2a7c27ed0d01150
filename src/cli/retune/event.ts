/** What a person saw of a run, from the options. */
import type { AxisShift } from '../../machines/learn/offsets.js';
import type { Seen, Sound } from '../../machines/learn/evidence.js';
import type { AxisName } from '../../model/machine.js';
import type { RunOn } from '../../plan/retune/run.js';
import { plainText } from '../../text/program-text.js';
import { showText } from '../../text/show.js';
import { UserError } from '../command.js';
import type { Env } from '../env.js';
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
  readonly edge?: string;
  readonly changes?: string;
  readonly bar?: string;
  readonly note?: string;
  readonly 'pull-test'?: string;
}

const MAX_BAR = 40;
const MAX_NOTE = 200;

/** Options that do not go together. @throws UserError */
export function checkEvent(args: EventArgs): void {
  const given = (key: keyof EventArgs): boolean => args[key] !== undefined;
  const lost = args.event === 'lost' || (!given('event') && given('measured'));
  const chatter = args.event === 'chatter';
  const stray = lost ? null : (['axis', 'direction', 'amount'] as const).find(given);
  const ofRun = (['note', 'edge', 'changes', 'bar'] as const).find(given);
  const wrong = [
    given('pull-test') &&
      (given('event') || given('measured')) &&
      '--pull-test is evidence of its own; give it alone',
    given('measured') &&
      given('event') &&
      !lost &&
      `--measured tells of a wrong part, --event ${args.event} does not; give one of them`,
    stray && `--${stray} tells of a loss; add --event lost`,
    given('at') &&
      !lost &&
      !chatter &&
      '--at tells of a loss or of chatter; add --event lost or --event chatter',
    given('pitch') && !chatter && '--pitch is that of a howl; add --event chatter',
    ofRun &&
      !given('event') &&
      !given('measured') &&
      `--${ofRun} belongs to a run; add --event finished or --event lost`,
  ].find(Boolean);
  if (wrong) throw new UserError(`retune: ${wrong}`);
  // Before anything is planned: a slip of the finger need not wait for that.
  if (args.at !== undefined) parseStretch(args.at);
}

/** @returns null when there is nothing to add */
export function seenOf(
  args: EventArgs,
  shifts: readonly AxisShift[] | null,
  env: Env,
): Seen | null {
  // Of several axes that are off, the one that lost most steps is told of.
  const off = shifts?.filter((s) => s.off).sort((a, b) => b.fullSteps - a.fullSteps) ?? [];
  const [most] = off;
  if (args.event === undefined && most === undefined) return null;
  const note = args.note === undefined ? null : plainText(args.note).slice(0, MAX_NOTE);
  const head = { date: env.today(), note };
  if (args.event === 'finished') return { outcome: 'finished', ...head };
  if (args.event === 'quiet' || args.event === 'chatter') {
    return { outcome: 'finished', ...head, sound: soundOf(args.event, args.pitch) };
  }
  const measuredMm = most?.amountKnown ? most.shiftMm : null;
  const amountMm = args.amount === undefined ? measuredMm : parseLength(args.amount, 'amount');
  const told = args.direction && ({ plus: '+', minus: '-' } as const)[args.direction];
  const axis = args.axis ?? (off.length > 1 ? 'both' : most?.axis);
  return {
    ...head,
    outcome: 'lost',
    axis: axis === undefined || axis === 'unknown' ? null : axis,
    otherHeld: shifts?.some((s) => s.axis !== axis && heldBy(s)) ?? false,
    direction: told ?? most?.way ?? null,
    amountMm: amountMm === null ? null : Math.abs(amountMm),
  };
}

/** Whether the sides say that their axis is right: sides that contradict each other say nothing. */
function heldBy({ off, amountKnown, sidesAgree }: AxisShift): boolean {
  return !off && amountKnown && sidesAgree !== false;
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

/** What the options say of edge and blank; what is left out goes on as it was. */
export function runOn({ edge, changes, bar }: EventArgs): RunOn {
  const edges = changes === undefined ? null : wholeNumber(changes) + 1;
  const name = bar === undefined ? null : plainText(bar).trim().slice(0, MAX_BAR) || null;
  return { edgeMin: edge === undefined ? null : edgeMinutes(edge), edges, bar: name };
}

function edgeMinutes(text: string): number {
  if (/^new$/i.test(text.trim())) return 0;
  const minutes = /^(\d{1,4}(?:\.\d+)?) ?min$/i.exec(text.trim())?.[1];
  if (minutes !== undefined) return Number(minutes);
  throw new UserError(
    `retune: --edge "${showText(text)}" is neither new nor minutes; write new, or the minutes in the cut that it had, as "35 min"`,
  );
}

function wholeNumber(text: string): number {
  if (/^\d{1,2}$/.test(text)) return Number(text);
  throw new UserError(
    `retune: --changes "${showText(text)}" is no count of cutter changes; write a whole number, as 1`,
  );
}
