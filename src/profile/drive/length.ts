/**
 * Length of the chain over the two wheels, what comes out or goes in, and how far the centres must
 * give way. Lengths and centre distances in pitches unless a name says mm;
 * z1 and z2 are the tooth counts in either order.
 */
import { type FigureRow, type FigureSection, ELEMENTARY } from '../../model/figure.js';
import { figuresOf, row } from '../../model/figure.js';
import { PLANNING_ELONGATION, elongationLimit } from '../chain/wear.js';
import { CATALOGUES, type DriveInput } from './input.js';

/**
 * X = 2 C + (z1 + z2) / 2 + ((z2 - z1) / (2 pi))^2 / C.
 * Source: the series of every catalogue (Mott, Machine Elements in Mechanical Design); good to about
 * 0.02 pitch at a ratio of 4.
 */
export function lengthPitches(z1: number, z2: number, centrePitches: number): number {
  const t = (z2 - z1) / (2 * Math.PI);
  return 2 * centrePitches + (z1 + z2) / 2 + (t * t) / centrePitches;
}

/**
 * Centre distance for a chain of X pitches:
 * (1/4) (B + sqrt(B^2 - 8 ((z2 - z1) / (2 pi))^2)), B = X - (z1 + z2) / 2.
 * Source: Mott, Machine Elements in Mechanical Design.
 * @returns null where the chain is too short for the wheels
 */
export function centrePitches(z1: number, z2: number, lengthInPitches: number): number | null {
  const b = lengthInPitches - (z1 + z2) / 2;
  const t = (z2 - z1) / (2 * Math.PI);
  const root = b * b - 8 * t * t;
  return b > 0 && root >= 0 ? (b + Math.sqrt(root)) / 4 : null;
}

/** Pitch radius of a wheel, pitches. */
function radiusPitches(z: number): number {
  return 1 / (2 * Math.sin(Math.PI / z));
}

/**
 * Length by tangents and arcs on the pitch circles:
 * X = 2 C cos phi + z2 (180 + 2 phi) / 360 + z1 (180 - 2 phi) / 360, sin phi = (R2 - R1) / C.
 * Geometry; a check on the series.
 * @returns null where the wheels overlap so far that there is no tangent
 */
export function exactLengthPitches(z1: number, z2: number, centre: number): number | null {
  const sine = (radiusPitches(z2) - radiusPitches(z1)) / centre;
  if (!(Math.abs(sine) < 1)) return null;
  const phi = Math.asin(sine);
  const [half1, half2] = [Math.PI - 2 * phi, Math.PI + 2 * phi];
  return 2 * centre * Math.cos(phi) + (z2 * half2 + z1 * half1) / (2 * Math.PI);
}

/** A closed chain pulled flat measures (links / 2 - 1) p + h2 end to end. mm
 *  Source: karting.co.uk forum, measuring 219HTM chain. */
export function flatLengthMm(links: number, pitchMm: number, plateDepthMm: number): number {
  return (links / 2 - 1) * pitchMm + plateDepthMm;
}

/** Wrap on the smaller wheel, 180 deg - 2 asin((D2 - D1) / (2 C)). rad; elementary geometry. */
export function smallWrapRad(z1: number, z2: number, centre: number): number | null {
  const sine = Math.abs(radiusPitches(z2) - radiusPitches(z1)) / centre;
  return sine < 1 ? Math.PI - 2 * Math.asin(sine) : null;
}

/** A chain of whole pitches, and the centre distance that it fits. */
export interface ChainChoice {
  readonly links: number;
  /** An odd count needs a cranked link, the weakest of the chain. */
  readonly even: boolean;
  readonly centreMm: number;
  /** Against the centre distance asked for. mm */
  readonly changeMm: number;
}

/** Whole chain lengths next to the one that the centre distance asks for, shortest first: the even
 *  ones below and above and the odd one between. */
export function chainChoices(
  z1: number,
  z2: number,
  centreMm: number,
  pitchMm: number,
): readonly ChainChoice[] {
  const wanted = lengthPitches(z1, z2, centreMm / pitchMm);
  const below = 2 * Math.floor(wanted / 2 + 1e-9);
  return [below, below + 1, below + 2].flatMap((links) => {
    const centre = centrePitches(z1, z2, links);
    if (centre === null) return [];
    const mm = centre * pitchMm;
    return [{ links, even: links % 2 === 0, centreMm: mm, changeMm: mm - centreMm }];
  });
}

/** The even chain whose centre distance is nearest to the one asked for; with fixed centres the
 *  shortest that goes round. */
export function nearestEven(
  choices: readonly ChainChoice[],
  fixedCentres = false,
): ChainChoice | null {
  const even = choices.filter((c) => c.even && (!fixedCentres || c.changeMm >= -1e-9));
  return even.reduce<ChainChoice | null>(
    (best, c) => (best && Math.abs(best.changeMm) <= Math.abs(c.changeMm) ? best : c),
    null,
  );
}

/** How far centres or tensioner must give way for the chain to stay tight up to an elongation: the
 *  centre distance of the stretched chain less that of the new one. mm */
