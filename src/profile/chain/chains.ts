import { Refusal } from '../../model/refusal.js';
import { distance } from 'fastest-levenshtein';
import { choice, group, list, name, need, orNull, ratio } from '../../text/field.js';
import { type Dict, faultLog, mustRead } from '../../text/fields.js';
import data from './chains.json' with { type: 'json' };

/** How far a figure can be trusted: printed in a source named in the row, remembered, or
 *  remembered so loosely that a chain must be measured. */
export type Confidence = 'sourced' | 'memory' | 'low';

export interface ChainFigure {
  /** mm, or N for the strength; null = not known. */
  readonly value: number | null;
  /** null exactly where the value is. */
  readonly confidence: Confidence | null;
}

/** Figures of a chain, with the words a person reads for them. */
export const CHAIN_FIGURES = {
  pitchMm: 'pitch',
  rollerDiameterMm: 'roller diameter',
  innerWidthMm: 'inner width',
  pinDiameterMm: 'pin diameter',
  plateDepthMm: 'plate depth',
  plateThicknessMm: 'plate thickness',
  minTensileN: 'tensile strength',
} as const;
export type ChainFigureName = keyof typeof CHAIN_FIGURES;

/** Where catalogues differ: lowest and highest value seen, in the figure's unit. */
export interface ChainDisagreement {
  readonly field: ChainFigureName;
  readonly low: number;
  readonly high: number;
  readonly note: string;
}

/** One row of the chain table. Pitch, roller diameter and inner width are always known. */
export type Chain = {
  readonly [F in ChainFigureName]: ChainFigure;
} & {
  readonly designation: string;
  /** Every name the chain is found by, besides the designation itself. */
  readonly names: readonly string[];
  readonly family: string;
  readonly source: string;
  readonly note: string | null;
  readonly disagreements: readonly ChainDisagreement[];
};

/** Designation that is not in the table, with the nearest ones that are. */
export class UnknownChainError extends Refusal {
  readonly suggestions: readonly string[];
  constructor(designation: string, suggestions: readonly string[]) {
    const hint = suggestions.length > 0 ? `; did you mean ${suggestions.join(' or ')}?` : '';
    super(
      'chain-unknown',
      `no chain called "${designation.slice(0, LONGEST_NAME)}" in the chain table${hint}`,
    );
    this.name = 'UnknownChainError';
    this.suggestions = suggestions;
  }
}

const text = (what: string) => need(name(what, '420', { max: 2000 }));
const SIZE = ratio('figure', 0.001, 1e6);
const CONFIDENCE = choice('confidence', ['sourced', 'memory', 'low']);
const KNOWN = need(group('figure', { value: need(SIZE), confidence: need(CONFIDENCE) }));
const FIGURE = need(group('figure', { value: orNull(SIZE), confidence: orNull(CONFIDENCE) }));
const FIGURE_NAMES = Object.keys(CHAIN_FIGURES) as ChainFigureName[];

const FIELDS = {
  designation: text('designation'),
  names: need(list('names', name('name', '08A'), { max: 20 })),
  family: text('family'),
  pitchMm: KNOWN,
  rollerDiameterMm: KNOWN,
  innerWidthMm: KNOWN,
  pinDiameterMm: FIGURE,
  plateDepthMm: FIGURE,
  plateThicknessMm: FIGURE,
  minTensileN: FIGURE,
  source: text('source'),
  note: orNull(text('note')),
  disagreements: need(
    list(
      'disagreements',
      group('disagreement', {
        field: need(choice('figure of a chain', FIGURE_NAMES)),
        low: need(SIZE),
        high: need(SIZE),
        note: text('note'),
      }),
      { max: 20 },
    ),
  ),
};

/** Chain table, in the order of the data file. */
export const CHAINS: readonly Chain[] = data.chains.map(readChain);

const BY_KEY = new Map<string, Chain>();
for (const chain of CHAINS) {
  for (const name of [chain.designation, ...chain.names]) {
    const key = nameKey(name);
    const other = BY_KEY.get(key);
    if (other && other !== chain) {
      throw dataFault(chain.designation, `name "${name}" also stands for ${other.designation}`);
    }
    BY_KEY.set(key, chain);
  }
}

/**
 * Chain by its designation. Case, spaces, a leading body such as ANSI, ASA, ISO, DIN, BS, JIS,
 * No. or #, the word chain and the single-strand suffix -1 do not matter: "40", "08a",
 * "08A (40)" and "ANSI 40" are one chain.
 * @throws UnknownChainError with up to three near misses
 */
