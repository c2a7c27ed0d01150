/**
 * An axis as it swings: rotor on the spring of its magnetic field, screw or belt, carriage, the give
 * of the frame, and the head with the spindle, which the cutting force shakes.
 *
 *   field --F sin(2 pi x / period)-- [rotor] --screw, belt-- [carriage] --frame-- [head] <- force
 *
 * Everything as seen along the axis. Source: Newton's law for three masses in a row.
 */
import { exp, hypot } from '../../maths/elementary.js';
import { TURN_RAD } from '../../maths/angle.js';

/** One axis with every figure known. SI: newtons, kilograms, metres, seconds. */
export interface Chain {
  /** Greatest force of the field on the rotor. */
  readonly thrustN: number;
  /** After which the field repeats. */
  readonly periodM: number;
  readonly rotorKg: number;
  readonly carriageKg: number;
  readonly headKg: number;
  /** Screw or belt, and frame. N/m */
  readonly driveNPerM: number;
  readonly frameNPerM: number;
  /** Damping ratios: rotor on its field, carriage on the screw or belt, head on the frame. */
  readonly rotorDamping: number;
  readonly driveDamping: number;
  readonly frameDamping: number;
}

/** Rate of the field's spring at its middle: the slope of F sin(2 pi x / period). N/m */
export function fieldNPerM({ thrustN, periodM }: Chain): number {
  return (TURN_RAD * thrustN) / periodM;
}

/** Time within which a cut comes on, from nothing to full. s. A lead-in of half a millimetre at 600 mm/min;
 *  of the examples' passes the quickest come on so, half of them in twice to eight times as long. */
const ENTRY_S = 0.05;

/** What the rotor feels at one frequency. */
export interface RotorAnswer {
  /** Dynamic stiffness of all but the field as the rotor feels it, over the field's rate. */
  readonly re: number;
  readonly im: number;
  /** Share of a force at the head that reaches a rotor held fast. */
  readonly reachRe: number;
  readonly reachIm: number;
}

/** Step in frequency for a slope, relative. */
const SLOPE_STEP = 0.005;
/**
 * Share of the field's rate that is left to a swing of some size, 2 J1(a) / a for a radians of the field's
 * sine: of 1.1 rad, on which a swing comes up to its resonance, and of 1.5 rad, on which one that is over
 * its resonance has come away from it. Source of the share: describing function of a sine. Sizes chosen
 * by our simulation in time, see `drive`.
 */
const SWUNG = 0.85;
const SWUNG_OVER = 0.744;
const OVER_RAD = 1.5;
/** Dynamic stiffness at half a swing's frequency, over the field's rate, at which the swing feeds a mode
 *  there: a field that mean and swing have taken down to 0.6 and less is as good as lost without it. */
const FED = { low: -1.1, high: -0.6 } as const;

/**
 * Lag of a swing over the lag of the same force at rest, as it is at its largest after an entry. The
 * field's sine softens as the lag swings, so that resonances come down:
 *
 *  - a swing slower than them meets its resonance: reckoned on the rate that is left then, `SWUNG`;
 *  - a faster one leaves it behind: no more than the force, over the thrust, that swings it by `OVER_RAD`
 *    on the rate that is left there. Unless it feeds a mode of half its frequency (parametric resonance of a
 *    spring that the swing softens twice a period): such a one is taken as the slower ones.
 */
export function swingGain(chain: Chain, radPerS: number): number {
  const step = SLOPE_STEP * radPerS;
  const [at, next] = [rotorAnswer(chain, radPerS), rotorAnswer(chain, radPerS + step)];
  const gain = SWUNG * lagOnRate(at, next, step, SWUNG);
  if (at.re > -SWUNG_OVER) return gain;
  const { re } = rotorAnswer(chain, radPerS / 2);
  if (re > FED.low && re < FED.high) return gain;
  return Math.min(gain, lagOnRate(at, next, step, SWUNG_OVER) / OVER_RAD);
}

/**
 * Largest lag after an entry, over that of the same force at rest, on a field of a share c of its rate.
 *
 * The lag is G = reach / D with D = re + c + i im over the field's rate. A natural frequency that lies d off
 * and whose sway dies away at e makes d + i e of D / D' where it is D that runs through zero there, and of
 * -G / G' where G is all of that mode, as beside a frequency at which the rotor holds the rest fast and D has
 * no end. The greater overshoot of both counts.
 * Source: derived; the slopes D' and G' by omega, one mode at a time.
 * @param next  at a frequency higher by `step`
 */
