import { refuse } from './errors.js';

/** Cursor over a text, line by line. */
export interface Scanner {
  readonly text: string;
  /** 1-based number of the line at hand, 0 before the first. */
  line: number;
  /** First character of the line, one past its last without the line end, and of the next line. */
  start: number;
  end: number;
  following: number;
  /** Index of the next character. */
  pos: number;
  /** Value of a numbered parameter in the units in force. */
  readonly parameter: (index: number) => number;
}

export function scannerOf(text: string, parameter: Scanner['parameter'] = () => 0): Scanner {
  return { text, line: 0, start: 0, end: 0, following: 0, pos: 0, parameter };
}

/**
 * Moves to the next line; false when there is none. A line ends with CR, LF or both, and what
 * follows the last line end is a line only when there is something in it.
 */
export function nextLine(s: Scanner): boolean {
  const { text, following } = s;
  if (following >= text.length && s.line > 0) return false;
  let end = following;
  while (end < text.length && text.charCodeAt(end) !== 10 && text.charCodeAt(end) !== 13) end++;
  s.line++;
  s.start = following;
  s.pos = following;
  s.end = end;
  s.following = end + (text.startsWith('\r\n', end) ? 2 : 1);
  return true;
}

const SPACE = 32;
const TAB = 9;

/**
 * Code of the next character that means something, letters as capitals; -1 at the line's end.
 * Spaces and tabs mean nothing outside comments, also inside numbers and names (3.3).
 */
export function peek(s: Scanner): number {
  let code = s.pos < s.end ? s.text.charCodeAt(s.pos) : -1;
  while (code === SPACE || code === TAB) {
    s.pos++;
    code = s.pos < s.end ? s.text.charCodeAt(s.pos) : -1;
  }
  return code >= 97 && code <= 122 ? code - 32 : code;
}

/** A character as it is shown in a message. */
export function show(code: number): string {
  if (code < 0) return 'the end of the line';
  if (code < 33 || code === 127) return `character ${code}`;
  if (code === 0xfeff)
    return 'a byte order mark, which editors do not show and plain ASCII has not,';
  return code < 127 ? `'${String.fromCharCode(code)}'` : `non-ASCII character ${code}`;
}

const POWERS_OF_TEN = Array.from({ length: 16 }, (_, i) => Number(`1e${i}`));

export const isDigit = (code: number): boolean => code >= 48 && code <= 57;
export const isLetter = (code: number): boolean => code >= 65 && code <= 90;

/**
 * Real number of 3.3.2.1: optional sign, digits with at most one point, at least one digit.
 * There is no exponent and no other base: reading stops at the first other character, which the
 * caller then meets as a letter of its own or as a character that does not belong there.
 * Up to 15 digits the value is an integer over a power of ten, both exact in double precision,
 * so the quotient is correctly rounded; longer numbers go through the run-time's own decimal
 * conversion.
 */
export function readNumber(s: Scanner): number {
  let code = peek(s);
  const at = s.pos;
  const negative = code === 45;
  if (negative || code === 43) {
    s.pos++;
    code = peek(s);
  }
  let mantissa = 0;
  let digits = 0;
  let decimals = 0;
  let point = false;
  const from = s.pos;
  for (;;) {
    if (isDigit(code)) {
      mantissa = mantissa * 10 + (code - 48);
      digits++;
      if (point) decimals++;
    } else if (code === 46 && !point) {
      point = true;
    } else {
      break;
    }
    s.pos++;
    code = peek(s);
  }
  if (digits === 0) refuse('bad-number', `a number was expected, found ${show(code)}`, at);
  const size =
    digits <= 15
      ? mantissa / POWERS_OF_TEN[decimals]!
      : Number(s.text.slice(from, s.pos).replace(/[ \t]/g, ''));
  return negative && size !== 0 ? -size : size;
}

/** Takes `word` (capitals) if it comes next, spaces allowed inside; otherwise moves nothing. */
export function take(s: Scanner, word: string): boolean {
  const before = s.pos;
  for (let i = 0; i < word.length; i++, s.pos++) {
    if (peek(s) === word.charCodeAt(i)) continue;
    s.pos = before;
    return false;
  }
  return true;
}

/** Text of the comment that starts at the cursor, without the parentheses (3.3.4). */
export function readComment(s: Scanner): string {
  const open = s.pos;
  for (let pos = open + 1; pos < s.end; pos++) {
    const code = s.text.charCodeAt(pos);
    if (code === 41) {
      s.pos = pos + 1;
      return s.text.slice(open + 1, pos);
    }
    if (code === 40) refuse('nested-comment', "'(' inside a comment", pos);
    if ((code < 32 && code !== TAB) || code === 127) {
      refuse('bad-character', `${show(code)} inside a comment`, pos);
    }
  }
  refuse('unclosed-comment', 'a comment is not closed', open);
}
