import { distance } from 'fastest-levenshtein';

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
