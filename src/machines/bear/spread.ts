/**
 * Figures that are known to a factor, and a fixed set of machines drawn from them.
 *
 * A figure is taken as log-normal: two machines in three lie within `factor` of the median. The set
 * is an additive recurrence (fractional parts of n g^-1, n g^-2, ... with g the root of
 * x^(d+1) = x + 1), which fills a cube of d figures more evenly than chance does and is the same at
 * every call. Source: M. Roberts, The unreasonable effectiveness of quasirandom sequences (2018),
 * from memory.
 */
import { normalQuantile } from '../../maths/normal.js';

/** A figure and how well it is known. */
export interface Spread {
  readonly median: number;
  /** Two values in three lie within this factor; 1 is known exactly. */
  readonly factor: number;
}

/** Root of x^(d+1) = x + 1 that is above 1. */
function harmonious(dimensions: number): number {
  let g = 1.5;
  for (let i = 0; i < 60; i++) g = Math.pow(1 + g, 1 / (dimensions + 1));
  return g;
}

/**
 * Draws of several figures at once.
 * @param spreads  the figures
 * @param members  how many draws
 * @returns        one array of `members` values for each figure, in order
 */
export function draws(spreads: readonly Spread[], members: number): readonly Float64Array[] {
  const g = harmonious(spreads.length);
  return spreads.map(({ median, factor }, k) => {
    const step = Math.pow(g, -(k + 1));
    const sigma = Math.log(factor);
    return Float64Array.from({ length: members }, (_, n) => {
      const share = (0.5 + (n + 1) * step) % 1;
      return sigma === 0 ? median : median * Math.exp(sigma * normalQuantile(share));
    });
  });
}
