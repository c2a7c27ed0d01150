/**
 * Names a chain from what is left of it: the rows of the chain table in order of probability, what
 * wear each implies, and what to measure next.
 *
 * Of the folder: the chain table and families; model is what a worn chain may measure, likelihood what a
 * reading says, information what to measure next, wear how much of it there may be.
 */
import { CHAINS, type Chain } from './chains.js';
import { type ChainFamily, chainFamilies } from './family.js';
import { type Hypothesis, type NextMeasurement, rankMeasurements } from './information.js';
import {
  type ElongationGrid,
  type RowModel,
  anyChainDensity,
  elongationGrid,
  integrate,
  readingSdMm,
  figuresDensity,
  rowModel,
  spanDensity,
} from './likelihood.js';
import {
  DEFAULT_SD_MM,
  FIGURE_KINDS,
  type FigureMeasure,
  MAX_ELONGATION,
  type WornChain,
  listedFigure,
  outerLinks,
} from './model.js';

/** A measured figure beside the listed one. */
export interface Deviation {
  readonly measure: FigureMeasure;
  readonly measuredMm: number;
  /** null where the table does not know the figure. */
  readonly listedMm: number | null;
  /** How far the reading lies outside all that the row allows, in standard deviations. */
  readonly offBySd: number;
}

/** Elongation by wear as a part of the pitch. */
export interface ElongationEstimate {
  readonly mean: number;
  /** 5 % and 95 % points. */
  readonly low: number;
  readonly high: number;
}

export interface Candidate {
  readonly family: ChainFamily;
  /** Of the whole family. */
  readonly probability: number;
  /** Rows of the family, the most likely first; probabilities sum to the family's. */
  readonly members: readonly { readonly chain: Chain; readonly probability: number }[];
  /** The row whose strength and rating count. */
  readonly counts: Counted;
  readonly elongation: ElongationEstimate;
  readonly deviations: readonly Deviation[];
}

/** One sprocket may serve chains of very different strength: the weakest that it can be counts. */
interface Counted {
  readonly chain: Chain;
  /** Of the rows that it can be, N; null where not known. */
  readonly strengthsN: readonly [least: number, most: number] | null;
  /** What would tell it from the strongest best, with what both would read; null where nothing is
   *  left to tell, or no figure is known that would. */
  readonly tell: {
    readonly measure: FigureMeasure;
    readonly other: Chain;
    readonly readMm: readonly [number, number];
  } | null;
}

export interface Identification {
  readonly measuredPitchMm: number;
  /** The most likely first; families below LEAST_PROBABILITY are left out. */
  readonly candidates: readonly Candidate[];
  /** Probability that the chain is none of the table. */
  readonly otherProbability: number;
  /** Whether the table holds a chain that explains the measurements. */
  readonly fits: boolean;
  /** Where nothing fits: the chain it would be with more wear than 3 %. */
  readonly wornPast: Candidate | null;
  /** Best further measurement between the first two; null where nothing is left to decide. */
  readonly next: NextMeasurement | null;
  /** All of them, the most telling first. */
  readonly measurements: readonly NextMeasurement[];
}

/** Probability, before anything is measured, that a chain is none of the table. Judgement. */
const OTHER_PRIOR = 0.05;
/** Candidates below this are not worth a line. */
const LEAST_PROBABILITY = 1e-4;
/** Wear up to which a chain is looked for when nothing else fits; a job takes no more. */
const PAST_ELONGATION = 0.05;
/** Uncertainty below which no further measurement is asked for. bits */
const SETTLED_BITS = 0.01;

const FAMILIES = chainFamilies();
const MODELS: ReadonlyMap<Chain, RowModel> = new Map(CHAINS.map((c) => [c, rowModel(c)]));

/** Readings that tell chains of one sprocket apart. */
const TELLING = ['pinDiameter', 'plateDepth', 'plateThickness'] as const;
/** Once one of them is read, rows less likely than this part of the likeliest are out. Judgement. */
const RULED_OUT = 0.1;
/** Strengths closer than this are one: catalogues round and differ by as much. */
const SAME_STRENGTH = 0.1;

/** Probability of every family and of every row; every family is as likely as another before
 *  anything is measured, so a chain that catalogues list under four names gains nothing by it. */
interface Posterior {
  readonly families: readonly Pick<Candidate, 'family' | 'probability'>[];
  readonly rows: ReadonlyMap<Chain, number>;
  readonly other: number;
}

