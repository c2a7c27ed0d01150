/** Writes a toolpath as an RS-274 program for one control class. */
import type { Toolpath } from '../../model/toolpath.js';
import { envelopeText, plainDigest, sumText, withLine, type Envelope } from './envelope.js';
import { type Controller, knowsTop } from '../../model/op.js';
import { writeMove } from './write/moves.js';
import {
  act,
  comment,
  formatSteps,
  openPage,
  rapidXy,
  rapidZ,
  stepsOf,
  toSteps,
  WriteError,
  type Page,
} from './write/page.js';
import { MAX_LINE, PARENTHESES, SEMICOLON } from '../../text/program-text.js';

export { WriteError } from './write/page.js';

/** What the program says about itself, and what is known about the machine it will run on. */
export interface ProgramHeader {
  readonly title: string;
  /** Digest of the job; letters and digits, at most 16 are kept. */
  readonly jobDigest: string;
  /** The machine is homed before the run, so that machine coordinates can be trusted. */
  readonly homed: boolean;
  /** Remarks for the top of the program: machine, cutter, stock, zero. One comment each. */
  readonly notes?: readonly string[];
}

export interface WrittenProgram {
  readonly text: string;
  readonly lineCount: number;
  /** Move index -> 1-based line of its first motion or action; a move that rounding leaves without
   *  length has the line of the one before. */
  readonly moveLines: Int32Array;
  /** Move index -> number of lines it was written on; 0 where rounding left nothing of it. */
  readonly moveLineCounts: Int32Array;
}

/** Just below the top of travel, clear of the switch. Machine mm. Common practice, no source. */
export const MACHINE_TOP_MM = -5;
/** Greatest deviation from the path where the class takes one. mm */
const PATH_TOLERANCE_MM = 0.01;

/**
 * Writes the whole program: header comments, modal preamble, moves, end.
 * Lengths are written in mm with the decimals of the class; arcs with I and J from the rounded
 * start point, none above 180 degrees; every line is ASCII and at most 70 characters long.
 * @throws WriteError naming the move, for coordinates or feeds that are not finite or out of range,
 *   arcs whose ends are at different distances from the centre, or cutting with the spindle off
 */
export function writeProgram(
  toolpath: Toolpath,
  controller: Controller,
  header: ProgramHeader,
): WrittenProgram {
  const page = openPage(controller);
  const moveLines = new Int32Array(toolpath.moves.length);
  const moveLineCounts = new Int32Array(toolpath.moves.length);
  writeTitle(page, header);
  writeModes(page);
  const [startX, startY, startZ] = stepsOf(page, -1, toolpath.start);
  const clearance = Math.max(toolpath.clearanceZMm, toolpath.start[2]);

  let at = toolpath.start;
  let raised = false;
  let placed = false;
  toolpath.moves.forEach((move, index) => {
    const before = page.lines.length;
    // Up before all else, but after what a person is asked.
    if (!raised && !(move.kind === 'stop' && move.why === 'start-height')) {
      raised = true;
      retract(page, header, clearance);
    }
    if (!placed && (move.kind === 'rapid' || move.kind === 'line' || move.kind === 'arc')) {
      placed = true;
      // To the start of the toolpath: over it first, then down.
      rapidXy(page, startX, startY);
      rapidZ(page, toSteps(clearance, page.limits.xyScale));
      rapidZ(page, startZ);
    }
    const first = page.lines.length;
    at = writeMove(page, toolpath, move, index, at);
    moveLineCounts[index] = page.lines.length - first;
    moveLines[index] = page.lines.length > first ? first + 1 : before;
  });
  if (!raised) retract(page, header, clearance);
  writeEnd(page, toolpath, header);
  return { ...seal(page, header), moveLines, moveLineCounts };
}

function writeTitle(page: Page, header: ProgramHeader): void {
  comment(page, `title: ${header.title}`);
  for (const note of header.notes ?? []) comment(page, note);
  comment(page, `control: ${page.controller.id}, lengths in mm, feeds in mm/min`);
  for (const note of page.controller.setUp) comment(page, note);
}

/** Every mode that the rest relies on, one to a line, as far as the class has the word. */
function writeModes(page: Page): void {
  const has = page.controller;
  const words: readonly (readonly [word: string, isKnown: boolean])[] = [
    ['G21', true],
    ['G90', true],
    ['G17', has.planeWord],
    ['G94', has.feedModeWord],
    ['G40', has.cutterCompensationCancelWord],
    ['G49', has.toolLengthCancelWord],
    ['G80', has.cannedCycleCancelWord],
    ['G91.1', has.arcCentreModeWord],
    ['G54', has.workOffset],
    ['G61', has.pathControl === 'g61'],
    [`G64 P${PATH_TOLERANCE_MM}`, has.pathControl === 'g64p'],
  ];
  for (const [word, isKnown] of words) if (isKnown) act(page, word);
}

/** Z up, alone: in machine coordinates where they can be trusted, else to the clearance height. */
function retract(page: Page, header: ProgramHeader, clearanceMm: number): void {
  const { xyScale } = page.limits;
  if (knowsTop(header.homed, page.controller)) {
    const z = toSteps(MACHINE_TOP_MM, xyScale);
    act(page, `G53 G0 Z${formatSteps(z, page.xyDecimals)}`);
    page.z = NaN;
  } else {
    rapidZ(page, toSteps(clearanceMm, xyScale));
  }
}

function writeEnd(page: Page, { clearanceZMm }: Toolpath, header: ProgramHeader): void {
  if (
    knowsTop(header.homed, page.controller) ||
    page.z < toSteps(clearanceZMm, page.limits.xyScale)
  ) {
    retract(page, header, clearanceZMm);
  }
  act(page, 'M5');
}

/** Puts digest, line count and check sum at the top and before the end code. */
function seal(page: Page, header: ProgramHeader): Pick<WrittenProgram, 'text' | 'lineCount'> {
  const { lines, controller } = page;
  const marks = controller.parenComments ? PARENTHESES : SEMICOLON;
  const envelope: Envelope = {
    jobDigest: plainDigest(header.jobDigest),
    lines: lines.length + 2,
    sum: sumText(withLine(page.sum, controller.programEnd)),
  };
  const said = envelopeText(envelope);
  lines[0] = marks.open + said + marks.close;
  lines.push(`${marks.open}end of ${said}${marks.close}`, controller.programEnd);
  const most = Math.min(MAX_LINE, controller.maxLineLength);
  const long = lines.findIndex((line) => line.length > most);
  if (long >= 0) {
    throw new WriteError(-1, `line ${long + 1} would have ${lines[long]!.length} characters`);
  }
  return { text: lines.join('\n') + '\n', lineCount: lines.length };
}
