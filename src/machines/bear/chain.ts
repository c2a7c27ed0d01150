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

/** Time within which a cut comes on, from nothing to full. s. Common practice, no source: a lead-in
 *  of half a millimetre at 600 mm/min. */
const ENTRY_S = 0.05;

/** What the rotor feels at one frequency. */
export interface RotorAnswer {
  /** Dynamic stiffness of all but the field as the rotor feels it, over the field's rate. */
  readonly re: number;
  readonly im: number;
  /** Share of a force at the head that reaches a rotor held fast. */
  readonly reach: number;
}

/** Step in frequency for a slope, relative. */
const SLOPE_STEP = 0.005;
/** Share of the field's rate that is left to a swing of 52 degrees, 2 J1(a) / a: resonances have come
 *  down as far on the way to the loss. Chosen by our simulation in time of 3,500 cuts: two are unsafe by
 *  more than 5 %, at the whole rate seven. */
const SWUNG = 0.9;

/**
 * Lag of a swing over the lag of the same force at rest, as it is at its largest after an entry, both on
 * a field of the rate that swings leave, c = `SWUNG`.
 *
 * With the stiffness D = re + c + i im over the field's, the nearest natural frequency lies some
 * d = |re + c| / |dD/d omega| off and a sway there dies away at e = |im| over the same. The size of the swing then follows
 * z' = -(e + i d) z + force, and a force that comes on evenly within T takes it to 1 + |q| e^(-e t)
 * of its end value, |q| <= (1 + e^(-e T)) / (|e + i d| T), half a beat later or t = pi / 2 d at least.
 * Source: derived, variation of constants; one mode at a time.
 */
export function swingGain(chain: Chain, radPerS: number): number {
  const { re, im, reach } = rotorAnswer(chain, radPerS);
  const next = rotorAnswer(chain, radPerS * (1 + SLOPE_STEP));
  const slope = hypot(next.re - re, next.im - im) / (radPerS * SLOPE_STEP);
  const off = Math.abs(re + SWUNG) / slope;
  const dies = Math.abs(im) / slope;
  const size = Math.sqrt(off * off + dies * dies);
  const past = Math.min(1, (1 + exp(-dies * ENTRY_S)) / (size * ENTRY_S));
  return (SWUNG * reach * (1 + past * exp((-dies * Math.PI) / (2 * off)))) / (size * slope);
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
  const k2 = driveNPerM * driveNPerM + driveC * driveC;
  return {
    re: (s * rotorKg + (pRe * sumRe + pIm * sumIm) / sum2) / field,
    im: (rotorC + (pIm * sumRe - pRe * sumIm) / sum2) / field,
    reach: Math.sqrt((k2 / sum2) * (tRe * tRe + tIm * tIm)),
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
