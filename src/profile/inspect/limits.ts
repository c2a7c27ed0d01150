/** Limits that a standard sets a finished sprocket. Lengths mm. */
import { pow } from '../../maths/elementary.js';
import type { Job } from '../../model/job.js';
import { MM_PER_INCH } from '../../text/units.js';
import { TOOTH_RULES } from '../tooth/forms.js';
import type { Wheel } from '../wheel/sprocket.js';
import {
  axialRunoutLimitMm,
  caliperDiameterMm,
  caliperToleranceMm,
  overPinsMm,
  radialRunoutLimitMm,
  rootToleranceMm,
  toleranceSource,
  toleranceWidthMm,
} from '../standard/limits.js';

export const INSPECTED_WORDS = {
  overPins: 'size over pins',
  caliperRoot: 'caliper size across the roots',
  radialRunout: 'radial runout of the roots',
  axialRunout: 'axial runout of the teeth',
  toothWidth: 'tooth width',
  bore: 'bore',
} as const;
export type Inspected = keyof typeof INSPECTED_WORDS;
export const INSPECTED = Object.keys(INSPECTED_WORDS) as Inspected[];

export type LimitStandard = 'iso' | 'asme';

/** What the part should be. */
export interface InspectedPart {
  readonly pitchMm: number;
  readonly rollerDiameterMm: number;
  readonly teeth: number;
  readonly rootDiameterMm: number;
  readonly toothWidthMm: number;
  readonly boreMm: number;
  /** Pins used for the size over pins. */
  readonly pinDiameterMm: number;
}

export interface Limits {
  readonly nominalMm: number;
  readonly minMm: number;
  readonly maxMm: number;
  readonly formula: string;
  readonly source: string;
}

const RYLE =
  'Ryle Sprocket, tolerances for custom sprockets, https://rylesprocket.com/tolerances-for-custom-sprockets/ (one maker; the ASME table itself was not seen)';
const ISO_MEMORY = 'ISO 606:2015, from memory';
const ISO_ACROSS = `${ISO_MEMORY}, 5.3.2: 0 / -0.25 mm to 127 mm, 0 / -0.30 to 250 mm, h11 beyond`;
const ASME_ACROSS = 'ASME B29.1, amesweb.info: 0 / -(0.006 in + 0.002 P sqrt(N)), commercial';

/** Bottom diameter up to, in; total indicator reading, in. Ryle Sprocket. */
const RYLE_RADIAL_IN: readonly (readonly [number, number])[] = [
  [4, 0.006],
  [5, 0.008],
  [7, 0.01],
  [9, 0.012],
  [Infinity, 0.014],
];
/** Pitch, in; thickness above and below nominal, in. Ryle Sprocket, chains 35 to 80. */
const RYLE_THICKNESS_IN: readonly (readonly [number, number, number])[] = [
  [0.375, 0.006, 0.027],
  [0.5, 0.006, 0.035],
  [0.625, 0.007, 0.036],
  [0.75, 0.009, 0.036],
  [1.0, 0.015, 0.04],
];
/** Outside diameter to 12 in and over. Ryle Sprocket. */
const RYLE_FACE_IN = { to12: 0.03, over: 0.05 } as const;
const RYLE_BORE_IN = 0.002;

const LIMITS: Readonly<
  Record<LimitStandard, Readonly<Record<Inspected, (part: InspectedPart) => Limits>>>
