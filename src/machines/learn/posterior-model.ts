/**
 * What is assumed about thrust limits, runs and losses. Every figure here is a judgement, kept in
 * one place and printed with the results; the study in tests/machines says what happens when they
 * are wrong.
 *
 * An axis loses steps when the thrust that a move asks for, times what the model gets wrong, passes
 * the axis's limit. What the model gets wrong has two parts: one that is common to a run (the state
 * of the edge, the clamping, the temperature) and one that differs from moment to moment (a chip
 * packed in the gap, a hard spot, a tooth that stands out).
 */
import { hypot } from '../../maths/elementary.js';

/** Spread of the common part, as a sigma of ln(force). Common practice, no source. */
export const RUN_SIGMA = 0.1;

/** Spread from moment to moment, as a sigma of ln(force). Common practice, no source. */
export const MOMENT_SIGMA = 0.05;

/** How long a moment lasts: the load is drawn afresh after this. s. Common practice, no source. */
export const MOMENT_S = 1;

/** Further spread of a run in another material than the one asked about: tables of specific
 *  cutting force differ by about this. Common practice, no source. */
const OTHER_MATERIAL_SIGMA = 0.15;

/** Step of the grid in ln(newtons), of loads and limits alike. Less than half of MOMENT_SIGMA, so
 *  that the sum over the grid is as good as the integral. */
export const GRID_STEP = 0.02;

/** Spread of a run's common part, in its own or another material. */
export function runSigma(sameMaterial: boolean): number {
  return sameMaterial ? RUN_SIGMA : hypot(RUN_SIGMA, OTHER_MATERIAL_SIGMA);
}
