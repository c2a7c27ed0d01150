/** Words of a list: finding one by name, and what to say of one that is not there. */
import { distance } from 'fastest-levenshtein';
import { showText } from './show.js';

/** How many near names a message offers. */
const NEAREST = 3;

/** Letter case, spaces, hyphens, underscores, dots and slashes do not tell names apart. */
function plain(name: string): string {
  return name
    .slice(0, 64)
    .toLowerCase()
    .replace(/[\s\-_./]/g, '');
}

/**
 * The known word nearest to what was typed, or null when nothing is near enough to be a slip of
 * the finger: at most two edits, or a third of the word's length where that is more. Ties go to
 * the word listed first.
 */
export function nearest(typed: string, known: readonly string[]): string | null {
  const wanted = plain(typed);
  const best = known
    .map((word) => ({ word, edits: distance(wanted, plain(word)) }))
    .reduce((a, b) => (b.edits < a.edits ? b : a), { word: '', edits: Infinity });
  const allowed = Math.max(wanted.length <= 2 ? 1 : 2, Math.floor(wanted.length / 3));
  return best.edits <= allowed ? best.word : null;
}

/** The known names nearest to what was asked for, the nearest first. */
export function nearestNames(asked: string, known: readonly string[]): readonly string[] {
  const wanted = plain(asked);
  // A name that contains what was typed is near, however long it is.
  const score = (name: string): number =>
    wanted.length >= 3 && name.includes(wanted)
      ? -1
      : distance(wanted, name) / Math.max(1, name.length);
  return known
    .map((name) => ({ name, score: score(plain(name)) }))
    .sort((a, b) => a.score - b.score)
    .slice(0, NEAREST)
    .map(({ name }) => name);
}

/** "a, b or c". */
export function orList(words: readonly string[]): string {
  if (words.length < 2) return words.join('');
  return `${words.slice(0, -1).join(', ')} or ${words[words.length - 1]}`;
}

/** A noun with its article: "an angle", "a length". */
export function article(noun: string): string {
  return `${/^[aeiou]/.test(noun) ? 'an' : 'a'} ${noun}`;
}

/** A row that is in no table, with the names nearest to it. */
export class UnknownNameError extends Error {
  readonly nearest: readonly string[];
  constructor(kind: string, asked: string, names: readonly string[]) {
    const nearest = nearestNames(asked, names);
    super(`unknown ${kind} "${showText(asked)}"; nearest are ${nearest.join(', ')}`);
    this.name = 'UnknownNameError';
    this.nearest = nearest;
  }
}

/**
 * Row of a table with this id or other name; letter case, spaces, dots and hyphens aside.
 * @throws UnknownNameError with the nearest names
 */
export function findRow<T extends { readonly id: string }>(
  kind: 'machine' | 'material' | 'cutter' | 'controller',
  rows: readonly T[],
  asked: string,
  otherNames: (row: T) => readonly string[] = () => [],
): T {
  const wanted = plain(asked);
  const namesOf = (row: T): readonly string[] => [row.id, ...otherNames(row)];
  const found =
    rows.find(({ id }) => id === asked) ??
    rows.find((row) => namesOf(row).some((name) => plain(name) === wanted));
  if (found !== undefined) return found;
  throw new UnknownNameError(kind, asked, rows.flatMap(namesOf));
}
