/**
 * The page that a program is written on. Of the folder: moves writes each move of a toolpath, arc-steps
 * cuts arcs so that their rounded words are still the arc.
 */
import { pow } from '../../../maths/elementary.js';
import type { Pt3 } from '../../../model/toolpath.js';
import { EMPTY_SUM, withLine } from '../envelope.js';
import type { Controller } from '../../../model/op.js';
import type { ArcLimits } from './arc-steps.js';
import { commentLines, PARENTHESES, SEMICOLON } from '../../../text/program-text.js';

/** A toolpath that cannot be written. */
export class WriteError extends RangeError {
  /** @param moveIndex  index into `toolpath.moves`, or -1 for the toolpath as a whole */
  constructor(moveIndex: number, message: string) {
    super(moveIndex < 0 ? message : `move ${moveIndex}: ${message}`);
    this.name = 'WriteError';
  }
}

/** Steps of 10^-decimals in 1, by decimals. */
const SCALES = [1, 10, 100, 1e3, 1e4, 1e5, 1e6];

/** Steps per mm for a number of decimals. */
const scaleOf = (decimals: number): number => SCALES[decimals]!;

/** Nearest whole step; never negative zero. */
export const toSteps = (valueMm: number, scale: number): number => Math.round(valueMm * scale) + 0;

/**
 * Numbers as RS-274 words want them, from whole output steps: no sign for plus, no exponent, no
 * negative zero, no trailing zeros.
 * @param steps     whole number of steps of 10^-decimals
 * @param decimals  0 to 6
 */
export function formatSteps(steps: number, decimals: number): string {
  const size = Math.abs(steps);
  const sign = steps < 0 ? '-' : '';
  const scale = scaleOf(decimals);
  const whole = Math.floor(size / scale);
  const rest = size - whole * scale;
  if (rest === 0) return sign + String(whole);
  let digits = String(rest + scale).slice(1);
  let length = digits.length;
  while (digits.charCodeAt(length - 1) === 48) length--;
  if (length < digits.length) digits = digits.slice(0, length);
  return `${sign}${whole}.${digits}`;
}

const MAX_FEED_MM_PER_MIN = 99999;
/** Feeds are written in tenths, rounded down so that rounding never raises the load. */
const FEED_DECIMALS = 1;

/** Feed as a word, ` F120.5`. @throws WriteError where it is not above zero, or too high */
export function feedWord(index: number, feedMmPerMin: number): string {
  if (!(feedMmPerMin > 0 && feedMmPerMin <= MAX_FEED_MM_PER_MIN)) {
    throw new WriteError(index, `feed ${feedMmPerMin} is not above 0 and up to 99999 mm/min`);
  }
  // The small share keeps a feed that is a whole number of steps from losing one to rounding.
  const steps = Math.floor(feedMmPerMin * pow(10, FEED_DECIMALS) * (1 + 1e-12));
  if (steps < 1) throw new WriteError(index, `feed ${feedMmPerMin} mm/min is below 0.1 mm/min`);
  return ` F${formatSteps(steps, FEED_DECIMALS)}`;
}

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

/** Goes to a point in whole steps: the words of the axes that change. NaN where not known. */
export function goTo(page: Page, x: number, y: number, z: number): string {
  let words = '';
  if (!Object.is(page.x, x)) words += ` X${formatSteps(x, page.xyDecimals)}`;
  if (!Object.is(page.y, y)) words += ` Y${formatSteps(y, page.xyDecimals)}`;
  if (!Object.is(page.z, z)) words += ` Z${formatSteps(z, page.xyDecimals)}`;
  page.x = x;
  page.y = y;
  page.z = z;
  return words;
}

function rapid(page: Page, x: number, y: number, z: number): void {
  const words = goTo(page, x, y, z);
  if (words !== '') push(page, `G0${words}`);
}

export const rapidZ = (page: Page, z: number): void => rapid(page, page.x, page.y, z);
export const rapidXy = (page: Page, x: number, y: number): void => rapid(page, x, y, page.z);

/** A straight feed to a point in whole steps; nothing when it is where the cutter is. */
export function feedLine(page: Page, x: number, y: number, z: number, feed: string): void {
  const words = goTo(page, x, y, z);
  if (words !== '') pushFeed(page, `G1${words}`, feed);
}

export function pushFeed(page: Page, line: string, feed: string): void {
  push(page, page.feed === feed ? line : line + feed);
  page.feed = feed;
}

/** Whole steps of a point. @throws WriteError where a coordinate is not finite or too large */
export function stepsOf({ limits }: Page, index: number, point: Pt3): Pt3 {
  for (let axis = 0; axis < 3; axis++) {
    const value = point[axis]!;
    if (!(Math.abs(value) <= MAX_COORDINATE_MM)) {
      throw new WriteError(index, `${'XYZ'.charAt(axis)} ${value} is not within +-9999 mm`);
    }
  }
  const { xyScale } = limits;
  return [toSteps(point[0], xyScale), toSteps(point[1], xyScale), toSteps(point[2], xyScale)];
}
