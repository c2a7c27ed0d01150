/**
 * Motion controls by what they can do: controllers.json and its reader, and what a class would make
 * of a program that was not written for it. Rules are rows, and stand in the about-files by what
 * they speak of; finding.ts gathers what they say.
 */
import type { Controller } from '../../model/op.js';
import { nextLine, scannerOf } from '../rs274/read/lex.js';
import { readProgram, type ReadResult } from '../rs274/reader.js';
import { type Before, CODE_RULES, FOREIGN_RULES, WORD_RULES, wordsOf } from './about-codes.js';
import {
  AFTER_END_RULES,
  END_RULES,
  MEMORY_RULES,
  START_RULES,
  endOf,
  fromMemory,
} from './about-modes.js';
import {
  ARC_RULES,
  MOVE_LINE_RULES,
  OP_RULES,
  RATE_RULES,
  arcAt,
  opsOf,
  shortMoves,
} from './about-moves.js';
import { CHARACTER_RULES, TEXT_RULES, charactersOf } from './about-text.js';
import { Findings, type CapabilityFinding } from './finding.js';
import { takeApart } from './line.js';

/** A move in capitals and plain numbers, one G word first: nothing on it can be taken amiss. */
const PLAIN_MOVE = /^G[0-3](?: [XYZIJF]-?\d+(?:\.\d+)?)+$/;

const LINE_RULES = { ...TEXT_RULES, ...CODE_RULES, ...MOVE_LINE_RULES };

/**
 * Ways in which `controller` would do something else than the program means, or relies on chance:
 * worst first. Faults of the language itself are `read.errors` and are not repeated here.
 * @param read  the program as read with this controller's dialect; read here when left out
 * @param workRadiusMm  the cutter's centre farther from the zero is beside the work; nowhere when left out
 */
export function capabilityFindings(
  text: string,
  controller: Controller,
  read: ReadResult = readProgram(text, { controller, onError: 'collect', arcRule: 'relaxed' }),
  workRadiusMm = Infinity,
): readonly CapabilityFinding[] {
  const findings = new Findings(controller);
  judgeText(findings, text, controller, read);
  if (read.firstMotionLine !== null) {
    findings.judge(START_RULES, { line: read.firstMotionLine, read });
  }
  for (const at of opsOf(read, workRadiusMm)) {
    findings.judge(OP_RULES, at);
    if (at.op.op === 'arc') findings.judge(ARC_RULES, arcAt(at.op));
  }
  for (const at of fromMemory(read)) findings.judge(MEMORY_RULES, at);
  findings.judge(RATE_RULES, shortMoves(read, controller));
  const end = endOf(read);
  if (end !== null) findings.judge(END_RULES, end);
  return findings.list();
}

/** What the lines do to this class, whatever they mean. */
function judgeText(
  findings: Findings,
  text: string,
  controller: Controller,
  read: ReadResult,
): void {
  const lines = scannerOf(text);
  let before: Before = { byDistance: false, shifted: false };
  while (nextLine(lines)) {
    // Nothing is said of an empty line.
    if (lines.end === lines.start) continue;
    const line = text.slice(lines.start, lines.end);
    const isAfterEnd = read.end !== null && lines.line > read.lastLineRead;
    const isPlain = line.length <= controller.maxLineLength && PLAIN_MOVE.test(line);
    if (isPlain && !isAfterEnd) continue;
    const at = takeApart(line, lines.line);
    if (!isPlain) {
      for (const character of charactersOf(at, controller.liveCharacters)) {
        findings.judge(CHARACTER_RULES, character);
      }
      findings.judge(LINE_RULES, at);
      for (const word of wordsOf(at, before)) {
        findings.judge(WORD_RULES, word);
        findings.judge(FOREIGN_RULES, word);
      }
      before = {
        byDistance: at.gs.includes(91) || (before.byDistance && !at.gs.includes(90)),
        shifted: before.shifted || at.gs.includes(92),
      };
    }
    if (isAfterEnd) findings.judge(AFTER_END_RULES, at);
  }
}
