/**
 * Fit of a tooth form and a chain: where the rollers ride as the chain wears, how much room they
 * have on their way in and out, the tightest place, and the relief that would free it.
 */
import { type FitErrors, NO_ERRORS, type StrandClearance, type TightPlace } from './clearance.js';
import { strandClearance } from './clearance.js';
import { type Ride, jumpElongation, rideOn } from './ride.js';
import { type ReliefNeed, solveRelief } from './relief.js';
import { fitWheel } from './wheel.js';
import type { SprocketSpec } from '../wheel/sprocket.js';

/** Elongations that are always looked at: none, planning figure, worn out. */
const FIT_ELONGATIONS: readonly number[] = [0, 0.005, 0.01, 0.015, 0.02, 0.025, 0.03];

export interface FitAt {
  readonly elongation: number;
  /** null where the chain rides over the tips. */
  readonly ride: Ride | null;
  readonly tight: StrandClearance | null;
  readonly slack: StrandClearance | null;
}

export interface FitReport {
  readonly errors: FitErrors;
  /** One for each elongation, without errors. */
  readonly drawn: readonly FitAt[];
  /** The same with the errors. */
  readonly made: readonly FitAt[];
  /** Tightest place on the outer half of the flanks, with the errors; null where nothing passes. */
  readonly tightest: TightPlace | null;
  readonly relief: ReliefNeed;
  /** Elongation at which the rollers reach the end of the flank. */
  readonly jumpElongation: number;
  /** Form error that a new chain can stand before the wheel is too large for it: pitches that the
   *  chain can fall behind before its play is used up; null where the wheel is not too large. */
  readonly pitchesToBind: number | null;
}

/**
 * @param elongations  in rising order, 0 or more
 * @throws Refusal where the spec makes no wheel
 */
export function fitOf(
  spec: SprocketSpec,
  errors: FitErrors = NO_ERRORS,
  elongations: readonly number[] = FIT_ELONGATIONS,
): FitReport {
  const wheel = fitWheel(spec);
  const at = (elongation: number, err: FitErrors): FitAt => {
    const ride = rideOn(wheel, elongation, err.formErrorMm);
    if (ride === null) return { elongation, ride, tight: null, slack: null };
    return {
      elongation,
      ride,
      tight: strandClearance(wheel, ride, 'tight', err),
      slack: strandClearance(wheel, ride, 'slack', err),
    };
  };
  const made = elongations.map((e) => at(e, errors));
  const outers = made.flatMap(({ tight, slack }) =>
    [tight?.outer ?? [], slack?.outer ?? []].flat(),
  );
  const newChain = made[0]?.ride;
  return {
    errors,
    drawn: elongations.map((e) => at(e, NO_ERRORS)),
    made,
    tightest: outers.reduce<TightPlace | null>(
      (best, place) => (best === null || place.clearanceMm < best.clearanceMm ? place : best),
      null,
    ),
    relief: solveRelief(spec, elongations, errors),
    jumpElongation: jumpElongation(wheel),
    pitchesToBind:
      newChain && newChain.wheelOverMm > 1e-6
        ? Math.max(0, newChain.otherFlankMm) / newChain.wheelOverMm
        : null,
  };
}
