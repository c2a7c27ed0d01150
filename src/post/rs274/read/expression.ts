import { ReaderFault } from './errors.js';
import { columnOf, peek, readName, readNumber, show, take, type Scanner } from './lex.js';

/** Value of a numbered parameter in the units in force. */
export type ReadParameter = (index: number) => number;

const DEG_PER_RAD = 180 / Math.PI;
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
export function readValue(s: Scanner, parameter: ReadParameter): number {
  const code = peek(s);
  if ((code >= 48 && code <= 57) || code === 45 || code === 46 || code === 43) return readNumber(s);
  const at = columnOf(s);
  let value: number;
  if (code === 91) value = readExpression(s, parameter);
  else if (code === 35) value = parameter(readParameterIndex(s, parameter));
  else if (code >= 65 && code <= 90) value = readFunction(s, parameter);
  else throw new ReaderFault('bad-number', `a number was expected, found ${show(code)}`, at);
  if (!Number.isFinite(value)) {
    throw new ReaderFault('arithmetic', 'the value is not a finite number', at);
  }
  // Never minus zero.
  return value + 0;
}

/** `#` and the real value that numbers the parameter; # binds before any operator (3.3.2.2). */
export function readParameterIndex(s: Scanner, parameter: ReadParameter): number {
  peek(s);
  const at = columnOf(s);
  s.pos++;
  const value = readValue(s, parameter);
  const index = asInteger(value);
  if (index === null) throw new ReaderFault('not-integer', `parameter number ${value}`, at);
  if (index < 1 || index > MAX_PARAMETER) {
    throw new ReaderFault('parameter-range', `parameter number ${value}`, at);
  }
  return index;
}

type Operator = '**' | '*' | '/' | 'MOD' | '+' | '-' | 'OR' | 'XOR' | 'AND';

/** Strength of the three groups of 3.3.2.3; inside a group the order is left to right. */
function strengthOf(operator: Operator): 1 | 2 | 3 {
  if (operator === '**') return 3;
  return operator === '*' || operator === '/' || operator === 'MOD' ? 2 : 1;
}

function readOperator(s: Scanner): Operator | null {
  switch (peek(s)) {
    case 42:
      s.pos++;
      return take(s, '*') ? '**' : '*';
    case 47:
      s.pos++;
      return '/';
    case 43:
      s.pos++;
      return '+';
    case 45:
      s.pos++;
      return '-';
    case 77:
      return take(s, 'MOD') ? 'MOD' : null;
    case 79:
      return take(s, 'OR') ? 'OR' : null;
    case 88:
      return take(s, 'XOR') ? 'XOR' : null;
    case 65:
      return take(s, 'AND') ? 'AND' : null;
    default:
      return null;
  }
}

function apply(operator: Operator, left: number, right: number, at: number): number {
  const value = compute(operator, left, right);
  if (Number.isFinite(value)) return value;
  const what =
    right === 0 && (operator === '/' || operator === 'MOD')
      ? 'division by zero'
      : `${left} ${operator} ${right} has no finite value`;
  throw new ReaderFault('arithmetic', what, at);
}

function compute(operator: Operator, left: number, right: number): number {
  switch (operator) {
    case '**':
      return left ** right;
    case '*':
      return left * right;
    case '/':
      return left / right;
    case 'MOD': {
      // The remainder is never negative, whatever the signs.
      const remainder = left % right;
      return remainder < 0 ? remainder + Math.abs(right) : remainder;
    }
    case '+':
      return left + right;
    case '-':
      return left - right;
    case 'OR':
      return left !== 0 || right !== 0 ? 1 : 0;
    case 'XOR':
      return (left !== 0) !== (right !== 0) ? 1 : 0;
    case 'AND':
      return left !== 0 && right !== 0 ? 1 : 0;
  }
}

/** `[` value {operator value} `]`. Operators wait on a stack until a weaker one or `]` comes. */
function readExpression(s: Scanner, parameter: ReadParameter): number {
  const open = columnOf(s);
  s.pos++;
  const values = [readValue(s, parameter)];
  const waiting: { operator: Operator; at: number }[] = [];
  const reduceDownTo = (strength: number): void => {
    for (let top = waiting.at(-1); top !== undefined; top = waiting.at(-1)) {
      if (strengthOf(top.operator) < strength) return;
      waiting.pop();
      const right = values.pop() as number;
      values.push(apply(top.operator, values.pop() as number, right, top.at));
    }
  };
  for (;;) {
    const code = peek(s);
    if (code === 93) {
      s.pos++;
      reduceDownTo(0);
      return values[0] as number;
    }
    const at = columnOf(s);
    if (code < 0) throw new ReaderFault('syntax', "a '[' is not closed", open);
    const operator = readOperator(s);
    if (operator === null) {
      throw new ReaderFault('syntax', `an operator or ']' was expected, found ${show(code)}`, at);
    }
    reduceDownTo(strengthOf(operator));
    waiting.push({ operator, at });
    values.push(readValue(s, parameter));
  }
}

/** Angles are in degrees. FIX rounds towards minus infinity, FUP towards plus infinity. */
const FUNCTIONS: Readonly<Record<string, (x: number) => number>> = {
  ABS: Math.abs,
  ACOS: (x) => Math.acos(x) * DEG_PER_RAD,
  ASIN: (x) => Math.asin(x) * DEG_PER_RAD,
  COS: (x) => Math.cos(x / DEG_PER_RAD),
  EXP: Math.exp,
  FIX: Math.floor,
  FUP: Math.ceil,
  LN: Math.log,
  ROUND: (x) => Math.sign(x) * Math.round(Math.abs(x)),
  SIN: (x) => Math.sin(x / DEG_PER_RAD),
  SQRT: Math.sqrt,
  TAN: (x) => Math.tan(x / DEG_PER_RAD),
};

function readFunction(s: Scanner, parameter: ReadParameter): number {
  const at = columnOf(s);
  const name = readName(s);
  const compute1 = Object.hasOwn(FUNCTIONS, name) ? FUNCTIONS[name] : undefined;
  if (compute1 === undefined && name !== 'ATAN') {
    if (peek(s) === 91) throw new ReaderFault('syntax', `there is no function '${name}'`, at);
    throw new ReaderFault('bad-number', `a number was expected, found '${name}'`, at);
  }
  const x = readArgument(s, parameter, name);
  if (compute1 === undefined) {
    if (!take(s, '/')) {
      throw new ReaderFault('syntax', "ATAN needs '/' and a second argument", columnOf(s));
    }
    return Math.atan2(x, readArgument(s, parameter, name)) * DEG_PER_RAD;
  }
  const value = compute1(x);
  if (!Number.isFinite(value)) {
    throw new ReaderFault('arithmetic', `${name} of ${x} has no finite value`, at);
  }
  return value;
}

function readArgument(s: Scanner, parameter: ReadParameter, name: string): number {
  const code = peek(s);
  if (code === 91) return readExpression(s, parameter);
  throw new ReaderFault('syntax', `'[' was expected after ${name}`, columnOf(s));
}
