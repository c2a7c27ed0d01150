/**
 * The sections of a program: what they are, and the words that head them. Headings are written and
 * read here and nowhere else.
 */
import { type Phrase, phrase } from './phrase.js';

export type LevelHead = {
  readonly kind: 'rough' | 'finish' | 'bore-rough' | 'bore-finish';
  readonly level: number;
  readonly levels: number;
  /** null where a level has one pass. */
  readonly pass: number | null;
  /** null where it is not said. */
  readonly passes: number | null;
  readonly zMm: number;
  /** The first of the two steps in which a restart cuts a level. */
  readonly halfDepth: boolean;
};

/** What a section is for. Levels, passes and checks are counted from 1. */
export type SectionHead =
  | { readonly kind: 'air'; readonly heightMm: number }
  | LevelHead
  | { readonly kind: 'bore' }
  | { readonly kind: 'datum-setting' }
  | { readonly kind: 'datum-check'; readonly level: number; readonly levels: number };

/** The move that heads a level. */
export function levelHead(
  kind: LevelHead['kind'],
  level: number,
  levels: number,
  zMm: number,
  { pass, passes }: { pass: number | null; passes: number | null } = { pass: null, passes: null },
): { readonly kind: 'section'; readonly head: SectionHead } {
  return {
    kind: 'section',
    head: { kind, level, levels, pass, passes, zMm, halfDepth: false },
  };
}

/** A section as it stands in a text: its first line is the heading. */
export interface Section {
  readonly head: SectionHead;
  readonly fromLine: number;
  readonly toLine: number;
}

const LEVEL_WORDS = {
  rough: 'ROUGH',
  finish: 'FINISH',
  'bore-rough': 'BORE ROUGH',
  'bore-finish': 'BORE FINISH',
} as const;

const PHRASES = {
  air: phrase('AIR PASS {heightMm} MM OVER THE BLANK'),
  bore: phrase('BORE FROM THE PILOT HOLE'),
  'datum-setting': phrase('DATUM SETTING'),
  'datum-check': phrase('DATUM CHECK {level:0} OF {levels:0}'),
} as const satisfies Readonly<Partial<Record<SectionHead['kind'], Phrase>>>;

/** Words that head a section, as a program, its stops and its sheet have them. */
export function headingOf(head: SectionHead): string {
  if (!('zMm' in head)) return PHRASES[head.kind].write(head);
  const { level, levels, pass, passes, zMm, halfDepth } = head;
  const passText = pass === null ? '' : ` PASS ${pass}${passes === null ? '' : ` OF ${passes}`}`;
  const half = halfDepth ? ' AT HALF DEPTH' : '';
  return `${LEVEL_WORDS[head.kind]} LEVEL ${level} OF ${levels}${passText}${half}: Z ${zMm.toFixed(3)}`;
}

const LEVEL =
  /^(ROUGH|FINISH|BORE ROUGH|BORE FINISH) LEVEL (\d+) OF (\d+)(?: PASS (\d+)(?: OF (\d+))?)?( AT HALF DEPTH)?: Z (-?\d+\.\d+)$/;

/** The section that a line of words heads; null where it heads none. */
function readHeading(text: string): SectionHead | null {
  for (const [kind, words] of Object.entries(PHRASES)) {
    const said = words.read(text);
    if (said) return { kind, ...said } as SectionHead;
  }
  const found = LEVEL.exec(text);
  if (!found) return null;
  const [, word, level, levels, pass, passes, half, z] = found;
  const kinds = Object.keys(LEVEL_WORDS) as LevelHead['kind'][];
  return {
    kind: kinds.find((kind) => LEVEL_WORDS[kind] === word)!,
    level: Number(level),
    levels: Number(levels),
    pass: pass === undefined ? null : Number(pass),
    passes: passes === undefined ? null : Number(passes),
    zMm: Number(z),
    halfDepth: half !== undefined,
  };
}

/** Sections of a program's text: each line that is a comment and heads one, to the next such line. */
export function sectionsOf(text: string): Section[] {
  const found: { head: SectionHead; fromLine: number }[] = [];
  const lines = text.split(/\r\n|\r|\n/);
  lines.forEach((line, i) => {
    const comment = /^[(;] ?([A-Z][^)]*?)\)?\s*$/.exec(line);
    const head = comment ? readHeading(comment[1]!.trim()) : null;
    if (head) found.push({ head, fromLine: i + 1 });
  });
  return found.map((one, i) => ({
    ...one,
    toLine: i + 1 < found.length ? found[i + 1]!.fromLine - 1 : lines.length,
  }));
}

/** What a stop of the program asks for, so that the sheet says the right thing beside it. */
export type StopKind =
  | 'start-height'
  | 'air-pass'
  | 'roughed'
  | 'edge'
  | 'bore'
  | 'datum-wait'
  | 'datum-read'
  | 'probe-off';
