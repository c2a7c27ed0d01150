/** Longest piece of somebody's text that a message repeats, and longest path. Characters. */
const MAX_SHOWN = 60;
const MAX_PATH = 300;

/**
 * Somebody's text as part of a one-line message: cut short, with everything that could move a
 * terminal's cursor, reorder the line or end it written as an escape.
 */
export function showText(text: string, max = MAX_SHOWN): string {
  const points = Array.from(text.slice(0, 2 * max + 2));
  const cut = points.length > max || text.length > 2 * max;
  const shown = printable(points.slice(0, max).join(''));
  return cut ? `${shown}...` : shown;
}

/** A path or name of a file as part of a message. */
export function showPath(path: string): string {
  return showText(path, MAX_PATH);
}

/** As {@link showText}, in quotes unless it is a plain word, number or quantity. */
export function showValue(text: string): string {
  const shown = showText(text);
  return /^[\w.+%/-]+( [\w.+%/-]+)*$/.test(shown) ? shown : `"${shown.replaceAll('"', '\\"')}"`;
}

/** The whole text with everything that does not show as itself on one line written as an escape. */
export function printable(text: string): string {
  return text.replace(/[\p{C}\p{Zl}\p{Zp}]/gu, escape);
}

function escape(point: string): string {
  if (point === '\n') return '\\n';
  if (point === '\t') return '\\t';
  return `\\u{${(point.codePointAt(0) as number).toString(16)}}`;
}
