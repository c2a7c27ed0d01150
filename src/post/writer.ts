/** Writes a toolpath as an RS-274 program for one control class. */
import type { Move, Pt3, Toolpath } from '../cam/toolpath.js';
import type { Pt } from '../profile/edges.js';
import { MERGE_TOL_MM } from '../profile/tolerance.js';
import { endEnvelopeText, envelopeText, plainDigest, sumLines, type Envelope } from './envelope.js';
import type { Controller } from './types.js';
import { arcPieces, type ArcLimits } from './writer/arc-steps.js';
import { formatSteps, scaleOf, toSteps } from './writer/format.js';
import { commentLines, messageLines, MAX_LINE, PARENTHESES, SEMICOLON } from './writer/text.js';

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

/** A toolpath that cannot be written. */
export class WriteError extends RangeError {
  /** Index into `toolpath.moves`, or -1 for the toolpath as a whole. */
  readonly moveIndex: number;
  constructor(moveIndex: number, message: string) {
    super(moveIndex < 0 ? message : `move ${moveIndex}: ${message}`);
    this.name = 'WriteError';
    this.moveIndex = moveIndex;
  }
}

/** Wait after the spindle starts again when the toolpath has given none. s. Common practice. */
const DEFAULT_DWELL_S = 3;
/** Just below the top of travel, clear of the switch. Machine mm. Common practice, no source. */
const DEFAULT_MACHINE_RETRACT_MM = -5;
const DEFAULT_PATH_TOLERANCE_MM = 0.01;
/** Coordinates beyond this are a fault of the toolpath: no machine of this kind is as large. */
const MAX_COORDINATE_MM = 9999;
const MAX_FEED_MM_PER_MIN = 99999;
/** Feeds are written in tenths, rounded down so that rounding never raises the load. */
const FEED_DECIMALS = 1;

/** Text under construction, with what the machine has been told so far. */
interface Page {
  readonly lines: string[];
  readonly controller: Controller;
  readonly limits: ArcLimits;
  readonly xyDecimals: number;
  readonly ijDecimals: number;
  /** Position as sent, whole steps; NaN while it is not known. */
  x: number;
  y: number;
  z: number;
  /** Feed word in force on the lines above; empty when it must be written again. */
  feed: string;
  rpm: number;
  dwellS: number;
  spindleOn: boolean;
}

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
  page.lines.push('');
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

function openPage(controller: Controller): Page {
  const xyScale = scaleOf(controller.xyDecimals);
  const ijScale = scaleOf(controller.ijDecimals);
  return {
    lines: [],
    controller,
    limits: { xyScale, ijScale, maxRadiusMm: controller.maxArcRadiusMm },
    xyDecimals: controller.xyDecimals,
    ijDecimals: controller.ijDecimals,
    x: NaN,
    y: NaN,
    z: NaN,
    feed: '',
    rpm: 0,
    dwellS: DEFAULT_DWELL_S,
    spindleOn: false,
  };
}

function isMotion(move: Move): boolean {
  return move.kind === 'rapid' || move.kind === 'line' || move.kind === 'arc';
}

/** A line that is no motion: the next feed move states its feed again. */
function act(page: Page, line: string): void {
  page.lines.push(line);
  page.feed = '';
}

