/** Longest title: it has to fit a heading and a comment line. */
export const MAX_TITLE = 80;

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
