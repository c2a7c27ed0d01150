import { MEASURED_KEYS, MEASURED_NEEDS } from '../job/schema.js';
import { cite } from '../text/sources.js';
import { CHAIN_FIGURES, chainDoubts } from '../profile/chain/chains.js';
import {
  LAST_ELONGATION,
  PLANNING_ELONGATION,
  WEAR_SOURCE,
  WEAR_WORDS,
  wearAdvice,
} from '../profile/chain/wear.js';
import type { NextMeasurement } from '../profile/chain/information.js';
import { readingSdMm } from '../profile/chain/likelihood.js';
import {
  FIGURE_KINDS,
  MAX_ELONGATION,
  MEASURE_WORDS,
  type Measure,
  type WornChain,
} from '../profile/chain/model.js';
import {
  type Candidate,
  type Identification,
  SLIP_WORDS,
  likelySlips,
} from '../profile/chain/identify.js';
import type { FigureTextOptions } from './figures-text.js';
import { showText } from '../text/show.js';
import { formatLength, textTable } from './format.js';

/** What was measured, with the words it was given in. */
export interface GivenChain {
  readonly worn: WornChain;
  readonly texts: Readonly<Record<string, string>>;
}

/** Candidates printed. */
const MOST = 6;
/** Bushes are pressed into the inner plates: an inner link keeps its pitch, an outer one takes the
 *  wear of two joints. */
const ODD_COUNT =
  'Measure over an even count: wear shows in every other pitch only, so an odd count reads too much or too little of it.';
/** Probability from which a chain is named in a block to paste. Judgement. */
export const SURE = 0.8;
/** A reading this many standard deviations outside a row is worth a word. */
const FAR_SD = 2.5;

export function identifyText(
  found: Identification,
  given: GivenChain,
  o: FigureTextOptions,
): string {
  const mm = (value: number, digits = 2): string => formatLength(value, o.units, digits);
  const lines = [
    `Pitch as measured: ${mm(found.measuredPitchMm, 3)}` +
      (given.texts['span'] === undefined ? '.' : ` over ${given.worn.pitches} pitches.`),
    ...(given.worn.pitches % 2 === 1 ? [ODD_COUNT] : []),
    '',
  ];
  const [best] = found.candidates;
  if (!found.fits || !best) {
    lines.push(...nothingFits(found, given, mm));
  } else {
    lines.push(candidateTable(found), '', ...familyLines(best, mm), ...farLines(best, mm));
    lines.push(...nextLines(found, mm), wearLine(best));
    if (best.probability < SURE) {
      lines.push('', 'Not sure enough to name it in a job; as measured it would be:');
    } else {
      lines.push('', 'For the job file:', `  ${designationLine(best)}`, 'or as measured:');
    }
  }
  if (!found.fits) lines.push('', 'For the job file, as measured:');
  lines.push(...measuredBlock(given));
  if (o.explain) lines.push('', ...explanation(found, given, mm));
  return lines.join('\n');
}

/** What was found, as sentences: no table and no block to paste. Lengths in mm. */
export function identifySentences(found: Identification, given: GivenChain): string[] {
  const mm = (value: number, digits = 2): string => formatLength(value, 'mm', digits);
  const [best] = found.candidates;
  if (!found.fits || !best) return nothingFits(found, given, mm);
  return [...familyLines(best, mm), ...farLines(best, mm), ...nextLines(found, mm), wearLine(best)];
}

function candidateTable(found: Identification): string {
  const percent = (share: number): string => {
    if (share > 0.9995 && share < 1) return 'over 99.9 %';
    return share < 0.001 ? 'under 0.1 %' : `${(100 * share).toFixed(1)} %`;
  };
  const rows = found.candidates
    .slice(0, MOST)
    .map((c) => [c.family.name, percent(c.probability), wearText(c)]);
  rows.push(['none of the table', percent(found.otherProbability), '']);
  return textTable(['chain', 'probability', 'wear'], rows);
}

export function wearText({ elongation: { mean, low, high } }: Candidate): string {
  const percent = (e: number): string => (100 * e).toFixed(1);
  return `${percent(mean)} % (${percent(low)} to ${percent(high)})`;
}

