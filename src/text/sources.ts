/** Sources as a person is told of them: a plain word with a number, and the list that it leads to. */
import data from './sources.json' with { type: 'json' };

/** A source: what it is, in full, and in a word that names nobody. Numbers count from 1. */
export interface NumberedSource {
  readonly number: number;
  readonly full: string;
  readonly plain: string;
}

const NUMBERED = data.sources.map((row, i) => ({ ...row, number: i + 1 }));

/** Names of sources with what is said for them, the longest first. */
const SAID = NUMBERED.flatMap(({ names, plain, number }) =>
  names.map((name) => [name, `${plain} [${number}]`] as const),
).sort(([a], [b]) => b.length - a.length);

/** An address behind a name has its place in the list, not in a line. */
const ADDRESS = /,? ?https?:\/\/[^\s;,)]+/g;

/** Every source that is told by its number. */
export function listSources(): readonly NumberedSource[] {
  return NUMBERED.map(({ number, full, plain }) => ({ number, full, plain }));
}

/** A text with plain words and numbers for the makers, people and pages that it names. */
export function cite(text: string): string {
  return SAID.reduce((said, [name, plain]) => said.replaceAll(name, plain), text).replace(
    ADDRESS,
    '',
  );
}
