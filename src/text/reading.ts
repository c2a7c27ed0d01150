/** Readings as a person writes them: "7.7 mm", "0.306 in +/- 0.002 in", "10". */
import { hypot, pow } from '../maths/elementary.js';
import { mean, readingSd, sumOfSquares } from '../maths/sample.js';
import { QuantityError, parseQuantity } from './quantity.js';
import { mm } from './show.js';
import type { Dimension } from './units.js';

/** A value as it was given, and how to complain about it. */
export interface Given {
  readonly text: string;
  readonly fail: (rule: string, fix: string) => never;
}

/** Most values in a list. */
const MOST_VALUES = 400;

/** Values of a list, "7.71, 7.73, 7.70 mm": a unit at the end stands for all that have none. A comma
 *  inside a number does not part it from the next. */
function listOf({ text, fail }: Given): string[] {
  const parts = text.split(/\s*;\s*|,\s+/).map((part) => part.trim());
  const last = parts[parts.length - 1]!;
  const unit = /[a-z"\u2033\u00b5\u03bc][a-z]*$/i.exec(last)?.[0] ?? '';
  if (parts.length > MOST_VALUES) return fail('is too long a list', `at most ${MOST_VALUES}`);
  return parts.map((part) =>
    BARE.test(part) && part !== MISSING ? `${part} ${unit}`.trim() : part,
  );
}

const BARE = /^[+-]?[\d./\s-]+$/;
/** Stands in a list for a place that was not read. */
const MISSING = '-';

/**
 * Readings in places that follow each other, "-" for one that is missing.
 * @param count  how many there have to be; null for any number
 */
export function seriesOf(given: Given, count: number | null): readonly (number | null)[] {
  const parts = listOf(given);
  if (count !== null && parts.length !== count) {
    return given.fail(`is a list of ${parts.length}`, `write ${count}, and - for one not read`);
  }
  return parts.map((part) => {
    if (part === MISSING) return null;
    if (BARE.test(part)) return given.fail('has no unit', `say ${part} mm or ${part} in`);
    return length(part, given);
  });
}

/** Mean of readings of one thing, and its standard deviation: scatter and usual error together, over
 *  the root of their number. */
function meanReading(list: readonly GivenReading[], sdGiven: boolean): GivenReading {
  const n = list.length;
  const values = list.map((r) => r.valueMm);
  const valueMm = mean(values);
  const usual = Math.max(...list.map((r) => r.sdMm));
  const one = readingSd(sumOfSquares(values, valueMm), n - 1, usual);
  const sdMm = (sdGiven ? usual : one) / Math.sqrt(n);
  return { valueMm, sdMm, text: mm(valueMm) };
}

export interface GivenReading {
  readonly valueMm: number;
  readonly sdMm: number;
  /** The length as written, without its uncertainty. */
  readonly text: string;
}

/**
 * Length with its standard deviation: what stands after "+/-", or else the usual one of the
 * measurement together with the rounding of the last digit written (a step spread evenly: its twelfth
 * root, step / sqrt 12). Of a list, the mean with the error of a mean.
 */
export function readingOf(given: Given, usualSdMm: number, mayBeZero = false): GivenReading {
  const [values = '', error, more] = given.text.split(PLUS_MINUS);
  if (more !== undefined)
    return given.fail('has more than one +/-', 'write it like 7.7 mm +/- 0.05 mm');
  const each = listOf({ ...given, text: values }).map((text) =>
    oneReading(text, error, given, usualSdMm, mayBeZero),
  );
  return each.length === 1 ? each[0]! : meanReading(each, error !== undefined);
}

const PLUS_MINUS = /\s*(?:\+\/-|\u00b1)\s*/;

function oneReading(
  first: string,
  second: string | undefined,
  given: Given,
  usualSdMm: number,
  mayBeZero: boolean,
): GivenReading {
  const unit = /[a-z"\u2033\u00b5\u03bc][a-z]*\s*$/i.exec(second ?? '')?.[0].trim();
  const bare = BARE.test(first);
  const text = bare && unit ? `${first.trim()} ${unit}` : first.trim();
  const valueMm = length(text, given);
  // A bare 0 is a length to parseQuantity, but its last digit is worth nothing without a unit.
  if (bare && !unit) return given.fail('has no unit', `say ${text} mm or ${text} in`);
  if (!(mayBeZero ? valueMm >= 0 : valueMm > 0)) {
    return given.fail(mayBeZero ? 'is below 0' : 'is not above 0', 'write what the caliper reads');
  }
  if (second === undefined) return { valueMm, sdMm: hypot(usualSdMm, roundingMm(text)), text };
  const sdMm = length(second, given);
  if (!(sdMm > 0))
    return given.fail('has an uncertainty that is not above 0', 'leave +/- out for the usual one');
  return { valueMm, sdMm, text };
}

/** Longest length that is measured here. mm */
const MAX_MM = 5000;

function length(text: string, given: Given): number {
  const valueMm = quantityOf({ ...given, text }, 'length');
  if (Math.abs(valueMm) <= MAX_MM) return valueMm;
  return given.fail(`is over ${MAX_MM} mm`, 'check value and unit');
}

/** A quantity with its unit, in the unit that is used inside. */
export function quantityOf({ text, fail }: Given, dimension: Dimension): number {
  try {
    return parseQuantity(text, dimension);
  } catch (error) {
    if (!(error instanceof QuantityError)) throw error;
    return fail(error.rule, error.fix);
  }
}

/** Standard deviation of the rounding to the last decimal written. mm; 0 for a fraction. */
function roundingMm(text: string): number {
  const number = /^[+-]?\d*(?:\.(\d*))?/.exec(text);
  if (number === null || text.includes('/')) return 0;
  const decimals = number[1]?.length ?? 0;
  const unit = text.slice(number[0].length);
  return parseQuantity(`${pow(10, -decimals).toFixed(decimals)}${unit}`, 'length') / Math.sqrt(12);
}

/** A count, such as of pitches. */
export function countOf(given: Given, min: number, max: number): number {
  const whole = /^\d{1,9}$/.test(given.text.trim());
  const value = whole ? Number(given.text) : NaN;
  if (!(value >= min && value <= max)) {
    const rule = whole ? 'is out of range' : 'is not a count';
    return given.fail(rule, `write a whole number from ${min} to ${max}`);
  }
  return value;
}