function familyLines({ members, family, counts }: Candidate, mm: Mm): string[] {
  if (family.chains.length < 2) return [];
  const all = members.map((m) => m.chain.designation).join(', ');
  const lines = [
    `One sprocket serves all of these: ${all}. They differ in plates and strength, or in name.`,
  ];
  const { chain, strengthsN, tell } = counts;
  if (strengthsN === null || tell === null) return lines;
  const [least, most] = strengthsN.map((n) => (n / 1000).toFixed(1));
  const [own, others] = tell.readMm;
  return [
    ...lines,
    `The weakest that it can be counts, ${chain.designation}: it breaks at ${least} kN, the strongest at ${most}. ` +
      `Measure the ${MEASURE_WORDS[tell.measure]}: ${mm(own)} on ${chain.designation}, ${mm(others)} on ${tell.other.designation}.`,
  ];
}

type Mm = (value: number, digits?: number) => string;

function farLines({ deviations, members }: Candidate, mm: Mm): string[] {
  const name = members[0]!.chain.designation;
  const far = deviations
    .filter((d) => d.offBySd > FAR_SD && d.listedMm !== null)
    .map((d) => {
      const side = d.measuredMm > (d.listedMm as number) ? 'more' : 'less';
      return `The ${MEASURE_WORDS[d.measure]}, ${mm(d.measuredMm)}, is ${side} than ${name} has (${mm(d.listedMm as number)}): measure it again.`;
    });
  return [...far, ...chainDoubts(members[0]!.chain, ['rollerDiameterMm', 'innerWidthMm'])];
}

function nextLines({ next, candidates }: Identification, mm: Mm): string[] {
  const [first, second] = candidates.map((c) => c.family.name);
  if (!next || !first || !second) {
    const what = candidates[0]?.counts.tell ? 'for the sprocket itself' : 'to tell these apart';
    return [`No further measurement is needed ${what}.`];
  }
  const again = next.again ? ', once more and with care' : '';
  const [a, b] = next.expectedMm;
  const side = a > b ? 'above' : 'below';
  const split = next.splitMm === null ? '' : `; ${side} ${mm(next.splitMm)} it is the first`;
  return [
    `Measure next: the ${measurementText(next)}${again} (tells ${next.bits.toFixed(2)} of the ${next.missingBits.toFixed(2)} bit in doubt). ` +
      `${first} would read about ${mm(a)}, ${second} about ${mm(b)}${split}.`,
  ];
}

function measurementText({ measure, pitches }: NextMeasurement): string {
  return `${MEASURE_WORDS[measure]}${pitches === null ? '' : ` over ${pitches} pitches`}`;
}

function wearLine({ elongation: { mean, high } }: Candidate): string {
  const advice = wearAdvice(mean);
  const near = mean <= PLANNING_ELONGATION && high > PLANNING_ELONGATION;
  const perhaps = ' It may be over 1.5 % already: measure a longer span.';
  return `${WEAR_WORDS[advice]}${near && advice !== 'replace' ? perhaps : ''}`;
}

/** The chain as a job names it. */
export function namedInJob({ counts, elongation }: Candidate) {
  const { designation, names } = counts.chain;
  const name = designation.includes('(') ? (names[names.length - 1] ?? designation) : designation;
  return { designation: name, elongation: `${(100 * elongation.mean).toFixed(1)} %` };
}

function designationLine(candidate: Candidate): string {
  const { designation, elongation } = namedInJob(candidate);
  return `chain: { designation: "${designation}", elongation: ${elongation} }`;
}

