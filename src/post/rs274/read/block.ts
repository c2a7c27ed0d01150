import type { Controller } from '../../../model/op.js';
import { asInteger, readParameterIndex, readValue } from './expression.js';
import { refuse } from './errors.js';
import { isDigit, peek, readComment, show, take, type Scanner } from './lex.js';

/** What the reader accepts beyond RS274/NGC, where a control class has it. */
export type Dialect = Pick<
  Controller,
  'semicolonComments' | 'codes' | 'pathControl' | 'bareMotionWord' | 'homesNamed'
>;

/** The standard and nothing else. */
export const STANDARD: Dialect = {
  semicolonComments: false,
  codes: [],
  pathControl: 'none',
  bareMotionWord: false,
  homesNamed: false,
};

/** Modal groups of M are numbered from here on. */
const M = 20;

/** Modal groups of RS274/NGC (NISTIR 6556 tables 4, 5 and 7). */
export const GROUPS = {
  nonModal: 0,
  motion: 1,
  plane: 2,
  distance: 3,
  /** Of later dialects: how arc centres are given. */
  arcCentre: 4,
  feedMode: 5,
  units: 6,
  cutterRadius: 7,
  toolLength: 8,
  cycleReturn: 10,
  workOffset: 12,
  pathControl: 13,
  /** Of later dialects: what S means. */
  speedMode: 14,
  stop: M + 4,
  toolChange: M + 6,
  spindle: M + 7,
  coolant: M + 8,
  overrides: M + 9,
} as const;
const GROUP_COUNT = M + 10;

type Group = keyof typeof GROUPS;

/** Codes that the standard has, by group. */
const CODES: Readonly<Partial<Record<Group, string>>> = {
  nonModal: 'G4 G10 G28 G30 G53 G92 G92.1 G92.2 G92.3',
  motion: 'G0 G1 G2 G3 G38.2 G80 G81 G82 G83 G84 G85 G86 G87 G88 G89',
  plane: 'G17 G18 G19',
  distance: 'G90 G91',
  feedMode: 'G93 G94',
  units: 'G20 G21',
  cutterRadius: 'G40 G41 G42',
  toolLength: 'G43 G49',
  cycleReturn: 'G98 G99',
  workOffset: 'G54 G55 G56 G57 G58 G59 G59.1 G59.2 G59.3',
  pathControl: 'G61 G61.1 G64',
  stop: 'M0 M1 M2 M30 M60',
  toolChange: 'M6',
  spindle: 'M3 M4 M5',
  coolant: 'M7 M8 M9',
  overrides: 'M48 M49',
};

/** By ten times the number of the code, so that G59.3 is 593; -1 where there is none. */
const GROUP_OF = { G: new Int8Array(1000).fill(-1), M: new Int8Array(1000).fill(-1) };
for (const [group, codes] of Object.entries(CODES)) {
  for (const code of codes.split(' ')) {
    GROUP_OF[code[0] as 'G' | 'M'][Math.round(10 * Number(code.slice(1)))] = GROUPS[group as Group];
  }
}

/** Modal group of ten times the number of a code, -1 when it is not of the standard. */
export function groupOf(letter: 'G' | 'M', code10: number): number {
  return GROUP_OF[letter][code10] ?? -1;
}

/** Codes of later dialects, by ten times their number, for classes that know them: arc centres as
 *  places or as offsets from the start, which the standard has anyway, and S in turns a minute, too. */
const LATER: ReadonlyMap<number, Group> = new Map([
  [901, 'arcCentre'],
  [911, 'arcCentre'],
  [970, 'speedMode'],
]);

/** 593 -> "G59.3". */
export function nameOfG(code10: number): string {
  return `G${code10 / 10}`;
}

const A = 65;
const N = 78;
const LETTERS = 26;

/** One line as read, before anything is done. Reused from line to line. Columns are indices into
 *  the text. */
