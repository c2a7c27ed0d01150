export type Line = ReturnType<typeof takeApart>;

export interface CodeWord {
  readonly letter: string;
  /** null where the value is an expression or a parameter. */
  readonly value: number | null;
}

/** Characters of a line that are looked at; no control takes more, and the line is refused anyway. */
const TAKEN_APART = 4096;

const WORD = /([A-Z])([+-]?(?:\d+\.?\d*|\.\d+))?/g;

/** A line taken apart without judging it: programs for other controls need not be RS-274/NGC. */
export function takeApart(whole: string, line: number) {
  const text = whole.slice(0, TAKEN_APART);
  const parts = splitLine(text);
  const words = [...parts.code.matchAll(WORD)].map(([, letter, digits]): CodeWord => ({
    letter: letter!,
    value: digits === undefined ? null : Number(digits),
  }));
  return {
    ...parts,
    line,
    text,
    /** Characters of the whole line, of which `text` may be the head. */
    length: whole.length,
    words,
    letters: new Set(words.map((w) => w.letter)),
    /** Values of its G words. */
    gs: words.filter((w) => w.letter === 'G').map((w) => w.value),
  };
}

/** Code outside comments, spaces removed, capitals, and which comments stand beside it. */
function splitLine(line: string) {
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
  return { code: code.toUpperCase(), codeAfterComment, parenComment, semicolonComment };
}