export function chainPosterior(worn: WornChain, maxElongation = MAX_ELONGATION): Posterior {
  checkWorn(worn);
  const other = OTHER_PRIOR * anyChainDensity(worn);
  const raw = new Map<Chain, number>();
  let total = other;
  for (const { chains } of FAMILIES) {
    const prior = (1 - OTHER_PRIOR) / FAMILIES.length / chains.length;
    for (const chain of chains) {
      const row = MODELS.get(chain)!;
      const span = spanDensity(row, worn, maxElongation);
      const weight = span === 0 ? 0 : prior * span * figuresDensity(row, worn);
      raw.set(chain, weight);
      total += weight;
    }
  }
  if (!(total > 0)) return { families: [], rows: new Map(), other: 1 };
  const rows = new Map([...raw].map(([chain, w]) => [chain, w / total]));
  const families = FAMILIES.map((family) => ({
    family,
    probability: family.chains.reduce((sum, chain) => sum + rows.get(chain)!, 0),
  }));
  families.sort((a, b) => b.probability - a.probability);
  return { families, rows, other: other / total };
}

/**
 * @throws RangeError for a reading that is not finite and > 0, or a count of pitches that is not a
 *         whole number >= 1
 */
export function identifyChain(worn: WornChain): Identification {
  const posterior = chainPosterior(worn);
  const candidates = candidatesOf(posterior, worn, MAX_ELONGATION);
  const [first] = candidates;
  const fits = first !== undefined && posterior.other < 0.5 && !stretchedPast(first, worn);
  const measurements = fits ? measurementsFor(candidates, worn) : [];
  const best = measurements[0];
  return {
    measuredPitchMm: worn.span.valueMm / worn.pitches,
    candidates,
    otherProbability: posterior.other,
    fits,
    wornPast: fits ? null : wornPast(worn),
    next: best && best.missingBits > SETTLED_BITS && best.bits > 0 ? best : null,
    measurements,
  };
}

/** A span this much over what the greatest wear allows is taken for more wear, not for a reading that
 *  was far off. */
const PAST_SD = 4;

function stretchedPast({ members }: Candidate, { span, pitches }: WornChain): boolean {
  const outer = Math.max(...outerLinks(pitches));
  const pitchMm = Math.max(...MODELS.get(members[0]!.chain)!.pitches.map((s) => s.highMm));
  const longestMm = pitchMm * (pitches + 2 * outer * MAX_ELONGATION);
  return span.valueMm > longestMm + PAST_SD * readingSdMm('span', span);
}

function wornPast(worn: WornChain): Candidate | null {
  const posterior = chainPosterior(worn, PAST_ELONGATION);
  if (posterior.other >= 0.5) return null;
  return candidatesOf(posterior, worn, PAST_ELONGATION)[0] ?? null;
}

function candidatesOf(posterior: Posterior, worn: WornChain, maxElongation: number): Candidate[] {
  return posterior.families
    .filter(({ probability }) => probability >= LEAST_PROBABILITY)
    .map(({ family, probability }) => {
      const members = family.chains
        .map((chain) => ({ chain, probability: posterior.rows.get(chain)! }))
        .sort((a, b) => b.probability - a.probability);
      const best = MODELS.get(members[0]!.chain)!;
      const elongation = estimate(elongationGrid(best, worn, maxElongation)!);
      const counts = countedOf(members, worn);
      const deviations = deviationsOf(best, worn);
      return { family, probability, members, counts, elongation, deviations };
    });
}

function countedOf(members: Candidate['members'], worn: WornChain): Counted {
  const told = TELLING.some((measure) => worn.figures[measure]);
  const least = told ? RULED_OUT * members[0]!.probability : 0;
  const rows = members.filter((m) => m.probability >= least).map((m) => m.chain);
  const strength = ({ minTensileN: { value } }: Chain): number => value ?? NaN;
  const known = rows.filter((row) => row.minTensileN.value !== null);
  if (known.length === 0) return { chain: rows[0]!, strengthsN: null, tell: null };
  const weakest = known.reduce((a, b) => (strength(b) < strength(a) ? b : a));
  const other = known.reduce((a, b) => (strength(b) > strength(a) ? b : a));
  const strengthsN = [strength(weakest), strength(other)] as const;
  const alike = strengthsN[1] <= (1 + SAME_STRENGTH) * strengthsN[0];
  return { chain: weakest, strengthsN, tell: alike ? null : tellApart(weakest, other, worn) };
}

/** The figure in which two rows differ by most standard deviations, of those not read yet. */
function tellApart(chain: Chain, other: Chain, worn: WornChain): Counted['tell'] {
  const ways = TELLING.flatMap((measure) => {
    const readMm = [chain, other].map((row) => listedFigure(row, measure)?.valueMm ?? NaN);
    const [a, b] = readMm as [number, number];
    const apart = Math.abs(a - b) / DEFAULT_SD_MM[measure];
    return apart > TELLING_SD && !worn.figures[measure]
      ? [{ measure, other, readMm: [a, b] as const, apart }]
      : [];
  });
  const best = ways.sort((p, q) => q.apart - p.apart)[0];
  return best ? { measure: best.measure, other, readMm: best.readMm } : null;
}

