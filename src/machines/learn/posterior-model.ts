/**
 * What is assumed about thrust limits, runs and losses. Every figure here is a judgement, kept in
 * one place; the study (`npm run bench -- learning`) says what happens when they are wrong.
 *
 * An axis loses steps when the thrust that a move asks for, times what the model gets wrong, passes
 * the axis's limit. What the model gets wrong has four parts: one of the bar of material, the same
 * in all of its runs; one of the edge, whose force grows with the life that is used of it; one that is
 * common to a run (the clamping, the temperature, the edge itself); and one that differs from
 * moment to moment (a chip packed in the gap, a hard spot, a tooth that stands out).
 */
import { exp } from '../../maths/elementary.js';
import { WORN_FACTOR } from '../load/slope.js';

/** Spread of the part common to a run, as a sigma of ln(force), before any run: its median. Common
 *  practice, no source. */
const RUN_SIGMA = 0.1;
/** What is not known of that spread: sigma of its logarithm. Our own judgement. */
const RUN_SIGMA_SPREAD = 0.5;

/** Growth of force in one life of an edge, its median; and sigma of its logarithm: lives of like edges
 *  scatter by 0.35, and an eighth in the speed that a material takes is half in life (its fourth power).
 *  Our own judgement. */
const GROWTH = WORN_FACTOR - 1;
const GROWTH_SPREAD = 0.6;

/** Spread of a bar's specific cutting force about its table: tables differ by 0.15, bars of one name
 *  in hardness by as much. Common practice, no source. */
export const BAR_SIGMA = 0.2;

/** Spread from moment to moment, as a sigma of ln(force). Common practice, no source. */
export const MOMENT_SIGMA = 0.05;

/** How long a moment lasts: the load is drawn afresh after this. s. Common practice, no source. */
export const MOMENT_S = 1;

/** Step in ln(newtons) at which loads are kept. Less than half of MOMENT_SIGMA, so that the sum over
 *  the grid is as good as the integral. */
export const GRID_STEP = 0.02;

/** A figure that is not known, at a few values with their weights. */
export interface Unknown {
  readonly values: readonly number[];
  readonly weights: Float64Array;
}

/** Values of the spread of runs, and of the growth of force in a life of an edge. */
export const SCATTER = spreadOver(RUN_SIGMA, RUN_SIGMA_SPREAD);
export const GROWTHS = spreadOver(GROWTH, GROWTH_SPREAD);

/** A log-normal figure at its median and two places either side, which keep 98 % of its variance. */
function spreadOver(median: number, sigma: number): Unknown {
  const steps = [-2.4, -1.2, 0, 1.2, 2.4];
  return {
    values: steps.map((z) => median * exp(z * sigma)),
    weights: shares(Float64Array.from(steps, (z) => exp(-0.5 * z * z))),
  };
}

/** Normal weights over equal steps about a place, of sum 1. @param sigma  in steps */
export function bell(count: number, middle: number, sigma: number): Float64Array {
  return shares(
    Float64Array.from({ length: count }, (_, k) => exp(-0.5 * ((k - middle) / sigma) ** 2)),
  );
}

/** Weights in the same ratio, of sum 1; as they are where the sum is 0. */
export function shares(weights: Float64Array): Float64Array {
  const sum = weights.reduce((a, b) => a + b, 0);
  return sum > 0 ? weights.map((w) => w / sum) : weights;
}
