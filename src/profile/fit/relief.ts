/**
 * Relief of the flanks that lets the chain in and out in spite of the errors of a made wheel.
 *
 * link-sweep takes relief, so there it is solved for: the least relief, by bisection, with which the
 * whole simulation finds no contact on the outer half of the flanks. The opening grows with about
 * the square of the distance from the seat, so an error d asks for about 4 d at the tip.
 *
 * The standard forms have clearance of their own and take no relief; for them the figure says how
 * much more the flank would have to be open at the tip, with the same square growth, and which more
 * open form there is.
 */

import { Refusal } from '../../model/refusal.js';
import { type FitErrors, outerSamples, strandClearance } from './clearance.js';
import { rideOn } from './ride.js';
import { type Strand, swing } from './swing.js';
import { type FitWheel, fitWheel } from './wheel.js';
import { TOOTH_RULES } from '../tooth/forms.js';
import type { SprocketSpec } from '../wheel/sprocket.js';

export interface ReliefNeed {
  /** Relief at the tip in all, mm; null where no relief of a tooth this size frees the chain. */
  readonly reliefMm: number | null;
  /** Whether the job's key flank-relief can be set to it (link-sweep only). */
  readonly settable: boolean;
  /** Whether the wheel is free without any more. */
  readonly free: boolean;
}

const STRANDS: readonly Strand[] = ['tight', 'slack'];
/** Reliefs looked at, mm; the job file takes no more. */
const MAX_RELIEF_MM = 2;
/** Steps of relief that a person can ask for. mm */
const RELIEF_STEP_MM = 0.005;

/** Least clearance over both strands on the outer half of the flanks. mm; Infinity where none passes */
function outerClearanceMm(
  wheel: FitWheel,
  elongations: readonly number[],
  errors: FitErrors,
): number {
  let least = Infinity;
  for (const elongation of elongations) {
    const ride = rideOn(wheel, elongation, errors.formErrorMm);
    if (ride === null) continue;
    for (const strand of STRANDS) {
      const { outer } = strandClearance(wheel, ride, strand, errors);
      if (outer) least = Math.min(least, outer.clearanceMm);
    }
  }
  return least;
}

/** Rounding of clearances that are nought by construction, as those of link-sweep are. mm */
const TOUCH_MM = 1e-6;

export function solveRelief(
  spec: SprocketSpec,
  elongations: readonly number[],
  errors: FitErrors,
): ReliefNeed {
  const settable = TOOTH_RULES[spec.toothForm].takesRelief;
  const wheel = fitWheel(spec);
  if (outerClearanceMm(wheel, elongations, errors) >= -TOUCH_MM) {
    return { reliefMm: spec.flankReliefMm, settable, free: true };
  }
  if (!settable) {
    return { reliefMm: openingMm(wheel, elongations, errors), settable, free: false };
  }
  const freeWith = (steps: number): boolean | null => {
    const reliefMm = steps * RELIEF_STEP_MM;
    try {
      const relieved = fitWheel({ ...spec, flankReliefMm: reliefMm });
      return outerClearanceMm(relieved, elongations, errors) >= -TOUCH_MM;
    } catch (error) {
      if (error instanceof Refusal) return null;
      throw error;
    }
  };
  let low = Math.floor(spec.flankReliefMm / RELIEF_STEP_MM);
  let high = low + 1;
  // Doubling first: a relief that leaves no tooth ends the search.
  for (let grow = 1; freeWith(high) === false; grow *= 2) {
    low = high;
    high += grow;
    if (high * RELIEF_STEP_MM > MAX_RELIEF_MM) return { reliefMm: null, settable, free: false };
  }
  while (high - low > 1) {
    const mid = Math.floor((low + high) / 2);
    if (freeWith(mid) === false) low = mid;
    else high = mid;
  }
  const found = freeWith(high) === true;
  return { reliefMm: found ? high * RELIEF_STEP_MM : null, settable, free: false };
}

/** Opening at the tip that frees the outer half when it grows with the square of the height. */
function openingMm(wheel: FitWheel, elongations: readonly number[], errors: FitErrors): number {
  const shift = Math.hypot(...errors.offsetMm);
  let most = 0;
  for (const elongation of elongations) {
    const ride = rideOn(wheel, elongation, errors.formErrorMm);
    if (ride === null) continue;
    for (const strand of STRANDS) {
      for (const sample of outerSamples(swing(wheel, ride, strand, errors.formErrorMm), ride)) {
        const height = Math.min(1, sample.height);
        most = Math.max(most, (shift - sample.clearanceMm) / (height * height));
      }
    }
  }
  return most;
}
