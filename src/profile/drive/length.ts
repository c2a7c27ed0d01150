/**
 * Length of the chain over the two wheels, what comes out or goes in, and how far the centres must
 * give way. Lengths and centre distances in pitches unless a name says mm;
 * z1 and z2 are the tooth counts in either order.
 */
import { asin, cos, sin } from '../../maths/elementary.js';
import { leastOf } from '../../maths/solve.js';
import { type Figure, type FigureSection, figure, known } from '../../model/figure.js';
import { PLANNING_ELONGATION, elongationLimit } from '../chain/wear.js';
import { CATALOGUES, type DriveInput } from './speed.js';
import { inPercent } from '../../text/show.js';

/**
 * X = 2 C + (z1 + z2) / 2 + ((z2 - z1) / (2 pi))^2 / C.
 * Source: the series of every catalogue (Mott, Machine Elements in Mechanical Design); good to about
 * 0.02 pitch at a ratio of 4.
 */
function lengthPitches(z1: number, z2: number, centre: number): number {
  const t = (z2 - z1) / (2 * Math.PI);
  return 2 * centre + (z1 + z2) / 2 + (t * t) / centre;
}

/**
 * Centre distance for a chain of X pitches:
 * (1/4) (B + sqrt(B^2 - 8 ((z2 - z1) / (2 pi))^2)), B = X - (z1 + z2) / 2.
 * Source: Mott, Machine Elements in Mechanical Design.
 * @returns null where the chain is too short for the wheels
 */
function centrePitches(z1: number, z2: number, length: number): number | null {
  const b = length - (z1 + z2) / 2;
  const t = (z2 - z1) / (2 * Math.PI);
  const root = b * b - 8 * t * t;
  return b > 0 && root >= 0 ? (b + Math.sqrt(root)) / 4 : null;
}

/** Sine of the slope of the strands, (R2 - R1) / C. */
function slopeSine(z1: number, z2: number, centre: number): number {
  const radius = (z: number): number => 1 / (2 * sin(Math.PI / z));
  return (radius(z2) - radius(z1)) / centre;
}

/**
 * Length by tangents and arcs on the pitch circles:
 * X = 2 C cos phi + z2 (180 + 2 phi) / 360 + z1 (180 - 2 phi) / 360, sin phi = (R2 - R1) / C.
 * Geometry; a check on the series.
 * @returns null where the wheels overlap so far that there is no tangent
 */
export function exactLengthPitches(z1: number, z2: number, centre: number): number | null {
  const sine = slopeSine(z1, z2, centre);
  if (!(Math.abs(sine) < 1)) return null;
  const phi = asin(sine);
  const [half1, half2] = [Math.PI - 2 * phi, Math.PI + 2 * phi];
  return 2 * centre * cos(phi) + (z2 * half2 + z1 * half1) / (2 * Math.PI);
}

/** Wrap on the smaller wheel, 180 deg - 2 asin((D2 - D1) / (2 C)). rad; elementary geometry. */
export function smallWrapRad(z1: number, z2: number, centre: number): number | null {
  const sine = Math.abs(slopeSine(z1, z2, centre));
  return sine < 1 ? Math.PI - 2 * asin(sine) : null;
}

/** A chain of whole pitches, and the centre distance that it fits. */
interface ChainChoice {
  readonly links: number;
  /** An odd count needs a cranked link, the weakest of the chain. */
  readonly even: boolean;
  readonly centreMm: number;
  /** Against the centre distance asked for. mm */
  readonly changeMm: number;
}

/** Whole chain lengths next to the one that the centre distance asks for, shortest first: the even
 *  ones below and above and the odd one between. */
function chainChoices({ otherTeeth, centreDistanceMm, chain }: DriveInput, teeth: number) {
  const wanted = lengthPitches(teeth, otherTeeth, centreDistanceMm / chain.pitchMm);
  const below = 2 * Math.floor(wanted / 2 + 1e-9);
  return [below, below + 1, below + 2].flatMap((links): ChainChoice[] => {
    const centre = centrePitches(teeth, otherTeeth, links);
    if (centre === null) return [];
    const centreMm = centre * chain.pitchMm;
    return [{ links, even: links % 2 === 0, centreMm, changeMm: centreMm - centreDistanceMm }];
  });
}

/** The even chain whose centre distance is nearest to the one asked for; with fixed centres the
 *  shortest that goes round. */
function nearestEven(choices: readonly ChainChoice[], fixedCentres: boolean): ChainChoice | null {
  const even = choices.filter((c) => c.even && (!fixedCentres || c.changeMm >= -1e-9));
  return leastOf(even, (c) => Math.abs(c.changeMm));
}

/** Elongation up to which the drive is to run: the planning figure where nothing can take it up. */
export function wearLimit({ teeth, otherTeeth, fixedCentres }: DriveInput): number {
  return fixedCentres ? PLANNING_ELONGATION : elongationLimit(Math.max(teeth, otherTeeth));
}

