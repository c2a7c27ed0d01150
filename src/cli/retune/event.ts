/** What a person saw of a run, from the options. */
import type { AxisShift } from '../../machines/learn/offsets.js';
import type { Seen } from '../../machines/learn/evidence.js';
import type { RunOn } from '../../plan/retune/run.js';
import { type Event, TOLD, type Told, runOnOf, seenIn, stretchOf } from '../../say/given-run.js';
import type { Given } from '../../text/reading.js';
import { UserError } from '../command.js';
import type { Env } from '../env.js';
import { given } from './args.js';

export interface EventArgs extends Partial<Readonly<Record<Told, string>>> {
  readonly event?: Event;
  readonly measured?: string;
  readonly 'pull-test'?: string;
}

/** Options that do not go together. @throws UserError */
export function checkEvent(args: EventArgs): void {
  const has = (key: keyof EventArgs): boolean => args[key] !== undefined;
  const lost = args.event === 'lost' || (!has('event') && has('measured'));
  const chatter = args.event === 'chatter';
  const stray = lost ? null : (['axis', 'direction', 'amount'] as const).find(has);
  const ofRun = (['note', 'edge', 'changes', 'bar'] as const).find(has);
  const wrong = [
    has('pull-test') &&
      (has('event') || has('measured')) &&
      '--pull-test is evidence of its own; give it alone',
    has('measured') &&
      has('event') &&
      !lost &&
      `--measured tells of a wrong part, --event ${args.event} does not; give one of them`,
    stray && `--${stray} tells of a loss; add --event lost`,
    has('at') &&
      !lost &&
      !chatter &&
      '--at tells of a loss or of chatter; add --event lost or --event chatter',
    has('pitch') && !chatter && '--pitch is that of a howl; add --event chatter',
    ofRun &&
      !has('event') &&
      !has('measured') &&
      `--${ofRun} belongs to a run; add --event finished or --event lost`,
  ].find(Boolean);
  if (wrong) throw new UserError(`retune: ${wrong}`);
  // Before anything is planned: a slip of the finger need not wait for that.
  if (args.at !== undefined) stretchOf(given(args.at, 'at'));
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
  const seen = seenIn(args.event ?? 'lost', toldIn(args), env.today());
  if (seen.outcome !== 'lost' || shifts === null) return seen;
  const axis = args.axis ? seen.axis : off.length > 1 ? 'both' : (most?.axis ?? null);
  return {
    ...{ ...seen, axis },
    otherHeld: shifts.some((s) => s.axis !== axis && heldBy(s)),
    direction: seen.direction ?? most?.way ?? null,
    amountMm: seen.amountMm ?? (most?.amountKnown ? Math.abs(most.shiftMm) : null),
  };
}

/** Whether the sides say that their axis is right: sides that contradict each other say nothing. */
function heldBy({ off, amountKnown, sidesAgree }: AxisShift): boolean {
  return !off && amountKnown && sidesAgree !== false;
}

/** What the options tell of a run. */
function toldIn(args: EventArgs): ReadonlyMap<string, Given> {
  const keys = Object.keys(TOLD) as Told[];
  return new Map(
    keys.flatMap((key) => (args[key] === undefined ? [] : [[key, given(args[key], key)] as const])),
  );
}

/** What the options say of edge and blank. */
export function runOn(args: EventArgs): RunOn {
  return runOnOf(toldIn(args));
}
