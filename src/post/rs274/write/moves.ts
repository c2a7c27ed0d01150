import { headingOf } from '../../../model/section.js';
import type { Move, Pt3, Toolpath } from '../../../model/toolpath.js';
import { formatSteps, toSteps } from './format.js';
import { messageLines } from '../../../text/program-text.js';
import { act, checkPoint, comment, feedLine, rapidXy, rapidZ, type Page } from './page.js';
import { writeArc } from './arc-move.js';
import { feedWord } from './feed-word.js';
import { WriteError } from './write-error.js';

/** Writes one move and returns where it ends. `at` is where it starts. */
export function writeMove(page: Page, toolpath: Toolpath, move: Move, index: number, at: Pt3): Pt3 {
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
    case 'probe':
      checkPoint(index, move.to);
      writeProbe(page, index, move.to, move.feedMmPerMin);
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
function writeProbe(page: Page, index: number, to: Pt3, feedMmPerMin: number): void {
  if (!page.controller.probe) throw new WriteError(index, 'a probe on a control without one');
  if (page.spindleOn) throw new WriteError(index, 'a probe with the spindle on');
  const scale = page.limits.xyScale;
  const [x, y, z] = [toSteps(to[0], scale), toSteps(to[1], scale), toSteps(to[2], scale)];
  const word = (letter: string, value: number, known: number): string =>
    value === known ? '' : ` ${letter}${formatSteps(value, page.xyDecimals)}`;
  const words = word('X', x, page.x) + word('Y', y, page.y) + word('Z', z, page.z);
  if (words === '') throw new WriteError(index, 'a probe that goes nowhere');
  act(page, `G38.2${words}${feedWord(index, feedMmPerMin)}`);
  // Contact ends the move somewhere on the way: nothing is known until the next full move.
  page.x = NaN;
  page.y = NaN;
  page.z = NaN;
}

/** Z and XY on separate lines: up first, down last; up first, too, where a probe left Z unknown. */
function writeRapid(page: Page, to: Pt3): void {
  const scale = page.limits.xyScale;
  const z = toSteps(to[2], scale);
  if (!(z <= page.z)) rapidZ(page, z);
  rapidXy(page, toSteps(to[0], scale), toSteps(to[1], scale));
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
    for (const line of messageLines(message === '' ? 'stop' : message)) act(page, line);
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
