/**
 * The sections of a program: what they are, and the words that head them. Headings are written and
 * read here and nowhere else.
 */
export type Way = 'plus' | 'minus';

export interface LevelHead {
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
}

/** What a section is for. Levels, passes, checks and rungs are counted from 1. */
export type SectionHead =
  | { readonly kind: 'air'; readonly heightMm: number }
  | LevelHead
  | { readonly kind: 'bore' }
  | { readonly kind: 'datum-setting' }
  | { readonly kind: 'datum-check'; readonly level: number; readonly levels: number }
  | { readonly kind: 'trim' | 'trim-check'; readonly axis: 'x' | 'y'; readonly way: Way }
  | {
      readonly kind: 'rung' | 'rung-check';
      readonly axis: 'x' | 'y';
      readonly way: Way;
      readonly level: number;
      /** Thrust asked for; null for the check that follows. N */
      readonly demandN: number | null;
    };

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

/** "X PLUS": travel towards +X. */
export function sideName(axis: 'x' | 'y', way: Way): string {
  return `${axis.toUpperCase()} ${way.toUpperCase()}`;
}

/** Words that head a section, as a program, its stops and its sheet have them. */
export function headingOf(head: SectionHead): string {
  switch (head.kind) {
    case 'air':
      return `AIR PASS ${head.heightMm} MM OVER THE BLANK`;
    case 'bore':
      return 'BORE FROM THE PILOT HOLE';
    case 'datum-setting':
      return 'DATUM SETTING';
    case 'datum-check':
      return `DATUM CHECK ${head.level} OF ${head.levels}`;
    case 'trim':
      return `TRIM ${sideName(head.axis, head.way)} SIDE, NO DEEPER THAN RUNG 1`;
    case 'trim-check':
      return `CHECK AFTER TRIM ${sideName(head.axis, head.way)}`;
    case 'rung':
      return `RUNG ${sideName(head.axis, head.way)} ${head.level}: ${(head.demandN ?? 0).toFixed(0)} N`;
    case 'rung-check':
      return `CHECK ${sideName(head.axis, head.way)} ${head.level}`;
    default: {
      const { level, levels, pass, passes, zMm, halfDepth } = head;
      const passText =
        pass === null ? '' : ` PASS ${pass}${passes === null ? '' : ` OF ${passes}`}`;
      const half = halfDepth ? ' AT HALF DEPTH' : '';
      return `${LEVEL_WORDS[head.kind]} LEVEL ${level} OF ${levels}${passText}${half}: Z ${zMm.toFixed(3)}`;
    }
  }
}

const LEVEL =
  /^(ROUGH|FINISH|BORE ROUGH|BORE FINISH) LEVEL (\d+) OF (\d+)(?: PASS (\d+)(?: OF (\d+))?)?( AT HALF DEPTH)?: Z (-?\d+\.\d+)$/;
const SIDE = '([XY]) (PLUS|MINUS)';
const TRIM = new RegExp(`^TRIM ${SIDE} SIDE, NO DEEPER THAN RUNG 1$`);
const TRIM_CHECK = new RegExp(`^CHECK AFTER TRIM ${SIDE}$`);
const RUNG = new RegExp(`^RUNG ${SIDE} (\\d+): (\\d+) N$`);
const RUNG_CHECK = new RegExp(`^CHECK ${SIDE} (\\d+)$`);

/** The section that a line of words heads; null where it heads none. */
export function readHeading(text: string): SectionHead | null {
  if (text === 'BORE FROM THE PILOT HOLE') return { kind: 'bore' };
  if (text === 'DATUM SETTING') return { kind: 'datum-setting' };
  const air = /^AIR PASS (\d+(?:\.\d+)?) MM OVER THE BLANK$/.exec(text);
  if (air) return { kind: 'air', heightMm: Number(air[1]) };
  const check = /^DATUM CHECK (\d+) OF (\d+)$/.exec(text);
  if (check) return { kind: 'datum-check', level: Number(check[1]), levels: Number(check[2]) };
  const level = LEVEL.exec(text);
  if (level) {
    const [, word, at, of, pass, passes, half, z] = level;
    const kind = (Object.keys(LEVEL_WORDS) as LevelHead['kind'][]).find(
      (k) => LEVEL_WORDS[k] === word,
    )!;
    return {
      kind,
      level: Number(at),
      levels: Number(of),
      pass: pass === undefined ? null : Number(pass),
      passes: passes === undefined ? null : Number(passes),
      zMm: Number(z),
      halfDepth: half !== undefined,
    };
  }
  for (const [pattern, kind] of [
    [TRIM, 'trim'],
    [TRIM_CHECK, 'trim-check'],
    [RUNG, 'rung'],
    [RUNG_CHECK, 'rung-check'],
  ] as const) {
    const found = pattern.exec(text);
    if (!found) continue;
    const side = {
      axis: found[1]!.toLowerCase() as 'x' | 'y',
      way: found[2]!.toLowerCase() as Way,
    };
    if (kind === 'trim' || kind === 'trim-check') return { kind, ...side };
    const demandN = found[4] === undefined ? null : Number(found[4]);
    return { kind, ...side, level: Number(found[3]), demandN };
  }
  return null;
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
export type StopKind = 'air-pass' | 'roughed' | 'bore' | 'datum-wait' | 'datum-read' | 'probe-off';
