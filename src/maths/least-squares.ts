/** Linear least squares for a handful of unknowns, by normal equations. */

export interface Fit {
  readonly values: readonly number[];
  /** Covariance of the values for errors of standard deviation 1: the inverse of A^T A. */
  readonly covariance: readonly (readonly number[])[];
  readonly residuals: readonly number[];
}

/**
 * @param rows  what each unknown contributes to each reading; one row a reading
 * @returns     null where the readings do not settle the unknowns
 */
export function leastSquares(
  rows: readonly (readonly number[])[],
  readings: readonly number[],
): Fit | null {
  const n = rows[0]?.length ?? 0;
  const square = Array.from({ length: n }, (_, i) => [
    ...Array.from({ length: n }, (_, j) => rows.reduce((sum, r) => sum + r[i]! * r[j]!, 0)),
    ...Array.from({ length: n }, (_, j) => (i === j ? 1 : 0)),
  ]);
  if (rows.length < n || !reduce(square)) return null;
  const covariance = square.map((row) => row.slice(n));
  const right = Array.from({ length: n }, (_, i) =>
    rows.reduce((sum, r, k) => sum + r[i]! * readings[k]!, 0),
  );
  const values = covariance.map((row) => row.reduce((sum, c, j) => sum + c * right[j]!, 0));
  const residuals = rows.map((r, k) => readings[k]! - r.reduce((s, x, i) => s + x * values[i]!, 0));
  return { values, covariance, residuals };
}

/** A pivot smaller than this part of the largest settles nothing. */
const SINGULAR = 1e-10;

/** Gauss-Jordan with row pivots, in place; false where the left square is singular. */
function reduce(m: number[][]): boolean {
  const largest = Math.max(...m.map((row, i) => Math.abs(row[i]!)));
  for (let i = 0; i < m.length; i++) {
    let best = i;
    for (let k = i + 1; k < m.length; k++) {
      if (Math.abs(m[k]![i]!) > Math.abs(m[best]![i]!)) best = k;
    }
    [m[i], m[best]] = [m[best]!, m[i]!];
    const pivot = m[i]![i]!;
    if (!(Math.abs(pivot) > SINGULAR * largest)) return false;
    m[i] = m[i]!.map((x) => x / pivot);
    for (let k = 0; k < m.length; k++) {
      const times = m[k]![i]!;
      if (k !== i && times !== 0) m[k] = m[k]!.map((x, j) => x - times * m[i]![j]!);
    }
  }
  return true;
}