/** Rows nearer than this are not told apart by one reading. */
const TELLING_SD = 3;

function measurementsFor(candidates: readonly Candidate[], worn: WornChain) {
  const [first, second] = candidates;
  if (!first || !second) return [];
  const share = first.probability / (first.probability + second.probability);
  const [a, b] = [first, second].map(({ members, probability }): Hypothesis =>
    members.map((m) => ({ row: MODELS.get(m.chain)!, share: m.probability / probability })),
  ) as [Hypothesis, Hypothesis];
  return rankMeasurements(a, b, share, worn);
}

function estimate(grid: ElongationGrid): ElongationEstimate {
  const total = integrate(grid);
  const mean = integrate(grid, (e) => e) / total;
  // Trapezoids from point to point; finer than any use of the two points.
  const sums = [0];
  for (let i = 1; i < grid.density.length; i++) {
    sums.push(sums[i - 1]! + (grid.density[i - 1]! + grid.density[i]!) / 2);
  }
  const all = sums[sums.length - 1]!;
  const point = (share: number): number => {
    const i = Math.max(
      1,
      sums.findIndex((sum) => sum >= share * all),
    );
    const part = (share * all - sums[i - 1]!) / (sums[i]! - sums[i - 1]! || 1);
    return grid.from + (i - 1 + part) * grid.step;
  };
  return { mean, low: point(0.05), high: point(0.95) };
}

function deviationsOf(row: RowModel, worn: WornChain): Deviation[] {
  return FIGURE_KINDS.flatMap((measure) => {
    const reading = worn.figures[measure];
    if (!reading) return [];
    const { valueMm } = reading;
    const off = (row.figures[measure] ?? []).map(({ lowMm, highMm }) =>
      Math.max(0, lowMm - valueMm, valueMm - highMm),
    );
    const offBySd = off.length > 0 ? Math.min(...off) / readingSdMm(measure, reading) : 0;
    const listedMm = listedFigure(row.chain, measure)?.valueMm ?? null;
    return [{ measure, measuredMm: valueMm, listedMm, offBySd }];
  });
}

function checkWorn(worn: WornChain): void {
  if (!(Number.isInteger(worn.pitches) && worn.pitches >= 1)) {
    throw new RangeError(`pitches: ${worn.pitches}; not a whole number of 1 or more`);
  }
  const readings = [['span', worn.span] as const, ...Object.entries(worn.figures)];
  for (const [name, reading] of readings) {
    if (!(reading && Number.isFinite(reading.valueMm) && reading.valueMm > 0)) {
      throw new RangeError(`${name}: ${reading?.valueMm}; not a length over 0`);
    }
    if (reading.sdMm !== null && !(Number.isFinite(reading.sdMm) && reading.sdMm > 0)) {
      throw new RangeError(`${name}: uncertainty ${reading.sdMm}; not a length over 0`);
    }
  }
}

/**
 * Slips of measuring that make a chain of the table look like none of it: a span from the outside of
 * one roller to the outside of the other (one roller too long) or between the rollers (one too
 * short), and a count that is one out.
 */
export const SLIP_WORDS = {
  'span-outside': 'the span was taken over the outsides of the rollers: take one roller off it',
  'span-between': 'the span was taken between the rollers: add one roller to it',
  'count-high': 'one pitch too many was counted',
  'count-low': 'one pitch too few was counted',
} as const;
type Slip = keyof typeof SLIP_WORDS;

/** Slips that would explain measurements which nothing fits, the best explanation first, with what
 *  it would be with the slip put right. */
export function likelySlips(
  worn: WornChain,
): readonly { readonly slip: Slip; readonly candidate: Candidate }[] {
  return repaired(worn)
    .flatMap(([slip, chain]) => {
      const found = identifyChain(chain);
      const [candidate] = found.candidates;
      // The slip has to explain all figures, not only the span.
      const good = found.fits && candidate?.deviations.every((d) => d.offBySd < 2);
      return good && candidate ? [{ slip, candidate }] : [];
    })
    .sort((a, b) => b.candidate.probability - a.candidate.probability);
}

function repaired(worn: WornChain): [slip: Slip, chain: WornChain][] {
  const { span, pitches, figures } = worn;
  const roller = figures.rollerDiameter?.valueMm;
  const by = (mm: number) => ({ ...worn, span: { ...span, valueMm: span.valueMm + mm } });
  const out: [Slip, WornChain][] = [['count-low', { ...worn, pitches: pitches + 1 }]];
  if (pitches > 1) out.push(['count-high', { ...worn, pitches: pitches - 1 }]);
  if (roller !== undefined) {
    out.push(['span-between', by(roller)]);
    if (span.valueMm > roller) out.push(['span-outside', by(-roller)]);
  }
  return out;
}
