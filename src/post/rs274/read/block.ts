import type { Controller } from '../../../model/op.js';
import { G91_1, G_GROUPS, groupOfG, groupOfM } from './codes.js';
import { asInteger, readParameterIndex, readValue, type ReadParameter } from './expression.js';
import { ReaderFault } from './errors.js';
import { columnOf, messageOf, peek, readComment, show, take, type Scanner } from './lex.js';

/** What the reader accepts beyond RS274/NGC. All false: the standard and nothing else. */
export interface Dialect {
  /** `;` starts a comment that runs to the end of the line. */
  readonly semicolonComments: boolean;
  /** G91.1, arc centres as offsets from the start: what the standard does anyway. */
  readonly arcCentreWord: boolean;
  /** G64 with P, the greatest deviation from the path. */
  readonly pathTolerance: boolean;
  /** G0 to G3 without an axis word change the mode and do nothing else. */
  readonly bareMotionWord: boolean;
}

/** What a control class accepts, as far as it changes no meaning; without one, the standard. */
export function dialectOf(controller: Controller | undefined): Dialect {
  return {
    semicolonComments: controller?.semicolonComments === true,
    arcCentreWord: controller?.arcCentreModeWord === true,
    pathTolerance: controller?.pathControl === 'g64p',
    bareMotionWord: controller?.bareMotionWord === true,
  };
}

const LETTERS = 26;
/** Modal groups of G are numbered 0 to 13, of M 4 to 9. */
const GROUPS = 14;

/**
 * One line as read, before anything is done. Reused from line to line. Letters are indexed from
 * A = 0; codes and columns by modal group, -1 where there is none.
 */
export interface Block {
  /** Bit i set: letter i stands on the line. */
  given: number;
  readonly values: Float64Array;
  readonly columns: Int32Array;
  /** Ten times the G code of each modal group. */
  readonly g: Int16Array;
  readonly gColumns: Int32Array;
  readonly m: Int16Array;
  readonly mColumns: Int32Array;
  mCount: number;
  /** Index and value in turn. */
  readonly settings: number[];
  /** Last comment of the line; only that one counts (3.3.5). */
  comment: string | null;
  /** Text of the last comment when it is a message. */
  message: string | null;
  /** A word or setting stands on the line. */
  busy: boolean;
}

export function createBlock(): Block {
  return {
    given: 0,
    values: new Float64Array(LETTERS),
    columns: new Int32Array(LETTERS),
    g: new Int16Array(GROUPS).fill(-1),
    gColumns: new Int32Array(GROUPS),
    m: new Int16Array(GROUPS).fill(-1),
    mColumns: new Int32Array(GROUPS),
    mCount: 0,
    settings: [],
    comment: null,
    message: null,
    busy: false,
  };
}

function clear(block: Block): void {
  block.given = 0;
  block.g.fill(-1);
  block.m.fill(-1);
  block.mCount = 0;
  if (block.settings.length > 0) block.settings.length = 0;
  block.comment = null;
  block.message = null;
  block.busy = false;
}

const A = 65;

/** Index of a letter in `given`, `values` and `columns`. */
function letter(name: string): number {
  return name.charCodeAt(0) - A;
}

export const D = letter('D');
export const F = letter('F');
export const H = letter('H');
export const I = letter('I');
export const J = letter('J');
export const K = letter('K');
export const L = letter('L');
export const P = letter('P');
export const Q = letter('Q');
export const R = letter('R');
export const S = letter('S');
export const T = letter('T');
export const X = letter('X');
export const Y = letter('Y');
export const Z = letter('Z');
const G = letter('G');
const M = letter('M');
const N = letter('N');

export const AXES = (1 << X) | (1 << Y) | (1 << Z);

const WORD_LETTERS = maskOf('DFHIJKLPQRSTXYZ');
const ROTARY_LETTERS = maskOf('ABC');
const NOT_NEGATIVE = maskOf('DFHLPQST');
const INTEGER = maskOf('DHLT');

function maskOf(letters: string): number {
  let mask = 0;
  for (const name of letters) mask |= 1 << letter(name);
  return mask;
}

export function has(block: Block, index: number): boolean {
  return (block.given & (1 << index)) !== 0;
}

export function valueOf(block: Block, index: number): number {
  return block.values[index] as number;
}

/**
 * Reads the line under the cursor into `block` by the grammar of 3.3 and E.2: optional slash,
 * optional line number, then words, parameter settings and comments. Values are read with the
 * parameters as they were before the line (3.3.3).
 * @throws ReaderFault with the column of the first thing that does not belong
 */
