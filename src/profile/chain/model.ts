/**
 * What a worn chain may measure if it is a given row of the chain table.
 *
 * A row's figure is not one value. The table holds the greatest roller, pin and plate and the
 * least width that the standard allows, real chains lie a little inside, wear takes some more, and
 * catalogues disagree. So each figure is spread evenly over an interval round the listed value, and
 * where sources differ, half of the weight is spread over all that they print.
 */
import type { Chain, Confidence } from './chains.js';
import { smearedDensity } from '../../maths/normal.js';

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

/**
 * Numbers of outer links that a span may hold, each as likely as the other. Pin wears in bush and the
 * two bushes of an inner link stay where they are pressed in, so all lengthening shows over outer
 * links: p (1 + 2 e) against p over an inner one. An even count has as many of both; an odd one has
 * one more of either. KMC faq (kmcchain.com/en/faq/2); the rest is arithmetic.
 */
export function outerLinks(pitches: number): readonly number[] {
  const fewer = Math.floor(pitches / 2);
  return pitches % 2 === 0 ? [fewer] : [fewer, fewer + 1];
}

/** Now and then a caliper is held askew or slips: this share of readings has an error so many times
 *  the usual one. Judgement, no source. */
const ASKEW = { share: 0.02, times: 4 } as const;

/** Density of a reading of something spread evenly from `lowMm` to `highMm`. 1/mm */
export function densityOfReading(y: number, lowMm: number, highMm: number, sdMm: number): number {
  return (
    (1 - ASKEW.share) * smearedDensity(y, lowMm, highMm, sdMm) +
    ASKEW.share * smearedDensity(y, lowMm, highMm, ASKEW.times * sdMm)
  );
}

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

/** Rollers wear, too, and far more than the chain lengthens: 0.76 mm of gap in the rollers of a cycle
 *  chain was measured at an elongation of a twentieth of that (bikeforums.net, post 20704395). So some
 *  chains have rollers down to so much below the new ones. Shares judgement, no source. */
const WORN_ROLLER = { share: 0.2, byMm: 0.35 } as const;

const CHAIN_FIELD = {
  rollerDiameter: 'rollerDiameterMm',
  innerWidth: 'innerWidthMm',
  pinDiameter: 'pinDiameterMm',
  plateDepth: 'plateDepthMm',
  plateThickness: 'plateThicknessMm',
} as const;

/** Listed figure of a row, mm, and how far it can be trusted; null where it is not known. */
export function listedFigure(
  chain: Chain,
  measure: FigureMeasure,
): { readonly valueMm: number; readonly confidence: Confidence } | null {
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
  const range = chain.disagreements.find((d) => d.field === CHAIN_FIELD[measure]);
  const asMade = range ? [{ ...own, share: 0.5 }, widened(range.low, range.high, 0.5)] : [own];
  return measure === 'rollerDiameter' ? asMade.flatMap(wornToo) : asMade;
}

/** A spread of new rollers, with the worn ones below it. */
function wornToo(spread: Spread): Spread[] {
  const { share, byMm } = WORN_ROLLER;
  return [
    { ...spread, share: (1 - share) * spread.share },
    { ...spread, lowMm: spread.lowMm - byMm, share: share * spread.share },
  ];
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
 * not in the table, and of a figure that the table does not know. The extremes of the rows of the
 * table, rounded outwards.
 */
export const ANY_CHAIN_RATIO: Readonly<Record<FigureMeasure, readonly [number, number]>> = {
  rollerDiameter: [0.3, 0.75],
  innerWidth: [0.15, 0.8],
  pinDiameter: [0.13, 0.45],
  plateDepth: [0.38, 1.1],
  plateThickness: [0.04, 0.22],
};

/** Pitches of roller chains, mm, for a chain that is not in the table. */
export const ANY_PITCH_MM: readonly [number, number] = [4, 80];