export function takeUpMm(
  z1: number,
  z2: number,
  links: number,
  pitchMm: number,
  elongation: number,
): number {
  const fresh = centrePitches(z1, z2, links);
  const worn = centrePitches(z1, z2, links * (1 + elongation));
  return fresh === null || worn === null ? NaN : (worn - fresh) * pitchMm;
}

const ASKED: readonly FigureRow<DriveInput>[] = [
  row('lengthPitches', 'chain length asked for, pitches', 'count', {
    value: (d) => lengthPitches(d.teeth, d.otherTeeth, d.centreDistanceMm / d.chain.pitchMm),
    digits: 2,
    formula: 'X = 2 a/p + (z1 + z2)/2 + ((z2 - z1) / (2 pi))^2 p/a',
    source: CATALOGUES,
  }),
  row('exactLengthPitches', 'the same by tangents and arcs', 'count', {
    value: (d) => exactLengthPitches(d.teeth, d.otherTeeth, d.centreDistanceMm / d.chain.pitchMm),
    digits: 2,
    formula: '2 C cos phi + z2 (180 + 2 phi)/360 + z1 (180 - 2 phi)/360',
    source: ELEMENTARY,
  }),
];

const CHOICE: readonly FigureRow<ChainChoice>[] = [
  row(
    ({ links }) => `centreFor${links}Mm`,
    ({ links, even }) => `centre distance for ${links} links${even ? '' : ' (odd: cranked link)'}`,
    'length',
    {
      value: ({ centreMm }) => centreMm,
      digits: 2,
      formula: 'a = (p/4) (B + sqrt(B^2 - 8 ((z2 - z1)/(2 pi))^2)), B = X - (z1 + z2)/2',
      source: CATALOGUES,
    },
  ),
];

/** Of the chain that fits best. */
const CHOSEN: readonly FigureRow<DriveInput & { best: ChainChoice; wear: number }>[] = [
  row('links', 'even chain that fits best, links', 'count', {
    value: ({ best }) => best.links,
    digits: 0,
    formula: 'X to an even number, so that no cranked link is needed',
    source: 'Ramsey Chain, chain length calculations; Tsubaki selection text',
  }),
  row(
    'centreChangeMm',
    ({ fixedCentres: fixed }) =>
      fixed ? 'centres that would make it tight, farther by' : 'centres have to move by',
    'length',
    {
      value: ({ best }) => best.changeMm,
      digits: 2,
      formula: 'a for that chain less the centre distance given',
      source: ELEMENTARY,
    },
  ),
  row(
    'takeUpMm',
    ({ wear }) => `take-up of centres or tensioner to ${(100 * wear).toFixed(1)} % wear`,
    'length',
    {
      value: (d) => takeUpMm(d.teeth, d.otherTeeth, d.best.links, d.chain.pitchMm, d.wear),
      digits: 1,
      formula: 'a(X (1 + e)) - a(X)',
      source: ELEMENTARY,
    },
  ),
  row('flatLengthMm', 'that chain closed and pulled flat', 'length', {
    value: ({ best, chain: { pitchMm, plateDepthMm } }) =>
      plateDepthMm === null ? null : flatLengthMm(best.links, pitchMm, plateDepthMm),
    digits: 1,
    formula: '(X/2 - 1) p + h2',
    source: 'karting.co.uk forum, measuring 219HTM chain',
  }),
];

/** Elongation up to which the drive is to run: the planning figure where nothing can take it up. */
export function wearLimit({ teeth, otherTeeth, fixedCentres }: DriveInput): number {
  return fixedCentres ? PLANNING_ELONGATION : elongationLimit(Math.max(teeth, otherTeeth));
}

export function driveLength(input: DriveInput): FigureSection {
  const choices = choicesOf(input, input.teeth);
  const best = nearestEven(choices, input.fixedCentres);
  const asked = [
    ...figuresOf(ASKED, input),
    ...choices.flatMap((choice) => figuresOf(CHOICE, choice)),
  ];
  const title = 'Chain length';
  if (!best) {
    const remarks = ['The chain cannot go round both wheels at this centre distance.'];
    return { id: 'length', title, figures: asked, remarks };
  }
  const chosen = figuresOf(CHOSEN, { ...input, best, wear: wearLimit(input) });
  const remarks = linkRemarks(input, best.links);
  return { id: 'length', title, figures: [...asked, ...chosen], remarks };
}

function choicesOf({ otherTeeth, centreDistanceMm, chain }: DriveInput, teeth: number) {
  return chainChoices(teeth, otherTeeth, centreDistanceMm, chain.pitchMm);
}

function linkRemarks(input: DriveInput, links: number): string[] {
  const { oldTeeth, fixedCentres } = input;
  const say = (by: number, from: string): string => {
    if (by === 0) return `${from}: no link has to come out or go in.`;
    if (Math.abs(by) === 1) return `${from}: 1 link ${by < 0 ? 'comes out' : 'goes in'}.`;
    return `${from}: ${Math.abs(by)} links ${by < 0 ? 'come out' : 'go in'}.`;
  };
  if (input.links !== null)
    return [say(links - input.links, `Against the ${input.links} on it now`)];
  if (oldTeeth === null) return [];
  const old = nearestEven(choicesOf(input, oldTeeth), fixedCentres);
  return old ? [say(links - old.links, `Against ${old.links} for the old ${oldTeeth} teeth`)] : [];
}
