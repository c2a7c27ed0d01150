/**
 * Power ratings of single-strand chains: a check that the chain is large enough and the wheel not
 * too small or too fast, beside the power it has to carry. z and N teeth, n rpm, p pitch.
 */
import { pow } from '../../maths/elementary.js';
import { type FigureSection, figure, known, should } from '../../model/figure.js';
import type { Service } from '../../model/job.js';
import { KW_PER_HP, MM_PER_INCH } from '../../text/units.js';
import {
  DERATING_SOURCE,
  LUBRICATION_SOURCE,
  LUBRICATION_WORDS,
  lubricationFor,
  ratingShare,
} from './lubrication.js';
import { type DriveInput, chainSpeedMPerS } from './speed.js';

/** Constants of the ANSI formulas, K1 link plate and K2 roller and bush: No. 41, the bush chains 25
 *  and 35, and the rest from 40 on; a chain outside ANSI gets those of the usual row. */
const LIGHT = { k1: 0.0022, k2: 3.4, chain: 'No. 41', name: /^085\b/ };
const BUSH = { k1: 0.004, k2: 29, chain: 'No. 25 and 35', name: /^(03C|04C|06C|25H|35H)\b/ };
const USUAL = { k1: 0.004, k2: 17, chain: 'No. 40 to 240', name: /^/ };

/** Chains of ISO 606 proper. */
const RATED = /^(0[4-8]|1[0-9]|2[0-9])[ABC]\b|^085\b/;

/** Application factor f1 for a motor that itself runs smoothly. ISO 10823, from memory. */
export const APPLICATION_FACTOR: Readonly<Record<Service, number>> = {
  smooth: 1.0,
  'moderate-shock': 1.4,
  'heavy-shock': 1.8,
};

/** Newer tables are up to 1.5 times higher, so this is the safe side. */
const ANSI = 'Roller Chains: horsepower capacity formulas, scribd.com/doc/232681759';
/** The inch formulas converted give 0.00298 and 953.1. */
const ISO = 'ISO 10823, from memory; agrees with the inch formulas within 1 %';
const CORRECTION =
  'Selection of chain drive power (GB/T 18150 / ISO 10823), jeremywellindustry.com';

/** Ratings limited by link-plate fatigue and by roller and bush impact, kW. */
function ratingsKw({ k1, k2 }: typeof USUAL, { chain: own, teeth: z, speedRpm: rpm }: DriveInput) {
  // A double-pitch chain has pins, bushes and rollers of its base chain: rated as that. Judgement.
  const per = own.doublePitch ? 2 : 1;
  const [chain, teeth] = [{ pitchMm: own.pitchMm / per }, per * z];
  const p = chain.pitchMm / MM_PER_INCH;
  return {
    plate: k1 * pow(teeth, 1.08) * pow(rpm, 0.9) * pow(p, 3 - 0.07 * p) * KW_PER_HP,
    roller: ((1000 * k2 * pow(teeth, 1.5) * pow(p, 0.8)) / pow(rpm, 1.5)) * KW_PER_HP,
    isoPlate: 0.003 * pow(teeth, 1.08) * pow(rpm, 0.9) * pow(p, 3 - 0.0028 * chain.pitchMm),
    isoRoller: (953.5 * pow(teeth, 1.5) * pow(chain.pitchMm, 0.8)) / pow(rpm, 1.5),
  };
}

