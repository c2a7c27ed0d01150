/** What the options of `retune` say, as values. */
import { JOB_FIELDS } from '../../job/schema.js';
import { plainText } from '../../text/program-text.js';
import { Refusal } from '../../model/refusal.js';
import { parseQuantity } from '../../text/quantity.js';
import { type Given, quantityOf } from '../../text/reading.js';
import { showText } from '../../text/show.js';
import type { Side, SideError } from '../../machines/learn/offsets.js';
import { UserError } from '../command.js';

/** What was given as an option, in the words of this command. */
export function given(text: string, option: string, command = 'retune'): Given {
  const fail: Given['fail'] = (rule, fix) => {
    throw new UserError(`${command}: --${option} "${showText(text)}" ${rule}; ${fix}`);
  };
  return { text, fail };
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
  return quantityOf(given(text, option, command), 'length');
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

/** Share of a risk in per cent, as "1" or "1 %"; its range is that of the job's key. @throws UserError */
export function parseRisk(text: string, command: string): number {
  const { min, max } = JOB_FIELDS.risk;
  const share = /^\d+(\.\d+)?( ?%)?$/.test(text) ? Number.parseFloat(text) / 100 : NaN;
  if (share >= parseQuantity(min, 'share') && share <= parseQuantity(max, 'share')) return share;
  throw new UserError(
    `${command}: --risk "${plainText(text)}" is not between ${min} and ${max}; write a number, as 1`,
  );
}