function comment(page: Page, text: string): void {
  const marks = page.controller.parenComments ? PARENTHESES : SEMICOLON;
  for (const line of commentLines(text, marks)) act(page, line);
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

function rapidZ(page: Page, z: number): void {
  if (page.z === z) return;
  page.z = z;
  page.lines.push(`G0 Z${formatSteps(z, page.xyDecimals)}`);
}

function rapidXy(page: Page, x: number, y: number): void {
  let words = '';
  if (page.x !== x) words += ` X${formatSteps(x, page.xyDecimals)}`;
  if (page.y !== y) words += ` Y${formatSteps(y, page.xyDecimals)}`;
  if (words === '') return;
  page.x = x;
  page.y = y;
  page.lines.push(`G0${words}`);
}

function writeMove(page: Page, toolpath: Toolpath, move: Move, index: number, at: Pt3): Pt3 {
  switch (move.kind) {
    case 'rapid':
      checkPoint(index, move.to);
      writeRapid(page, move.to);
      return move.to;
    case 'line':
    case 'arc':
      checkPoint(index, move.to);
      if (!page.spindleOn && move.role !== 'air' && move.role !== 'link') {
        throw new WriteError(index, `${move.role} move with the spindle off`);
      }
      if (move.kind === 'line') {
        const scale = page.limits.xyScale;
        const { to } = move;
        const feed = feedWord(index, move.feedMmPerMin);
        feedLine(page, toSteps(to[0], scale), toSteps(to[1], scale), toSteps(to[2], scale), feed);
      } else {
        writeArc(page, move, index, at);
      }
      return move.to;
    case 'spindle':
      startSpindle(page, index, move.rpm, move.dwellS);
      return at;
    case 'stop':
      writeStop(page, toolpath, move.message, index);
      return at;
    case 'note':
      comment(page, move.text);
      return at;
  }
}

function checkPoint(index: number, point: Pt3): void {
  for (let axis = 0; axis < 3; axis++) {
    const value = point[axis] as number;
    if (!(Math.abs(value) <= MAX_COORDINATE_MM)) {
      throw new WriteError(index, `${'XYZ'.charAt(axis)} ${value} is not within +-9999 mm`);
    }
  }
}

/** Z and XY on separate lines: up first, down last. */
function writeRapid(page: Page, to: Pt3): void {
  const scale = page.limits.xyScale;
  const z = toSteps(to[2], scale);
  if (z > page.z) rapidZ(page, z);
  rapidXy(page, toSteps(to[0], scale), toSteps(to[1], scale));
  rapidZ(page, z);
}

function feedWord(index: number, feedMmPerMin: number): string {
  if (!(feedMmPerMin > 0 && feedMmPerMin <= MAX_FEED_MM_PER_MIN)) {
    throw new WriteError(index, `feed ${feedMmPerMin} is not above 0 and up to 99999 mm/min`);
  }
  // The small share keeps a feed that is a whole number of steps from losing one to rounding.
  const steps = Math.floor(feedMmPerMin * 10 ** FEED_DECIMALS * (1 + 1e-12));
  if (steps < 1) throw new WriteError(index, `feed ${feedMmPerMin} mm/min is below 0.1 mm/min`);
  return ` F${formatSteps(steps, FEED_DECIMALS)}`;
}

function feedLine(page: Page, x: number, y: number, z: number, feed: string): void {
  let line = 'G1';
  if (page.x !== x) line += ` X${formatSteps(x, page.xyDecimals)}`;
  if (page.y !== y) line += ` Y${formatSteps(y, page.xyDecimals)}`;
  if (page.z !== z) line += ` Z${formatSteps(z, page.xyDecimals)}`;
  if (line.length === 2) return;
  page.x = x;
  page.y = y;
  page.z = z;
  pushFeed(page, line, feed);
}

function pushFeed(page: Page, line: string, feed: string): void {
  if (page.feed === feed) {
    page.lines.push(line);
  } else {
    page.feed = feed;
    page.lines.push(line + feed);
  }
}

/** Ends may be at slightly different distances from the centre; more is a fault of the toolpath. */
const ARC_INPUT_TOL_MM = 0.001;

function writeArc(page: Page, move: Extract<Move, { kind: 'arc' }>, index: number, at: Pt3): void {
  const { to, c, ccw } = move;
  const feed = feedWord(index, move.feedMmPerMin);
  const sweep = sweepOf(index, at, to, c, ccw);
  const { xyScale } = page.limits;
  const dz = to[2] - at[2];
  if (sweep === 0) {
    feedLine(page, toSteps(to[0], xyScale), toSteps(to[1], xyScale), toSteps(to[2], xyScale), feed);
    return;
  }
  const from: Pt = [at[0], at[1]];
  const end: Pt = [to[0], to[1]];
  for (const piece of arcPieces([page.x, page.y], from, end, c, ccw, sweep, page.limits)) {
    const z = toSteps(piece.share >= 1 ? to[2] : at[2] + dz * piece.share, xyScale);
    if (piece.kind === 'line') {
      feedLine(page, piece.x, piece.y, z, feed);
      continue;
    }
    let line =
      `${ccw ? 'G3' : 'G2'} X${formatSteps(piece.x, page.xyDecimals)}` +
      ` Y${formatSteps(piece.y, page.xyDecimals)}`;
    if (z !== page.z) line += ` Z${formatSteps(z, page.xyDecimals)}`;
    line += ` I${formatSteps(piece.i, page.ijDecimals)} J${formatSteps(piece.j, page.ijDecimals)}`;
    page.x = piece.x;
    page.y = piece.y;
    page.z = z;
    pushFeed(page, line, feed);
  }
}

/**
 * Angle turned, radians, 0 < sweep <= 2 pi; 0 where start and end are one vertex and the arc does
 * not go round. An arc that ends exactly where it starts is a full circle; one that ends a hair
 * away and would go almost all the way round is refused, because a hair decides between a circle
 * and nothing.
 */
function sweepOf(index: number, at: Pt3, to: Pt3, c: Pt, ccw: boolean): number {
  const u0 = at[0] - c[0];
  const u1 = at[1] - c[1];
  const v0 = to[0] - c[0];
  const v1 = to[1] - c[1];
  const r0 = Math.hypot(u0, u1);
  const r1 = Math.hypot(v0, v1);
  if (!(Math.abs(r0 - r1) <= ARC_INPUT_TOL_MM)) {
    throw new WriteError(index, `arc of radius ${r0} at its start and ${r1} at its end`);
  }
  if (at[0] === to[0] && at[1] === to[1]) return r0 > 0 ? 2 * Math.PI : 0;
  const angle = Math.atan2(u0 * v1 - u1 * v0, u0 * v0 + u1 * v1);
  const turned = ccw ? angle : -angle;
  const sweep = turned >= 0 ? turned : turned + 2 * Math.PI;
  if (Math.hypot(v0 - u0, v1 - u1) <= MERGE_TOL_MM) {
    if (sweep <= Math.PI) return 0;
    throw new WriteError(
      index,
      'arc ends a hair before its start: a full circle or nothing cannot be told apart',
    );
  }
  return sweep;
}

function startSpindle(page: Page, index: number, rpm: number, dwellS: number): void {
  if (!(rpm > 0 && rpm <= 999999)) throw new WriteError(index, `spindle speed ${rpm} rev/min`);
  if (!(dwellS >= 0 && dwellS <= 999)) throw new WriteError(index, `dwell ${dwellS} s`);
  page.rpm = Math.round(rpm);
  page.dwellS = dwellS;
  page.spindleOn = true;
  act(page, `M3 S${page.rpm}`);
  if (dwellS > 0) {
    const inMs = page.controller.dwellUnit === 'ms';
    act(page, `G4 P${inMs ? Math.ceil(dwellS * 1000) : formatSteps(Math.ceil(dwellS * 10), 1)}`);
  }
}

/** Spindle off, what to do, stop; then the spindle again, unless the toolpath does that itself. */
function writeStop(page: Page, toolpath: Toolpath, message: string, index: number): void {
  const turning = page.spindleOn;
  if (turning) act(page, 'M5');
  page.spindleOn = false;
  if (page.controller.messageComments) {
    for (const line of messageLines(message === '' ? 'stop' : message)) act(page, line);
  } else {
    comment(page, `STOP: ${message}`);
  }
  act(page, 'M0');
  const next = toolpath.moves.slice(index + 1).find((move) => move.kind !== 'note');
  if (turning && next !== undefined && next.kind !== 'spindle' && next.kind !== 'stop') {
    startSpindle(page, index, page.rpm, page.dwellS);
  }
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
  const body = lines.slice(1);
  body.push(controller.programEnd);
  const envelope: Envelope = {
    jobDigest: plainDigest(header.jobDigest),
    lines: body.length + 2,
    sum: sumLines(body),
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