function lagOnRate(at: RotorAnswer, next: RotorAnswer, step: number, c: number): number {
  const slope = hypot(next.re - at.re, next.im - at.im) / step;
  const [gRe, gIm] = lagOf(at, c);
  const [nextRe, nextIm] = lagOf(next, c);
  const [dRe, dIm] = [(nextRe - gRe) / step, (nextIm - gIm) / step];
  const d2 = dRe * dRe + dIm * dIm;
  const off = (gRe * dRe + gIm * dIm) / d2;
  const dies = (gIm * dRe - gRe * dIm) / d2;
  const past = Math.max(
    swingOvershoot((at.re + c) / slope, at.im / slope),
    swingOvershoot(off, dies),
  );
  return hypot(gRe, gIm) * (1 + past);
}

/** The lag of a swing on a field of a share c of its rate, over that of the same force at rest. */
function lagOf({ re, im, reachRe, reachIm }: RotorAnswer, c: number): readonly [number, number] {
  const d2 = (re + c) * (re + c) + im * im;
  return [(reachRe * (re + c) + reachIm * im) / d2, (reachIm * (re + c) - reachRe * im) / d2];
}

/**
 * Share by which a swing goes past its end size after an entry. It follows z' = -(e + i d) z + force, and a
 * force that comes on evenly within T takes it to 1 + |q| e^(-e t) of its end size,
 * |q| <= (1 + e^(-e T)) / (|e + i d| T), half a beat later or t = pi / 2 d at least.
 * Source: derived, variation of constants.
 */
function swingOvershoot(offPerS: number, diesPerS: number): number {
  const [off, dies] = [Math.abs(offPerS), Math.abs(diesPerS)];
  const size = Math.sqrt(off * off + dies * dies);
  const past = Math.min(1, (1 + exp(-dies * ENTRY_S)) / (size * ENTRY_S));
  return past * exp((-dies * Math.PI) / (2 * off));
}

/**
 * With s = -omega^2 and complex springs k + i omega c: the head hands T = k / (k + s m3) of the force
 * on to a carriage held fast and acts on it as s m3 T; carriage and head, K2 = s m2 + s m3 T, and the
 * screw K in series load the rotor with K K2 / (K + K2).
 */
export function rotorAnswer(chain: Chain, radPerS: number): RotorAnswer {
  const { rotorKg, carriageKg, headKg, driveNPerM, frameNPerM } = chain;
  const s = -radPerS * radPerS;
  const field = fieldNPerM(chain);
  const rotorC = 2 * chain.rotorDamping * Math.sqrt(field * rotorKg) * radPerS;
  const driveC = 2 * chain.driveDamping * Math.sqrt(driveNPerM * carriageKg) * radPerS;
  const frameC = 2 * chain.frameDamping * Math.sqrt(frameNPerM * headKg) * radPerS;
  // T = k / d
  const dRe = frameNPerM + s * headKg;
  const d2 = dRe * dRe + frameC * frameC;
  const tRe = (frameNPerM * dRe + frameC * frameC) / d2;
  const tIm = (frameC * dRe - frameNPerM * frameC) / d2;
  // K2, and K + K2
  const k2Re = s * (carriageKg + headKg * tRe);
  const k2Im = s * headKg * tIm;
  const sumRe = k2Re + driveNPerM;
  const sumIm = k2Im + driveC;
  const sum2 = sumRe * sumRe + sumIm * sumIm;
  // K K2 / (K + K2)
  const pRe = driveNPerM * k2Re - driveC * k2Im;
  const pIm = driveNPerM * k2Im + driveC * k2Re;
  // K / (K + K2), of what the head hands on
  const shareRe = (driveNPerM * sumRe + driveC * sumIm) / sum2;
  const shareIm = (driveC * sumRe - driveNPerM * sumIm) / sum2;
  return {
    re: (s * rotorKg + (pRe * sumRe + pIm * sumIm) / sum2) / field,
    im: (rotorC + (pIm * sumRe - pRe * sumIm) / sum2) / field,
    reachRe: shareRe * tRe - shareIm * tIm,
    reachIm: shareRe * tIm + shareIm * tRe,
  };
}

/** Share of the field's rate at which the sway after an entry is reckoned: softened as by 0.87 of the
 *  thrust. */
const SOFTENED = 0.5;

/**
 * Share by which the lag swings past its end value when the mean comes on evenly within ENTRY_S: each
 * of the two corners of the ramp leaves a sway of 1 / (omega t), and the first dies away over the
 * ramp. omega bounds the lowest natural frequency from below, 1/omega^2 = sum of mass times give
 * (Dunkerley; any text on mechanical vibration).
 */
export function entryOvershoot(chain: Chain): number {
  const field = 1 / (SOFTENED * fieldNPerM(chain));
  const drive = field + 1 / chain.driveNPerM;
  const frame = drive + 1 / chain.frameNPerM;
  const squared = chain.rotorKg * field + chain.carriageKg * drive + chain.headKg * frame;
  const along = ENTRY_S / Math.sqrt(squared);
  return Math.min(1, (1 + exp(-chain.frameDamping * along)) / along);
}
