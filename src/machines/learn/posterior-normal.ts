/** The normal distribution's density and the logarithm of its distribution function. */

const LOG_SQRT_2PI = 0.5 * Math.log(2 * Math.PI);

/** Density of the standard normal distribution. */
export function normalDensity(z: number): number {
  return Math.exp(-0.5 * z * z - LOG_SQRT_2PI);
}

/** From here down the tail is a continued fraction, above it a series. */
const TAIL_FROM = -3;

/**
 * ln Phi(z), to a relative error below 1e-12.
 * Series: G. Marsaglia, Evaluating the Normal Distribution, J. Stat. Software 11(4), 2004.
 * Tail: Laplace's continued fraction of Mills' ratio, Abramowitz and Stegun 26.2.14.
 */
export function logNormalCdf(z: number): number {
  if (z > -TAIL_FROM) return Math.log1p(-Math.exp(logNormalCdf(-z)));
  if (z >= TAIL_FROM) {
    let term = z;
    let sum = z;
    for (let k = 3; Math.abs(term) > 1e-17 * Math.abs(sum) && k < 200; k += 2) {
      term *= (z * z) / k;
      sum += term;
    }
    return Math.log(0.5 + sum * normalDensity(z));
  }
  // Phi(-x) = density(x) / (x + 1/(x + 2/(x + 3/(x + ...)))), from the inside out.
  const x = -z;
  let below = x;
  for (let k = 120; k >= 1; k--) below = x + k / below;
  return -0.5 * z * z - LOG_SQRT_2PI - Math.log(below);
}
