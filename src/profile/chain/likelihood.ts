/**
 * Probability density of measurements under a row of the chain table.
 *
 * With the elongation e unknown and even from 0 to `maxElongation`, and everything else independent
 * of it:
 *
 *   density(row) = integral over e of  prior(e) N(span; p (n + 2 e k), sd)  de
 *                  x product over the figures of  (spread of the figure * N(0, sd))(reading)
 *
 * where k of the n pitches are outer links, which take all the lengthening.
 *
 * The integral is taken by Simpson's rule over the stretch of e that the span leaves possible; the
 * spread of a figure is a sum of even intervals, so its density is a difference of normal tails.
 */
import { hypot, log } from '../../maths/elementary.js';
import type { Chain } from './chains.js';
import {
  ANY_CHAIN_RATIO,
  ANY_PITCH_MM,
  DEFAULT_SD_MM,
  FIGURE_KINDS,
  type FigureMeasure,
  type Measure,
  type Reading,
  SPAN_REL_SD,
  type Spread,
  type WornChain,
  densityOfReading,
  figureSpread,
  outerLinks,
  pitchSpread,
} from './model.js';

/** A row with its spreads looked up once. */
export interface RowModel {
  readonly chain: Chain;
  readonly pitches: readonly Spread[];
  readonly figures: Readonly<Record<FigureMeasure, readonly Spread[] | null>>;
}

export function rowModel(chain: Chain): RowModel {
  const spreads = FIGURE_KINDS.map((kind) => [kind, figureSpread(chain, kind)] as const);
  const figures = Object.fromEntries(spreads) as RowModel['figures'];
  return { chain, pitches: pitchSpread(chain), figures };
}

/** Standard deviation of a reading, given or usual. mm */
export function readingSdMm(measure: Measure, reading: Reading): number {
  const own = reading.sdMm ?? DEFAULT_SD_MM[measure];
  return measure === 'span' ? hypot(own, SPAN_REL_SD * reading.valueMm) : own;
}

/** Standard deviations beyond which a span says nothing more about the elongation; three of an askew
 *  reading. */
const WINDOW_SD = 12;
/** Intervals of Simpson's rule over the window; a step of a quarter of the deviation. Even. */
const STEPS = 96;

/** Density of the elongation, not normalized, on an even grid; null where none is possible. */
export interface ElongationGrid {
  readonly from: number;
  readonly step: number;
  readonly density: Float64Array;
}

/** Elongations that the span leaves possible for a row, with prior times likelihood of each. */
export function elongationGrid(
  row: RowModel,
  worn: WornChain,
  maxElongation: number,
): ElongationGrid | null {
  const sd = readingSdMm('span', worn.span);
  const span = worn.span.valueMm;
  const low = Math.min(...row.pitches.map((s) => s.lowMm));
  const high = Math.max(...row.pitches.map((s) => s.highMm));
  const ways = outerLinks(worn.pitches);
  const elongationAt = (spanMm: number, pitchMm: number, outer: number): number =>
    (spanMm / pitchMm - worn.pitches) / (2 * outer);
  // Inner links alone leave every wear possible, or none: the quotient is infinite then.
  const ends = ways.map((k) => [
    Math.max(0, elongationAt(span - WINDOW_SD * sd, high, k) || 0),
    Math.min(maxElongation, elongationAt(span + WINDOW_SD * sd, low, k) || 0),
  ]);
  const possible = ends.filter(([from, to]) => to! > from!);
  if (possible.length === 0) return null;
  const from = Math.min(...possible.map((e) => e[0]!));
  const to = Math.max(...possible.map((e) => e[1]!));
  const step = (to - from) / STEPS;
  const density = new Float64Array(STEPS + 1);
  for (let i = 0; i <= STEPS; i++) {
    for (const outer of ways) {
      const n = worn.pitches + 2 * outer * (from + i * step);
      for (const { lowMm, highMm, share } of row.pitches) {
        const weight = share / ways.length / maxElongation;
        density[i]! += weight * densityOfReading(span, n * lowMm, n * highMm, sd);
      }
    }
  }
  return { from, step, density };
}

/** Simpson's rule over a grid with an even number of intervals, of density times weight(e). */
export function integrate(grid: ElongationGrid, weight: (e: number) => number = () => 1): number {
  const last = grid.density.length - 1;
  let sum = 0;
  for (let i = 0; i <= last; i++) {
    const k = i === 0 || i === last ? 1 : i % 2 === 1 ? 4 : 2;
    sum += k * grid.density[i]! * weight(grid.from + i * grid.step);
  }
  return (sum * grid.step) / 3;
}

/** Density of the span under a row, whatever the wear. 1/mm; 0 where impossible. */
export function spanDensity(row: RowModel, worn: WornChain, maxElongation: number): number {
  const grid = elongationGrid(row, worn, maxElongation);
  return grid === null ? 0 : integrate(grid);
}

/** Density of the figures besides the span under a row; where the table does not know one, that of a
 *  chain of any kind with the measured pitch. 1/mm^k for k figures. */
export function figuresDensity(row: RowModel, worn: WornChain): number {
  return densityOf(worn, (measure, reading, pitchMm) => {
    const spreads = row.figures[measure];
    if (spreads === null) return anyFigureDensity(measure, reading, pitchMm);
    const sd = readingSdMm(measure, reading);
    return spreads.reduce(
      (sum, s) => sum + s.share * densityOfReading(reading.valueMm, s.lowMm, s.highMm, sd),
      0,
    );
  });
}

/** Product over the figures that were read. */
function densityOf(
  { figures, span, pitches }: WornChain,
  density: (measure: FigureMeasure, reading: Reading, pitchMm: number) => number,
  start = 1,
): number {
  return FIGURE_KINDS.reduce((product, measure) => {
    const reading = figures[measure];
    return reading ? product * density(measure, reading, span.valueMm / pitches) : product;
  }, start);
}

/** Share of the chains of any kind that may lie outside the usual ratios, up to 1.5 pitches. */
const UNUSUAL = 0.05;
const UNUSUAL_TO = 1.5;

function anyFigureDensity(measure: FigureMeasure, { valueMm }: Reading, pitchMm: number): number {
  const [low, high] = ANY_CHAIN_RATIO[measure];
  const ratio = valueMm / pitchMm;
  const usual = ratio >= low && ratio <= high ? (1 - UNUSUAL) / (high - low) : 0;
  return (usual + (ratio <= UNUSUAL_TO ? UNUSUAL / UNUSUAL_TO : 0)) / pitchMm;
}

/** Density of all measurements under "a chain that is not in the table": pitch even in its
 *  logarithm, figures even in their ratio to it. */
export function anyChainDensity(worn: WornChain): number {
  const [low, high] = ANY_PITCH_MM;
  return densityOf(worn, anyFigureDensity, 1 / (worn.span.valueMm * log(high / low)));
}