export function driveLength(input: DriveInput): FigureSection {
  const { teeth, otherTeeth, centreDistanceMm, chain } = input;
  const centre = centreDistanceMm / chain.pitchMm;
  const series = lengthPitches(teeth, otherTeeth, centre);
  const exact = exactLengthPitches(teeth, otherTeeth, centre);
  const choices = chainChoices(input, teeth);
  const best = nearestEven(choices, input.fixedCentres);
  const asked = known([
    figure('lengthPitches', 'chain length asked for, pitches', 'count', series, {
      digits: 2,
      formula: 'X = 2 a/p + (z1 + z2)/2 + ((z2 - z1) / (2 pi))^2 p/a',
      source: CATALOGUES,
    }),
    figure('exactLengthPitches', 'the same by tangents and arcs', 'count', exact, {
      digits: 2,
      formula: '2 C cos phi + z2 (180 + 2 phi)/360 + z1 (180 - 2 phi)/360',
    }),
    ...choices.map(({ links, even, centreMm }) => {
      const label = `centre distance for ${links} links${even ? '' : ' (odd: cranked link)'}`;
      return figure(`centreFor${links}Mm`, label, 'length', centreMm, {
        formula: 'a = (p/4) (B + sqrt(B^2 - 8 ((z2 - z1)/(2 pi))^2)), B = X - (z1 + z2)/2',
        source: CATALOGUES,
      });
    }),
  ]);
  return {
    id: 'length',
    title: 'Chain length',
    figures: best ? [...asked, ...chosenFigures(input, best)] : asked,
    remarks: best
      ? linkRemarks(input, best.links)
      : ['The chain cannot go round both wheels at this centre distance.'],
  };
}

/** Of the chain that fits best. */
function chosenFigures(input: DriveInput, { links, changeMm }: ChainChoice): Figure[] {
  const { teeth, otherTeeth, fixedCentres, chain } = input;
  const { pitchMm, plateDepthMm } = chain;
  const wear = wearLimit(input);
  // How far centres or tensioner must give way for the chain to stay tight up to that.
  const fresh = centrePitches(teeth, otherTeeth, links) ?? NaN;
  const worn = centrePitches(teeth, otherTeeth, links * (1 + wear)) ?? NaN;
  const take = `take-up of centres or tensioner to ${inPercent(wear)} wear`;
  const move = `centres ${fixedCentres ? 'that would make it tight, farther' : 'have to move'} by`;
  const flatMm = plateDepthMm === null ? null : (links / 2 - 1) * pitchMm + plateDepthMm;
  return known([
    figure('links', 'even chain that fits best, links', 'count', links, {
      formula: 'X to an even number, so that no cranked link is needed',
      source: 'Ramsey Chain, chain length calculations; Tsubaki selection text',
    }),
    figure('centreChangeMm', move, 'length', changeMm, {
      formula: 'a for that chain less the centre distance given',
    }),
    figure('takeUpMm', take, 'length', (worn - fresh) * pitchMm, {
      digits: 1,
      formula: 'a(X (1 + e)) - a(X)',
    }),
    figure('flatLengthMm', 'that chain closed and pulled flat', 'length', flatMm, {
      digits: 1,
      formula: '(X/2 - 1) p + h2',
      source: 'karting.co.uk forum, measuring 219HTM chain',
    }),
  ]);
}

function linkRemarks(input: DriveInput, links: number): string[] {
  const { oldTeeth } = input;
  const say = (by: number, from: string): string => {
    if (by === 0) return `${from}: no link has to come out or go in.`;
    if (Math.abs(by) === 1) return `${from}: 1 link ${by < 0 ? 'comes out' : 'goes in'}.`;
    return `${from}: ${Math.abs(by)} links ${by < 0 ? 'come out' : 'go in'}.`;
  };
  if (input.links !== null) {
    return [say(links - input.links, `Against the ${input.links} on it now`)];
  }
  if (oldTeeth === null) return [];
  const old = nearestEven(chainChoices(input, oldTeeth), input.fixedCentres);
  return old ? [say(links - old.links, `Against ${old.links} for the old ${oldTeeth} teeth`)] : [];
}

/**
 * Whether a chain of so many links can go on the drive as it stands: the centres have to move by less
 * than half a pitch, which is all that lies between two even lengths.
 * @returns null where it can, or no count is given; else the even count that fits, and by how much the
 *   centres would have to move for the one given (null where it does not go round at all)
 */
export function linksOff(input: DriveInput): { fits: number; moveMm: number | null } | null {
  const { links, teeth, otherTeeth, centreDistanceMm, chain } = input;
  const best = nearestEven(chainChoices(input, teeth), input.fixedCentres);
  if (links === null || best === null || links === best.links) return null;
  const centre = centrePitches(teeth, otherTeeth, links);
  const moveMm = centre === null ? null : centre * chain.pitchMm - centreDistanceMm;
  if (moveMm !== null && Math.abs(moveMm) < chain.pitchMm / 2) return null;
  return { fits: best.links, moveMm };
}
