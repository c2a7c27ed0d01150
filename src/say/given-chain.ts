/** Measurements of a chain by key, as given, to what the chain is identified from. */
import {
  DEFAULT_SD_MM,
  FIGURE_KINDS,
  type FigureMeasure,
  type Measure,
} from '../profile/chain/model.js';
import { type Given, type GivenReading, countOf, readingOf } from '../text/reading.js';
import type { GivenChain } from './identify-text.js';

/** Keys of the file and names of the options, with what is measured. */
const FIGURE_KEYS: Readonly<Record<FigureMeasure, string>> = {
  rollerDiameter: 'roller-diameter',
  innerWidth: 'inner-width',
  pinDiameter: 'pin-diameter',
  plateDepth: 'plate-depth',
  plateThickness: 'plate-thickness',
};

/** What is measured on a chain, by key, and how. */
export const CHAIN_READINGS = {
  span: 'over the pitches counted, chain pulled tight: same side of two rollers',
  pitches: 'how many pitches the span has; ten or more, an even count',
  pitch: 'in place of span and pitches',
  'roller-diameter': 'roller, over a place that is not worn flat',
  'inner-width': 'between the inner plates',
  'pin-diameter': 'pin, where it can be got at',
  'plate-depth': 'inner plate, at its highest',
  'plate-thickness': 'inner plate',
} as const;
export const CHAIN_KEYS = Object.keys(CHAIN_READINGS);

/** A pitch given by itself was read over about this many. */
const USUAL_PITCHES = 10;

/** @param miss  says that the span or the count of its pitches is not there */
export function givenChain(
  given: ReadonlyMap<string, Given>,
  miss: (what: 'span' | 'pitches') => never,
): GivenChain {
  const texts: Record<string, string> = {};
  const read = (key: string, measure: Measure, sdScale = 1): GivenReading | null => {
    const value = given.get(key);
    if (!value) return null;
    const reading = readingOf(value, DEFAULT_SD_MM[measure] * sdScale);
    texts[key] = reading.text;
    return reading;
  };
  const span = read('span', 'span');
  const pitch = read('pitch', 'span', 1 / USUAL_PITCHES);
  if (span && pitch) given.get('pitch')!.fail('stands beside a span', 'give one of the two');
  if (pitch) given.get('pitches')?.fail('stands beside a pitch', 'give a span with it');
  const lead = span ?? pitch;
  if (!lead) return miss('span');
  const count = given.get('pitches');
  if (!pitch && !count) return miss('pitches');
  const pitches = count && !pitch ? countOf(count, 1, 200) : USUAL_PITCHES;
  texts['pitches'] = String(pitch ? 1 : pitches);
  const figures = Object.fromEntries(
    FIGURE_KINDS.flatMap((measure) => {
      const reading = read(FIGURE_KEYS[measure], measure);
      return reading ? [[measure, reading]] : [];
    }),
  );
  const over = pitch ? USUAL_PITCHES : 1;
  const reading = { valueMm: over * lead.valueMm, sdMm: over * lead.sdMm };
  return { worn: { span: reading, pitches, figures }, texts };
}
