import { printable, showText } from './show.js';
import { article, nearest, orList } from './lookup.js';
import {
  AMBIGUOUS_UNITS,
  type Dimension,
  findUnit,
  unitKey,
  unitNames,
  unitSpellings,
} from './units.js';

/** A text that is not a quantity of the wanted kind: which rule it breaks and how to put it right. */
export class QuantityError extends Error {
  readonly rule: string;
  readonly fix: string;
  constructor(rule: string, fix: string) {
    super(printable(`${rule}; ${fix}`));
    this.name = 'QuantityError';
    this.rule = rule;
    this.fix = fix;
  }
}

/** An example of each kind, for messages. */
const EXAMPLES: Readonly<Record<Dimension, string>> = {
  length: '12 mm or 0.5 in',
  angle: '3 deg',
  share: '0.4 %',
  power: '1.1 kW or 1.5 hp',
  'rotational speed': '2600 rpm',
  frequency: '480 Hz',
  time: '20 min',
  force: '2400 N or 540 lbf',
  torque: '12.5 N m',
};

/** Longest text that is looked at; the longest sensible quantity is about 20 characters. */
const MAX_TEXT = 40;
/** Digits before and after the point. Nothing in a job is as large as 10 km or as fine as 1 nm. */
const MAX_DIGITS = 9;

// 12, 12.5, .5, 3/8, 1 7/16, 1-7/16. No exponent, no hexadecimal, no digit grouping.
const DECIMAL = /^[+-]?(?:\d+\.?\d*|\.\d+)/;
const FRACTION = /^([+-]?)(?:(\d+)(?:\s+|-))?(\d+)\/(\d+)(?![\d./])/;

/**
 * Reads "12 mm", "0.306 in", "1 7/16 in", "20 thou", "3 deg", "0.4 %", "1.5 hp", "2600 rpm".
 * @param text      as written, without quotes
 * @param dimension what the key needs
 * @returns         value in the dimension's base unit ({@link Dimension}); finite
 * @throws          QuantityError, with rule and fix. A bare number is refused, except 0: which unit
 *                  was meant is the sort of guess that scraps a part.
 */
export function parseQuantity(text: string, dimension: Dimension): number {
  const example = `write it like ${EXAMPLES[dimension]}`;
  const trimmed = text.trim();
  if (trimmed === '') throw new QuantityError('has no value', example);
  if (trimmed.length > MAX_TEXT) {
    throw new QuantityError(`is longer than ${MAX_TEXT} characters`, example);
  }
  const { value, rest } = readNumber(trimmed, example);
  const unitText = rest.trim();
  if (unitText === '') {
    if (value === 0) return 0;
    const options = dimension === 'length' ? ['mm', 'in'] : unitNames(dimension).slice(0, 2);
    const said = options.map((unit) => `${trimmed} ${unit}`);
    throw new QuantityError('has no unit', `say ${orList(said)}`);
  }
  const unit = findUnit(unitText);
  if (unit === null) throw unknownUnit(unitText, dimension, example);
  if (unit.dimension !== dimension) {
    const [is, needed] = [unit.dimension, dimension].map((d) =>
      article(d === 'share' ? 'percentage' : d),
    );
    throw new QuantityError(`is ${is} where ${needed} is needed`, example);
  }
  // + 0 turns a minus zero into a zero.
  return value * unit.factor + 0;
}

/** Number at the start of `trimmed`, and what follows it. */
function readNumber(trimmed: string, example: string) {
  const fraction = FRACTION.exec(trimmed);
  const match = fraction ?? DECIMAL.exec(trimmed);
  if (match === null) throw new QuantityError('does not start with a number', example);
  const rest = trimmed.slice(match[0].length);
  if (rest.startsWith(',')) {
    const fix = 'use a point for decimals and nothing between thousands';
    throw new QuantityError('has a comma in the number', fix);
  }
  if (/^[\d./^_]|^[ex][+-]?\d/i.test(rest)) {
    throw new QuantityError('is not a plain decimal number or fraction', example);
  }
  if (match[0].match(/\d+/g)?.some((digits) => digits.length > MAX_DIGITS)) {
    throw new QuantityError(`has more than ${MAX_DIGITS} digits in a row`, example);
  }
  if (fraction === null) return { value: Number(match[0]), rest };
  const [, sign, whole, top, bottom] = fraction;
  if (Number(bottom) === 0) throw new QuantityError('divides by zero', example);
  const size = Number(whole ?? 0) + Number(top) / Number(bottom);
  return { value: sign === '-' ? -size : size, rest };
}

function unknownUnit(unitText: string, dimension: Dimension, example: string): QuantityError {
  const ambiguous = AMBIGUOUS_UNITS[unitKey(unitText)];
  if (ambiguous !== undefined) return new QuantityError('has no clear unit', ambiguous);
  const near = nearest(unitText, unitSpellings(dimension));
  const fix = near ? `did you mean ${near}?` : example;
  return new QuantityError(`has the unknown unit "${showText(unitText)}"`, fix);
}
