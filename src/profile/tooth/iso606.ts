import type { Pt } from '../../model/edges.js';
import { radFromDeg } from '../../maths/angle.js';
import { pitchDiameterMm } from '../standard/limits.js';
import {
  ISO_RULES,
  type ToothGapForm,
  type ToothInput,
  type ToothRules,
  flankToCentreLine,
  seatHalf,
} from './form.js';

/** Radii and angle of a tooth gap after ISO 606. */
export interface Iso606Gap {
  /** Roller seating radius ri, mm. */
  readonly seatRadiusMm: number;
  /** Tooth flank radius re, mm. */
  readonly flankRadiusMm: number;
  /** Roller seating angle alpha, radians. */
  readonly seatAngleRad: number;
}

/**
 * Tooth gap of the minimum or maximum form, or the mean of the two in every figure.
 *
 *   minimum  ri = 0.505 d1                          re = 0.12 d1 (z + 2)        alpha = 140 - 90/z
 *   maximum  ri = 0.505 d1 + 0.069 cuberoot(d1)     re = 0.008 d1 (z^2 + 180)   alpha = 120 - 90/z
 *
 * ISO 606:2015 5.4.2 as in ZMC Sprockets "sprocket design calculations"
 * (scribd.com/document/519588868), which ties each radius to its gap form; lengths mm.
 */
export function iso606Gap(
  form: 'min' | 'mid' | 'max',
  rollerDiameterMm: number,
  teeth: number,
): Iso606Gap {
  if (form === 'mid') {
    const low = iso606Gap('min', rollerDiameterMm, teeth);
    const high = iso606Gap('max', rollerDiameterMm, teeth);
    return {
      seatRadiusMm: (low.seatRadiusMm + high.seatRadiusMm) / 2,
      flankRadiusMm: (low.flankRadiusMm + high.flankRadiusMm) / 2,
      seatAngleRad: (low.seatAngleRad + high.seatAngleRad) / 2,
    };
  }
  const d1 = rollerDiameterMm;
  const minimum = form === 'min';
  return {
    seatRadiusMm: 0.505 * d1 + (minimum ? 0 : 0.069 * Math.cbrt(d1)),
    flankRadiusMm: minimum ? 0.12 * d1 * (teeth + 2) : 0.008 * d1 * (teeth * teeth + 180),
    seatAngleRad: radFromDeg((minimum ? 140 : 120) - 90 / teeth),
  };
}

/**
 * ISO 606 gap as edges. The seat spans alpha about its centre, which lies on the gap's axis where
 * it puts the bottom on the root circle d - d1: ri - d1/2 outside the pitch circle. The flanks are
 * convex and tangent to the seat at its ends, their centres on the line through seat centre and
 * seat end, ri + re away. That placing gives the pointed diameters 77.47 and 74.03 mm for 08B with
 * 17 teeth, minimum and maximum form.
 */
export function iso606ToothGap(form: 'min' | 'mid' | 'max', input: ToothInput): ToothGapForm {
  const gap = iso606Gap(form, input.rollerDiameterMm, input.teeth);
  const { seatRadiusMm: ri, flankRadiusMm: re } = gap;
  const seatCentreXMm =
    pitchDiameterMm(input.pitchMm, input.teeth) / 2 + ri - input.rollerDiameterMm / 2;
  const endRad = Math.PI - gap.seatAngleRad / 2;
  const seat = seatHalf(seatCentreXMm, ri, endRad);
  const flankCentre: Pt = [
    seatCentreXMm + (ri + re) * Math.cos(endRad),
    (ri + re) * Math.sin(endRad),
  ];
  const flank = flankToCentreLine(seat.b, flankCentre, input.teeth);
  const half = [seat, flank.edge];
  return {
    seatRadiusMm: ri,
    seatCentreXMm,
    pointedRadiusMm: flank.pointedRadiusMm,
    half: () => half,
  };
}

function iso606(form: 'min' | 'mid' | 'max'): ToothRules {
  return { ...ISO_RULES, gap: (input) => iso606ToothGap(form, input) };
}

export const iso606Min = iso606('min');
export const iso606Mid = iso606('mid');
export const iso606Max: ToothRules = { ...iso606('max'), moreOpen: 'link-sweep with relief' };
