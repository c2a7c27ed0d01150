/** Pull in the chain and how far it is from breaking. Forces N, powers kW, torques N m, speeds m/s. */
import { type FigureRow, type FigureSection, STATICS } from '../../model/figure.js';
import { figuresOf, row, should } from '../../model/figure.js';
import { pitchDiameterMm } from '../standard/limits.js';
import type { DriveInput } from './input.js';
import { APPLICATION_FACTOR } from './rating.js';
import { chainSpeedMPerS } from './speed.js';

/** T = 9549 P / n. N m. Definition: power is torque times angular speed. */
export function torqueNm(powerKw: number, rpm: number): number {
  return (powerKw * 1000) / ((rpm * 2 * Math.PI) / 60);
}

/** F = 1000 P / v. N. Source: novasolver.jp roller chain drive text; definition of power. */
export function pullFromPowerN(powerKw: number, speedMPerS: number): number {
  return (1000 * powerKw) / speedMPerS;
}

/** F = 2000 T / d on the pitch circle. N; d mm. Statics. */
export function pullFromTorqueN(torque: number, pitchDiameterMm: number): number {
  return (2000 * torque) / pitchDiameterMm;
}

/** Fc = m v^2. N; m kg/m. Source: PSG design data, chain drive design procedure
 *  (scribd.com/document/615327214). */
export function centrifugalN(massKgPerM: number, speedMPerS: number): number {
  return massKgPerM * speedMPerS ** 2;
}

/** Mass of a single-strand roller chain, about 0.0040 p^2 kg/m (p mm): from memory of makers' tables
 *  for 08A to 16A (0.6 to 2.6 kg/m), which it gives within 10 %. */
export function massKgPerM(pitchMm: number): number {
  return 0.004 * pitchMm ** 2;
}

/** Torque of a held motor over its rated torque where it is not given: what a current-limited
 *  controller for a direct-current motor lets through. Judgement, no source. */
const STALL_FACTOR = 2.5;

const BREAKING =
  'Roller chain, encyclopaedia article (liquisearch.com/roller_chain/chain_strength): at most 1/6 of the tensile strength with a press-fit link, 1/9 with a slip-fit link';

/** Safety factors of that source. */
const PRESS_FIT_FACTOR = 6;
const SLIP_FIT_FACTOR = 9;
/** A stall is rare: half the factor of a running drive. Judgement, no source. */
const STALL_SAFETY = 3;

/** Torques on the sprocket, N m: rated, with shocks in running, and with the motor held. */
export function sprocketTorques(
  input: Pick<DriveInput, 'powerKw' | 'speedRpm' | 'service' | 'stallTorqueNm'>,
): { readonly ratedNm: number; readonly shockNm: number; readonly stallNm: number } {
  const ratedNm = torqueNm(input.powerKw, input.speedRpm);
  const shockNm = ratedNm * APPLICATION_FACTOR[input.service];
  return { ratedNm, shockNm, stallNm: input.stallTorqueNm ?? STALL_FACTOR * ratedNm };
}

interface Pulls {
  readonly tensileN: number | null;
  readonly stallGiven: boolean;
  readonly ratedNm: number;
  readonly ratedN: number;
  readonly centrifugalN: number;
  readonly stallN: number;
}

function pullsOf(input: DriveInput): Pulls {
  const { chain, teeth, speedRpm } = input;
  const v = chainSpeedMPerS(teeth, chain.pitchMm, speedRpm);
  const { ratedNm, stallNm } = sprocketTorques(input);
  return {
    tensileN: chain.minTensileN,
    stallGiven: input.stallTorqueNm !== null,
    ratedNm,
    ratedN: pullFromPowerN(input.powerKw, v),
    centrifugalN: centrifugalN(massKgPerM(chain.pitchMm), v),
    stallN: pullFromTorqueN(stallNm, pitchDiameterMm(chain.pitchMm, teeth)),
  };
}

const FIGURES: readonly FigureRow<Pulls>[] = [
  row('ratedTorqueNm', 'rated torque on this sprocket', 'torque', {
    value: (f) => f.ratedNm,
    formula: 'T = 1000 P 60 / (2 pi n1)',
    source: 'definition of power',
  }),
  row('ratedPullN', 'pull of the chain at rated power', 'force', {
    value: (f) => f.ratedN,
    formula: 'F = 1000 P / v',
    source: 'novasolver.jp roller chain drive text',
  }),
  row('centrifugalN', 'pull by its own mass at speed', 'force', {
    value: (f) => f.centrifugalN,
    formula: 'Fc = m v^2, m about 0.0040 p^2 kg/m',
    source: 'PSG design data, chain drives; m from memory of makers tables',
  }),
  row('stallPullN', 'pull with the motor held', 'force', {
    value: (f) => f.stallN,
    formula: ({ stallGiven }) =>
      stallGiven ? 'F = 2000 T stall / d' : `F = 2000 x ${STALL_FACTOR} T / d`,
    source: STATICS,
  }),
  row('runningSafety', 'safety on breaking load, running', 'ratio', {
    value: (f) => f.tensileN && f.tensileN / (f.ratedN + f.centrifugalN),
    digits: 1,
    limit: should('at least', SLIP_FIT_FACTOR, BREAKING),
    formula: ({ tensileN }) =>
      `Fu / (F + Fc), Fu ${tensileN} N; ${PRESS_FIT_FACTOR} is enough with riveted links only`,
    source: BREAKING,
  }),
  row('stallSafety', 'safety on breaking load, motor held', 'ratio', {
    value: (f) => f.tensileN && f.tensileN / f.stallN,
    digits: 1,
    limit: should(
      'at least',
      STALL_SAFETY,
      'half the factor of a running drive; judgement, no source',
    ),
    formula: 'Fu / F stall',
    source: BREAKING,
  }),
];

export function driveLoad(input: DriveInput): FigureSection {
  const pulls = pullsOf(input);
  const remarks: string[] = [];
  if (!pulls.stallGiven) {
    remarks.push(`Stall torque is not given: ${STALL_FACTOR} times the rated torque is assumed.`);
  }
  if (pulls.tensileN === null) {
    remarks.push('The breaking load of this chain is not known, so there is no safety factor.');
  }
  return { id: 'load', title: 'Pull of the chain', figures: figuresOf(FIGURES, pulls), remarks };
}
