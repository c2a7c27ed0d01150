/** Size of print at which the sheet fills two A4 pages and no more. */
import { type Html } from './html.js';

/**
 * Characters of text times the square of the print size in points that two pages hold beside the
 * drawings. Measured with headless Chromium and DejaVu Sans, the widest of the usual fonts: sheets
 * of 8,200 to 12,400 characters took 630,000 to 690,000. What is used leaves a twentieth in size;
 * with Arial, a tenth narrower, there is more.
 */
const ROOM = 600_000;
/** What the drawing of the blank in the flow takes of it: 60 mm of a column of 90 mm, of 900 mm. */
const DRAWING_ROOM = 40_000;
const LARGEST_PT = 8.8;
/** Smallest print that is still read at a bench. pt */
export const SMALLEST_PT = 6.4;
/** The heading is set larger and bold: a character of it takes the room of so many. */
const TITLE_WEIGHT = 5;
/** Titles up to this long fit on one line. */
const TITLE_FREE = 40;

/** @returns points, at most LARGEST_PT; below SMALLEST_PT the text has to be cut */
export function printSizePt(title: string, flow: readonly (Html | null)[]): number {
  let characters = TITLE_WEIGHT * Math.max(0, Array.from(title).length - TITLE_FREE);
  for (const part of flow) characters += part ? textLength(part) : 0;
  return Math.min(LARGEST_PT, Math.floor(20 * Math.sqrt((ROOM - DRAWING_ROOM) / characters)) / 20);
}

/** Characters that are seen: without tags and drawings, an entity counted as one. */
function textLength({ html }: Html): number {
  const text = html
    .replace(/<svg[\s\S]*?<\/svg>/g, '')
    .replace(/<[^>]*>/g, '')
    .replace(/&[a-z#0-9]+;/g, '.')
    .replace(/\s+/g, ' ');
  return Array.from(text).length;
}
