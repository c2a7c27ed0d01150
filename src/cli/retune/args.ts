/** What the options of `retune` say, as values. */
import { plainText } from '../../text/program-text.js';
import { Refusal } from '../../model/refusal.js';
import { QuantityError, parseQuantity } from '../../text/quantity.js';
import type { Dimension } from '../../text/units.js';
import type { Stretch } from '../../plan/retune/run.js';
import { showText } from '../../text/show.js';
import type { Side, SideError } from '../../machines/learn/offsets.js';
import { UserError } from '../command.js';

/** "15200", "15200-15900", "41-44 min", "rough 5", "check 3", "depth 2.4 mm", "whole". */
export function parseStretch(text: string, command = 'retune', option = 'at'): Stretch {
  const trimmed = text.trim();
  const fix =
    'write a line (15200), lines (15200-15900), minutes (41-44 min), a level (rough 5), a datum check (check 3) or a depth (depth 2.4 mm)';
  const refuse = (rule: string): never => {
    throw new UserError(`${command}: --${option} "${showText(trimmed)}" ${rule}; ${fix}`);
  };
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
  if (check && option === 'at') return { kind: 'check', number: Number(check[1]) };
  const depth = /^depth\s+(.+)$/i.exec(trimmed);
  if (depth) {
    const depthMm = parseLength(depth[1]!, option, command);
    if (!(depthMm >= 0 && depthMm < 100)) refuse('is not a depth in the plate');
    return { kind: 'depth', depthMm };
  }
  if (!/^[a-z]+( level| check)?( \d+)?( pass \d+)?$/i.test(trimmed))
    refuse('is no place of a program');
  return { kind: 'section', name: trimmed };
}

/** Runs an action; a place that the program does not have is a mistake in an option. */
export function withPlaces<T>(options: string, command: string, action: () => T): T {
  try {
    return action();
  } catch (error) {
    if (!(error instanceof Refusal) || error.code !== 'no-such-place') throw error;
    throw new UserError(`${command}: ${options}: ${error.message}; name a place that it has`);
  }
}

/** A length with its unit, for an option. */
export function parseLength(text: string, option: string, command = 'retune'): number {
  return parseOption(text, 'length', option, command);
}

/** A quantity with its unit, for an option. */
export function parseOption(
  text: string,
  dimension: Dimension,
  option: string,
  command = 'retune',
): number {
  try {
    return parseQuantity(text, dimension);
  } catch (error) {
    if (!(error instanceof QuantityError)) throw error;
    throw new UserError(`${command}: --${option} "${showText(text)}" ${error.rule}; ${error.fix}`);
  }
}

const SIDE = /^(?:([+-])([xy])|([xy])([+-]))\s*:?\s*(.*)$/i;

/** "x+: 1.5 mm too far, x-: untouched": what was measured on the sides of the part. */
export function parseSides(text: string): readonly SideError[] {
  const sides = text.split(',').map((part) => sideError(part.trim()));
  const twice = sides.find(({ side }, i) => sides.findIndex((s) => s.side === side) < i);
  if (twice) refuseSide(twice.side, 'names a side twice');
  return sides;
}

function refuseSide(part: string, rule: string): never {
  throw new UserError(
    `retune: --measured "${showText(part)}" ${rule}; write each side as "x+: 1.5 mm too far", "x-: 1.5 mm left" or "x-: untouched", with commas between`,
  );
}

function sideError(part: string): SideError {
  const match = SIDE.exec(part);
  if (!match) return refuseSide(part, 'does not begin with a side, x+, x-, y+ or y-');
  const side = `${match[1] ?? match[4]!}${(match[2] ?? match[3]!).toLowerCase()}` as Side;
  const said = match[5]!.trim();
  if (/^untouched$/i.test(said)) return { side, errorMm: 'untouched' };
  const word = /\s*(too far|over|left|proud)$/i.exec(said);
  const mm = parseLength(word ? said.slice(0, -word[0].length) : said, 'measured');
  if (word && mm < 0) refuseSide(part, 'has both a sign and a word');
  return { side, errorMm: word && /left|proud/i.test(word[1]!) ? -mm : mm };
}

const RISK_PERCENT = { min: 0.01, max: 50 } as const;

/** Share of a risk in per cent, as "1" or "1 %". @throws UserError out of its range */
export function parseRisk(text: string, command: string): number {
  const percentage = /^\d+(\.\d+)?( ?%)?$/.test(text) ? Number.parseFloat(text) : NaN;
  if (percentage >= RISK_PERCENT.min && percentage <= RISK_PERCENT.max) return percentage / 100;
  throw new UserError(
    `${command}: --risk "${plainText(text)}" is not between ${RISK_PERCENT.min} and ${RISK_PERCENT.max} per cent; write a number, as 1`,
  );
}
