/**
 * How rollers come into the gaps and leave them.
 *
 * Seen from the wheel, the straight strand unwinds like a stiff thread: it turns about the last
 * roller that sits, from the direction of its own seated link outwards by one articulation
 * (2 pi / z), then the next roller is the pivot. So for the pivot in the gap on +X the strand's
 * rollers 1, 2, 3 ... lie on a line through it, m pitches out, and each passes the tooth on its
 * near side with its near flank. Two strands:
 *
 *   tight  counter-clockwise of the pivot. The rollers lean on the upper flank, so the tight
 *          strand's rollers sweep the lower flank of their gap, the one that does not drive.
 *          (Entry of a driving wheel, exit of a driven one.)
 *   slack  clockwise of the pivot: they sweep the upper flank of their gap, the driving one.
 *          (Exit of a driving wheel, entry of a driven one.)
 *
 * The strand is taken as straight and the joints as without play.
 */
import { apart } from '../../maths/angle.js';
import { hypot } from '../../maths/elementary.js';
import type { Pt } from '../../model/edges.js';
import { polar, rotatePt } from '../geometry/edge.js';
import { type FitWheel, flankContact } from './wheel.js';
import type { Ride } from './ride.js';

export type Strand = 'tight' | 'slack';

/** A roller beside the flank that it passes, at one moment. */
interface SwingSample {
  readonly strand: Strand;
  /** Turn of the link from where it is seated. rad */
  readonly articulationRad: number;
  /** Roller's place on the strand, 1 is the one next to the pivot. */
  readonly roller: number;
  /** To the near flank; negative where the roller would cut into it. mm */
  readonly clearanceMm: number;
  /** Where on the flank, 0 at the end of the seat, 1 at the start of the tip. */
  readonly height: number;
  /** Direction from the metal to the roller, seen from the roller's own gap turned onto +X. */
  readonly normal: Pt;
}

/** Steps of one articulation. */
const STEPS = 240;
/** Rollers of the strand looked at; the ninth is clear of any wheel of 150 teeth. */
const MAX_ROLLERS = 9;
/** A roller this far above the tips is out of the wheel. mm */
const CLEAR_MM = 0.5;

/**
 * Every place of every roller of a strand near the wheel, for one articulation.
 * @param ride  where the seated rollers are
 */
export function swing(
  wheel: FitWheel,
  ride: Ride,
  strand: Strand,
  formErrorMm = 0,
): readonly SwingSample[] {
  const sign = strand === 'tight' ? 1 : -1;
  const side = strand === 'tight' ? 'lower' : 'upper';
  const gapRad = (2 * Math.PI * wheel.gapsPerLink) / wheel.teeth;
  const pivot = polar(ride.radiusMm, ride.offsetRad);
  const seated = polar(ride.radiusMm, ride.offsetRad + sign * ride.stepRad);
  const samples: SwingSample[] = [];
  for (let roller = 1; roller <= MAX_ROLLERS; roller++) {
    let near = false;
    for (let i = 0; i <= STEPS; i++) {
      const articulationRad = (ride.stepRad * i) / STEPS;
      const centre = alongStrand(pivot, seated, roller, -sign * articulationRad);
      if (hypot(...centre) - wheel.rollerRadiusMm > wheel.tipRadiusMm + CLEAR_MM) continue;
      near = true;
      const inGap = rotatePt(centre, -sign * roller * gapRad);
      const { clearanceMm, point, height } = flankContact(wheel, side, inGap);
      const away = apart(inGap, point);
      samples.push({
        strand,
        articulationRad,
        roller,
        clearanceMm: clearanceMm - formErrorMm,
        height,
        normal: [(inGap[0] - point[0]) / away, (inGap[1] - point[1]) / away],
      });
    }
    if (!near) break;
  }
  return samples;
}

/** Centre of the m-th roller on the line from the pivot through the seated one, turned. */
function alongStrand(pivot: Pt, seated: Pt, roller: number, turnRad: number): Pt {
  const [x, y] = rotatePt(seated, turnRad, pivot);
  return [pivot[0] + roller * (x - pivot[0]), pivot[1] + roller * (y - pivot[1])];
}

/** Errors of a made wheel, mm. */
export interface FitErrors {
  /** Metal left all over the outline. */
  readonly formErrorMm: number;
  /** Shift of what was cut after steps were lost, in the frame of the part. */
  readonly offsetMm: Pt;
}

export const NO_ERRORS: FitErrors = { formErrorMm: 0, offsetMm: [0, 0] };

/** The tightest place of a strand on its way past the flanks. */
export interface TightPlace extends Pick<SwingSample, 'strand' | 'clearanceMm' | 'height'> {
  readonly elongation: number;
  /** Gap that the roller belongs to, 1 .. teeth counter-clockwise from the one on +X; null where
   *  all are alike. */
  readonly gap: number | null;
}

/**
 * Places of a strand on the outer half of the flank. Low on the flank a roller is all but seated, and
 * what touches there is taken up by the play of the joints; higher up it strikes the tooth. So the
 * half that counts is from midway between the place where the rollers ride and the start of the tip.
 * Judgement, no source.
 */
export function outerSwing(wheel: FitWheel, ride: Ride, strand: Strand, formErrorMm: number) {
  const from = (1 + Math.min(1, Math.max(0, ride.contact.height))) / 2;
  return swing(wheel, ride, strand, formErrorMm).filter((s) => s.height >= from);
}

/**
 * Least clearance of a strand on the outer half of the flanks, with the errors of a made wheel; null
 * where no roller passes there.
 *
 * An offset d moves a flank towards the roller by d . n, with n the direction from the metal to the
 * roller; either the seated roller's gap or the passing roller's can be the shifted one, so the loss
 * is |d . n|, and it is greatest in the gaps whose flanks face the axis that lost the steps.
 */
export function tightPlace(
  wheel: FitWheel,
  ride: Ride,
  strand: Strand,
  { formErrorMm, offsetMm }: FitErrors,
): TightPlace | null {
  const samples = outerSwing(wheel, ride, strand, formErrorMm);
  const shifted = offsetMm[0] !== 0 || offsetMm[1] !== 0;
  let worst: TightPlace | null = null;
  for (let k = 0; k < (shifted ? wheel.teeth : 1); k++) {
    // The offset seen from gap k turned onto +X.
    const d = rotatePt(offsetMm, (-2 * Math.PI * k) / wheel.teeth);
    for (const { height, normal, clearanceMm: drawnMm } of samples) {
      const clearanceMm = drawnMm - Math.abs(d[0] * normal[0] + d[1] * normal[1]);
      if (worst !== null && clearanceMm >= worst.clearanceMm) continue;
      const gap = shifted ? k + 1 : null;
      worst = { strand, elongation: ride.elongation, clearanceMm, height, gap };
    }
  }
  return worst;
}
