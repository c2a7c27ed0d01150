/** Writes a toolpath as an RS-274 program for one control class. */
import type { Move, Pt3, Toolpath } from '../../model/toolpath.js';
import type { Pt } from '../../model/edges.js';
import {
  endEnvelopeText,
  envelopeText,
  plainDigest,
  sumText,
  withLine,
  type Envelope,
} from './envelope.js';
import type { Controller } from '../../model/op.js';
import { formatSteps, scaleOf, toSteps, WriteError } from './write/format.js';
import { writeMove } from './write/moves.js';
import { act, checkPoint, comment, openPage, rapidXy, rapidZ, type Page } from './write/page.js';
import { MAX_LINE, PARENTHESES, SEMICOLON } from '../../text/program-text.js';

export { WriteError } from './write/format.js';

/** What the program says about itself, and what is known about the machine it will run on. */
export interface ProgramHeader {
  readonly title: string;
  /** Digest of the job; letters and digits, at most 16 are kept. */
  readonly jobDigest: string;
  /** The machine is homed before the run, so that machine coordinates can be trusted. */
  readonly homed: boolean;
  /** Remarks for the top of the program: machine, cutter, stock, zero. One comment each. */
  readonly notes?: readonly string[];
  /** Height of the retract in machine coordinates, mm; used when homed. Default -5. */
  readonly machineRetractZMm?: number;
  /** Where the cutter goes after the last move, work coordinates; stays when left out. */
  readonly parkXyMm?: Pt;
  /** Greatest deviation from the path where the class takes one, mm. Default 0.01. */
  readonly pathToleranceMm?: number;
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
const DEFAULT_MACHINE_RETRACT_MM = -5;
const DEFAULT_PATH_TOLERANCE_MM = 0.01;

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
  writeModes(page, header);
  checkPoint(-1, toolpath.start);
  const clearance = Math.max(toolpath.clearanceZMm, toolpath.start[2]);
  retract(page, header, clearance);

  let at = toolpath.start;
  let placed = false;
  toolpath.moves.forEach((move, index) => {
    const before = page.lines.length;
    if (!placed && isMotion(move)) {
      placed = true;
      place(page, toolpath.start, clearance);
    }
    const first = page.lines.length;
    at = writeMove(page, toolpath, move, index, at);
    moveLineCounts[index] = page.lines.length - first;
    moveLines[index] = page.lines.length > first ? first + 1 : before;
  });
  writeEnd(page, toolpath, header);
  return { ...seal(page, header), moveLines, moveLineCounts };
}

function isMotion(move: Move): boolean {
  return move.kind === 'rapid' || move.kind === 'line' || move.kind === 'arc';
}

function writeTitle(page: Page, header: ProgramHeader): void {
  comment(page, `title: ${header.title}`);
  for (const note of header.notes ?? []) comment(page, note);
  comment(page, `control: ${page.controller.id}, lengths in mm, feeds in mm/min`);
  for (const note of page.controller.setUp) comment(page, note);
}

/** Every mode that the rest relies on, one to a line, as far as the class has the word. */
function writeModes(page: Page, header: ProgramHeader): void {
  const has = page.controller;
  act(page, 'G21');
  act(page, 'G90');
  if (has.planeWord) act(page, 'G17');
  if (has.feedModeWord) act(page, 'G94');
  if (has.cutterCompensationCancelWord) act(page, 'G40');
  if (has.toolLengthCancelWord) act(page, 'G49');
  if (has.cannedCycleCancelWord) act(page, 'G80');
  if (has.arcCentreModeWord) act(page, 'G91.1');
  if (has.workOffset) act(page, 'G54');
  if (has.pathControl === 'g61') act(page, 'G61');
  if (has.pathControl === 'g64p') {
    const toleranceMm = header.pathToleranceMm ?? DEFAULT_PATH_TOLERANCE_MM;
    act(page, `G64 P${formatSteps(toSteps(toleranceMm, scaleOf(4)), 4)}`);
  }
}

/** Z up, alone: in machine coordinates where they can be trusted, else to the clearance height. */
function retract(page: Page, header: ProgramHeader, clearanceMm: number): void {
  if (header.homed && page.controller.machineCoordinates) {
    const z = toSteps(header.machineRetractZMm ?? DEFAULT_MACHINE_RETRACT_MM, page.limits.xyScale);
    act(page, `G53 G0 Z${formatSteps(z, page.xyDecimals)}`);
    page.z = NaN;
  } else {
    rapidZ(page, toSteps(clearanceMm, page.limits.xyScale));
  }
}

/** To the start of the toolpath: over it first, then down. */
function place(page: Page, start: Pt3, clearanceMm: number): void {
  const scale = page.limits.xyScale;
  rapidXy(page, toSteps(start[0], scale), toSteps(start[1], scale));
  rapidZ(page, toSteps(clearanceMm, scale));
  rapidZ(page, toSteps(start[2], scale));
}

function writeEnd(page: Page, toolpath: Toolpath, header: ProgramHeader): void {
  const scale = page.limits.xyScale;
  const machine = header.homed && page.controller.machineCoordinates;
  if (machine || page.z < toSteps(toolpath.clearanceZMm, scale)) {
    retract(page, header, toolpath.clearanceZMm);
  }
  act(page, 'M5');
  if (header.parkXyMm !== undefined) {
    const [x, y] = header.parkXyMm;
    checkPoint(-1, [x, y, 0]);
    rapidXy(page, toSteps(x, scale), toSteps(y, scale));
  }
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
  lines[0] = marks.open + envelopeText(envelope) + marks.close;
  lines.push(marks.open + endEnvelopeText(envelope) + marks.close, controller.programEnd);
  for (let i = 0; i < lines.length; i++) {
    const length = (lines[i] as string).length;
    if (length > MAX_LINE || length > controller.maxLineLength) {
      throw new WriteError(-1, `line ${i + 1} would have ${length} characters`);
    }
  }
  return { text: lines.join('\n') + '\n', lineCount: lines.length };
}
