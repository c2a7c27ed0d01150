import type { Controller } from '../../model/op.js';
import type { Findings } from './finding.js';
import type { CodeWord, LineParts } from './split-line.js';

/** Words of other letters: what the class makes of their values and of their absence. */
export function checkWords(
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
  if (gs.includes(64) && !letters.has('P') && controller.pathControl === 'g64p') {
    findings.add(
      'warning',
      'path-tolerance',
      number,
      'G64 without P rounds corners by as much as the feed asks for',
      'write G64 P with the greatest deviation, or G61',
    );
  }
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
