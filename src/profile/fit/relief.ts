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
import { hypot } from '../../maths/elementary.js';
import { unlessRefused } from '../../model/refusal.js';
import { elongationLimit } from '../chain/wear.js';
import { TOOTH_RULES } from '../tooth/forms.js';
import type { SprocketSpec } from '../wheel/sprocket.js';
import { type Ride, rideOn } from './ride.js';
import { type FitErrors, type Strand, type TightPlace, outerSwing, tightPlace } from './swing.js';
import { type FitWheel, fitWheel } from './wheel.js';

/** Elongations between none and worn out that are looked at. */
const FIT_ELONGATIONS: readonly number[] = [0, 0.005, 0.01, 0.015, 0.02, 0.025];

/** Elongations to look at for a wheel: up to the wear that it may be run to, 200/z % on a large one. */
export function fitElongations(teeth: number): readonly number[] {
  const last = elongationLimit(teeth);
  return [...FIT_ELONGATIONS.filter((e) => e < last - 1e-9), last];
}

interface ReliefNeed {
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

/** A figure of every ride and strand that there is. */
function overAll<T>(
  wheel: FitWheel,
  { formErrorMm }: FitErrors,
  figure: (ride: Ride, strand: Strand) => T[],
): T[] {
  return fitElongations(wheel.teeth).flatMap((elongation) => {
    const ride = rideOn(wheel, elongation, formErrorMm);
    return ride === null ? [] : STRANDS.flatMap((strand) => figure(ride, strand));
  });
}

/** Whether both strands clear the outer half of the flanks. */
export function isFree(wheel: FitWheel, errors: FitErrors): boolean {
  return overAll(wheel, errors, (ride, strand) => {
    const place = tightPlace(wheel, ride, strand, errors);
    return place ? [place] : [];
  }).every(clears);
}

/** Rounding of clearances that are nought by construction, as those of link-sweep are. mm */
export const TOUCH_MM = 1e-6;

export function clears({ clearanceMm }: Pick<TightPlace, 'clearanceMm'>): boolean {
  return clearanceMm >= -TOUCH_MM;
}

/** @param free  whether the wheel is free as it is, where that is known */
export function solveRelief(spec: SprocketSpec, errors: FitErrors, free?: boolean): ReliefNeed {
  const settable = TOOTH_RULES[spec.toothForm].takesRelief;
  const wheel = fitWheel(spec);
  if (free ?? isFree(wheel, errors)) return { reliefMm: spec.flankReliefMm, settable, free: true };
  const reliefMm = settable ? leastRelief(spec, errors) : openingMm(wheel, errors);
  return { reliefMm, settable, free: false };
}

/** Least relief that frees the chain, in steps; null where none does. mm */
function leastRelief(spec: SprocketSpec, errors: FitErrors): number | null {
  /** null where the relief leaves no tooth. */
  const freeWith = (steps: number): boolean | null =>
    unlessRefused(() =>
      isFree(fitWheel({ ...spec, flankReliefMm: steps * RELIEF_STEP_MM }), errors),
    );
  let low = Math.floor(spec.flankReliefMm / RELIEF_STEP_MM);
  let high = low + 1;
  // Doubling first: a relief that leaves no tooth ends the search.
  for (let grow = 1; freeWith(high) === false; grow *= 2) {
    low = high;
    high += grow;
    if (high * RELIEF_STEP_MM > MAX_RELIEF_MM) return null;
  }
  while (high - low > 1) {
    const mid = Math.floor((low + high) / 2);
    if (freeWith(mid) === false) low = mid;
    else high = mid;
  }
  return freeWith(high) === true ? high * RELIEF_STEP_MM : null;
}

/** Opening at the tip that frees the outer half when it grows with the square of the height. mm */
function openingMm(wheel: FitWheel, errors: FitErrors): number {
  const shift = hypot(...errors.offsetMm);
  const openings = overAll(wheel, errors, (ride, strand) =>
    outerSwing(wheel, ride, strand, errors.formErrorMm).map(({ height, clearanceMm }) => {
      const up = Math.min(1, height);
      return (shift - clearanceMm) / (up * up);
    }),
  );
  return openings.reduce((most, opening) => Math.max(most, opening), 0);
}
