/** What a class makes of characters, long lines, comments and the heads of lines. */
import type { Rules } from './finding.js';
import type { Line } from './line.js';

/** Anything but printable ASCII and the tab. */
const NOT_PLAIN = /[^\x20-\x7e\t]/g;

/** A character that is looked at: one of those that are not plain, or one that acts at once. */
export interface Character {
  readonly line: number;
  readonly char: string;
  /** How it is looked at. */
  readonly as: 'beyond-ascii' | 'control' | 'live';
}

/** @param live  characters that act on this control wherever they stand */
export function charactersOf({ line, text }: Line, live: string): Character[] {
  const found: Character[] = [...text.matchAll(NOT_PLAIN)].map(([char]) => ({
    line,
    char,
    as: char.charCodeAt(0) > 127 ? 'beyond-ascii' : 'control',
  }));
  for (const char of live) {
    // Alone on a line, % marks the start and end of a file; percent-line speaks of that.
    if (!text.includes(char) || (char === '%' && text.trim() === '%')) continue;
    found.push({ line, char, as: 'live' });
  }
  return found;
}

export const CHARACTER_RULES: Rules<Character> = {
  'non-ascii': {
    severity: (_, { liveBytes }) => (liveBytes ? 'danger' : 'note'),
    when: ({ as }) => as === 'beyond-ascii',
    says: (_, { liveBytes }) =>
      liveBytes
        ? 'bytes above 127 act at once on this control, also inside a comment: override, coolant, door'
        : 'characters outside ASCII may be shown or stored wrongly',
    fix: 'write plain ASCII',
  },
  'control-character': {
    severity: 'danger',
    when: ({ as }) => as === 'control',
    says: ({ char }) => `control character ${char.charCodeAt(0)}: some controls act on it at once`,
    fix: 'remove it',
  },
  'live-character': {
    severity: 'danger',
    when: ({ as }) => as === 'live',
    says: ({ char }) => `'${char}' acts at once on this control, also inside a comment`,
    fix: 'remove it from comments',
    key: ({ char }) => char,
  },
};

const head = ({ text }: Line): string => text.trimStart().charAt(0);

/** The head of the first comment in parentheses that the control acts on; null where there is none. */
function activeHead({ text: line, parenComment }: Line, heads: readonly string[]): string | null {
  if (!parenComment || heads.length === 0) return null;
  for (const [, comment = ''] of line.matchAll(/\(([^()]*)/g)) {
    const text = comment.replace(/[ \t]/g, '').toUpperCase();
    // A sign acts as it stands, a word alone or with the comma behind it.
    const found = heads.find((start) =>
      /^[A-Z]+$/.test(start)
        ? text === start || text.startsWith(`${start},`)
        : text.startsWith(start),
    );
    if (found !== undefined) return found;
  }
  return null;
}

export const TEXT_RULES: Rules<Line> = {
  'long-line-cut': {
    severity: 'danger',
    when: ({ length }, c) => length > c.maxLineLength && c.longLines === 'cut',
    says: ({ length }, c) =>
      `a line of ${length} characters is cut after ${c.maxLineLength} and still run`,
    fix: (_, c) => `keep lines within ${Math.min(c.maxLineLength, 70)} characters`,
  },
  'long-line-refused': {
    severity: 'danger',
    when: ({ length, code }, c) =>
      length > c.maxLineLength && c.longLines !== 'cut' && code.length > c.maxLineLength,
    says: (_, c) =>
      `a line of more than ${c.maxLineLength} characters is refused and later ones still run`,
    fix: (_, c) => `keep lines within ${Math.min(c.maxLineLength, 70)} characters`,
  },
  'long-line': {
    severity: 'warning',
    when: ({ length, code }, c) =>
      length > c.maxLineLength && c.longLines !== 'cut' && code.length <= c.maxLineLength,
    says: ({ length }) => `a line of ${length} characters fits only once its comment is stripped`,
    fix: 'put the comment on a line of its own',
  },
  'system-line': {
    severity: 'danger',
    when: (at, c) => head(at) !== '' && c.systemLineStarts.includes(head(at)),
    says: (at) => `a line that starts with '${head(at)}' is a system command here`,
    fix: 'remove the line',
  },
  'lower-case-line': {
    severity: 'danger',
    when: (at, c) => c.lowerCaseLines === 'system' && head(at) >= 'a' && head(at) <= 'z',
    says: 'a line that starts with a small letter is a system command here, not a move',
    fix: 'write capitals',
  },
  'percent-line': {
    severity: 'warning',
    when: (at, c) => head(at) === '%' && !c.percentLines,
    says: 'percent lines are not known here',
    fix: 'remove it',
  },
  'block-delete': {
    severity: (_, c) => (c.blockDelete === 'ignored' ? 'danger' : 'warning'),
    when: (at, c) => head(at) === '/' && c.blockDelete !== 'yes',
    says: (_, c) =>
      c.blockDelete === 'ignored'
        ? 'a line marked to be skipped runs all the same here'
        : 'a line marked to be skipped is an error here',
    fix: 'remove the line or the slash',
  },
  'paren-comment': {
    severity: 'danger',
    when: ({ parenComment }, c) => parenComment && !c.parenComments,
    says: 'comments in parentheses may be read as code here',
    fix: 'write comments after a semicolon, on lines of their own',
  },
  'active-comment': {
    severity: 'danger',
    when: (at, c) => activeHead(at, c.activeComments) !== null,
    says: (at, c) =>
      `a comment that starts with '${activeHead(at, c.activeComments)}' is no remark here: the control acts on it`,
    fix: 'write it otherwise, or remove it',
    key: (at, c) => String(activeHead(at, c.activeComments)),
  },
  'semicolon-comment': {
    severity: 'warning',
    when: ({ semicolonComment }, c) => semicolonComment && !c.semicolonComments,
    says: 'comments after a semicolon are not known here',
    fix: 'write comments in parentheses',
  },
  'comment-cuts-line': {
    severity: 'danger',
    when: ({ codeAfterComment }, c) => c.commentCutsLine && codeAfterComment,
    says: 'what follows a comment on its line is dropped here',
    fix: 'put comments on lines of their own',
  },
  'line-number': {
    severity: 'warning',
    when: ({ letters }, c) => letters.has('N') && c.lineNumbers === 'checked',
    says: 'line numbers are checked here: a gap or a repeat asks for the line again',
    fix: 'remove line numbers',
  },
  'plus-sign': {
    severity: 'note',
    when: ({ code }) => code.includes('+') && !code.includes('['),
    says: "'+' before a number is not read by every control",
    fix: 'leave it out',
  },
  expression: {
    severity: 'danger',
    when: ({ code }, c) => !c.parameters && (code.includes('#') || code.includes('[')),
    says: 'parameters and expressions are not known to this control',
    fix: 'write plain numbers',
  },
};
