/** Values of one thing: their mean, and how far they scatter. */

export function sum(values: ArrayLike<number>): number {
  let total = 0;
  for (let i = 0; i < values.length; i++) total += values[i]!;
  return total;
}

export function mean(values: ArrayLike<number>): number {
  return sum(values) / values.length;
}

export function sumOfSquares(values: ArrayLike<number>, about = 0): number {
  let total = 0;
  for (let i = 0; i < values.length; i++) total += (values[i]! - about) ** 2;
  return total;
}

/** Standard deviation of what the values are drawn from; 0 for a single one. */
export function deviation(values: ArrayLike<number>): number {
  return Math.sqrt(sumOfSquares(values, mean(values)) / Math.max(1, values.length - 1));
}

/** The usual error of a reading counts as so many residuals beside those that there are, so that a few
 *  readings that happen to agree are not taken for exact. Judgement. */
const USUAL_COUNTS_AS = 4;

/**
 * Standard deviation of one reading.
 * @param squares  sum of the squares of what readings are off by
 * @param free     how many more readings than unknowns
 * @param usualSd  of such a reading
 */
export function readingSd(squares: number, free: number, usualSd: number): number {
  return Math.sqrt((squares + USUAL_COUNTS_AS * usualSd ** 2) / (free + USUAL_COUNTS_AS));
}
