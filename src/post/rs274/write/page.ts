import type { Pt3 } from '../../../model/toolpath.js';
import { EMPTY_SUM, withLine } from '../envelope.js';
import type { Controller } from '../../../model/op.js';
import type { ArcLimits } from './arc-steps.js';
import { formatSteps, scaleOf, WriteError } from './format.js';
import { commentLines, PARENTHESES, SEMICOLON } from '../../../text/program-text.js';

/** Wait after the spindle starts again when the toolpath has given none. s. Common practice. */
const DEFAULT_DWELL_S = 3;
/** Coordinates beyond this are a fault of the toolpath: no machine of this kind is as large. */
const MAX_COORDINATE_MM = 9999;

/** Text under construction, with what the machine has been told so far. */
export interface Page {
  readonly lines: string[];
  /** Check sum of the lines but the first, which is the envelope's. Summed as they come: a line just
   *  put together is read once while it is at hand, and its parts are let go. */
  sum: number;
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
  /** The spindle was turning before a stop and has not been started since. */
  resume: boolean;
}

export function openPage(controller: Controller): Page {
  const xyScale = scaleOf(controller.xyDecimals);
  const ijScale = scaleOf(controller.ijDecimals);
  return {
    lines: [''],
    sum: EMPTY_SUM,
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
    resume: false,
  };
}

function push(page: Page, line: string): void {
  page.lines.push(line);
  page.sum = withLine(page.sum, line);
}

/** A line that is no motion: the next feed move states its feed again. */
export function act(page: Page, line: string): void {
  push(page, line);
  page.feed = '';
}

export function comment(page: Page, text: string): void {
  const marks = page.controller.parenComments ? PARENTHESES : SEMICOLON;
  for (const line of commentLines(text, marks)) act(page, line);
}

export function rapidZ(page: Page, z: number): void {
  if (page.z === z) return;
  page.z = z;
  push(page, `G0 Z${formatSteps(z, page.xyDecimals)}`);
}

export function rapidXy(page: Page, x: number, y: number): void {
  let words = '';
  if (page.x !== x) words += ` X${formatSteps(x, page.xyDecimals)}`;
  if (page.y !== y) words += ` Y${formatSteps(y, page.xyDecimals)}`;
  if (words === '') return;
  page.x = x;
  page.y = y;
  push(page, `G0${words}`);
}

/** A straight feed to a point in whole steps; nothing when it is where the cutter is. */
export function feedLine(page: Page, x: number, y: number, z: number, feed: string): void {
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

export function pushFeed(page: Page, line: string, feed: string): void {
  if (page.feed === feed) {
    push(page, line);
  } else {
    page.feed = feed;
    push(page, line + feed);
  }
}

/** @throws WriteError where a coordinate is not finite or too large */
export function checkPoint(index: number, point: Pt3): void {
  for (let axis = 0; axis < 3; axis++) {
    const value = point[axis] as number;
    if (!(Math.abs(value) <= MAX_COORDINATE_MM)) {
      throw new WriteError(index, `${'XYZ'.charAt(axis)} ${value} is not within +-9999 mm`);
    }
  }
}
