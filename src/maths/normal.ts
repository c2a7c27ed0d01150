/** The normal distribution: density, tails, logarithm of its distribution function and shares of an
 *  interval, good far out in the tails. */
import { exp, log, log1p } from './elementary.js';

const SQRT_2_PI = Math.sqrt(2 * Math.PI);

/** Density of the standard normal distribution. */
export function normalDensity(z: number): number {
  return exp(-0.5 * z * z) / SQRT_2_PI;
}

/**
 * Upper tail Q(z) = P(Z > z) to about 1e-14 of its value.
 *
 * Up to 2.5 by the series 1/2 - phi(z) (z + z^3/3 + z^5/15 + ...), beyond it by the continued
 * fraction phi(z) / (z + 1/(z + 2/(z + 3/(z + ...)))).
 * Source: Abramowitz and Stegun, Handbook of Mathematical Functions, 26.2.11 and 26.2.14.
 */
function normalTail(z: number): number {
  if (z < 0) return 1 - normalTail(-z);
  if (z > 38) return 0;
  if (z < 2.5) {
    let term = z;
    let sum = z;
    for (let k = 3; term > 1e-17 * sum; k += 2) {
      term *= (z * z) / k;
      sum += term;
    }
    return 0.5 - normalDensity(z) * sum;
  }
  return normalDensity(z) / tailFraction(z);
}

/** Density over tail, z + 1/(z + 2/(z + 3/(z + ...))), for z of 2.5 and more. */
function tailFraction(z: number): number {
  let fraction = z;
  // Half as many terms again as 1e-15 of the value takes, by comparison with 3000 terms.
  for (let k = Math.ceil(8 + 480 / (z * z)); k >= 1; k--) fraction = z + k / fraction;
  return fraction;
}

/** Phi(z) = P(Z < z). */
export function normalCdf(z: number): number {
  return z > 0 ? 1 - normalTail(z) : normalTail(-z);
}

/** ln Phi(z), to a relative error below 1e-12; where Phi itself is 0 to the bit, too. */
export function logNormalCdf(z: number): number {
  if (z >= 0) return log1p(-normalTail(z));
  if (z > -2.5) return log(normalTail(-z));
  return -0.5 * z * z - log(SQRT_2_PI * tailFraction(-z));
}

/** P(a < Z < b), without losing digits where both lie in one tail. */
function normalShare(a: number, b: number): number {
  if (a > 0) return normalTail(a) - normalTail(b);
  if (b < 0) return normalTail(-b) - normalTail(-a);
  return 1 - normalTail(b) - normalTail(-a);
}

/**
 * Density at `x` of a value spread evenly from `low` to `high` and read with a normal error.
 * @param sd  standard deviation of the error, > 0, in the unit of the others
 */
export function smearedDensity(x: number, low: number, high: number, sd: number): number {
  if (high - low < 1e-6 * sd) return normalDensity((x - (low + high) / 2) / sd) / sd;
  return normalShare((low - x) / sd, (high - x) / sd) / (high - low);
}

/**
 * Value below which a standard normal lies with the probability exp(`logP`): Newton on ln Phi, whose
 * slope is density over Phi and which is concave, so that from the left every step falls short.
 * @param logP  ln of a probability below 1; so a tail far beyond what a number holds can be asked for
 */
function quantileOfLn(logP: number): number {
  if (!(logP < 0)) return Infinity;
  let z = logP < -1 ? -Math.sqrt(-2 * logP) : -2;
  for (let i = 0; i < 60; i++) {
    const at = logNormalCdf(z);
    const step = (logP - at) / exp(-0.5 * z * z - log(SQRT_2_PI) - at);
    z += step;
    if (Math.abs(step) < 1e-12 * (1 + Math.abs(z))) break;
  }
  return z;
}

/** z with Phi(z) = p, for 0 < p < 1. */
export function normalQuantile(p: number): number {
  return p > 0.5 ? -quantileOfLn(log1p(-p)) : quantileOfLn(log(p));
}
