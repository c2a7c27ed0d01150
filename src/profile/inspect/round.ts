/**
 * What readings taken round a turn say: a shift of the centre, seen as the first harmonic, an oval as
 * the second, and what is left over.
 *
 *   R_i = m + a cos t_i + b sin t_i,   e = sqrt(a^2 + b^2) towards atan2(b, a)
 *
 * Source: NIST/SEMATECH handbook 3.4.4 (harmonic fit); least squares circle, liquisearch.com
 * "roundness"; missing readings by the same least squares.
 */
import { atan2, cos, exp, hypot, sin } from '../../maths/elementary.js';
import { TURN_RAD, wrapRad } from '../../maths/angle.js';
import { leastSquares } from '../../maths/least-squares.js';
import { readingSd, sumOfSquares } from '../../maths/sample.js';

/** A shift across the axis, mm, with the standard deviation of each of its parts. */
export interface Shift {
  readonly a: number;
  readonly b: number;
  readonly sdMm: number;
}

export interface Round {
  readonly shift: Shift;
  /** Twice round: an oval ring. */
  readonly oval: Shift | null;
  /** Highest less lowest reading. mm */
  readonly totalMm: number;
  readonly meanMm: number;
  /** What shift and oval leave of each reading, null where it is missing. mm */
  readonly residualMm: readonly (number | null)[];
  /** Scatter of those, mm. */
  readonly scatterMm: number;
}

/** Readings from which an oval is looked for. */
const FEW_FOR_OVAL = 7;

/**
 * @param readings  evenly spaced round one turn, counter-clockwise, the first at 0; null missing
 * @param usualSdMm of one reading
 * @returns null where too few are left to tell
 */
export function roundOf(readings: readonly (number | null)[], usualSdMm: number): Round | null {
  const places = readings.flatMap((value, i) =>
    value === null ? [] : [{ value, t: (TURN_RAD * i) / readings.length }],
  );
  const values = places.map((p) => p.value);
  const orders = places.length >= FEW_FOR_OVAL ? [1, 2] : [1];
  const row = (t: number) => [1, ...orders.flatMap((k) => [cos(k * t), sin(k * t)])];
  const fit = leastSquares(
    places.map((p) => row(p.t)),
    values,
  );
  if (fit === null || places.length < 4) return null;
  const free = places.length - fit.values.length;
  const squares = sumOfSquares(fit.residuals);
  const sd = readingSd(squares, free, usualSdMm);
  const shiftAt = (i: number): Shift => ({
    a: fit.values[i]!,
    b: fit.values[i + 1]!,
    sdMm: sd * Math.sqrt((fit.covariance[i]![i]! + fit.covariance[i + 1]![i + 1]!) / 2),
  });
  const left = fit.residuals.values();
  return {
    shift: shiftAt(1),
    oval: orders.length > 1 ? shiftAt(3) : null,
    totalMm: Math.max(...values) - Math.min(...values),
    meanMm: fit.values[0]!,
    residualMm: readings.map((value) => (value === null ? null : left.next().value!)),
    scatterMm: Math.sqrt(squares / Math.max(1, free)),
  };
}

export function sizeMm({ a, b }: Shift): number {
  return hypot(a, b);
}

/** Direction of the high side, rad, 0 to a turn. */
export function directionRad({ a, b }: Shift): number {
  return wrapRad(atan2(b, a));
}

/** What is left of one shift when another is taken out of it. */
export function without(of: Shift, taken: Shift): Shift {
  return { a: of.a - taken.a, b: of.b - taken.b, sdMm: hypot(of.sdMm, taken.sdMm) };
}

/** Probability that a shift is more than errors of reading: 1 - exp(-e^2 / (2 sd^2)), the errors of
 *  its two parts being normal (Rayleigh). */
export function sureness(shift: Shift): number {
  return 1 - exp(-0.5 * (sizeMm(shift) / shift.sdMm) ** 2);
}
