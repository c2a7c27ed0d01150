/**
 * Figures that are known to a factor, and a fixed set of machines drawn from them.
 *
 * A figure is taken as log-normal: two machines in three lie within `factor` of the median. Of n
 * machines each figure has n values of equal probability, one a machine (Latin hypercube); which
 * machine gets which follows from the fractional parts of k sqrt(prime), one prime a figure (Richtmyer's
 * sequence), so that the figures do not go together and the set is the same at every call.
 * Source: McKay, Beckman and Conover 1979; Niederreiter, Random number generation, 1992; from memory.
 */
import { normalQuantile } from '../../maths/normal.js';

/** A figure and how well it is known. */
export interface Spread {
  readonly median: number;
  /** Two values in three lie within this factor; 1 is known exactly. */
  readonly factor: number;
}

/** The first n primes. */
function primes(n: number): readonly number[] {
  const found: number[] = [];
  for (let p = 2; found.length < n; p++) if (found.every((q) => p % q !== 0)) found.push(p);
  return found;
}

/**
 * Draws of several figures at once.
 * @param spreads  the figures
 * @param members  how many draws
 * @returns        one array of `members` values for each figure, in order
 */
export function draws(spreads: readonly Spread[], members: number): readonly Float64Array[] {
  const steps = primes(spreads.length).map(Math.sqrt);
  const scores = Array.from({ length: members }, (_, i) => normalQuantile((i + 0.5) / members));
  return spreads.map(({ median, factor }, k) => {
    const keys = Float64Array.from({ length: members }, (_, n) => ((n + 1) * steps[k]!) % 1);
    const order = [...keys.keys()].sort((a, b) => keys[a]! - keys[b]!);
    const values = new Float64Array(members);
    order.forEach((n, i) => (values[n] = median * factor ** scores[i]!));
    return values;
  });
}
