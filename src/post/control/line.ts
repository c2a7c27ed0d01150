/** A line taken apart without judging it: programs for other controls need not be RS-274/NGC. */
export interface LineParts {
  /** Text outside comments, spaces removed, capitals. */
  readonly code: string;
  /** Code follows a comment in parentheses. */
  readonly codeAfterComment: boolean;
  readonly parenComment: boolean;
  readonly semicolonComment: boolean;
  readonly words: readonly CodeWord[];
}

/** A line as the rules see it. */
export interface Line extends LineParts {
  readonly line: number;
  readonly text: string;
  /** Characters of the whole line, of which `text` may be the head. */
  readonly length: number;
  readonly letters: ReadonlySet<string>;
  /** Values of its G words. */
  readonly gs: readonly (number | null)[];
}

/** Characters of a line that are looked at; no control takes more, and the line is refused anyway. */
const TAKEN_APART = 4096;

export function takeApart(whole: string, line: number): Line {
  const text = whole.length > TAKEN_APART ? whole.slice(0, TAKEN_APART) : whole;
  const parts = splitLine(text);
  return {
    ...parts,
    line,
    text,
    length: whole.length,
    letters: new Set(parts.words.map((w) => w.letter)),
    gs: parts.words.filter((w) => w.letter === 'G').map((w) => w.value),
  };
}

export interface CodeWord {
  readonly letter: string;
  /** null where the value is an expression or a parameter. */
  readonly value: number | null;
  readonly text: string;
}

const WORD = /([A-Z])([+-]?(?:\d+\.?\d*|\.\d+))?/g;

function splitLine(line: string): LineParts {
  let code = '';
  let parenComment = false;
  let semicolonComment = false;
  let codeAfterComment = false;
  let from = 0;
  for (let i = 0; i <= line.length; i++) {
    const char = line.charAt(i);
    if (i < line.length && char !== '(' && char !== ';') continue;
    const piece = line.slice(from, i).replace(/[ \t]/g, '');
    if (parenComment && piece !== '') codeAfterComment = true;
    code += piece;
    if (char === ';') {
      semicolonComment = true;
      break;
    }
    if (char === '(') {
      parenComment = true;
      const close = line.indexOf(')', i);
      if (close < 0) break;
      i = close;
      from = close + 1;
    }
  }
  code = code.toUpperCase();
  return { code, codeAfterComment, parenComment, semicolonComment, words: wordsOf(code) };
}

function wordsOf(code: string): CodeWord[] {
  const words: CodeWord[] = [];
  for (const match of code.matchAll(WORD)) {
    const letter = match[1] as string;
    const digits = match[2];
    if (digits === undefined) {
      words.push({ letter, value: null, text: letter });
    } else {
      const value = Number(digits);
      words.push({ letter, value, text: `${letter}${value}` });
    }
  }
  return words;
}
