/**
 * Which further measurement tells two chains apart best.
 *
 * Let the first be right with probability q (of the two), and let f1(y), f2(y) be the densities of
 * the next reading y if it is the first or the second. What the reading is expected to tell, in
 * bits, is the fall of the entropy
 *
 *   H(q) - integral of m(y) H(q f1(y) / m(y)) dy,   m = q f1 + (1 - q) f2,
 *   H(q) = -q log2 q - (1 - q) log2 (1 - q)
 *
 * Source: mutual information, Shannon, A Mathematical Theory of Communication (1948).
 *
 * A figure that has been read already can be read again: its true value is then as likely as spread
 * times likelihood of the first reading make it.
 */
import { log } from '../../maths/elementary.js';
import { type RowModel, readingSdMm } from './likelihood.js';
import {
  ANY_CHAIN_RATIO,
  DEFAULT_SD_MM,
  FIGURE_KINDS,
  MAX_ELONGATION,
  type Measure,
  type Spread,
  type WornChain,
} from './model.js';
import { normalDensity, smearedDensity } from '../../maths/normal.js';

/** Rows that stand for one answer, with their shares of it (sum 1). */
export type Hypothesis = readonly { readonly row: RowModel; readonly share: number }[];

export interface NextMeasurement {
  readonly measure: Measure;
  /** Pitches to take the span over; null for other measurements. */
  readonly pitches: number | null;
  /** Whether it has been read already and should be read once more. */
  readonly again: boolean;
  /** Expected information, bits; at most `missingBits`. */
  readonly bits: number;
  /** What is missing for certainty between the two. */
  readonly missingBits: number;
  /** Reading to expect under the first and the second. mm */
  readonly expectedMm: readonly [number, number];
  /** Reading at which the two are as likely as each other; null where there is no single one. */
  readonly splitMm: number | null;
}

/** Span offered as a further measurement: a longer one, where the first was short. */
const LONG_SPAN_PITCHES = 20;

/**
 * Every measurement that could be made, the most telling first; equal to a thousandth of a bit, the
 * easier one first.
 * @param firstShare  probability of the first of the two, 0..1
 */
export function rankMeasurements(
  first: Hypothesis,
  second: Hypothesis,
  firstShare: number,
  worn: WornChain,
): readonly NextMeasurement[] {
  const measures: readonly Measure[] = [...FIGURE_KINDS, 'span'];
  return measures
    .map((measure) => measurement(measure, first, second, firstShare, worn))
    .sort((a, b) => Math.round(1e3 * (b.bits - a.bits)));
}

function measurement(
  measure: Measure,
  first: Hypothesis,
  second: Hypothesis,
  q: number,
  worn: WornChain,
): NextMeasurement {
  const pitches = measure === 'span' ? Math.max(LONG_SPAN_PITCHES, worn.pitches) : null;
  const previous = previousReading(measure, worn, pitches);
  const sd = newSdMm(measure, worn, pitches);
  const values = [first, second].map((h) => trueValues(measure, h, worn, pitches, previous));
  const [a, b] = values as [TrueValues, TrueValues];
  const from = Math.min(a.at[0]!, b.at[0]!) - 5 * sd;
  const to = Math.max(a.at[a.at.length - 1]!, b.at[b.at.length - 1]!) + 5 * sd;
  const count = Math.min(2000, Math.ceil((to - from) / (sd / 4)));
  const step = (to - from) / count;
  let left = 0;
  const expected: [number, number] = [0, 0];
  const crossings: number[] = [];
  let lastSign = 0;
  for (let i = 0; i <= count; i++) {
    const y = from + i * step;
    const fa = readingDensity(a, y, sd);
    const fb = readingDensity(b, y, sd);
    const m = q * fa + (1 - q) * fb;
    expected[0] += fa * y * step;
    expected[1] += fb * y * step;
    if (m <= 0) continue;
    left += m * entropyBits((q * fa) / m) * step;
    const sign = Math.sign(q * fa - (1 - q) * fb);
    if (sign * lastSign < 0) crossings.push(y - step / 2);
    if (sign !== 0) lastSign = sign;
  }
  const missingBits = entropyBits(q);
  return {
    measure,
    pitches,
    again: measure === 'span' ? pitches === worn.pitches : worn.figures[measure] !== undefined,
    bits: Math.min(missingBits, Math.max(0, missingBits - left)),
    missingBits,
    expectedMm: expected,
    splitMm: crossings.length === 1 ? crossings[0]! : null,
  };
}

