import { groupOfG, groupOfM } from '../reader/codes.js';
import type { Controller } from '../types.js';
import type { Findings } from './finding.js';
import { splitLine, type CodeWord, type LineParts } from './split-line.js';

/** Codes that decide where or how fast the cutter goes: missing them is dangerous. */
const STEERING = new Set(
  (
    'G2 G3 G18 G19 G20 G41 G42 G43 G43.1 G53 G54 G55 G56 G57 G58 G59 G59.1 G59.2 G59.3 G73 G76 ' +
    'G81 G82 G83 G84 G85 G86 G87 G88 G89 G90 G91 G90.1 G92 G92.1 G92.2 G92.3 G93 G95 G0 G1 ' +
    'M0 M2 M3 M4 M5 M30'
  ).split(' '),
);

/** A move in capitals and plain numbers, one G word first: nothing on it can be taken amiss. */
const PLAIN_MOVE = /^G[0-3](?: [XYZIJF]-?\d+(?:\.\d+)?)+$/;

/** What one line of text does to this class, whatever the line means. */
export function textFindings(
  findings: Findings,
  line: string,
  number: number,
  controller: Controller,
): void {
  if (line.length <= controller.maxLineLength && PLAIN_MOVE.test(line)) return;
  checkCharacters(findings, line, number, controller);
  const parts = splitLine(line);
  checkLength(findings, line, parts, number, controller);
  checkForm(findings, line, parts, number, controller);
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
  line: string,
  parts: LineParts,
  number: number,
  controller: Controller,
): void {
  const { maxLineLength } = controller;
  if (line.length <= maxLineLength) return;
  if (controller.longLines === 'cut') {
    findings.add(
      'danger',
      'long-line-cut',
      number,
      `a line of ${line.length} characters is cut after ${maxLineLength} and still run`,
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
      `a line of ${line.length} characters fits only once its comment is stripped`,
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

function nameOf(word: CodeWord): string {
  return `${word.letter}${word.value}`;
}

function checkCodes(
  findings: Findings,
  words: readonly CodeWord[],
  number: number,
  controller: Controller,
): void {
  const known = controller.codes;
  const groups = new Set<number>();
  let commands = 0;
  for (const word of words) {
    const surprise = controller.surprises.find(
      (s) => s.code === word.letter || s.code === nameOf(word),
    );
    if (surprise !== undefined) {
      findings.add(
        surprise.severity,
        'code-surprise',
        number,
        `${surprise.code} ${surprise.effect}`,
        `remove ${surprise.code}`,
        surprise.code,
      );
    }
    if ((word.letter !== 'G' && word.letter !== 'M') || word.value === null) continue;
    commands++;
    const name = nameOf(word);
    if (!known.includes(name)) {
      const steering = STEERING.has(name);
      findings.add(
        steering ? 'danger' : 'warning',
        'unknown-code',
        number,
        `${name} is not known to this control: it is refused or passed over`,
        steering ? 'write the moves it stands for' : `remove ${name}`,
        name,
      );
    }
    const group = word.letter === 'G' ? groupOfG(word.value * 10) : 100 + groupOfM(word.value);
    if (group >= 0 && group !== 99 && groups.has(group) && !controller.modalConflictsRefused) {
      findings.add(
        'danger',
        'modal-conflict',
        number,
        'two codes of one modal group on a line: this control does not refuse it, one of them is lost',
        'put them on separate lines',
      );
    }
    groups.add(group);
  }
  if (commands > 1 && controller.leftToRight) {
    findings.add(
      'warning',
      'left-to-right',
      number,
      'several codes on a line are carried out from left to right here, not in the order of the standard',
      'write one action a line, modes first',
    );
  }
}

function checkWords(
  findings: Findings,
  parts: LineParts,
  number: number,
  controller: Controller,
): void {
  const { words, code } = parts;
  const letters = new Set(words.map((w) => w.letter));
  const gs = words.filter((w) => w.letter === 'G').map((w) => w.value);
  if (!controller.parameters && (code.includes('#') || code.includes('['))) {
    findings.add(
      'danger',
      'expression',
      number,
      'parameters and expressions are not known to this control',
      'write plain numbers',
    );
  }
  if (letters.has('N') && controller.lineNumbers === 'checked') {
    findings.add(
      'warning',
      'line-number',
      number,
      'line numbers are checked here: a gap or a repeat asks for the line again',
      'remove line numbers',
    );
  }
  const axes = letters.has('X') || letters.has('Y') || letters.has('Z');
  if (axes && gs.length === 0 && !controller.impliedMotion) {
    findings.add(
      'danger',
      'implied-motion',
      number,
      'axis words without a G word are not a move here',
      'write the G word on every move',
    );
  }
  if (letters.has('R') && (gs.includes(2) || gs.includes(3)) && !controller.radiusArcs) {
    findings.add(
      'danger',
      'radius-arc',
      number,
      'arcs by radius are not known to this control',
      'give the centre with I and J',
    );
  }
  if (gs.includes(4)) checkDwell(findings, words, number, controller);
  if (letters.has('S') && controller.spindleUnit === 'pwm255') {
    findings.add(
      'warning',
      'spindle-unit',
      number,
      'S is a power step from 0 to 255 here unless the firmware was set to rev/min',
      'set the spindle unit to rev/min',
    );
  }
  if (code.includes('+') && !code.includes('[')) {
    findings.add(
      'note',
      'plus-sign',
      number,
      "'+' before a number is not read by every control",
      'leave it out',
    );
  }
}

/** A dwell below this many milliseconds was surely meant in seconds. */
const SHORT_MS = 50;
/** A dwell above this many seconds was surely meant in milliseconds. */
const LONG_S = 100;

function checkDwell(
  findings: Findings,
  words: readonly CodeWord[],
  number: number,
  controller: Controller,
): void {
  const p = words.find((w) => w.letter === 'P')?.value ?? null;
  if (p === null) return;
  if (controller.dwellUnit === 'ms' && p > 0 && p < SHORT_MS) {
    findings.add(
      'danger',
      'dwell-unit',
      number,
      `G4 P${p} waits ${p} ms here, not ${p} s: the spindle is not up to speed`,
      `write P${p * 1000}`,
    );
  } else if (controller.dwellUnit === 's' && p >= LONG_S) {
    findings.add(
      'warning',
      'dwell-unit',
      number,
      `G4 P${p} waits ${Math.round(p / 60)} min here; it may have been meant in milliseconds`,
      `write P${p / 1000}`,
    );
  }
}