> = {
  iso: {
    ...acrossGaps((part) => rootToleranceMm(part.rootDiameterMm), ISO_ACROSS),
    radialRunout: ({ rootDiameterMm: df }) =>
      upTo(radialRunoutLimitMm(df), '0.0008 df + 0.08 mm, at most 0.76 mm', `${ISO_MEMORY}, 5.7`),
    axialRunout: ({ rootDiameterMm: df }) =>
      upTo(axialRunoutLimitMm(df), '0.0009 df + 0.08 mm, at most 1.14 mm', `${ISO_MEMORY}, 5.8`),
    toothWidth: ({ toothWidthMm: width }) => {
      const source = `${ISO_MEMORY}, 5.6.2; ${toleranceSource(14)}`;
      return limits(width, toleranceWidthMm(14, width), 0, 'planned width, tolerance h14', source);
    },
    bore: ({ boreMm }) => {
      const source = `${ISO_MEMORY}, 5.11; ${toleranceSource(8)}`;
      return limits(boreMm, 0, toleranceWidthMm(8, boreMm), 'planned bore, H8', source);
    },
  },
  asme: {
    ...acrossGaps((part) => caliperToleranceMm(part.pitchMm, part.teeth), ASME_ACROSS),
    radialRunout: ({ rootDiameterMm }) => {
      const row = RYLE_RADIAL_IN.find(([to]) => rootDiameterMm / MM_PER_INCH <= to)!;
      return upTo(row[1] * MM_PER_INCH, 'by bottom diameter', RYLE);
    },
    axialRunout: ({ rootDiameterMm, pitchMm }) => {
      const outsideIn = (rootDiameterMm + 1.2 * pitchMm) / MM_PER_INCH;
      const limitIn = outsideIn <= 12 ? RYLE_FACE_IN.to12 : RYLE_FACE_IN.over;
      return upTo(limitIn * MM_PER_INCH, 'by outside diameter', RYLE);
    },
    toothWidth: ({ toothWidthMm, pitchMm }) => {
      const off = ([pitchIn]: readonly number[]) => Math.abs(pitchIn! - pitchMm / MM_PER_INCH);
      const [pitchIn, above, below] = RYLE_THICKNESS_IN.reduce((best, r) =>
        off(r) < off(best) ? r : best,
      );
      const formula = `planned width, tolerance of the ${pitchIn} in pitch`;
      return limits(toothWidthMm, below * MM_PER_INCH, above * MM_PER_INCH, formula, RYLE);
    },
    bore: ({ boreMm }) =>
      limits(boreMm, 0, RYLE_BORE_IN * MM_PER_INCH, 'planned bore, +0.002 in / 0', RYLE),
  },
};

export function limitsFor(what: Inspected, part: InspectedPart, by: LimitStandard): Limits {
  return LIMITS[by][what](part);
}

/** Whose limits a wheel is held against, by its tooth form. */
export function standardOf({ sprocket }: Pick<Job, 'sprocket'>): LimitStandard {
  return TOOTH_RULES[sprocket.toothForm].standard;
}

/**
 * What the finished part of a job should be.
 * @param drawn          the wheel as the standard draws it, not as it is cut
 * @param pinDiameterMm  of the pins measured over; the roller diameter where none is named
 */
export function inspectedPart(
  { chain, sprocket, bore }: Pick<Job, 'chain' | 'sprocket' | 'bore'>,
  drawn: Pick<Wheel, 'rootDiameterMm' | 'thicknessMm'>,
  pinDiameterMm: number = chain.rollerDiameterMm,
): InspectedPart {
  return {
    pitchMm: chain.pitchMm,
    rollerDiameterMm: chain.rollerDiameterMm,
    teeth: sprocket.teeth,
    rootDiameterMm: drawn.rootDiameterMm,
    toothWidthMm: drawn.thicknessMm,
    boreMm: bore.diameterMm,
    pinDiameterMm,
  };
}

/**
 * Limits as a drawing gives them, "5.61 mm to 5.90 mm" or "at most 0.15 mm": rounded inwards, so that
 * what keeps them on paper keeps them.
 * @param show  a length as it is to be read
 */
export function limitText(
  { min, max }: { readonly min: number; readonly max: number },
  show: (mm: number, digits: number) => string,
  digits = 2,
): string {
  const steps = pow(10, digits);
  // A figure that is a whole number of steps already stays where it is.
  const slack = 1e-6;
  const least = Math.ceil(min * steps - slack) / steps;
  const most = show(Math.floor(max * steps + slack) / steps, digits);
  return least === 0 ? `at most ${most}` : `${show(least, digits)} to ${most}`;
}

function limits(
  nominalMm: number,
  below: number,
  above: number,
  formula: string,
  source: string,
): Limits {
  return { nominalMm, minMm: nominalMm - below, maxMm: nominalMm + above, formula, source };
}

function upTo(maxMm: number, formula: string, source: string): Limits {
  return limits(0, 0, maxMm, formula, source);
}

/** Sizes between opposite gaps, or next to opposite ones: over pins and by caliper. */
function acrossGaps(toleranceMm: (part: InspectedPart) => number, source: string) {
  const at = (part: InspectedPart, nominalMm: number, what: string): Limits => {
    const d = part.teeth % 2 === 1 ? 'd cos(90 deg / z)' : 'd';
    return limits(nominalMm, toleranceMm(part), 0, `${d} ${what}`, source);
  };
  return {
    overPins: (part: InspectedPart) =>
      at(part, overPinsMm(part.pitchMm, part.teeth, part.pinDiameterMm), '+ dR'),
    caliperRoot: (part: InspectedPart) =>
      at(part, caliperDiameterMm(part.pitchMm, part.rollerDiameterMm, part.teeth), '- d1'),
  };
}
