import { ReaderFault } from './errors.js';

/** Walks the lines of a text; a line ends with CR, LF or both. */
export interface LineWalker {
  /** Moves to the next line; false when there is none. */
  next(): boolean;
  /** First character of the line, and one past its last without the line end. */
  start: number;
  end: number;
  /** 1-based. */
  line: number;
}

export function walkLines(text: string): LineWalker {
  let lf = text.indexOf('\n');
  let cr = text.indexOf('\r');
  let following = 0;
  return {
    start: 0,
    end: 0,
    line: 0,
    next() {
      // The text after the last line end is a line only when there is something in it.
      if (following >= text.length && this.line > 0) return false;
      const from = following;
      if (lf >= 0 && lf < from) lf = text.indexOf('\n', from);
      if (cr >= 0 && cr < from) cr = text.indexOf('\r', from);
      this.start = from;
      this.line++;
      if (cr >= 0 && (lf < 0 || cr < lf)) {
        this.end = cr;
        following = lf === cr + 1 ? cr + 2 : cr + 1;
      } else if (lf >= 0) {
        this.end = lf;
        following = lf + 1;
      } else {
        this.end = text.length;
        following = text.length + 1;
      }
      return true;
    },
  };
}

/** Cursor over one line of the program: characters `start`..`end` of `text`, next at `pos`. */
export interface Scanner {
  text: string;
  start: number;
  end: number;
  pos: number;
}

const SPACE = 32;
const TAB = 9;

/** Index of the next character from the start of the line, for messages. */
export function columnOf(s: Scanner): number {
  return s.pos - s.start;
}

/**
 * Code of the next character that means something, letters as capitals; -1 at the line's end.
 * Spaces and tabs mean nothing outside comments, also inside numbers and names (3.3).
 */
export function peek(s: Scanner): number {
  const { text, end } = s;
  let pos = s.pos;
  while (pos < end) {
    const code = text.charCodeAt(pos);
    if (code !== SPACE && code !== TAB) {
      s.pos = pos;
      return code >= 97 && code <= 122 ? code - 32 : code;
    }
    pos++;
  }
  s.pos = pos;
  return -1;
}

/** A character as it is shown in a message. */
export function show(code: number): string {
  if (code < 0) return 'the end of the line';
  if (code < 33 || code === 127) return `character ${code}`;
  return code < 127 ? `'${String.fromCharCode(code)}'` : `non-ASCII character ${code}`;
}

const POWERS_OF_TEN = Array.from({ length: 16 }, (_, i) => Number(`1e${i}`));

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
  const at = columnOf(s);
  let negative = false;
  if (code === 43 || code === 45) {
    negative = code === 45;
    s.pos++;
    code = peek(s);
  }
  let mantissa = 0;
  let digits = 0;
  let decimals = 0;
  let point = false;
  const from = s.pos;
  for (;;) {
    if (code >= 48 && code <= 57) {
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
  if (digits === 0) {
    throw new ReaderFault('bad-number', `a number was expected, found ${show(code)}`, at);
  }
  const size =
    digits <= 15
      ? mantissa / (POWERS_OF_TEN[decimals] as number)
      : Number(s.text.slice(from, s.pos).replace(/[ \t]/g, ''));
  return negative && size !== 0 ? -size : size;
}

/** Takes `word` (capitals) if it comes next, spaces allowed inside; otherwise moves nothing. */
export function take(s: Scanner, word: string): boolean {
  const before = s.pos;
  for (let i = 0; i < word.length; i++) {
    if (peek(s) !== word.charCodeAt(i)) {
      s.pos = before;
      return false;
    }
    s.pos++;
  }
  return true;
}

/** Name made of the letters that come next, as capitals; empty when there is none. */
export function readName(s: Scanner): string {
  let name = '';
  for (let code = peek(s); code >= 65 && code <= 90; code = peek(s)) {
    name += String.fromCharCode(code);
    s.pos++;
  }
  return name;
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
    if (code === 40) {
      throw new ReaderFault('nested-comment', "'(' inside a comment", pos - s.start);
    }
    if ((code < 32 && code !== TAB) || code === 127) {
      throw new ReaderFault('bad-character', `${show(code)} inside a comment`, pos - s.start);
    }
  }
  throw new ReaderFault('unclosed-comment', 'a comment is not closed', open - s.start);
}

/** Text after the comma of a message comment, or null for an ordinary comment (E.2 message). */
export function messageOf(comment: string): string | null {
  const match = /^[ \t]*m[ \t]*s[ \t]*g[ \t]*,/i.exec(comment);
  return match === null ? null : comment.slice(match[0].length);
}
