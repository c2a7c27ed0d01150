/** What a person tells of a run, by key as given: the words that command line and page have in common. */
import type { Seen, Sound } from '../machines/learn/evidence.js';
import type { RunOn, Stretch } from '../plan/retune/run.js';
import { plainText } from '../text/program-text.js';
import { type Given, countOf, quantityOf } from '../text/reading.js';

/** How a run ended, or what was heard of it; quiet finished without a howl. */
export const EVENTS = ['finished', 'quiet', 'chatter', 'lost'] as const;
export type Event = (typeof EVENTS)[number];

/** Axes that can lose steps, and which way the machine ended up off. */
export const LOST_AXES = ['x', 'y', 'z', 'unknown'] as const;
export const DIRECTIONS = { plus: '+', minus: '-' } as const;

/** What else can be told of a run. */
export const TOLD = {
  at: 'where the loss was seen or the howl heard: 15200, 15200-15900, "41-44 min", "rough 5", "check 3", "depth 2.4 mm" [anywhere]',
  axis: 'axis that lost steps [unknown]',
  direction: 'which way the machine ended up off',
  amount: 'by how much, "1.5 mm"',
  pitch: 'pitch of the howl, as a tuner on a phone shows it: "480 Hz"',
  edge: 'cutting edge at the start: new, or the minutes that it had cut, "35 min" [that of the last run in the log, while it lasts]',
  changes: 'cutter changes during the run [as planned]',
  bar: 'bar or batch of the blank, "B2" [the one bar of its material]',
  note: 'a remark for the log',
} as const;
export type Told = keyof typeof TOLD;

const MAX_BAR = 40;
const MAX_NOTE = 200;

/** What is told of a run that ended so, apart from where. */
export function seenIn(event: Event, told: ReadonlyMap<string, Given>, date: string): Seen {
  const [note, amount] = [told.get('note'), told.get('amount')];
  const head = { date, note: note ? plainText(note.text).slice(0, MAX_NOTE) : null };
  const sound = soundOf(event, told.get('pitch'));
  if (event !== 'lost') return { outcome: 'finished', ...head, ...(sound && { sound }) };
  const way = told.get('direction')?.text;
  return {
    ...{ ...head, outcome: 'lost', otherHeld: false },
    axis: (['x', 'y', 'z'] as const).find((axis) => axis === told.get('axis')?.text) ?? null,
    direction: way === 'plus' || way === 'minus' ? DIRECTIONS[way] : null,
    amountMm: amount ? Math.abs(quantityOf(amount, 'length')) : null,
  };
}

/**
 * "15200", "15200-15900", "41-44 min", "rough 5", "check 3", "depth 2.4 mm", "whole".
 * @param checks  whether a datum check is such a place
 */
export function stretchOf(given: Given, checks = true): Stretch {
  const trimmed = given.text.trim();
  const fix =
    'write a line (15200), lines (15200-15900), minutes (41-44 min), a level (rough 5), a datum check (check 3) or a depth (depth 2.4 mm)';
  const refuse = (rule: string): never => given.fail(rule, fix);
  if (trimmed === '') refuse('is empty');
  if (/^(whole|unknown|somewhere)$/i.test(trimmed)) return { kind: 'whole' };
  const span = ([, begin, end]: RegExpExecArray) => {
    const [from, to] = [Number(begin), Number(end ?? begin)];
    if (to < from) refuse('ends before it begins');
    return { from, to };
  };
  const lines = /^(?:lines?\s+)?(\d{1,8})(?:\s*(?:-|to)\s*(\d{1,8}))?$/i.exec(trimmed);
  if (lines) {
    const { from, to } = span(lines);
    if (from < 1) refuse('names line 0; lines count from 1');
    return { kind: 'lines', from, to };
  }
  const minutes = /^(\d+(?:\.\d+)?)(?:\s*(?:-|to)\s*(\d+(?:\.\d+)?))?\s*min$/i.exec(trimmed);
  if (minutes) {
    const { from, to } = span(minutes);
    // A single minute is known to about half a minute either way.
    const about = minutes[2] === undefined ? 0.5 : 0;
    return { kind: 'minutes', from: from - about, to: to + about };
  }
  const check = /^(?:datum )?check (\d{1,4})$/i.exec(trimmed);
  if (check && checks) return { kind: 'check', number: Number(check[1]) };
  const depth = /^depth\s+(.+)$/i.exec(trimmed);
  if (depth) {
    const depthMm = quantityOf({ ...given, text: depth[1]! }, 'length');
    if (!(depthMm >= 0 && depthMm < 100)) refuse('is not a depth in the plate');
    return { kind: 'depth', depthMm };
  }
  if (!/^[a-z]+( level| check)?( \d+)?( pass \d+)?$/i.test(trimmed))
    refuse('is no place of a program');
  return { kind: 'section', name: trimmed };
}

/** What can be heard. Hz */
const HEARD_HZ = { min: 10, max: 20_000 } as const;

/** What an event says was heard; undefined where nobody listened. */
function soundOf(event: Event, pitch: Given | undefined): Sound | undefined {
  if (event !== 'quiet' && event !== 'chatter') return undefined;
  if (pitch === undefined) return { sound: event };
  const pitchHz = quantityOf(pitch, 'frequency');
  if (pitchHz >= HEARD_HZ.min && pitchHz <= HEARD_HZ.max) return { sound: event, pitchHz };
  return pitch.fail(
    `is not between ${HEARD_HZ.min} and ${HEARD_HZ.max} Hz`,
    'give it as a tuner shows it, "480 Hz"',
  );
}

/** What is told of edge and blank; what is left out goes on as it was. */
export function runOnOf(given: ReadonlyMap<string, Given>): RunOn {
  const [edge, changes, bar] = [given.get('edge'), given.get('changes'), given.get('bar')];
  return {
    edgeMin: edge === undefined ? null : edgeMinutes(edge),
    edges: changes === undefined ? null : countOf(changes, 0, 99) + 1,
    bar: bar === undefined ? null : plainText(bar.text).trim().slice(0, MAX_BAR) || null,
  };
}

/** Minutes in the cut that an edge has had: "new" is none. */
export function edgeMinutes({ text, fail }: Given): number {
  if (/^new$/i.test(text.trim())) return 0;
  const minutes = /^(\d{1,4}(?:\.\d+)?) ?min$/i.exec(text.trim())?.[1];
  if (minutes !== undefined) return Number(minutes);
  return fail(
    'is neither new nor minutes',
    'write new, or the minutes in the cut that it had, as "35 min"',
  );
}
