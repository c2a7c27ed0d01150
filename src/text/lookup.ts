/** Finding rows of a data table by name, and what to say when there is none. */
import { distance } from 'fastest-levenshtein';

/** How many near names a message offers. */
const NEAREST = 3;

/** Letter case, spaces, hyphens, underscores, dots and slashes do not tell names apart. */
function plain(name: string): string {
  return name
    .slice(0, 64)
    .toLowerCase()
    .replace(/[\s\-_./]/g, '');
}

/** Known names in order of nearness to what was asked for, the nearest first. */
export function nearestNames(
  asked: string,
  known: readonly string[],
  count = NEAREST,
): readonly string[] {
  const wanted = plain(asked);
  return known
    .map((name, index) => {
      const p = plain(name);
      // A name that contains what was typed is near, however long it is.
      const score =
        wanted.length >= 3 && p.includes(wanted) ? -1 : distance(wanted, p) / Math.max(1, p.length);
      return { name, index, score };
    })
    .sort((a, b) => a.score - b.score || a.index - b.index)
    .slice(0, count)
    .map((entry) => entry.name);
}

/** Text for a message: one line, printable, short. */
export function showName(text: string): string {
  const line = text.replace(/[^\x20-\x7e]/g, '?');
  return line.length > 40 ? `${line.slice(0, 37)}...` : line;
}

type Kind = 'machine' | 'material' | 'cutter' | 'controller';

/** A row that is in no table, with the names nearest to it. */
export class UnknownNameError extends Error {
  readonly kind: Kind;
  readonly asked: string;
  readonly nearest: readonly string[];
  readonly known: readonly string[];
  constructor(
    kind: Kind,
    asked: string,
    known: readonly string[],
    candidates: readonly string[] = known,
  ) {
    const nearest = nearestNames(asked, candidates);
    super(`unknown ${kind} "${showName(asked)}"; nearest are ${nearest.join(', ')}`);
    this.name = 'UnknownNameError';
    this.kind = kind;
    this.asked = asked;
    this.nearest = nearest;
    this.known = known;
  }
}

/** Row whose id or one of whose other names equals `asked`, letter case and hyphens aside. */
function findByName<T extends { readonly id: string }>(
  rows: readonly T[],
  asked: string,
  otherNames: (row: T) => readonly string[],
): T | null {
  const exact = rows.find((row) => row.id === asked);
  if (exact) return exact;
  const wanted = plain(asked);
  return (
    rows.find(
      (row) => plain(row.id) === wanted || otherNames(row).some((name) => plain(name) === wanted),
    ) ?? null
  );
}

/**
 * Row of a table with this id or other name; letter case, spaces, dots and hyphens aside.
 * @throws UnknownNameError with the nearest names
 */
export function findRow<T extends { readonly id: string }>(
  kind: Kind,
  rows: readonly T[],
  asked: string,
  otherNames: (row: T) => readonly string[] = () => [],
): T {
  const found = findByName(rows, asked, otherNames);
  if (found !== null) return found;
  const ids = rows.map((row) => row.id);
  const names = rows.flatMap((row) => [row.id, ...otherNames(row)]);
  throw new UnknownNameError(kind, asked, ids, names);
}

/**
 * The known word nearest to what was typed, or null when nothing is near enough to be a slip of
 * the finger: at most two edits, or a third of the word's length where that is more. Letter case,
 * spaces, underscores and hyphens do not count. Ties go to the word listed first.
 */
export function nearest(typed: string, known: readonly string[]): string | null {
  const plain = flat(typed.slice(0, 64));
  let best: string | null = null;
  let bestDistance = Infinity;
  for (const word of known) {
    const d = distance(plain, flat(word));
    if (d < bestDistance) [best, bestDistance] = [word, d];
  }
  const allowed = Math.max(plain.length <= 2 ? 1 : 2, Math.floor(plain.length / 3));
  return bestDistance <= allowed ? best : null;
}

function flat(word: string): string {
  return word.toLowerCase().replace(/[\s_-]/g, '');
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
