/**
 * Probability density of measurements under a row of the chain table.
 *
 * With the elongation e unknown and even from 0 to `maxElongation`, and everything else independent
 * of it:
 *
 *   density(row) = integral over e of  prior(e) N(span; n p (1 + e), sd)  de
 *                  x product over the figures of  (spread of the figure * N(0, sd))(reading)
 *
 * The integral is taken by Simpson's rule over the stretch of e that the span leaves possible; the
 * spread of a figure is a sum of even intervals, so its density is a difference of normal tails.
 */
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
  figureSpread,
  pitchSpread,
} from './model.js';
import { smearedDensity } from '../../maths/normal.js';

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
  return measure === 'span' ? Math.hypot(own, SPAN_REL_SD * reading.valueMm) : own;
}

/** Standard deviations beyond which a span says nothing more about the elongation. */
const WINDOW_SD = 7;
/** Intervals of Simpson's rule over the window; a step of 0.22 sd. Even. */
const STEPS = 64;

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
  const low = Math.min(...row.pitches.map((s) => s.lowMm));
  const high = Math.max(...row.pitches.map((s) => s.highMm));
  const elongationAt = (spanMm: number, pitchMm: number): number =>
    spanMm / (worn.pitches * pitchMm) - 1;
  const from = Math.max(0, elongationAt(worn.span.valueMm - WINDOW_SD * sd, high));
  const to = Math.min(maxElongation, elongationAt(worn.span.valueMm + WINDOW_SD * sd, low));
  if (!(to > from)) return null;
  const step = (to - from) / STEPS;
  const density = new Float64Array(STEPS + 1);
  for (let i = 0; i <= STEPS; i++) {
    const n = worn.pitches * (1 + from + i * step);
    for (const { lowMm, highMm, share } of row.pitches) {
      density[i]! +=
        (share * smearedDensity(worn.span.valueMm, n * lowMm, n * highMm, sd)) / maxElongation;
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
      (sum, s) => sum + s.share * smearedDensity(reading.valueMm, s.lowMm, s.highMm, sd),
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
  return densityOf(worn, anyFigureDensity, 1 / (worn.span.valueMm * Math.log(high / low)));
}
