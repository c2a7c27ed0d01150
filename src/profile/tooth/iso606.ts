import { pow } from '../../maths/elementary.js';
import { radFromDeg } from '../../maths/angle.js';
import { polar } from '../geometry/edge.js';
import { pitchDiameterMm } from '../standard/limits.js';
import {
  ISO_RULES,
  type ToothGapForm,
  type ToothInput,
  type ToothRules,
  flankToCentreLine,
  seatHalf,
} from './form.js';

type Form = 'min' | 'mid' | 'max';

/**
 * Seating radius ri, flank radius re and seating angle alpha of the minimum or maximum form, or the
 * mean of the two in every figure. mm, radians
 *
 *   minimum  ri = 0.505 d1                          re = 0.12 d1 (z + 2)        alpha = 140 - 90/z
 *   maximum  ri = 0.505 d1 + 0.069 cuberoot(d1)     re = 0.008 d1 (z^2 + 180)   alpha = 120 - 90/z
 *
 * ISO 606:2015 5.4.2 as in ZMC Sprockets "sprocket design calculations"
 * (scribd.com/document/519588868), which ties each radius to its gap form; lengths mm.
 */
function gapFigures(form: Form, d1: number, z: number): readonly [number, number, number] {
  if (form === 'min') return [0.505 * d1, 0.12 * d1 * (z + 2), radFromDeg(140 - 90 / z)];
  const high = [
    0.505 * d1 + 0.069 * pow(d1, 1 / 3),
    0.008 * d1 * (z * z + 180),
    radFromDeg(120 - 90 / z),
  ] as const;
  if (form === 'max') return high;
  const low = gapFigures('min', d1, z);
  return [(low[0] + high[0]) / 2, (low[1] + high[1]) / 2, (low[2] + high[2]) / 2];
}

/**
 * ISO 606 gap as edges. The seat spans alpha about its centre, which lies on the gap's axis where
 * it puts the bottom on the root circle d - d1: ri - d1/2 outside the pitch circle. The flanks are
 * convex and tangent to the seat at its ends, their centres on the line through seat centre and
 * seat end, ri + re away. That placing gives the pointed diameters 77.47 and 74.03 mm for 08B with
 * 17 teeth, minimum and maximum form.
 */
function iso606ToothGap(form: Form, input: ToothInput): ToothGapForm {
  const { pitchMm, rollerDiameterMm, teeth } = input;
  const [ri, re, alphaRad] = gapFigures(form, rollerDiameterMm, teeth);
  const seatCentreXMm = pitchDiameterMm(pitchMm, teeth) / 2 + ri - rollerDiameterMm / 2;
  const endRad = Math.PI - alphaRad / 2;
  const seat = seatHalf(seatCentreXMm, ri, endRad);
  const flankCentre = polar(ri + re, endRad, [seatCentreXMm, 0]);
  const { edge, pointedRadiusMm } = flankToCentreLine(seat.b, flankCentre, teeth);
  return { seatRadiusMm: ri, seatCentreXMm, pointedRadiusMm, half: () => [seat, edge] };
}

function iso606(form: Form): ToothRules {
  return {
    ...ISO_RULES,
    gap: (input) => iso606ToothGap(form, input),
    // The seat does not depend on the tooth count.
    seatRoomMm: (d1) => gapFigures('max', d1, 9)[0] - gapFigures(form, d1, 9)[0],
  };
}

export const iso606Min = iso606('min');
export const iso606Mid = iso606('mid');
export const iso606Max: ToothRules = { ...iso606('max'), moreOpen: 'link-sweep with relief' };
