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

export interface CodeWord {
  readonly letter: string;
  /** null where the value is an expression or a parameter. */
  readonly value: number | null;
  readonly text: string;
}

const WORD = /([A-Z])([+-]?(?:\d+\.?\d*|\.\d+))?/g;

export function splitLine(line: string): LineParts {
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