export interface Block {
  /** Bit i set: letter i stands on the line. A is 0. */
  given: number;
  readonly values: Float64Array;
  readonly columns: Int32Array;
  /** Bit i set: a code of modal group i stands on the line. */
  groups: number;
  /** By modal group: ten times the code, and where it stands. */
  readonly codes: Int16Array;
  readonly codeColumns: Int32Array;
  mCount: number;
  /** Index and value in turn of the parameters that the line sets. */
  readonly settings: number[];
  /** Last comment of the line; only that one counts (3.3.5). */
  comment: string | null;
  /** A word or setting stands on the line. */
  busy: boolean;
}

export function createBlock(): Block {
  return {
    given: 0,
    values: new Float64Array(LETTERS),
    columns: new Int32Array(LETTERS),
    groups: 0,
    codes: new Int16Array(GROUP_COUNT),
    codeColumns: new Int32Array(GROUP_COUNT),
    mCount: 0,
    settings: [],
    comment: null,
    busy: false,
  };
}

const bitOf = (letter: string): number => 1 << (letter.charCodeAt(0) - A);
const maskOf = (letters: string): number =>
  [...letters].reduce((mask, letter) => mask | bitOf(letter), 0);

const WORD_LETTERS = maskOf('DFGHIJKLMPQRSTXYZ');
const ROTARY_LETTERS = maskOf('ABC');
const NOT_NEGATIVE = maskOf('DFGHLMPQST');
const INTEGER = maskOf('DHLMT');
const AXES = maskOf('XYZ');

export function has(block: Block, letter: string): boolean {
  return (block.given & bitOf(letter)) !== 0;
}

export const hasAxis = (block: Block): boolean => (block.given & AXES) !== 0;
export const hasOnlyAxes = (block: Block): boolean => (block.given & ~AXES) === 0;

/** Value of a word, or what counts without it. */
export function wordOr(block: Block, letter: string, otherwise: number): number {
  return has(block, letter) ? block.values[letter.charCodeAt(0) - A]! : otherwise;
}

/** Column of a word of the line, for messages. */
export function columnOf(block: Block, letter: string): number {
  return block.columns[letter.charCodeAt(0) - A]!;
}

/** Ten times the G or M code of a group on the line, -1 where there is none. */
export function codeOf(block: Block, group: number): number {
  return (block.groups & (1 << group)) !== 0 ? block.codes[group]! : -1;
}

/** Column of the code of a group, for messages. */
export function codeColumn(block: Block, group: number): number {
  return block.codeColumns[group]!;
}

/** Column of the motion code, or of the axis words that repeat the last one. */
export function motionColumn(block: Block): number {
  if (codeOf(block, GROUPS.motion) >= 0) return codeColumn(block, GROUPS.motion);
  const words = [...'XYZ'].filter((axis) => has(block, axis));
  return Math.min(...words.map((axis) => columnOf(block, axis)));
}

/** Text after the comma of a message comment, null for an ordinary one or none (E.2 message). */
export function messageOf({ comment }: Block): string | null {
  const match = comment === null ? null : /^[ \t]*m[ \t]*s[ \t]*g[ \t]*,/i.exec(comment);
  return match && match.input.slice(match[0].length);
}

/**
 * Reads the line under the cursor into `block` by the grammar of 3.3 and E.2: optional slash,
 * optional line number, then words, parameter settings and comments. Values are read with the
 * parameters as they were before the line (3.3.3).
 * @throws ReaderFault with the column of the first thing that does not belong
 */
export function readBlock(s: Scanner, block: Block, dialect: Dialect): void {
  block.given = 0;
  block.groups = 0;
  block.mCount = 0;
  if (block.settings.length > 0) block.settings.length = 0;
  block.comment = null;
  block.busy = false;
  if (peek(s) === 47) s.pos++;
  if (peek(s) === N) readLineNumber(s);
  for (let code = peek(s); code >= 0; code = peek(s)) {
    if (code >= A && code < A + LETTERS) readWord(s, block, code - A, dialect);
    else if (code === 40) block.comment = readComment(s);
    else if (code === 35) readSetting(s, block);
    else if (code === 59 && dialect.semicolonComments) {
      block.comment = s.text.slice(s.pos + 1, s.end);
      s.pos = s.end;
    } else refuse('bad-character', `${show(code)} is not allowed here`, s.pos);
  }
}

