/**
 * Power ratings of single-strand chains: a check that the chain is large enough and the wheel not
 * too small or too fast, beside the power it has to carry. z and N teeth, n rpm, p pitch.
 */
import { type FigureRow, type FigureSection, figuresOf, row, should } from '../../model/figure.js';
import type { Service } from '../../model/job.js';
import { KW_PER_HP, MM_PER_INCH } from '../../text/units.js';
import type { DriveInput } from './input.js';

/** Constants of the ANSI formulas: K1 link plate, K2 roller and bush. */
export interface AnsiConstants {
  readonly k1: number;
  readonly k2: number;
  readonly chain: string;
}

/** No. 41, the bush chains 25 and 35, and the rest from 40 on. */
const LIGHT: AnsiConstants = { k1: 0.0022, k2: 3.4, chain: 'No. 41' };
const BUSH: AnsiConstants = { k1: 0.004, k2: 29, chain: 'No. 25 and 35' };
const USUAL: AnsiConstants = { k1: 0.004, k2: 17, chain: 'No. 40 to 240' };

/** Constants for a chain of the table; a chain outside ANSI gets those of the usual row. */
export function ansiConstants(designation: string | null): AnsiConstants {
  if (designation === null) return USUAL;
  if (/^085\b/.test(designation)) return LIGHT;
  if (/^(04C|06C|25H)\b/.test(designation)) return BUSH;
  return USUAL;
}

/**
 * Ratings limited by link-plate fatigue and by roller and bush impact, kW:
 * HP = K1 N^1.08 n^0.9 P^(3.0 - 0.07 P) and HP = 1000 K2 N^1.5 P^0.8 / n^1.5, P in inches.
 * Source: Roller Chains: dimensions and horsepower capacity formulas, scribd.com/doc/232681759.
 * Newer tables are up to 1.5 times higher, so this is the safe side.
 */
export function ansiRatingKw(
  k: AnsiConstants,
  teeth: number,
  rpm: number,
  pitchMm: number,
): { readonly plateKw: number; readonly rollerKw: number } {
  const p = pitchMm / MM_PER_INCH;
  return {
    plateKw: k.k1 * teeth ** 1.08 * rpm ** 0.9 * p ** (3.0 - 0.07 * p) * KW_PER_HP,
    rollerKw: ((1000 * k.k2 * teeth ** 1.5 * p ** 0.8) / rpm ** 1.5) * KW_PER_HP,
  };
}

/** Link plate: Pc = 0.003 z^1.08 n^0.9 (p / 25.4)^(3 - 0.0028 p) kW; roller and bush:
 *  Pc = 953.5 z^1.5 p^0.8 / n^1.5 kW. ISO 10823, from memory; the inch formulas converted give
 *  0.00298 and 953.1. */
export function isoRatingKw(
  teeth: number,
  rpm: number,
  pitchMm: number,
): { readonly plateKw: number; readonly rollerKw: number } {
  const plate = 0.003 * teeth ** 1.08 * rpm ** 0.9;
  return {
    plateKw: plate * (pitchMm / MM_PER_INCH) ** (3 - 0.0028 * pitchMm),
    rollerKw: (953.5 * teeth ** 1.5 * pitchMm ** 0.8) / rpm ** 1.5,
  };
}

/** Application factor f1 for a motor that itself runs smoothly. ISO 10823, from memory. */
export const APPLICATION_FACTOR: Readonly<Record<Service, number>> = {
  smooth: 1.0,
  'moderate-shock': 1.4,
  'heavy-shock': 1.8,
};

/**
 * Power to compare with the rating of a 19-tooth wheel: Pc = P f1 f2, f2 = (19 / z1)^1.08.
 * Source: Selection of chain drive power (GB/T 18150 / ISO 10823), jeremywellindustry.com.
 */
export function correctedPowerKw(powerKw: number, service: Service, teeth: number): number {
  return powerKw * APPLICATION_FACTOR[service] * toothFactor(teeth);
}

/** f2, the power of a wheel against that of one with 19 teeth. */
export function toothFactor(teeth: number): number {
  return (19 / teeth) ** 1.08;
}

