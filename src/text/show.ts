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

/** With a capital letter first. */
export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** "1 file", "7 files". */
export function plural(count: number, noun: string): string {
  return `${count} ${noun}${count === 1 ? '' : 's'}`;
}

/** A figure without the sign of a zero that was rounded from below: "-0.00" as "0.00". */
export function unsignedZero(text: string): string {
  return /^-0(\.0*)?$/.test(text) ? text.slice(1) : text;
}

/** A probability or a share: "97.9 %", "under 0.1 %". Never none and never just all. */
export function percent(p: number): string {
  if (p > 0.9995 && p <= 1) return 'over 99.9 %';
  if (p < 0.0005) return 'under 0.1 %';
  return `${(100 * p).toFixed(p < 0.1 || (p > 0.9 && p < 1) ? 1 : 0)} %`;
}

/** A share to so many places: "2.0 %". */
export function inPercent(share: number, digits = 1): string {
  return `${(100 * share).toFixed(digits)} %`;
}

export function mm(value: number): string {
  return `${value.toFixed(3)} mm`;
}

export function um(valueMm: number): string {
  return `${(1000 * valueMm).toFixed(1)} um`;
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

/** Longest title: it has to fit a heading and a comment line. */
const MAX_TITLE = 80;

// Letters of any script with their marks, digits, and signs that mean nothing to a motion control,
// a page, a drawing file or a shell.
const PLAIN = /^[\p{L}\p{M}\p{N} ,.\-_+/':=\u00b0\u00d7\u2013\u2014\u2019]$/u;

/**
 * What is wrong with a title, or null. A title ends up in program comments, pages and drawings, so
 * characters that are live in any of them ( ) ; % < > & " # $ ! ~ ? and the like are refused here
 * as well as escaped there.
 */
export function titleFault(text: string): { readonly rule: string; readonly fix: string } | null {
  const points = Array.from(text);
  if (points.length > MAX_TITLE) {
    return { rule: `is longer than ${MAX_TITLE} characters`, fix: 'shorten it' };
  }
  const bad = points.find((point) => !PLAIN.test(point));
  if (bad === undefined) return null;
  const shown = /[\p{P}\p{S}]/u.test(bad)
    ? bad
    : `character U+${(bad.codePointAt(0) as number).toString(16).toUpperCase().padStart(4, '0')}`;
  const rule = bad === '\n' ? 'runs over more than one line' : `holds ${shown}`;
  return { rule, fix: `use letters, digits, spaces and , . - _ + / ' : = only` };
}

/**
 * Breaks text into lines of at most `width` characters, at spaces but none before a percent sign.
 * A longer word is cut, or kept whole where it is a path or a command that must not be. Empty text
 * gives no line.
 */
export function wrapText(text: string, width: number, longWords: 'cut' | 'keep' = 'cut'): string[] {
  const lines: string[] = [];
  let line = '';
  const flush = (): void => {
    if (line !== '') lines.push(line);
    line = '';
  };
  for (const word of text.split(/\s+(?!%)/).filter((w) => w !== '')) {
    const points = Array.from(word);
    if (Array.from(line).length + 1 + points.length > width) flush();
    if (points.length > width && longWords === 'cut') {
      for (let i = 0; i < points.length; i += width) {
        flush();
        line = points.slice(i, i + width).join('');
      }
    } else line = line === '' ? word : `${line} ${word}`;
  }
  flush();
  return lines;
}