export function driveRating(input: DriveInput): FigureSection {
  const { chain, teeth, powerKw, service } = input;
  const constants = [LIGHT, BUSH, USUAL].find((c) => c.name.test(chain.designation ?? ''))!;
  const { k1, k2 } = constants;
  const kw = ratingsKw(constants, input);
  const speed = chainSpeedMPerS(input);
  const oil = input.lubrication;
  const share = oil === null ? 1 : ratingShare(chain.pitchMm, speed, oil);
  const allowedKw = share * Math.min(kw.plate, kw.roller);
  // The standard has no light and no bush chains of its own.
  const iso = constants === USUAL;
  const factor = APPLICATION_FACTOR[service];
  const neededKw = powerKw * factor;
  const needed = `power with ${service.replace('-', ' ')}, factor ${factor}`;
  const toothFactor = pow(19 / teeth, 1.08);
  const correctedKw = neededKw * toothFactor;
  const ansi = { limit: should('at least', neededKw / share, ANSI), source: ANSI };
  const byIso = { limit: should('at least', neededKw / share, ISO), source: ISO };
  const figures = known([
    figure('neededPowerKw', needed, 'power', neededKw, {
      formula: 'P f1',
      source: 'ISO 10823 application factor, from memory',
    }),
    figure('correctedPowerKw', 'the same for tables of a 19-tooth wheel', 'power', correctedKw, {
      formula: `P f1 f2, f2 = (19 / z1)^1.08 = ${toothFactor.toFixed(2)}`,
      source: CORRECTION,
    }),
    figure('ansiPlateKw', 'ANSI rating, link plate', 'power', kw.plate, {
      ...ansi,
      formula: `HP = ${k1} N^1.08 n^0.9 P^(3 - 0.07 P)`,
    }),
    figure('ansiRollerKw', 'ANSI rating, roller and bush', 'power', kw.roller, {
      ...ansi,
      formula: `HP = ${k2 * 1000} N^1.5 P^0.8 / n^1.5`,
    }),
    figure('isoPlateKw', 'ISO rating, link plate', 'power', iso ? kw.isoPlate : null, {
      ...byIso,
      formula: 'Pc = 0.003 z1^1.08 n1^0.9 (p/25.4)^(3 - 0.0028 p)',
    }),
    figure('isoRollerKw', 'ISO rating, roller and bush', 'power', iso ? kw.isoRoller : null, {
      ...byIso,
      formula: 'Pc = 953.5 z1^1.5 p^0.8 / n1^1.5',
    }),
    figure('lubricationShare', 'share of the rating left with this oiling', 'share', share, {
      formula: 'by the kind of oiling that the speed asks for',
      source: DERATING_SOURCE,
    }),
    figure('allowedPowerKw', 'power that the chain may carry so', 'power', allowedKw, {
      limit: should('at least', neededKw, ANSI),
      formula: 'the lower ANSI rating x that share',
      source: ANSI,
    }),
  ]);
  const remarks = [...remarksOf(input, constants.chain), oilRemark(input, speed, share)];
  return { id: 'rating', title: 'Power rating', figures, remarks };
}

/** What the chain may carry and has to carry, kW, and whether its ratings are more than orientation. */
export function ratedPower(input: DriveInput) {
  const value = (key: string): number =>
    driveRating(input).figures.find((f) => f.key === key)!.value;
  return {
    allowedKw: value('allowedPowerKw'),
    neededKw: value('neededPowerKw'),
    sure: RATED.test(input.chain.designation ?? ''),
  };
}

function oilRemark({ chain, lubrication }: DriveInput, speed: number, share: number): string {
  const asked = LUBRICATION_WORDS[lubricationFor(chain.pitchMm, speed)];
  const at = `At ${speed.toFixed(2)} m/s the chain asks for ${asked} (${LUBRICATION_SOURCE})`;
  if (lubrication === null)
    return `${at}; the drive does not say what it gets (drive.lubrication).`;
  if (share === 1) return `${at}, and gets it.`;
  return `${at} and gets ${LUBRICATION_WORDS[lubrication]}: some ${(100 * share).toFixed(0)} % of the rating is left (${DERATING_SOURCE}).`;
}

function remarksOf({ chain, teeth, otherTeeth }: DriveInput, rated: string): string[] {
  const remarks = [
    `Ratings hold for ratios to 3, oiling as the speed asks for, 15000 h and 3 % wear; constants of ${rated}.`,
  ];
  if (!RATED.test(chain.designation ?? '')) {
    remarks.push('This chain is outside the rated series: read the ratings as orientation only.');
  }
  if (chain.doublePitch) {
    remarks.push(
      'A double-pitch chain is rated here as its base chain with twice the teeth; it is for slow drives.',
    );
  }
  if (otherTeeth / teeth > 3 || teeth / otherTeeth > 3) {
    remarks.push('The ratio is over 3, for which the ratings are a little high.');
  }
  return remarks;
}