export function findChain(designation: string): Chain {
  const key = nameKey(designation.slice(0, LONGEST_NAME));
  const chain = BY_KEY.get(key);
  if (chain) return chain;
  const scored = [...BY_KEY].map(([name, c]) => ({
    c,
    miss: distance(key, name),
    shared: sharedStart(key, name),
  }));
  scored.sort((p, q) => p.miss - q.miss || q.shared - p.shared);
  const near = scored.filter(({ miss }) => miss <= Math.max(1, Math.floor(key.length / 2)));
  const suggestions = [...new Set(near.map(({ c }) => c.designation))].slice(0, 3);
  throw new UnknownChainError(designation, suggestions);
}

function sharedStart(a: string, b: string): number {
  let n = 0;
  while (n < a.length && a[n] === b[n]) n++;
  return n;
}

/** Names longer than this are cut before they are compared or repeated in an error. */
const LONGEST_NAME = 40;

/** Figure that the table is sure to have. */
type KnownChainFigure = 'pitchMm' | 'rollerDiameterMm' | 'innerWidthMm';

/** Pitch, roller diameter or inner width, mm: known for every chain of the table. */
export function knownFigureMm(chain: Chain, field: KnownChainFigure): number {
  return chain[field].value as number;
}

/** Whether the rollers are two of the wheel's usual pitches apart: ISO 1275, ASME B29.3 and B29.4. */
export function isDoublePitch({ family }: Pick<Chain, 'family'>): boolean {
  return family.startsWith('ISO 1275');
}

/** Spread of the sources from which a figure is worth a warning, mm. */
const SPREAD_WORTH_SAYING_MM = 0.1;

/**
 * Sentences for the warnings: which figures of the chain rest on memory, and where sources differ
 * enough to change the sprocket. Empty for a chain whose figures are all printed somewhere.
 * @param used figures that the job makes use of
 */
export function chainDoubts(
  { designation, disagreements, ...chain }: Chain,
  used: readonly ChainFigureName[] = FIGURE_NAMES,
): string[] {
  const from = (confidence: Confidence, advice: string): string[] => {
    const figures = used.filter((f) => chain[f].confidence === confidence);
    if (figures.length === 0) return [];
    return [`Chain ${designation}: ${listed(figures.map((f) => CHAIN_FIGURES[f]))} ${advice}`];
  };
  return [
    ...from('low', 'from memory and not to be trusted; measure a chain before cutting.'),
    ...from('memory', 'from memory of the standard, not from a printed table; check on a chain.'),
    ...disagreements
      .filter(({ field }) => field !== 'minTensileN' && used.includes(field))
      .filter(({ high, low }) => high - low >= SPREAD_WORTH_SAYING_MM)
      .map(
        ({ field, low, high }) =>
          `Chain ${designation}: sources give the ${CHAIN_FIGURES[field]} as ${low} to ${high} mm; measure a chain.`,
      ),
  ];
}

function listed(words: readonly string[]): string {
  const last = words[words.length - 1] as string;
  return words.length === 1 ? `${last} is` : `${words.slice(0, -1).join(', ')} and ${last} are`;
}

/** What is left of a name when everything that does not tell chains apart is taken out. */
function nameKey(name: string): string {
  return name
    .normalize('NFKC')
    .toLowerCase()
    .replace(/\u00d7/g, 'x')
    .replace(/\u2044/g, '/')
    .replace(/["\u2032\u2033]|\bin\b|\binch\b/g, '')
    .replace(/\b(ansi|asa|asme|iso|din|bs|jis|no|number|chain|roller)\b\.?/g, '')
    .replace(/[\s#._()]/g, '')
    .replace(/-1$/, '')
    .replace(/-/g, '');
}

function dataFault(where: string, text: string): Refusal {
  return new Refusal('chain-data', `chain table, ${where}: ${text}`);
}

/** Check one row of the data file and give it its type. */
function readChain(row: Dict): Chain {
  const log = faultLog('chains.json', new Map(), 'a chain');
  const chain = mustRead(row, FIELDS, log);
  for (const key of FIGURE_NAMES) {
    const { value, confidence } = chain[key];
    if ((value === null) !== (confidence === null)) {
      throw dataFault(chain.designation, `${key} has a value or a confidence, not both`);
    }
  }
  for (const { field, low, high } of chain.disagreements) {
    if (low < high) continue;
    throw dataFault(chain.designation, `disagreement about ${field} needs low < high`);
  }
  return chain;
}
