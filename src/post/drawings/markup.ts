/**
 * Drawings of the wheel as files of their own: DXF, STL, the paper template, and the plot of what was
 * learned. Here is what all of them need: text for HTML and SVG, through which everything goes that
 * comes from a job, a table or a program, numbers, and loops as SVG paths.
 */
import { edgeRadius, edgeSweepRad } from '../../profile/geometry/edge.js';
import type { Loop, Pt } from '../../model/edges.js';

const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
  '`': '&#96;',
};

/**
 * Text as it may stand between tags or in a quoted attribute. Controls, which neither format may
 * hold, and marks that turn the direction of writing become spaces; halves of pairs become U+FFFD.
 */
export function escapeMarkup(text: string): string {
  return text
    .replace(/[\p{Cc}\u2028\u2029\u202a-\u202e\u2066-\u2069\ufffe\uffff]/gu, ' ')
    .replace(/\p{Cs}/gu, '\ufffd')
    .replace(/[&<>"'`]/g, (c) => ENTITIES[c] as string);
}

/** Number with at most `digits` decimals, none of them a closing zero, and never "-0". */
export function plainNumber(value: number, digits: number): string {
  const text = value.toFixed(digits);
  const short = text.includes('.') ? text.replace(/\.?0+$/, '') : text;
  return short === '-0' ? '0' : short;
}

/**
 * A loop as the d of an SVG path, arcs as arcs. SVG's y points down, so y is turned over, and what
 * runs counter-clockwise on paper has sweep flag 0.
 * @param scale  user units per mm
 */
export function loopPath(loop: Loop, scale = 1, digits = 5): string {
  const at = ([x, y]: Pt): string =>
    `${plainNumber(scale * x, digits)} ${plainNumber(-scale * y, digits)}`;
  const start = loop[0];
  if (!start) return '';
  const parts = [`M${at(start.a)}`];
  for (const edge of loop) {
    if (edge.kind === 'line') parts.push(`L${at(edge.b)}`);
    else {
      const r = plainNumber(scale * edgeRadius(edge), digits);
      // A hair over half a turn is rounding: the long way round is never meant.
      const long = edgeSweepRad(edge) > Math.PI + 1e-6 ? 1 : 0;
      parts.push(`A${r} ${r} 0 ${long} ${edge.ccw ? 0 : 1} ${at(edge.b)}`);
    }
  }
  return `${parts.join('')}Z`;
}
