/**
 * Fit of a tooth form and a chain: where the rollers ride as the chain wears, how much room they
 * have on their way in and out, the tightest place, and the relief that would free it.
 */
import type { SprocketSpec } from '../wheel/sprocket.js';
import { TOUCH_MM, clears, fitElongations, isFree, solveRelief } from './relief.js';
import { type Ride, jumpElongation, rideOn } from './ride.js';
import { type FitErrors, NO_ERRORS, type TightPlace, tightPlace } from './swing.js';
import { fitWheel } from './wheel.js';
import { leastOf } from '../../maths/solve.js';

export interface FitAt {
  readonly elongation: number;
  /** null where the chain rides over the tips. */
  readonly ride: Ride | null;
  /** Tightest place of either strand on the outer half of the flanks; null where none passes. */
  readonly tight: TightPlace | null;
  readonly slack: TightPlace | null;
}

export interface FitReport {
  readonly errors: FitErrors;
  /** One for each elongation, without errors. */
  readonly drawn: readonly FitAt[];
  /** The same with the errors. */
  readonly made: readonly FitAt[];
  /** Tightest place on the outer half of the flanks, with the errors; null where nothing passes. */
  readonly tightest: TightPlace | null;
  readonly relief: ReturnType<typeof solveRelief>;
  /** Elongation at which the rollers reach the end of the flank. */
  readonly jumpElongation: number;
  /** Form error that a new chain can stand before the wheel is too large for it: pitches that the
   *  chain can fall behind before its play is used up; null where the wheel is not too large. */
  readonly pitchesToBind: number | null;
}

/** @throws Refusal where the spec makes no wheel */
export function fitOf(spec: SprocketSpec, errors: FitErrors = NO_ERRORS): FitReport {
  const wheel = fitWheel(spec);
  const at = (elongation: number, err: FitErrors): FitAt => {
    const ride = rideOn(wheel, elongation, err.formErrorMm);
    const place = (strand: 'tight' | 'slack') => ride && tightPlace(wheel, ride, strand, err);
    return { elongation, ride, tight: place('tight'), slack: place('slack') };
  };
  const elongations = fitElongations(spec.teeth);
  const made = elongations.map((e) => at(e, errors));
  const places = made.flatMap(({ tight, slack }) => [tight ?? [], slack ?? []].flat());
  const newChain = made[0]?.ride;
  return {
    errors,
    drawn: elongations.map((e) => at(e, NO_ERRORS)),
    made,
    tightest: leastOf(places.map(settled), (place) => place.clearanceMm),
    relief: solveRelief(spec, errors, places.every(clears)),
    jumpElongation: jumpElongation(wheel),
    pitchesToBind:
      newChain && newChain.wheelOverMm > 1e-6
        ? Math.max(0, newChain.otherFlankMm) / newChain.wheelOverMm
        : null,
  };
}

/** Rollers that ride on the flank touch it: what is nought by construction is not told as struck. */
function settled(place: TightPlace): TightPlace {
  return Math.abs(place.clearanceMm) <= TOUCH_MM ? { ...place, clearanceMm: 0 } : place;
}

/**
 * Whether a wheel as drawn takes its chain in and out up to the wear that it may be run to, and the
 * wear at which the rollers reach the tips.
 * @throws Refusal where the spec makes no wheel
 */
export function fitsChain(spec: SprocketSpec) {
  const wheel = fitWheel(spec);
  return { free: isFree(wheel, NO_ERRORS), jumpElongation: jumpElongation(wheel) };
}
