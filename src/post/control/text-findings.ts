import type { Controller } from '../../model/op.js';
import type { Findings } from './finding.js';
import { checkCodes } from './code-findings.js';
import { splitLine, type LineParts } from './split-line.js';
import { checkWords } from './word-findings.js';

/** A move in capitals and plain numbers, one G word first: nothing on it can be taken amiss. */
const PLAIN_MOVE = /^G[0-3](?: [XYZIJF]-?\d+(?:\.\d+)?)+$/;

/** Characters of a line that are looked at; no control takes more, and the line is refused anyway. */
const TAKEN_APART = 4096;

/** What one line of text does to this class, whatever the line means. */
export function textFindings(
  findings: Findings,
  line: string,
  number: number,
  controller: Controller,
): void {
  if (line.length <= controller.maxLineLength && PLAIN_MOVE.test(line)) return;
  const head = line.length > TAKEN_APART ? line.slice(0, TAKEN_APART) : line;
  checkCharacters(findings, head, number, controller);
  const parts = splitLine(head);
  checkLength(findings, line.length, parts, number, controller);
  checkForm(findings, head, parts, number, controller);
  if (parts.code === '') return;
  checkCodes(findings, parts.words, number, controller);
  checkWords(findings, parts, number, controller);
}

/** Anything but printable ASCII and the tab. */
const NOT_PLAIN = /[^\x20-\x7e\t]/g;

function checkCharacters(
  findings: Findings,
  line: string,
  number: number,
  controller: Controller,
): void {
  for (const [char] of line.matchAll(NOT_PLAIN)) {
    const code = char.charCodeAt(0);
    if (code > 127) {
      findings.add(
        controller.liveBytes ? 'danger' : 'note',
        'non-ascii',
        number,
        controller.liveBytes
          ? 'bytes above 127 act at once on this control, also inside a comment: override, coolant, door'
          : 'characters outside ASCII may be shown or stored wrongly',
        'write plain ASCII',
      );
    } else {
      findings.add(
        'danger',
        'control-character',
        number,
        `control character ${code}: some controls act on it at once`,
        'remove it',
      );
    }
  }
  for (const char of controller.liveCharacters) {
    // Alone on a line, % marks the start and end of a file; percent-line speaks of that.
    if (!line.includes(char) || (char === '%' && line.trim() === '%')) continue;
    findings.add(
      'danger',
      'live-character',
      number,
      `'${char}' acts at once on this control, also inside a comment`,
      'remove it from comments',
      char,
    );
  }
}

function checkLength(
  findings: Findings,
  length: number,
  parts: LineParts,
  number: number,
  controller: Controller,
): void {
  const { maxLineLength } = controller;
  if (length <= maxLineLength) return;
  if (controller.longLines === 'cut') {
    findings.add(
      'danger',
      'long-line-cut',
      number,
      `a line of ${length} characters is cut after ${maxLineLength} and still run`,
      `keep lines within ${Math.min(maxLineLength, 70)} characters`,
    );
  } else if (parts.code.length > maxLineLength) {
    findings.add(
      'danger',
      'long-line-refused',
      number,
      `a line of more than ${maxLineLength} characters is refused and later ones still run`,
      `keep lines within ${Math.min(maxLineLength, 70)} characters`,
    );
  } else {
    findings.add(
      'warning',
      'long-line',
      number,
      `a line of ${length} characters fits only once its comment is stripped`,
      'put the comment on a line of its own',
    );
  }
}

function checkForm(
  findings: Findings,
  line: string,
  parts: LineParts,
  number: number,
  controller: Controller,
): void {
  const first = line.trimStart().charAt(0);
  if (first === '') return;
  if (controller.systemLineStarts.includes(first)) {
    findings.add(
      'danger',
      'system-line',
      number,
      `a line that starts with '${first}' is a system command here`,
      'remove the line',
    );
  }
  if (controller.lowerCaseLines === 'system' && first >= 'a' && first <= 'z') {
    findings.add(
      'danger',
      'lower-case-line',
      number,
      'a line that starts with a small letter is a system command here, not a move',
      'write capitals',
    );
  }
  if (first === '%' && !controller.percentLines) {
    findings.add(
      'warning',
      'percent-line',
      number,
      'percent lines are not known here',
      'remove it',
    );
  }
  if (first === '/' && controller.blockDelete !== 'yes') {
    findings.add(
      controller.blockDelete === 'ignored' ? 'danger' : 'warning',
      'block-delete',
      number,
      controller.blockDelete === 'ignored'
        ? 'a line marked to be skipped runs all the same here'
        : 'a line marked to be skipped is an error here',
      'remove the line or the slash',
    );
  }
  if (parts.parenComment && !controller.parenComments) {
    findings.add(
      'danger',
      'paren-comment',
      number,
      'comments in parentheses may be read as code here',
      'write comments after a semicolon, on lines of their own',
    );
  }
  const active = parts.parenComment ? activeHead(line, controller.activeComments) : null;
  if (active !== null) {
    findings.add(
      'danger',
      'active-comment',
      number,
      `a comment that starts with '${active}' is no remark here: the control acts on it`,
      'write it otherwise, or remove it',
      active,
    );
  }
  if (parts.semicolonComment && !controller.semicolonComments) {
    findings.add(
      'warning',
      'semicolon-comment',
      number,
      'comments after a semicolon are not known here',
      'write comments in parentheses',
    );
  }
  if (controller.commentCutsLine && parts.codeAfterComment) {
    findings.add(
      'danger',
      'comment-cuts-line',
      number,
      'what follows a comment on its line is dropped here',
      'put comments on lines of their own',
    );
  }
}

/** The head of the first comment in parentheses that the control acts on; null where there is none. */
function activeHead(line: string, heads: readonly string[]): string | null {
  if (heads.length === 0) return null;
  for (const [, comment = ''] of line.matchAll(/\(([^()]*)/g)) {
    const text = comment.replace(/[ \t]/g, '').toUpperCase();
    // A sign acts as it stands, a word alone or with the comma behind it.
    const found = heads.find((head) =>
      /^[A-Z]+$/.test(head) ? text === head || text.startsWith(`${head},`) : text.startsWith(head),
    );
    if (found !== undefined) return found;
  }
  return null;
}
