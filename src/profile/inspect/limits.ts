/** Limits that a standard sets a finished sprocket. Lengths mm. */
import { toleranceSource, toleranceWidthMm } from '../standard/iso286.js';
import {
  MM_PER_INCH,
  axialRunoutLimitMm,
  caliperDeviation,
  caliperDiameterMm,
  overPinsMm,
  radialRunoutLimitMm,
  rootDiameterDeviation,
} from '../standard/limits.js';

export const INSPECTED = [
  'overPins',
  'caliperRoot',
  'radialRunout',
  'axialRunout',
  'toothWidth',
  'bore',
] as const;
export type Inspected = (typeof INSPECTED)[number];

export const INSPECTED_WORDS: Readonly<Record<Inspected, string>> = {
  overPins: 'size over pins',
  caliperRoot: 'caliper size across the roots',
  radialRunout: 'radial runout of the roots',
  axialRunout: 'axial runout of the teeth',
  toothWidth: 'tooth width',
  bore: 'bore',
};

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
const RYLE_FACE_IN = { to12: 0.03, over: 0.05 } as const;

export function limitsFor(what: Inspected, part: InspectedPart, by: LimitStandard): Limits {
  switch (what) {
    case 'overPins':
    case 'caliperRoot':
      return acrossLimits(what, part, by);
    case 'radialRunout':
      return by === 'iso' ? isoRadial(part) : asmeRadial(part);
    case 'axialRunout':
      return by === 'iso' ? isoAxial(part) : asmeAxial(part);
    case 'toothWidth':
      return by === 'iso' ? isoWidth(part) : asmeWidth(part);
    case 'bore':
      return boreLimits(part, by);
  }
}

function acrossLimits(
  what: 'overPins' | 'caliperRoot',
  part: InspectedPart,
  by: LimitStandard,
): Limits {
  const { pitchMm, rollerDiameterMm, teeth, rootDiameterMm, pinDiameterMm } = part;
  const odd = teeth % 2 === 1;
  const nominalMm =
    what === 'overPins'
      ? overPinsMm(pitchMm, teeth, pinDiameterMm)
      : caliperDiameterMm(pitchMm, rollerDiameterMm, teeth);
  const deviation =
    by === 'iso'
      ? rootDiameterDeviation(rootDiameterMm)
      : caliperDeviation(pitchMm, teeth, 'commercial');
  const across = odd ? 'd cos(90 deg / z)' : 'd';
  return {
    nominalMm,
    minMm: nominalMm + deviation.lowerMm,
    maxMm: nominalMm + deviation.upperMm,
    formula: what === 'overPins' ? `${across} + dR` : `${across} - d1`,
    source:
      by === 'iso'
        ? `${ISO_MEMORY}, 5.3.2: 0 / -0.25 mm to 127 mm, 0 / -0.30 to 250 mm, h11 beyond`
        : 'ASME B29.1, amesweb.info: 0 / -(0.006 in + 0.002 P sqrt(N)), commercial',
  };
}

function isoRadial({ rootDiameterMm }: InspectedPart): Limits {
  return upTo(
    radialRunoutLimitMm(rootDiameterMm),
    '0.0008 df + 0.08 mm, at most 0.76 mm',
    `${ISO_MEMORY}, 5.7`,
  );
}

function asmeRadial({ rootDiameterMm }: InspectedPart): Limits {
  const inches = rootDiameterMm / MM_PER_INCH;
  const row = RYLE_RADIAL_IN.find(([to]) => inches <= to) as readonly [number, number];
  return upTo(row[1] * MM_PER_INCH, 'by bottom diameter', RYLE);
}

function isoAxial({ rootDiameterMm }: InspectedPart): Limits {
  return upTo(
    axialRunoutLimitMm(rootDiameterMm),
    '0.0009 df + 0.08 mm, at most 1.14 mm',
    `${ISO_MEMORY}, 5.8`,
  );
}

function asmeAxial({ rootDiameterMm, pitchMm }: InspectedPart): Limits {
  const outsideIn = (rootDiameterMm + 1.2 * pitchMm) / MM_PER_INCH;
  const limit = outsideIn <= 12 ? RYLE_FACE_IN.to12 : RYLE_FACE_IN.over;
  return upTo(limit * MM_PER_INCH, 'by outside diameter', RYLE);
}

function upTo(maxMm: number, formula: string, source: string): Limits {
  return { nominalMm: 0, minMm: 0, maxMm, formula, source };
}

function isoWidth({ toothWidthMm }: InspectedPart): Limits {
  return {
    nominalMm: toothWidthMm,
    minMm: toothWidthMm - toleranceWidthMm(14, toothWidthMm),
    maxMm: toothWidthMm,
    formula: 'planned width, tolerance h14',
    source: `${ISO_MEMORY}, 5.6.2; ${toleranceSource(14)}`,
  };
}

function asmeWidth({ toothWidthMm, pitchMm }: InspectedPart): Limits {
  const pitchIn = pitchMm / MM_PER_INCH;
  const row = RYLE_THICKNESS_IN.reduce((best, r) =>
    Math.abs(r[0] - pitchIn) < Math.abs(best[0] - pitchIn) ? r : best,
  );
  return {
    nominalMm: toothWidthMm,
    minMm: toothWidthMm - row[2] * MM_PER_INCH,
    maxMm: toothWidthMm + row[1] * MM_PER_INCH,
    formula: `planned width, tolerance of the ${row[0]} in pitch`,
    source: RYLE,
  };
}

function boreLimits({ boreMm }: InspectedPart, by: LimitStandard): Limits {
  const widthMm = by === 'iso' ? toleranceWidthMm(8, boreMm) : 0.002 * MM_PER_INCH;
  return {
    nominalMm: boreMm,
    minMm: boreMm,
    maxMm: boreMm + widthMm,
    formula: by === 'iso' ? 'planned bore, H8' : 'planned bore, +0.002 in / 0',
    source: by === 'iso' ? `${ISO_MEMORY}, 5.11; ${toleranceSource(8)}` : RYLE,
  };
}
