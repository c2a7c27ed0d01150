import { acos, asin, atan2, cos, exp, log, sin, tan } from '../../../maths/elementary.js';
import { degFromRad, radFromDeg } from '../../../maths/angle.js';
import { refuse } from './errors.js';
import { isDigit, isLetter, peek, readNumber, show, take, type Scanner } from './lex.js';

const INTEGER_TOL = 1e-4;
export const MAX_PARAMETER = 5399;

/** Nearest integer when the value is within 0.0001 of it (3.3.2.1), else null. */
export function asInteger(value: number): number | null {
  const nearest = Math.round(value);
  return Math.abs(value - nearest) <= INTEGER_TOL ? nearest + 0 : null;
}

/**
 * Real value of 3.3.2: number, parameter, bracketed expression or function.
 * @returns a finite number
 * @throws ReaderFault bad-number, syntax, arithmetic, not-integer or parameter-range
 */
export function readValue(s: Scanner): number {
  const code = peek(s);
  if (isDigit(code) || code === 45 || code === 46 || code === 43) return readNumber(s);
  const at = s.pos;
  let value: number;
  if (code === 91) value = readExpression(s);
  else if (code === 35) value = s.parameter(readParameterIndex(s));
  else if (isLetter(code)) value = readFunction(s);
  else refuse('bad-number', `a number was expected, found ${show(code)}`, at);
  if (!Number.isFinite(value)) refuse('arithmetic', 'the value is not a finite number', at);
  // Never minus zero.
  return value + 0;
}

/** `#` and the real value that numbers the parameter; # binds before any operator (3.3.2.2). */
export function readParameterIndex(s: Scanner): number {
  peek(s);
  const at = s.pos++;
  const value = readValue(s);
  const index = asInteger(value) ?? refuse('not-integer', `parameter number ${value}`, at);
  if (index >= 1 && index <= MAX_PARAMETER) return index;
  refuse('parameter-range', `parameter number ${value}`, at);
}

interface Operator {
  readonly name: string;
  /** Of the three groups of 3.3.2.3; inside a group the order is left to right. */
  readonly strength: 1 | 2 | 3;
  readonly of: (left: number, right: number) => number;
}

/** The remainder is never negative, whatever the signs. */
function remainder(left: number, right: number): number {
  const rest = left % right;
  return rest < 0 ? rest + Math.abs(right) : rest;
}

/** A name stands before those that it starts with. */
const OPERATORS: readonly Operator[] = [
  { name: '**', strength: 3, of: (a, b) => a ** b },
  { name: '*', strength: 2, of: (a, b) => a * b },
  { name: '/', strength: 2, of: (a, b) => a / b },
  { name: 'MOD', strength: 2, of: remainder },
  { name: '+', strength: 1, of: (a, b) => a + b },
  { name: '-', strength: 1, of: (a, b) => a - b },
  { name: 'OR', strength: 1, of: (a, b) => (a !== 0 || b !== 0 ? 1 : 0) },
  { name: 'XOR', strength: 1, of: (a, b) => ((a !== 0) !== (b !== 0) ? 1 : 0) },
  { name: 'AND', strength: 1, of: (a, b) => (a !== 0 && b !== 0 ? 1 : 0) },
];

function apply({ name, of }: Operator, left: number, right: number, at: number): number {
  const value = of(left, right);
  if (Number.isFinite(value)) return value;
  const isDivision = name === '/' || name === 'MOD';
  refuse(
    'arithmetic',
    right === 0 && isDivision ? 'division by zero' : `${left} ${name} ${right} has no finite value`,
    at,
  );
}

/** `[` value {operator value} `]`. Operators wait on a stack until a weaker one or `]` comes. */
function readExpression(s: Scanner): number {
  const open = s.pos++;
  const values = [readValue(s)];
  const waiting: { operator: Operator; at: number }[] = [];
  const reduceDownTo = (strength: number): void => {
    for (let top = waiting.at(-1); top !== undefined; top = waiting.at(-1)) {
      if (top.operator.strength < strength) return;
      waiting.pop();
      const right = values.pop()!;
      values.push(apply(top.operator, values.pop()!, right, top.at));
    }
  };
  while (!take(s, ']')) {
    const code = peek(s);
    const at = s.pos;
    if (code < 0) refuse('syntax', "a '[' is not closed", open);
    const operator =
      OPERATORS.find(({ name }) => take(s, name)) ??
      refuse('syntax', `an operator or ']' was expected, found ${show(code)}`, at);
    reduceDownTo(operator.strength);
    waiting.push({ operator, at });
    values.push(readValue(s));
  }
  reduceDownTo(0);
  return values[0]!;
}

/** Angles are in degrees. FIX rounds towards minus infinity, FUP towards plus infinity. */
const FUNCTIONS: ReadonlyMap<string, (x: number) => number> = new Map([
  ['ABS', Math.abs],
  ['ACOS', (x) => degFromRad(acos(x))],
  ['ASIN', (x) => degFromRad(asin(x))],
  ['COS', (x) => cos(radFromDeg(x))],
  ['EXP', exp],
  ['FIX', Math.floor],
  ['FUP', Math.ceil],
  ['LN', log],
  ['ROUND', (x) => Math.sign(x) * Math.round(Math.abs(x))],
  ['SIN', (x) => sin(radFromDeg(x))],
  ['SQRT', Math.sqrt],
  ['TAN', (x) => tan(radFromDeg(x))],
]);

function readFunction(s: Scanner): number {
  const at = s.pos;
  let name = '';
  for (let code = peek(s); isLetter(code); code = peek(s)) {
    name += String.fromCharCode(code);
    s.pos++;
  }
  const of = FUNCTIONS.get(name);
  if (of === undefined && name !== 'ATAN') {
    if (peek(s) === 91) refuse('syntax', `there is no function '${name}'`, at);
    refuse('bad-number', `a number was expected, found '${name}'`, at);
  }
  const x = readArgument(s, name);
  if (of === undefined) {
    if (!take(s, '/')) refuse('syntax', "ATAN needs '/' and a second argument", s.pos);
    return degFromRad(atan2(x, readArgument(s, name)));
  }
  const value = of(x);
  if (!Number.isFinite(value)) refuse('arithmetic', `${name} of ${x} has no finite value`, at);
  return value;
}

function readArgument(s: Scanner, name: string): number {
  if (peek(s) === 91) return readExpression(s);
  refuse('syntax', `'[' was expected after ${name}`, s.pos);
}