const ANSI = 'Roller Chains: horsepower capacity formulas, scribd.com/doc/232681759';
const ISO = 'ISO 10823, from memory; agrees with the inch formulas within 1 %';

interface Rated extends DriveInput {
  readonly neededKw: number;
  readonly constants: AnsiConstants;
  readonly ansi: ReturnType<typeof ansiRatingKw>;
  /** null where the standard has none: it has no light and no bush chains of its own. */
  readonly iso: ReturnType<typeof isoRatingKw> | null;
}

const FIGURES: readonly FigureRow<Rated>[] = [
  row(
    'neededPowerKw',
    (d) => `power with ${d.service.replace('-', ' ')}, factor ${APPLICATION_FACTOR[d.service]}`,
    'power',
    {
      value: (d) => d.neededKw,
      digits: 2,
      formula: 'P f1',
      source: 'ISO 10823 application factor, from memory',
    },
  ),
  row('correctedPowerKw', 'the same for tables of a 19-tooth wheel', 'power', {
    value: (d) => correctedPowerKw(d.powerKw, d.service, d.teeth),
    digits: 2,
    formula: (d) => `P f1 f2, f2 = (19 / z1)^1.08 = ${toothFactor(d.teeth).toFixed(2)}`,
    source: 'Selection of chain drive power (GB/T 18150 / ISO 10823), jeremywellindustry.com',
  }),
  row('ansiPlateKw', 'ANSI rating, link plate', 'power', {
    value: (d) => d.ansi.plateKw,
    digits: 2,
    limit: (d) => should('at least', d.neededKw, ANSI),
    formula: (d) => `HP = ${d.constants.k1} N^1.08 n^0.9 P^(3 - 0.07 P)`,
    source: ANSI,
  }),
  row('ansiRollerKw', 'ANSI rating, roller and bush', 'power', {
    value: (d) => d.ansi.rollerKw,
    digits: 2,
    limit: (d) => should('at least', d.neededKw, ANSI),
    formula: (d) => `HP = ${d.constants.k2 * 1000} N^1.5 P^0.8 / n^1.5`,
    source: ANSI,
  }),
  row('isoPlateKw', 'ISO rating, link plate', 'power', {
    value: (d) => d.iso && d.iso.plateKw,
    digits: 2,
    limit: (d) => should('at least', d.neededKw, ISO),
    formula: 'Pc = 0.003 z1^1.08 n1^0.9 (p/25.4)^(3 - 0.0028 p)',
    source: ISO,
  }),
  row('isoRollerKw', 'ISO rating, roller and bush', 'power', {
    value: (d) => d.iso && d.iso.rollerKw,
    digits: 2,
    limit: (d) => should('at least', d.neededKw, ISO),
    formula: 'Pc = 953.5 z1^1.5 p^0.8 / n1^1.5',
    source: ISO,
  }),
];

export function driveRating(input: DriveInput): FigureSection {
  const { chain, teeth, speedRpm, powerKw, service } = input;
  const constants = ansiConstants(chain.designation);
  const rated: Rated = {
    ...input,
    neededKw: powerKw * APPLICATION_FACTOR[service],
    constants,
    ansi: ansiRatingKw(constants, teeth, speedRpm, chain.pitchMm),
    iso: constants === USUAL ? isoRatingKw(teeth, speedRpm, chain.pitchMm) : null,
  };
  const figures = figuresOf(FIGURES, rated);
  return { id: 'rating', title: 'Power rating', figures, remarks: remarksOf(rated) };
}

/** Chains of ISO 606 proper. */
const RATED = /^(0[4-8]|1[0-9]|2[0-9])[ABC]\b|^085\b/;

function remarksOf({ chain, teeth, otherTeeth, constants }: Rated): string[] {
  const remarks = [
    `Ratings hold for ratios to 3, good lubrication, 15000 h and 3 % wear; constants of ${constants.chain}.`,
  ];
  if (chain.designation === null || !RATED.test(chain.designation)) {
    remarks.push('This chain is outside the rated series: read the ratings as orientation only.');
  }
  if (otherTeeth / teeth > 3 || teeth / otherTeeth > 3) {
    remarks.push('The ratio is over 3, for which the ratings are a little high.');
  }
  return remarks;
}
