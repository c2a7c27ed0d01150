/** What a control class would make of a program that was not written for it. */
import { afterEnd } from './end-findings.js';
import { Findings, type CapabilityFinding } from './finding.js';
import { runFindings } from './run-findings.js';
import { textFindings } from './text-findings.js';
import { readProgram, type ReadResult } from '../rs274/reader.js';
import { walkLines } from '../rs274/read/lex.js';
import type { Controller } from '../../model/op.js';

export type { CapabilityFinding } from './finding.js';

/**
 * Ways in which `controller` would do something else than the program means, or relies on chance:
 * worst first. Faults of the language itself are `read.errors` and are not repeated here.
 * @param read  the program as read with this controller's dialect; read here when left out
 */
export function capabilityFindings(
  text: string,
  controller: Controller,
  read: ReadResult = readProgram(text, { controller, onError: 'collect', arcRule: 'relaxed' }),
): readonly CapabilityFinding[] {
  const findings = new Findings();
  const lines = walkLines(text);
  while (lines.next()) {
    const line = text.slice(lines.start, lines.end);
    textFindings(findings, line, lines.line, controller);
    if (read.end !== null && lines.line > read.lastLineRead) afterEnd(findings, line, lines.line);
  }
  runFindings(findings, read, controller);
  return findings.list();
}