export function readBlock(
  s: Scanner,
  block: Block,
  parameter: ReadParameter,
  dialect: Dialect,
): void {
  clear(block);
  let code = peek(s);
  if (code === 47) {
    s.pos++;
    code = peek(s);
  }
  if (code === N + A) {
    readLineNumber(s);
    code = peek(s);
  }
  for (; code >= 0; code = peek(s)) {
    if (code >= A && code < A + LETTERS) readWord(s, block, code - A, parameter, dialect);
    else if (code === 40) noteComment(block, readComment(s));
    else if (code === 35) readSetting(s, block, parameter);
    else if (code === 59 && dialect.semicolonComments) {
      noteComment(block, s.text.slice(s.pos + 1, s.end));
      s.pos = s.end;
    } else {
      throw new ReaderFault('bad-character', `${show(code)} is not allowed here`, columnOf(s));
    }
  }
}

function noteComment(block: Block, text: string): void {
  block.comment = text;
  block.message = messageOf(text);
}

function readLineNumber(s: Scanner): void {
  const at = columnOf(s);
  s.pos++;
  let digits = 0;
  let value = 0;
  let code = peek(s);
  for (; code >= 48 && code <= 57; code = peek(s)) {
    value = value * 10 + (code - 48);
    digits++;
    s.pos++;
  }
  if (digits === 0 || code === 46) {
    throw new ReaderFault('line-number-format', `N is followed by ${show(code)}`, at);
  }
  if (value > 99999) throw new ReaderFault('line-number-range', `line number ${value}`, at);
  if (digits > 5) {
    throw new ReaderFault('line-number-digits', `a line number of ${digits} digits`, at);
  }
}

/** `#index = value`; takes effect when the whole line has been read. */
function readSetting(s: Scanner, block: Block, parameter: ReadParameter): void {
  const index = readParameterIndex(s, parameter);
  if (!take(s, '=')) {
    throw new ReaderFault('syntax', `'=' was expected, found ${show(peek(s))}`, columnOf(s));
  }
  block.settings.push(index, readValue(s, parameter));
  block.busy = true;
}

function readWord(
  s: Scanner,
  block: Block,
  index: number,
  parameter: ReadParameter,
  dialect: Dialect,
): void {
  const at = columnOf(s);
  const bit = 1 << index;
  const name = String.fromCharCode(index + A);
  if (index !== G && index !== M && (WORD_LETTERS & bit) === 0) {
    if ((ROTARY_LETTERS & bit) !== 0) {
      throw new ReaderFault(
        'bad-character',
        `rotary axis ${name}: this reader drives X, Y and Z`,
        at,
        'remove the rotary axis word',
      );
    }
    throw new ReaderFault('bad-character', `${name} is not a word letter here`, at);
  }
  s.pos++;
  const value = readValue(s, parameter);
  block.busy = true;
  if (index === G) takeG(block, value, at, dialect);
  else if (index === M) takeM(block, value, at);
  else {
    if ((block.given & bit) !== 0) {
      throw new ReaderFault('repeated-word', `a second ${name} word`, at);
    }
    if ((NOT_NEGATIVE & bit) !== 0 && value < 0) {
      throw new ReaderFault('negative-value', `${name}${value}`, at);
    }
    block.given |= bit;
    block.values[index] = (INTEGER & bit) !== 0 ? integerOf(value, name, at) : value;
    block.columns[index] = at;
  }
}

function integerOf(value: number, name: string, at: number): number {
  const integer = asInteger(value);
  if (integer === null) throw new ReaderFault('not-integer', `${name}${value}`, at);
  return integer;
}

function takeG(block: Block, value: number, at: number, dialect: Dialect): void {
  if (value < 0) throw new ReaderFault('negative-value', `G${value}`, at);
  const code = asInteger(value * 10);
  let group = code === null ? -1 : groupOfG(code);
  if (code === G91_1 && dialect.arcCentreWord) group = G_GROUPS.arcCentre;
  if (code === null || group < 0) throw new ReaderFault('unknown-code', `G${value}`, at);
  if ((block.g[group] as number) >= 0) {
    throw new ReaderFault(
      'modal-group-conflict',
      `G${(block.g[group] as number) / 10} and G${code / 10} on one line, both of group ${group}`,
      at,
    );
  }
  block.g[group] = code;
  block.gColumns[group] = at;
}

function takeM(block: Block, value: number, at: number): void {
  if (value < 0) throw new ReaderFault('negative-value', `M${value}`, at);
  const code = integerOf(value, 'M', at);
  const group = groupOfM(code);
  if (group < 0) throw new ReaderFault('unknown-code', `M${value}`, at);
  block.mCount++;
  if (block.mCount > 4) throw new ReaderFault('too-many-m', 'a fifth M word', at);
  if ((block.m[group] as number) >= 0) {
    throw new ReaderFault(
      'modal-group-conflict',
      `M${block.m[group]} and M${code} on one line, both of group ${group}`,
      at,
    );
  }
  block.m[group] = code;
  block.mColumns[group] = at;
}