function readLineNumber(s: Scanner): void {
  const at = s.pos++;
  let digits = '';
  let code = peek(s);
  for (; isDigit(code); code = peek(s)) {
    digits += String.fromCharCode(code);
    s.pos++;
  }
  if (digits === '' || code === 46) {
    refuse('line-number-format', `N is followed by ${show(code)}`, at);
  }
  if (Number(digits) > 99999) refuse('line-number-range', `line number ${Number(digits)}`, at);
  if (digits.length > 5) {
    refuse('line-number-digits', `a line number of ${digits.length} digits`, at);
  }
}

/** `#index = value`; takes effect when the whole line has been read. */
function readSetting(s: Scanner, block: Block): void {
  const index = readParameterIndex(s);
  if (!take(s, '=')) refuse('syntax', `'=' was expected, found ${show(peek(s))}`, s.pos);
  block.settings.push(index, readValue(s));
  block.busy = true;
}

function readWord(s: Scanner, block: Block, index: number, dialect: Dialect): void {
  const at = s.pos++;
  const bit = 1 << index;
  const name = String.fromCharCode(index + A);
  if ((ROTARY_LETTERS & bit) !== 0) {
    const what = `rotary axis ${name}: this reader drives X, Y and Z`;
    refuse('bad-character', what, at, 'remove the rotary axis word');
  }
  if ((WORD_LETTERS & bit) === 0) {
    refuse('bad-character', `${name} is not a word letter here`, at);
  }
  const value = readValue(s);
  block.busy = true;
  if ((block.given & bit) !== 0) refuse('repeated-word', `a second ${name} word`, at);
  if ((NOT_NEGATIVE & bit) !== 0 && value < 0) refuse('negative-value', `${name}${value}`, at);
  if ((INTEGER & bit) !== 0 && asInteger(value) === null) {
    refuse('not-integer', `${name}${value}`, at);
  }
  if (name === 'G' || name === 'M') {
    takeCode(block, name, value, at, dialect);
  } else {
    block.given |= bit;
    block.values[index] = (INTEGER & bit) !== 0 ? Math.round(value) + 0 : value;
    block.columns[index] = at;
  }
}

/** Ten times G15, G50, G50.1 and G69: the end of polar places, scaling, mirroring and turning, which
 *  nothing that is read here begins. Common practice, no source. */
const ENDINGS: ReadonlySet<number> = new Set([150, 500, 501, 690]);

function takeCode(block: Block, letter: 'G' | 'M', value: number, at: number, dialect: Dialect) {
  const code = asInteger(letter === 'G' ? value * 10 : Math.round(value) * 10) ?? -1;
  const later = letter === 'G' ? LATER.get(code) : undefined;
  const isKnown = later !== undefined && dialect.codes.includes(nameOfG(code));
  const group = isKnown ? GROUPS[later] : groupOf(letter, code);
  if (group < 0) {
    if (letter === 'G' && ENDINGS.has(code) && dialect !== STANDARD) return;
    refuse('unknown-code', `${letter}${value}`, at);
  }
  if (letter === 'M' && ++block.mCount > 4) refuse('too-many-m', 'a fifth M word', at);
  const other = codeOf(block, group);
  if (other >= 0) {
    const both = `${letter}${other / 10} and ${letter}${code / 10}`;
    refuse('modal-group-conflict', `${both} on one line, both of group ${group % M}`, at);
  }
  block.groups |= 1 << group;
  block.codes[group] = code;
  block.codeColumns[group] = at;
}
