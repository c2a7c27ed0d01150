import type { ModalState, ReadResult } from '../rs274/reader.js';
import type { Controller } from '../../model/op.js';
import type { Findings } from './finding.js';
import { splitLine } from './split-line.js';

/** A line after M2, M30 or the second percent line, which RS274/NGC 3.1 says is not read. */
export function afterEnd(findings: Findings, line: string, number: number): void {
  const { code } = splitLine(line);
  if (code === '' || code === '%') return;
  findings.add(
    'danger',
    'after-end',
    number,
    'code after the end of the program: not judged here, but carried out by a control that is fed line by line',
    'remove what follows the end',
  );
}

/** How the program ends, and what it leaves behind for the next one. */
export function checkEnd(findings: Findings, read: ReadResult, controller: Controller): void {
  const line = read.lastLineRead;
  if (read.errors.length > 0 && read.end === null) {
    // The end was perhaps never reached; missing ends are among the errors.
    if (!read.errors.some((e) => e.errorClass === 'missing-program-end')) return;
  }
  if (read.end === null || read.end === 'percent') {
    findings.add(
      'danger',
      'end-missing',
      line,
      'no M2 or M30: the spindle keeps turning and all modes stay',
      'end the program with M5 and M2',
    );
  }
  const resets = read.end === 'M2' || read.end === 'M30';
  const left =
    resets && controller.endResetsModes ? read.modal : (read.modalBeforeEnd ?? read.modal);
  const names = leftOver(left);
  if (names.length > 0) {
    findings.add(
      'warning',
      'modes-left',
      line,
      `the program leaves ${names.join(', ')} behind for the next one`,
      'put the modes back before the end',
    );
  }
  const turning = (resets ? (read.modalBeforeEnd ?? read.modal) : read.modal).spindle !== 'off';
  if (turning) {
    findings.add(
      resets ? 'warning' : 'danger',
      'spindle-left-on',
      line,
      'the spindle is still on at the end',
      'write M5 before the end',
    );
  }
}

function leftOver(modal: ModalState): string[] {
  const names: string[] = [];
  if (modal.units === 'inch') names.push('G20 (inch)');
  if (modal.distance === 'incremental') names.push('G91 (incremental)');
  if (modal.plane !== 'xy') names.push(modal.plane === 'xz' ? 'G18' : 'G19');
  if (modal.feedMode === 'inverse-time') names.push('G93 (inverse time)');
  if (modal.cutterCompensation !== 'off') names.push('cutter radius compensation');
  if (modal.toolLengthMm !== 0) names.push('a tool length offset');
  if (modal.workSystem !== 'G54') names.push(modal.workSystem);
  if (modal.shiftMm.some((mm) => mm !== 0)) names.push('a G92 offset');
  if (/^G8[1-9]$/.test(modal.motion)) names.push(`${modal.motion} (canned cycle)`);
  if (modal.coolant.mist || modal.coolant.flood) names.push('coolant');
  if (!modal.overrides) names.push('M49 (overrides off)');
  return names;
}
