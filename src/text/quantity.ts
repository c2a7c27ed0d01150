import { printable, showText } from './show.js';
import { article, nearest, orList } from './lookup.js';
import {
  AMBIGUOUS_UNITS,
  BASE_UNITS,
  type Dimension,
  findUnit,
  unitKey,
  unitNames,
  unitSpellings,
} from './units.js';

export type QuantityFault =
  'empty' | 'not-a-number' | 'too-large' | 'no-unit' | 'unknown-unit' | 'wrong-dimension';

/** A text that is not a quantity of the wanted kind: which rule it breaks and how to put it right. */
export class QuantityError extends Error {
  readonly fault: QuantityFault;
  readonly text: string;
  readonly rule: string;
  readonly fix: string;
  constructor(fault: QuantityFault, text: string, rule: string, fix: string) {
    super(printable(`${rule}; ${fix}`));
    this.name = 'QuantityError';
    this.fault = fault;
    this.text = text;
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
 * @returns         value in the dimension's base unit ({@link BASE_UNITS}); finite
 * @throws          QuantityError, with rule and fix. A bare number is refused, except 0: which unit
 *                  was meant is the sort of guess that scraps a part.
 */
export function parseQuantity(text: string, dimension: Dimension): number {
  const example = `write it like ${EXAMPLES[dimension]}`;
  const trimmed = text.trim();
  if (trimmed === '') throw new QuantityError('empty', text, `has no value`, example);
  if (trimmed.length > MAX_TEXT) {
    const rule = `is longer than ${MAX_TEXT} characters`;
    throw new QuantityError('not-a-number', text, rule, example);
  }
  const { value, rest } = readNumber(trimmed, text, example);
  const unitText = rest.trim();
  if (unitText === '') {
    if (value === 0) return 0;
    const rule = `has no unit`;
    const [first, second] = unitNames(dimension);
    const options = dimension === 'length' ? ['mm', 'in'] : second ? [first, second] : [first];
    const fix = `say ${orList(options.map((unit) => `${trimmed} ${unit}`))}`;
    throw new QuantityError('no-unit', text, rule, fix);
  }
  const unit = findUnit(unitText);
  if (unit === null) throw unknownUnit(text, unitText, dimension, example);
  if (unit.dimension !== dimension) {
    const [is, needed] = [unit.dimension, dimension].map((d) =>
      article(d === 'share' ? 'percentage' : d),
    );
    const rule = `is ${is} where ${needed} is needed`;
    throw new QuantityError('wrong-dimension', text, rule, example);
  }
  // + 0 turns a minus zero into a zero.
  return value * unit.factor + 0;
}

/** Number at the start of `trimmed`, and what follows it. */
function readNumber(trimmed: string, text: string, example: string) {
  const fraction = FRACTION.exec(trimmed);
  const match = fraction ?? DECIMAL.exec(trimmed);
  if (match === null) {
    const rule = 'does not start with a number';
    throw new QuantityError('not-a-number', text, rule, example);
  }
  const rest = trimmed.slice(match[0].length);
  const glued = /^[\d.,/^_]|^[ex][+-]?\d/i.exec(rest);
  if (glued) {
    const comma = rest.startsWith(',');
    const rule = comma ? 'has a comma in the number' : 'is not a plain decimal number or fraction';
    const fix = comma ? 'use a point for decimals and nothing between thousands' : example;
    throw new QuantityError('not-a-number', text, rule, fix);
  }
  for (const digits of match[0].match(/\d+/g) ?? []) {
    if (digits.length <= MAX_DIGITS) continue;
    const rule = `has more than ${MAX_DIGITS} digits in a row`;
    throw new QuantityError('too-large', text, rule, example);
  }
  if (fraction === null) return { value: Number(match[0]), rest };
  const [, sign, whole, top, bottom] = fraction;
  if (Number(bottom) === 0) {
    throw new QuantityError('not-a-number', text, 'divides by zero', example);
  }
  const size = Number(whole ?? 0) + Number(top) / Number(bottom);
  return { value: sign === '-' ? -size : size, rest };
}

function unknownUnit(text: string, unitText: string, dimension: Dimension, example: string) {
  const ambiguous = AMBIGUOUS_UNITS[unitKey(unitText)];
  if (ambiguous !== undefined) {
    return new QuantityError('unknown-unit', text, 'has no clear unit', ambiguous);
  }
  const near = nearest(unitText, unitSpellings(dimension));
  const rule = `has the unknown unit "${showText(unitText)}"`;
  const fix = near ? `did you mean ${near}?` : example;
  return new QuantityError('unknown-unit', text, rule, fix);
}

/** @returns what a dimension is kept in, for text: "mm", "kW". */
export function baseUnit(dimension: Dimension): string {
  return BASE_UNITS[dimension];
}
