/**
 * Least clearance of a chain on its way into a wheel and out of it, with the errors of a made wheel.
 *
 * Two errors: metal left all over the outline (form error), and a part of the wheel cut in the wrong
 * place after steps were lost (offset). An offset d moves a flank towards the roller by d . n, with
 * n the direction from the metal to the roller; either the seated roller's gap or the passing
 * roller's can be the shifted one, so the loss is |d . n|, and it is greatest in the gaps whose
 * flanks face the axis that lost the steps.
 *
 * Low on the flank a roller is all but seated, and what touches there is taken up by the play of
 * the joints; higher up it strikes the tooth. So the flank's outer half is looked at by itself: from
 * midway between the place where the rollers ride and the start of the tip. Judgement, no source.
 */
import { rotatePt } from '../geometry/edge.js';
import type { Pt } from '../../model/edges.js';
import type { Ride } from './ride.js';
import { type Strand, type SwingSample, swing, tightest } from './swing.js';
import type { FitWheel } from './wheel.js';

/** Errors of a made wheel, mm. */
export interface FitErrors {
  readonly formErrorMm: number;
  /** Shift of what was cut after the loss, in the frame of the part. */
  readonly offsetMm: Pt;
}

export const NO_ERRORS: FitErrors = { formErrorMm: 0, offsetMm: [0, 0] };

/** The tightest place of a strand on its way past the flanks. */
export interface TightPlace {
  readonly strand: Strand;
  readonly elongation: number;
  /** mm, negative where the roller strikes the tooth. */
  readonly clearanceMm: number;
  /** 0 at the end of the seat, 1 at the start of the tip. */
  readonly height: number;
  /** Turn of the link still to come before the roller is seated. rad */
  readonly articulationRad: number;
  /** Gap that the roller belongs to, 1 .. teeth counter-clockwise from the one on +X; null where
   *  all are alike. */
  readonly gap: number | null;
}

export interface StrandClearance {
  readonly strand: Strand;
  readonly elongation: number;
  /** Over the whole flank; on the driving flank a seated roller touches, so there it is 0 or less. */
  readonly whole: TightPlace;
  /** Over the outer half of the flank; null where no roller passes there. */
  readonly outer: TightPlace | null;
}

export function strandClearance(
  wheel: FitWheel,
  ride: Ride,
  strand: Strand,
  errors: FitErrors,
): StrandClearance {
  const samples = swing(wheel, ride, strand, errors.formErrorMm);
  const place = (sample: SwingSample): TightPlace => withOffset(sample, ride.elongation);
  const outer = outerSamples(samples, ride);
  return {
    strand,
    elongation: ride.elongation,
    whole: place(tightest(samples) as SwingSample),
    outer: outer.length > 0 ? worstGap(wheel, outer, ride.elongation, errors.offsetMm) : null,
  };
}

/** Samples on the outer half of the flank, see above. */
export function outerSamples(samples: readonly SwingSample[], ride: Ride): readonly SwingSample[] {
  const from = (1 + Math.min(1, Math.max(0, ride.contact.height))) / 2;
  return samples.filter((s) => s.height >= from);
}

function withOffset(sample: SwingSample, elongation: number, gap: number | null = null, lost = 0) {
  const { strand, height, articulationRad } = sample;
  const clearanceMm = sample.clearanceMm - lost;
  return { strand, elongation, clearanceMm, height, articulationRad, gap };
}

/** The gap in which an offset takes the most, and what is left there. */
function worstGap(
  wheel: FitWheel,
  samples: readonly SwingSample[],
  elongation: number,
  offset: Pt,
): TightPlace {
  if (offset[0] === 0 && offset[1] === 0) {
    return withOffset(tightest(samples) as SwingSample, elongation);
  }
  let worst: TightPlace | null = null;
  for (let k = 0; k < wheel.teeth; k++) {
    // The offset seen from gap k turned onto +X.
    const d = rotatePt(offset, (-2 * Math.PI * k) / wheel.teeth);
    for (const sample of samples) {
      const lost = Math.abs(d[0] * sample.normal[0] + d[1] * sample.normal[1]);
      if (worst === null || sample.clearanceMm - lost < worst.clearanceMm) {
        worst = withOffset(sample, elongation, k + 1, lost);
      }
    }
  }
  return worst as TightPlace;
}
