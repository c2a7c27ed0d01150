import { headingOf } from '../../../model/section.js';
import type { Move, Pt3, Toolpath } from '../../../model/toolpath.js';
import { messageLines } from '../../../text/program-text.js';
import {
  act,
  comment,
  feedLine,
  feedWord,
  formatSteps,
  goTo,
  pushFeed,
  rapidXy,
  rapidZ,
  stepsOf,
  toSteps,
  WriteError,
  type Page,
} from './page.js';
import type { Pt } from '../../../model/edges.js';
import { MERGE_TOL_MM } from '../../../maths/tolerance.js';
import { arcPieces } from './arc-steps.js';
import { TURN_RAD, turnRad, norm2 } from '../../../maths/angle.js';

/** Writes one move and returns where it ends. `at` is where it starts. */
export function writeMove(page: Page, toolpath: Toolpath, move: Move, index: number, at: Pt3): Pt3 {
  switch (move.kind) {
    case 'rapid':
      writeRapid(page, stepsOf(page, index, move.to));
      return move.to;
    case 'line':
    case 'arc': {
      const steps = stepsOf(page, index, move.to);
      if (!page.spindleOn && move.role !== 'air' && move.role !== 'link') {
        throw new WriteError(index, `${move.role} move with the spindle off`);
      }
      if (move.kind === 'arc') writeArc(page, move, index, at);
      else feedLine(page, ...steps, feedWord(index, move.feedMmPerMin));
      return move.to;
    }
    case 'spindle':
      startSpindle(page, index, move.rpm, move.dwellS);
      return at;
    case 'probe':
      writeProbe(page, index, stepsOf(page, index, move.to), move.feedMmPerMin);
      return move.to;
    case 'stop':
      writeStop(page, toolpath, move, index);
      return at;
    case 'section':
      comment(page, headingOf(move.head));
      return at;
    case 'note':
      comment(page, move.text);
      return at;
  }
}

/** G38.2 of RS274/NGC: straight probe, an error where there is no contact on the way. */
function writeProbe(page: Page, index: number, steps: Pt3, feedMmPerMin: number): void {
  if (!page.controller.probe) throw new WriteError(index, 'a probe on a control without one');
  if (page.spindleOn) throw new WriteError(index, 'a probe with the spindle on');
  const words = goTo(page, ...steps);
  if (words === '') throw new WriteError(index, 'a probe that goes nowhere');
  act(page, `G38.2${words}${feedWord(index, feedMmPerMin)}`);
  // Contact ends the move somewhere on the way: nothing is known until the next full move.
  page.x = NaN;
  page.y = NaN;
  page.z = NaN;
}

/** Z and XY on separate lines: up first, down last; up first, too, where a probe left Z unknown. */
function writeRapid(page: Page, [x, y, z]: Pt3): void {
  if (!(z <= page.z)) rapidZ(page, z);
  rapidXy(page, x, y);
  rapidZ(page, z);
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

/**
 * Spindle off, what to do, stop; then the spindle again for the next feed move, unless the
 * toolpath does that itself or stops once more before.
 */
function writeStop(
  page: Page,
  toolpath: Toolpath,
  { message, spindleStays }: Extract<Move, { kind: 'stop' }>,
  index: number,
): void {
  const resume = page.spindleOn || page.resume;
  if (page.spindleOn) act(page, 'M5');
  page.spindleOn = false;
  if (page.controller.messageComments) {
    for (const line of messageLines(message)) act(page, line);
  } else {
    comment(page, `STOP: ${message}`);
  }
  act(page, 'M0');
  const next = toolpath.moves
    .slice(index + 1)
    .find((m) => m.kind !== 'section' && m.kind !== 'note' && m.kind !== 'rapid');
  page.resume = resume && next?.kind === 'stop' && spindleStays !== true;
  if (spindleStays === true) return;
  if (resume && (next?.kind === 'line' || next?.kind === 'arc')) {
    startSpindle(page, index, page.rpm, page.dwellS);
  }
}

/** Ends may be at slightly different distances from the centre; more is a fault of the toolpath. */
const ARC_INPUT_TOL_MM = 0.001;

function writeArc(page: Page, move: Extract<Move, { kind: 'arc' }>, index: number, at: Pt3): void {
  const { to, c, ccw } = move;
  const feed = feedWord(index, move.feedMmPerMin);
  const sweep = sweepOf(index, at, to, c, ccw);
  const dz = to[2] - at[2];
  const from: Pt = [at[0], at[1]];
  const end: Pt = [to[0], to[1]];
  for (const piece of arcPieces([page.x, page.y], from, end, c, ccw, sweep, page.limits)) {
    const z = toSteps(piece.share >= 1 ? to[2] : at[2] + dz * piece.share, page.limits.xyScale);
    if (piece.kind === 'line') {
      feedLine(page, piece.x, piece.y, z, feed);
      continue;
    }
    // X and Y are written both, also the one that stays.
    page.x = NaN;
    page.y = NaN;
    const words = goTo(page, piece.x, piece.y, z);
    const i = formatSteps(piece.i, page.ijDecimals);
    const j = formatSteps(piece.j, page.ijDecimals);
    pushFeed(page, `${ccw ? 'G3' : 'G2'}${words} I${i} J${j}`, feed);
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
  const r0 = norm2(u0, u1);
  const r1 = norm2(v0, v1);
  if (!(Math.abs(r0 - r1) <= ARC_INPUT_TOL_MM)) {
    throw new WriteError(index, `arc of radius ${r0} at its start and ${r1} at its end`);
  }
  if (at[0] === to[0] && at[1] === to[1]) return r0 > 0 ? TURN_RAD : 0;
  const sweep = turnRad(u0, u1, v0, v1, ccw);
  if (norm2(v0 - u0, v1 - u1) <= MERGE_TOL_MM) {
    if (sweep <= Math.PI) return 0;
    throw new WriteError(
      index,
      'arc ends a hair before its start: a full circle or nothing cannot be told apart',
    );
  }
  return sweep;
}
