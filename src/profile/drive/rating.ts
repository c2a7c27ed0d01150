/**
 * Power ratings of single-strand chains: a check that the chain is large enough and the wheel not
 * too small or too fast. z and N teeth, n rpm, p pitch.
 */
import { MM_PER_INCH } from '../standard/limits.js';

/** Mechanical horsepower, 550 ft lbf/s, from the international foot and pound. */
export const KW_PER_HP = (550 * 12 * (MM_PER_INCH / 1000) * 0.45359237 * 9.80665) / 1000;

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
 * HP = K1 N^1.08 n^0.9 P^(3.0 - 0.07 P), limited by link-plate fatigue.
 * Source: Roller Chains: dimensions and horsepower capacity formulas, scribd.com/doc/232681759.
 * Newer tables are up to 1.5 times higher, so this is the safe side.
 */
export function ansiPlateHp(k: AnsiConstants, teeth: number, rpm: number, pitchIn: number): number {
  return k.k1 * teeth ** 1.08 * rpm ** 0.9 * pitchIn ** (3.0 - 0.07 * pitchIn);
}

/** HP = 1000 K2 N^1.5 P^0.8 / n^1.5, limited by roller and bush impact. Same source. */
export function ansiRollerHp(
  k: AnsiConstants,
  teeth: number,
  rpm: number,
  pitchIn: number,
): number {
  return (1000 * k.k2 * teeth ** 1.5 * pitchIn ** 0.8) / rpm ** 1.5;
}

/** Rating in kW, the lower of the two. */
export function ansiRatingKw(
  k: AnsiConstants,
  teeth: number,
  rpm: number,
  pitchMm: number,
): { readonly plateKw: number; readonly rollerKw: number } {
  const p = pitchMm / MM_PER_INCH;
  return {
    plateKw: ansiPlateHp(k, teeth, rpm, p) * KW_PER_HP,
    rollerKw: ansiRollerHp(k, teeth, rpm, p) * KW_PER_HP,
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

export type Service = 'smooth' | 'moderate-shock' | 'heavy-shock';

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

export function toothFactor(teeth: number): number {
  return (19 / teeth) ** 1.08;
}
