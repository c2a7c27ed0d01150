import { cos, sin } from '../../maths/elementary.js';
import type { Pt } from '../../model/edges.js';
import { radFromDeg as rad } from '../../maths/angle.js';
import { MM_PER_INCH } from '../../text/units.js';
import { arc, line, rotatePt } from '../geometry/edge.js';
import {
  asmeSideRelief,
  asmeToothWidthMm,
  asmeTurnedDiameterMm,
  pitchDiameterMm,
} from '../standard/limits.js';
import {
  ISO_RULES,
  type ToothGapForm,
  type ToothInput,
  type ToothRules,
  flankToCentreLine,
  seatHalf,
} from './form.js';

/**
 * ASME B29.1 gap as edges: seating curve, working curve, straight yz, topping curve, tangent
 * throughout. With the gap's axis pointing up the page:
 *
 *     c
 *       \   A below the tangent        a  centre of the seat
 *   ------a------------- tangent       x  end of the seat on the line c-a, angle A
 *          \ \                         y  end of the working curve about c, angle B up from x
 *           x  b                       yz straight; topping curve about b from z outwards
 *
 * Letters are the standard's: Dr roller, Ds = 2 R seat, M and T offsets of c from a, W and V of b
 * from a, F radius of the topping curve.
 *
 * The seat's centre a lies (Ds - Dr)/2 outside the pitch circle, which puts the bottom on the
 * standard's bottom diameter PD - Dr; the standard's outside
 * diameter when pointed has the same shift in it. The curves of neighbouring gaps therefore meet at
 * the JIS figure pa cot(180/N) + 2 H with pa = P (1 + (Ds - Dr) / PD) and H at pa / 2.
 *
 * Source: Tsubaki technical data, drive sprocket tooth form (JIS S form, the same in mm),
 * tt-net.tsubakimoto.co.jp; "Equations for the design of standard sprocket teeth",
 * scribd.com/document/370084058.
 */
function asmeToothGap({ pitchMm, rollerDiameterMm: dr, teeth }: ToothInput): ToothGapForm {
  const thou = 0.001 * MM_PER_INCH;
  const ds = 1.005 * dr + 3 * thou;
  const r = ds / 2;
  const angleA = rad(35 + 60 / teeth);
  const angleB = rad(18 - 56 / teeth);
  const ab = 1.4 * dr;
  const f = dr * (0.8 * cos(angleB) + 1.4 * cos(rad(17 - 64 / teeth)) - 1.3025) - 1.5 * thou;

  const seatCentreXMm = pitchDiameterMm(pitchMm, teeth) / 2 + r - dr / 2;
  // Page (right, up) is (y, x) here: the upper flank is the page's right one.
  const place = (right: number, up: number): Pt => [seatCentreXMm + up, right];
  const seat = seatHalf(seatCentreXMm, r, Math.PI / 2 + angleA);
  const c = place(-(0.8 * dr * cos(angleA)), 0.8 * dr * sin(angleA));
  const b = place(ab * cos(Math.PI / teeth), -(ab * sin(Math.PI / teeth)));
  const y = rotatePt(seat.b, -angleB, c);
  const down = angleA - angleB; // of the line c-y and b-z
  const z: Pt = [b[0] + f * sin(down), b[1] - f * cos(down)];
  const topping = flankToCentreLine(z, b, teeth);
  const half = [seat, arc(seat.b, y, c, false), line(y, z), topping.edge];
  return {
    seatRadiusMm: r,
    seatCentreXMm,
    pointedRadiusMm: topping.pointedRadiusMm,
    half: () => half,
  };
}

export const asmeB291: ToothRules = {
  ...ISO_RULES,
  gap: asmeToothGap,
  toothWidthMm: (_pitchMm, innerWidthMm) => asmeToothWidthMm(innerWidthMm),
  sideRelief: asmeSideRelief,
  /** As turned, held inside the ISO limits. */
  tipDiameterMm: (pitchMm, teeth, { minMm, maxMm }) =>
    Math.min(Math.max(asmeTurnedDiameterMm(pitchMm, teeth), minMm), maxMm),
  standard: 'asme',
};