function nothingFits(found: Identification, given: GivenChain, mm: Mm): string[] {
  const lines = ['Nothing in the chain table fits these measurements.'];
  if (found.wornPast) {
    const { family, elongation, deviations } = found.wornPast;
    const good = deviations.every((d) => d.offBySd < FAR_SD);
    lines.push(
      `With more wear than ${100 * LAST_ELONGATION} % it would be ${family.name}${good ? '' : ', roughly'}, stretched by ${(100 * elongation.mean).toFixed(1)} %. ${WEAR_WORDS['worn-out']}`,
    );
  } else {
    lines.push(
      'Check the count of pitches and the unit, and measure once more; a block of this chain as it is follows.',
    );
    const [near] = found.candidates;
    if (near) lines.push(`The nearest is ${near.family.name}.`, ...farLines(near, mm));
  }
  lines.push(
    ...likelySlips(given.worn).map(
      ({ slip, candidate }) => `It would be ${candidate.family.name} if ${SLIP_WORDS[slip]}.`,
    ),
    'A sprocket can be designed for the chain as measured: it will fit this chain, and only chains like it.',
  );
  return lines;
}

/** The chain: measured: block of a job, in the words that were given. */
function measuredBlock({ texts }: GivenChain): string[] {
  const own = (key: string) => (key === 'span' ? (texts['span'] ?? texts['pitch']) : texts[key]);
  const present = MEASURED_KEYS.filter((key) => own(key) !== undefined);
  const missing = MEASURED_NEEDS.filter((key) => own(key) === undefined);
  return [
    '  chain:',
    '    measured:',
    ...present.map((key) => `      ${key}: ${showText(own(key) as string, 40)}`),
    ...missing.map((key) => `      ${key}:   # still to be measured`),
  ];
}

const INFORMATION =
  'Expected information of each measurement between the first two (mutual information, Shannon 1948)';

function explanation(found: Identification, given: GivenChain, mm: Mm): string[] {
  const { worn } = given;
  const readings = (['span', ...FIGURE_KINDS] as const).flatMap((measure: Measure) => {
    const reading = measure === 'span' ? worn.span : worn.figures[measure];
    if (!reading) return [];
    const sd = mm(readingSdMm(measure, reading), 3);
    return [`  ${MEASURE_WORDS[measure]} ${mm(reading.valueMm, 3)}, standard deviation ${sd}`];
  });
  const all = found.measurements.map((m) => `  ${measurementText(m)}: ${m.bits.toFixed(3)} bit`);
  const sources = found.candidates.slice(0, MOST).flatMap(({ members }) =>
    members.map(({ chain, probability }) => {
      const spread = chain.disagreements
        .filter((d) => d.field !== 'minTensileN')
        .map((d) => `    ${CHAIN_FIGURES[d.field]} is printed as ${d.low} to ${d.high}`);
      const share = `${(100 * probability).toFixed(2)} %`;
      return [
        `  ${chain.designation} (${share}): under "chains" in gullet list sources`,
        ...spread,
      ].join('\n');
    }),
  );
  return [
    'How this comes about',
    '  probability = prior x density of the readings / sum over all chains (Bayes)',
    `  density = integral over wear e, even from 0 to ${100 * MAX_ELONGATION} %, of N(span; p (n + 2 e k)) x product of the other figures,`,
    '  k of the n pitches being outer links, which take all the wear; one reading in 50 may be four times as far off;',
    '  each figure is spread evenly over what a row allows and what catalogues print, and read with a normal error.',
    '  prior: every family alike, 5 % for a chain that is not in the table (judgement, no source)',
    `  wear limits: ${cite(WEAR_SOURCE)}`,
    'Readings',
    ...readings,
    ...(all.length > 0 ? [INFORMATION, ...all] : []),
    'Sources of the rows',
    ...sources,
  ];
}

export function identifyJson(found: Identification, given: GivenChain): unknown {
  return {
    measuredPitchMm: found.measuredPitchMm,
    fits: found.fits,
    otherProbability: found.otherProbability,
    candidates: found.candidates.map(candidateJson),
    wornPast: found.wornPast && candidateJson(found.wornPast),
    next: found.next,
    measurements: found.measurements,
    measured: given.texts,
  };
}

function candidateJson(candidate: Candidate) {
  const { family, probability, members, counts, elongation, deviations } = candidate;
  return {
    family: family.name,
    probability,
    members: members.map((m) => ({ designation: m.chain.designation, probability: m.probability })),
    counts: counts.chain.designation,
    elongation,
    advice: wearAdvice(elongation.mean),
    deviations,
  };
}