function entropyBits(q: number): number {
  const part = (p: number): number => (p > 0 ? (-p * log(p)) / Math.LN2 : 0);
  return part(q) + part(1 - q);
}

/** An earlier reading of the same thing; a span is scaled to the new count of pitches. */
function previousReading(measure: Measure, worn: WornChain, pitches: number | null) {
  const reading = measure === 'span' ? worn.span : worn.figures[measure];
  if (!reading) return null;
  const scale = pitches === null ? 1 : pitches / worn.pitches;
  return { valueMm: scale * reading.valueMm, sdMm: scale * readingSdMm(measure, reading) };
}

/** Standard deviation of the reading to come: as careful as the first, else the usual one. */
function newSdMm(measure: Measure, worn: WornChain, pitches: number | null): number {
  if (measure !== 'span') return worn.figures[measure]?.sdMm ?? DEFAULT_SD_MM[measure];
  const valueMm = (worn.span.valueMm * (pitches as number)) / worn.pitches;
  return readingSdMm('span', { valueMm, sdMm: worn.span.sdMm });
}

/** True value of a figure under a hypothesis: values in rising order with weights that sum to 1. */
interface TrueValues {
  readonly at: readonly number[];
  readonly weight: readonly number[];
  /** Spacing of `at`, mm. */
  readonly stepMm: number;
}

/** Values a spread is cut into. */
const VALUES = 160;

function trueValues(
  measure: Measure,
  hypothesis: Hypothesis,
  worn: WornChain,
  pitches: number | null,
  previous: { valueMm: number; sdMm: number } | null,
): TrueValues {
  const parts = hypothesis.flatMap(({ row, share }) =>
    spreadsOf(measure, row, worn, pitches).map((s) => ({ ...s, share: s.share * share })),
  );
  const low = Math.min(...parts.map((s) => s.lowMm));
  const high = Math.max(...parts.map((s) => s.highMm));
  const stepMm = Math.max((high - low) / VALUES, 1e-6);
  const at = Array.from({ length: VALUES }, (_, i) => low + (i + 0.5) * stepMm);
  const raw = at.map((x) => {
    let density = 0;
    for (const { lowMm, highMm, share } of parts) {
      const wide = Math.max(highMm - lowMm, stepMm);
      const inside = x >= lowMm - stepMm / 2 && x <= lowMm + wide + stepMm / 2;
      if (inside) density += share / wide;
    }
    return previous ? density * normalDensity((previous.valueMm - x) / previous.sdMm) : density;
  });
  const sum = raw.reduce((total, w) => total + w, 0);
  if (sum > 0) return { at, weight: raw.map((w) => w / sum), stepMm };
  // A reading that the hypothesis cannot explain says nothing on the next one.
  return previous
    ? trueValues(measure, hypothesis, worn, pitches, null)
    : { at, weight: at.map(() => 1 / at.length), stepMm };
}

function spreadsOf(
  measure: Measure,
  row: RowModel,
  worn: WornChain,
  pitches: number | null,
): readonly Spread[] {
  if (measure === 'span') {
    return row.pitches.map(({ lowMm, highMm, share }) => ({
      lowMm: (pitches as number) * lowMm,
      highMm: (pitches as number) * highMm * (1 + MAX_ELONGATION),
      share,
    }));
  }
  const known = row.figures[measure];
  if (known !== null) return known;
  const pitchMm = worn.span.valueMm / worn.pitches;
  const [low, high] = ANY_CHAIN_RATIO[measure];
  return [{ lowMm: low * pitchMm, highMm: high * pitchMm, share: 1 }];
}

function readingDensity(values: TrueValues, y: number, sd: number): number {
  const half = values.stepMm / 2;
  let density = 0;
  for (let i = 0; i < values.at.length; i++) {
    const x = values.at[i]!;
    if (Math.abs(y - x) > 8 * sd + half) continue;
    density += values.weight[i]! * smearedDensity(y, x - half, x + half, sd);
  }
  return density;
}
