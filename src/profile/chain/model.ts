/**
 * What a worn chain may measure if it is a given row of the chain table.
 *
 * A row's figure is not one value. The table holds the greatest roller, pin and plate and the
 * least width that the standard allows, real chains lie a little inside, wear takes some more, and
 * catalogues disagree. So each figure is spread evenly over an interval round the listed value, and
 * where sources differ, half of the weight is spread over all that they print.
 */
import type { Chain, Confidence } from './chains.js';

/** What can be measured besides the span. */
export const FIGURE_KINDS = [
  'rollerDiameter',
  'innerWidth',
  'pinDiameter',
  'plateDepth',
  'plateThickness',
] as const;
export type FigureMeasure = (typeof FIGURE_KINDS)[number];
export type Measure = 'span' | FigureMeasure;

export const MEASURE_WORDS: Readonly<Record<Measure, string>> = {
  span: 'span',
  rollerDiameter: 'roller diameter',
  innerWidth: 'inner width',
  pinDiameter: 'pin diameter',
  plateDepth: 'inner plate depth',
  plateThickness: 'inner plate thickness',
};

/** One reading; `sdMm` is its standard deviation, null takes DEFAULT_SD_MM. */
export interface Reading {
  readonly valueMm: number;
  readonly sdMm: number | null;
}

/** Measurements of a chain. The span runs over `pitches` pitches of a chain pulled tight. */
export interface WornChain {
  readonly span: Reading;
  readonly pitches: number;
  readonly figures: Readonly<Partial<Record<FigureMeasure, Reading>>>;
}

/**
 * Standard deviation of one reading with a workshop caliper, mm. The rod ends of a span and the
 * gap between plates are felt for; rollers and pins are gripped. Judgement, no source.
 */
export const DEFAULT_SD_MM: Readonly<Record<Measure, number>> = {
  span: 0.1,
  rollerDiameter: 0.05,
  innerWidth: 0.08,
  pinDiameter: 0.05,
  plateDepth: 0.15,
  plateThickness: 0.05,
};

/** Elongation by wear before anything is known: anywhere from none to this, evenly. 3 % is where
 *  makers call a chain worn out (Diamond Chain and Regal FAQ pages). */
export const MAX_ELONGATION = 0.03;
/** A chain is not laid straighter than this part of its length. Judgement, no source. */
export const SPAN_REL_SD = 0.0003;

/** Even spread from `lowMm` to `highMm` with a share of the probability. */
export interface Spread {
  readonly lowMm: number;
  readonly highMm: number;
  readonly share: number;
}

/**
 * How far a made and worn part lies below and above the listed figure, mm and as a part of it.
 * Rollers, pins and plates are listed at their greatest, widths at their least. Plates of four
 * makers measure 0.944 to 0.995 of the greatest depth (PEER, Tsubaki and sugar-mill-chain.com
 * tables of 08A to 16A); the rest is judgement, no source.
 */
const ALLOWANCE: Readonly<
  Record<FigureMeasure, { belowMm: number; aboveMm: number; belowShare: number }>
> = {
  rollerDiameter: { belowMm: 0.06, aboveMm: 0, belowShare: 0 },
  innerWidth: { belowMm: 0.05, aboveMm: 0.1, belowShare: 0 },
  pinDiameter: { belowMm: 0.06, aboveMm: 0, belowShare: 0 },
  plateDepth: { belowMm: 0, aboveMm: 0.05, belowShare: 0.05 },
  plateThickness: { belowMm: 0.05, aboveMm: 0.05, belowShare: 0 },
};

/** A figure from memory is spread this much wider at both ends. mm. Judgement, no source. */
const DOUBT_MM: Readonly<Record<Confidence, number>> = { sourced: 0, memory: 0.03, low: 0.12 };

const CHAIN_FIELD = {
  rollerDiameter: 'rollerDiameterMm',
  innerWidth: 'innerWidthMm',
  pinDiameter: 'pinDiameterMm',
  plateDepth: 'plateDepthMm',
} as const;

/** Plate thickness where a source prints it, mm. motorcyclechain.top, standard against H grade. */
const PLATE_THICKNESS_MM: Readonly<Record<string, number>> = { '428': 1.6, '428H': 2.03 };

/** Listed figure of a row, mm, and how far it can be trusted; null where it is not known. */
export function listedFigure(
  chain: Chain,
  measure: FigureMeasure,
): { readonly valueMm: number; readonly confidence: Confidence } | null {
  if (measure === 'plateThickness') {
    const valueMm = PLATE_THICKNESS_MM[chain.designation];
    return valueMm === undefined ? null : { valueMm, confidence: 'sourced' };
  }
  const { value, confidence } = chain[CHAIN_FIELD[measure]];
  return value === null || confidence === null ? null : { valueMm: value, confidence };
}

/** Where a figure of a row may lie; null where the table does not know it. */
export function figureSpread(chain: Chain, measure: FigureMeasure): readonly Spread[] | null {
  const listed = listedFigure(chain, measure);
  if (listed === null) return null;
  const { belowMm, aboveMm, belowShare } = ALLOWANCE[measure];
  const doubt = DOUBT_MM[listed.confidence];
  const widened = (low: number, high: number, share: number): Spread => ({
    lowMm: low * (1 - belowShare) - belowMm - doubt,
    highMm: high + aboveMm + doubt,
    share,
  });
  const own = widened(listed.valueMm, listed.valueMm, 1);
  if (measure === 'plateThickness') return [own];
  const range = chain.disagreements.find((d) => d.field === CHAIN_FIELD[measure]);
  if (range === undefined) return [own];
  return [{ ...own, share: 0.5 }, widened(range.low, range.high, 0.5)];
}

/** Pitch of a new chain of a row. */
export function pitchSpread(chain: Chain): readonly Spread[] {
  const p = chain.pitchMm.value as number;
  const range = chain.disagreements.find((d) => d.field === 'pitchMm');
  if (range === undefined) return [{ lowMm: p, highMm: p, share: 1 }];
  return [
    { lowMm: p, highMm: p, share: 0.5 },
    { lowMm: range.low, highMm: range.high, share: 0.5 },
  ];
}

/**
 * Range of each figure over the pitch for chains of any kind; what is expected of a chain that is
 * not in the table, and of a figure that the table does not know. The extremes of the 36 rows of
 * the table, rounded outwards; plate thickness about 1/8 of the pitch (ASME B29.1, from memory).
 */
export const ANY_CHAIN_RATIO: Readonly<Record<FigureMeasure, readonly [number, number]>> = {
  rollerDiameter: [0.45, 0.75],
  innerWidth: [0.15, 0.8],
  pinDiameter: [0.24, 0.45],
  plateDepth: [0.7, 1.1],
  plateThickness: [0.07, 0.22],
};

/** Pitches of roller chains, mm, for a chain that is not in the table. */
export const ANY_PITCH_MM: readonly [number, number] = [4, 80];
