/** Ratings of the chain beside the power it has to carry. */
import type { DriveInput } from './drive.js';
import {
  APPLICATION_FACTOR,
  ansiConstants,
  ansiRatingKw,
  correctedPowerKw,
  isoRatingKw,
  toothFactor,
} from './rating.js';
import { type Figure, type FigureLimit, type FigureSection, figure } from '../../model/figure.js';

const ANSI = 'Roller Chains: horsepower capacity formulas, scribd.com/doc/232681759';
const ISO = 'ISO 10823, from memory; agrees with the inch formulas within 1 %';

export function driveRating(input: DriveInput): FigureSection {
  const { chain, teeth, speedRpm, powerKw, service } = input;
  const factor = APPLICATION_FACTOR[service];
  const needed = powerKw * factor;
  const constants = ansiConstants(chain.designation);
  const ansi = ansiRatingKw(constants, teeth, speedRpm, chain.pitchMm);
  const iso = isoRatingKw(teeth, speedRpm, chain.pitchMm);
  const limit = (source: string): FigureLimit => ({
    rule: 'at least',
    value: needed,
    weight: 'should',
    source,
  });
  const rating = (key: string, label: string, value: number, formula: string, source: string) =>
    figure({ key, label, kind: 'power', value, digits: 2, limit: limit(source), formula, source });
  const figures: Figure[] = [
    figure({
      key: 'neededPowerKw',
      label: `power with ${service.replace('-', ' ')}, factor ${factor}`,
      kind: 'power',
      value: needed,
      digits: 2,
      formula: 'P f1',
      source: 'ISO 10823 application factor, from memory',
    }),
    figure({
      key: 'correctedPowerKw',
      label: 'the same for tables of a 19-tooth wheel',
      kind: 'power',
      value: correctedPowerKw(powerKw, service, teeth),
      digits: 2,
      formula: `P f1 f2, f2 = (19 / z1)^1.08 = ${toothFactor(teeth).toFixed(2)}`,
      source: 'Selection of chain drive power (GB/T 18150 / ISO 10823), jeremywellindustry.com',
    }),
    rating(
      'ansiPlateKw',
      'ANSI rating, link plate',
      ansi.plateKw,
      `HP = ${constants.k1} N^1.08 n^0.9 P^(3 - 0.07 P)`,
      ANSI,
    ),
    rating(
      'ansiRollerKw',
      'ANSI rating, roller and bush',
      ansi.rollerKw,
      `HP = ${constants.k2 * 1000} N^1.5 P^0.8 / n^1.5`,
      ANSI,
    ),
  ];
  // ISO 10823 has no light and no bush chains of its own.
  if (constants.chain === 'No. 40 to 240') {
    figures.push(
      rating(
        'isoPlateKw',
        'ISO rating, link plate',
        iso.plateKw,
        'Pc = 0.003 z1^1.08 n1^0.9 (p/25.4)^(3 - 0.0028 p)',
        ISO,
      ),
      rating(
        'isoRollerKw',
        'ISO rating, roller and bush',
        iso.rollerKw,
        'Pc = 953.5 z1^1.5 p^0.8 / n1^1.5',
        ISO,
      ),
    );
  }
  return {
    id: 'rating',
    title: 'Power rating',
    figures,
    remarks: remarksOf(input, constants.chain),
  };
}

/** Chains of ISO 606 proper. */
const RATED = /^(0[4-8]|1[0-9]|2[0-9])[ABC]\b|^085\b/;

function remarksOf({ chain, teeth, otherTeeth }: DriveInput, constants: string): string[] {
  const remarks = [
    `Ratings hold for ratios to 3, good lubrication, 15000 h and 3 % wear; constants of ${constants}.`,
  ];
  if (chain.designation === null || !RATED.test(chain.designation)) {
    remarks.push('This chain is outside the rated series: read the ratings as orientation only.');
  }
  if (otherTeeth / teeth > 3 || teeth / otherTeeth > 3) {
    remarks.push('The ratio is over 3, for which the ratings are a little high.');
  }
  return remarks;
}
