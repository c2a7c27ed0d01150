/** Strokes of the sheet's line drawings. Units are mm of the drawing's own paper, y down. */
import { plainNumber } from '../drawings/markup.js';
import { type Html, html } from './html.js';

export type Stroke = 'thick' | 'thin' | 'hidden' | 'axis' | 'bold-dash';

/** Height of lettering; mean width of a character is about half of it. */
const LETTER = 3;

const ARROW = 1.7;

export function n(value: number): string {
  return plainNumber(value, 2);
}

/** A size held where lettering stays readable. */
export function clamp(v: number, low: number, high: number): number {
  return Math.min(high, Math.max(low, v));
}

export function line(x1: number, y1: number, x2: number, y2: number, stroke: Stroke): Html {
  return html`<path class="${stroke}" d="M${n(x1)} ${n(y1)}L${n(x2)} ${n(y2)}" />`;
}

/** Closed area through corners, filled with a hatching. */
export function area(corners: readonly (readonly [number, number])[], fill: string): Html {
  const d = corners.map(([x, y], i) => `${i === 0 ? 'M' : 'L'}${n(x)} ${n(y)}`).join('');
  return html`<path class="thick ${fill}" d="${d}Z" />`;
}

export function box(x1: number, y1: number, x2: number, y2: number, fill: string): Html {
  return area(
    [
      [x1, y1],
      [x2, y1],
      [x2, y2],
      [x1, y2],
    ],
    fill,
  );
}

/** Lines of lettering one below the other. */
export function label(
  x: number,
  y: number,
  text: string | readonly string[],
  anchor: 'start' | 'middle' | 'end' = 'start',
): Html {
  const lines = typeof text === 'string' ? [text] : text;
  return html`${lines.map(
    (t, i) =>
      html`<text x="${n(x)}" y="${n(y + i * 1.2 * LETTER)}" text-anchor="${anchor}">${t}</text>`,
  )}`;
}

function arrow(x: number, y: number, dx: number, dy: number): Html {
  const w = ARROW / 4;
  const [bx, by] = [x - dx * ARROW, y - dy * ARROW];
  return html`<path
    class="ink"
    d="M${n(x)} ${n(y)}L${n(bx - dy * w)} ${n(by + dx * w)}L${n(bx + dy * w)} ${n(by - dx * w)}Z"
  />`;
}

/** Dimension along x at height y, with extension lines from the height `fromY`. */
export function dimensionX(x1: number, x2: number, y: number, fromY: number, text: string): Html {
  const past = Math.sign(y - fromY) * 1.2;
  return html`${line(x1, fromY, x1, y + past, 'thin')}${line(x2, fromY, x2, y + past, 'thin')}${line(x1, y, x2, y, 'thin')}${arrow(x1, y, -1, 0)}${arrow(x2, y, 1, 0)}${label((x1 + x2) / 2, y - 1, text, 'middle')}`;
}

/**
 * Dimension along y at x, with extension lines from `fromX`; arrows outside where it is narrow.
 * Lettering stands beside it, on the side away from `fromX`.
 */
export function dimensionY(
  y1: number,
  y2: number,
  x: number,
  fromX: number,
  text: string | readonly string[],
): Html {
  const side = Math.sign(x - fromX);
  const narrow = y2 - y1 < 3 * ARROW;
  const lines = typeof text === 'string' ? 1 : text.length;
  const textY = (y1 + y2) / 2 + 0.35 * LETTER - ((lines - 1) * 1.2 * LETTER) / 2;
  return html`${line(fromX, y1, x + side * 1.2, y1, 'thin')}${line(fromX, y2, x + side * 1.2, y2, 'thin')}${
    narrow
      ? html`${line(x, y1 - 2 * ARROW, x, y2 + 2 * ARROW, 'thin')}${arrow(x, y1, 0, 1)}${arrow(x, y2, 0, -1)}`
      : html`${line(x, y1, x, y2, 'thin')}${arrow(x, y1, 0, -1)}${arrow(x, y2, 0, 1)}`
  }${label(x + side * 1.6, textY, text, side > 0 ? 'start' : 'end')}`;
}

/** Line from lettering to a dot on what it is about. */
export function leader(
  x: number,
  y: number,
  toX: number,
  toY: number,
  text: string | readonly string[],
  anchor: 'start' | 'end' = 'start',
): Html {
  const side = anchor === 'start' ? -1 : 1;
  const stem = y - 0.35 * LETTER;
  return html`${line(x + side * 0.8, stem, toX, toY, 'thin')}<circle
      class="ink"
      cx="${n(toX)}"
      cy="${n(toY)}"
      r="0.55"
    />${label(x, y, text, anchor)}`;
}

/** Number in a ring, to refer to from the text. */
export function balloon(x: number, y: number, number: number): Html {
  return html`<circle class="balloon" cx="${n(x)}" cy="${n(y)}" r="2.5" /><text
      x="${n(x)}"
      y="${n(y + 0.36 * LETTER)}"
      text-anchor="middle"
      >${number}</text
    >`;
}

/** Hatchings. The names carry the drawing's own, because a page may hold several. */
export function hatchings(prefix: string): Html {
  const hatch = (name: string, step: number, turn: number): Html =>
    html`<pattern
      id="${prefix}-${name}"
      width="${n(step)}"
      height="${n(step)}"
      patternUnits="userSpaceOnUse"
      patternTransform="rotate(${turn})"
      ><path class="hair" d="M0 0V${n(step)}"
    /></pattern>`;
  return html`<defs>${hatch('part', 1.5, 45)}${hatch('hold', 2.4, -45)}</defs>`;
}
