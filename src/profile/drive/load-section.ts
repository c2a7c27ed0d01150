/** Pull in the chain and how far it is from breaking. */
import type { DriveInput } from './drive.js';
import { APPLICATION_FACTOR } from './rating.js';
import { chainSpeedMPerS } from './speed.js';
import { centrifugalN, massKgPerM, pullFromPowerN, pullFromTorqueN, torqueNm } from './tension.js';
import { type Figure, type FigureSection, STATICS, figure } from '../../model/figure.js';
import { pitchDiameterMm } from '../standard/limits.js';

/** Torque of a held motor over its rated torque where it is not given: what a current-limited
 *  controller for a direct-current motor lets through. Judgement, no source. */
export const STALL_FACTOR = 2.5;

const BREAKING =
  'Roller chain, encyclopaedia article (liquisearch.com/roller_chain/chain_strength): at most 1/6 of the tensile strength with a press-fit link, 1/9 with a slip-fit link';

/** Safety factors of that source. */
export const PRESS_FIT_FACTOR = 6;
export const SLIP_FIT_FACTOR = 9;
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

export function driveLoad(input: DriveInput): FigureSection {
  const { chain, teeth, speedRpm, powerKw } = input;
  const v = chainSpeedMPerS(teeth, chain.pitchMm, speedRpm);
  const d = pitchDiameterMm(chain.pitchMm, teeth);
  const { ratedNm, stallNm } = sprocketTorques(input);
  const centrifugal = centrifugalN(massKgPerM(chain.pitchMm), v);
  const rated = pullFromPowerN(powerKw, v);
  const stall = pullFromTorqueN(stallNm, d);
  const figures: Figure[] = [
    figure({
      key: 'ratedTorqueNm',
      label: 'rated torque on this sprocket',
      kind: 'torque',
      value: ratedNm,
      formula: 'T = 1000 P 60 / (2 pi n1)',
      source: 'definition of power',
    }),
    figure({
      key: 'ratedPullN',
      label: 'pull of the chain at rated power',
      kind: 'force',
      value: rated,
      formula: 'F = 1000 P / v',
      source: 'novasolver.jp roller chain drive text',
    }),
    figure({
      key: 'centrifugalN',
      label: 'pull by its own mass at speed',
      kind: 'force',
      value: centrifugal,
      formula: 'Fc = m v^2, m about 0.0040 p^2 kg/m',
      source: 'PSG design data, chain drives; m from memory of makers tables',
    }),
    figure({
      key: 'stallPullN',
      label: 'pull with the motor held',
      kind: 'force',
      value: stall,
      formula:
        input.stallTorqueNm === null ? `F = 2000 x ${STALL_FACTOR} T / d` : 'F = 2000 T stall / d',
      source: STATICS,
    }),
  ];
  const remarks =
    input.stallTorqueNm === null
      ? [`Stall torque is not given: ${STALL_FACTOR} times the rated torque is assumed.`]
      : [];
  if (chain.minTensileN === null) {
    remarks.push('The breaking load of this chain is not known, so there is no safety factor.');
  } else {
    figures.push(...factors(chain.minTensileN, rated + centrifugal, stall));
  }
  return { id: 'load', title: 'Pull of the chain', figures, remarks };
}

function factors(tensileN: number, runningN: number, stallN: number): Figure[] {
  return [
    figure({
      key: 'runningSafety',
      label: 'safety on breaking load, running',
      kind: 'ratio',
      value: tensileN / runningN,
      digits: 1,
      limit: { rule: 'at least', value: SLIP_FIT_FACTOR, weight: 'should', source: BREAKING },
      formula: `Fu / (F + Fc), Fu ${tensileN} N; ${PRESS_FIT_FACTOR} is enough with riveted links only`,
      source: BREAKING,
    }),
    figure({
      key: 'stallSafety',
      label: 'safety on breaking load, motor held',
      kind: 'ratio',
      value: tensileN / stallN,
      digits: 1,
      limit: {
        rule: 'at least',
        value: STALL_SAFETY,
        weight: 'should',
        source: 'half the factor of a running drive; judgement, no source',
      },
      formula: 'Fu / F stall',
      source: BREAKING,
    }),
  ];
}
