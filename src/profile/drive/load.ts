/** Pull in the chain and how far it is from breaking. Forces N, powers kW, torques N m, speeds m/s. */
import { type FigureSection, figure, known, should } from '../../model/figure.js';
import { pitchDiameterMm } from '../standard/limits.js';
import { APPLICATION_FACTOR } from './rating.js';
import { type DriveInput, chainSpeedMPerS } from './speed.js';

/** Mass of a single-strand roller chain over the square of its pitch, kg/m / mm2: from memory of
 *  makers' tables for 08A to 16A (0.6 to 2.6 kg/m), which it gives within 10 %. */
const MASS_PER_PITCH_SQUARED = 0.004;

/** Torque of a held motor over its rated torque where it is not given: what a current-limited
 *  controller for a direct-current motor lets through. Judgement, no source. */
const STALL_FACTOR = 2.5;

const BREAKING =
  'Roller chain, encyclopaedia article (liquisearch.com/roller_chain/chain_strength): at most 1/6 of the tensile strength with a press-fit link, 1/9 with a slip-fit link';

/** Safety factors of that source. */
const PRESS_FIT_FACTOR = 6;
const SLIP_FIT_FACTOR = 9;
/** A stall is rare. */
const STALL_SAFETY = 3;
const STALL_SAFETY_SOURCE = 'half the factor of a running drive; judgement, no source';

/** Torques on the sprocket, N m: rated, with shocks in running, and with the motor held. */
export function sprocketTorques(
  input: Pick<DriveInput, 'powerKw' | 'speedRpm' | 'service' | 'stallTorqueNm'>,
): { readonly ratedNm: number; readonly shockNm: number; readonly stallNm: number } {
  const ratedNm = (input.powerKw * 1000) / ((input.speedRpm * 2 * Math.PI) / 60);
  const shockNm = ratedNm * APPLICATION_FACTOR[input.service];
  return { ratedNm, shockNm, stallNm: input.stallTorqueNm ?? STALL_FACTOR * ratedNm };
}

export function driveLoad(input: DriveInput): FigureSection {
  const { pitchMm, minTensileN: tensileN } = input.chain;
  const { ratedNm, stallNm } = sprocketTorques(input);
  const speed = chainSpeedMPerS(input);
  const ratedN = (1000 * input.powerKw) / speed;
  // Of a double-pitch chain the base chain's, which is a little heavier.
  const massPitchMm = input.chain.doublePitch ? pitchMm / 2 : pitchMm;
  const centrifugalN = MASS_PER_PITCH_SQUARED * massPitchMm ** 2 * speed ** 2;
  const stallN = (2000 * stallNm) / pitchDiameterMm(pitchMm, input.teeth);
  const stallGiven = input.stallTorqueNm !== null;
  const running = tensileN && tensileN / (ratedN + centrifugalN);
  const held = tensileN && tensileN / stallN;
  const figures = known([
    figure('ratedTorqueNm', 'rated torque on this sprocket', 'torque', ratedNm, {
      formula: 'T = 1000 P 60 / (2 pi n1)',
      source: 'definition of power',
    }),
    figure('ratedPullN', 'pull of the chain at rated power', 'force', ratedN, {
      formula: 'F = 1000 P / v',
      source: 'novasolver.jp roller chain drive text',
    }),
    figure('centrifugalN', 'pull by its own mass at speed', 'force', centrifugalN, {
      formula: 'Fc = m v^2, m about 0.0040 p^2 kg/m',
      source: 'PSG design data, chain drives; m from memory of makers tables',
    }),
    figure('stallPullN', 'pull with the motor held', 'force', stallN, {
      formula: stallGiven ? 'F = 2000 T stall / d' : `F = 2000 x ${STALL_FACTOR} T / d`,
      source: 'elementary statics',
    }),
    figure('runningSafety', 'safety on breaking load, running', 'ratio', running, {
      digits: 1,
      limit: should('at least', SLIP_FIT_FACTOR, BREAKING),
      formula: `Fu / (F + Fc), Fu ${tensileN} N; ${PRESS_FIT_FACTOR} is enough with riveted links only`,
      source: BREAKING,
    }),
    figure('stallSafety', 'safety on breaking load, motor held', 'ratio', held, {
      digits: 1,
      limit: should('at least', STALL_SAFETY, STALL_SAFETY_SOURCE),
      formula: 'Fu / F stall',
      source: BREAKING,
    }),
  ]);
  const remarks: string[] = [];
  if (!stallGiven) {
    remarks.push(`Stall torque is not given: ${STALL_FACTOR} times the rated torque is assumed.`);
  }
  if (tensileN === null) {
    remarks.push('The breaking load of this chain is not known, so there is no safety factor.');
  }
  return { id: 'load', title: 'Pull of the chain', figures, remarks };
}

/** The lower of the safeties on breaking load against its limit: running, and with the motor held where
 *  its torque is given; null where the breaking load is not known. */
export function breakingSafety(input: DriveInput) {
  const { figures } = driveLoad(input);
  const safety = (key: string, when: string) => {
    const found = figures.find((f) => f.key === key);
    return found?.limit ? [{ value: found.value, limit: found.limit.value, when }] : [];
  };
  const held = input.stallTorqueNm === null ? [] : safety('stallSafety', 'with the motor held');
  return [...safety('runningSafety', 'in running'), ...held].reduce<{
    value: number;
    limit: number;
    when: string;
  } | null>(
    (worst, s) => (worst && worst.value / worst.limit <= s.value / s.limit ? worst : s),
    null,
  );
}
