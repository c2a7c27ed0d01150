/** Longest piece of somebody's text that a message repeats. */
const MAX_SHOWN = 60;

/**
 * Somebody's text as part of a one-line message: cut short, with everything that could move a
 * terminal's cursor, reorder the line or end it written as an escape.
 */
export function showText(text: string): string {
  const points = Array.from(text.slice(0, 2 * MAX_SHOWN + 2));
  const cut = points.length > MAX_SHOWN || text.length > 2 * MAX_SHOWN;
  const shown = points
    .slice(0, MAX_SHOWN)
    .map((point) => (/[\p{C}\p{Zl}\p{Zp}]/u.test(point) ? escape(point) : point))
    .join('');
  return cut ? `${shown}...` : shown;
}

/** As {@link showText}, in quotes unless it is a plain word, number or quantity. */
export function showValue(text: string): string {
  const shown = showText(text);
  return /^[\w.+%/-]+( [\w.+%/-]+)*$/.test(shown) ? shown : `"${shown.replaceAll('"', '\\"')}"`;
}

function escape(point: string): string {
  if (point === '\n') return '\\n';
  if (point === '\t') return '\\t';
  return `\\u{${(point.codePointAt(0) as number).toString(16)}}`;
}
