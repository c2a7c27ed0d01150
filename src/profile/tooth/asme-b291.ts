import type { Pt } from '../../model/edges.js';
import { arc, line, rotatePt } from '../geometry/edge.js';
import { radFromDeg as rad } from '../../maths/angle.js';
import {
  MM_PER_INCH,
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

/** Figures of the standard tooth by the standard's own letters, mm and radians. */
export interface AsmeTooth {
  /** Pitch diameter. */
  readonly pd: number;
  /** Seating curve diameter and radius. */
  readonly ds: number;
  readonly r: number;
  /** Half the supplement of the seating angle: the seat ends A below the tangent to the pitch
   *  circle. */
  readonly angleA: number;
  /** Angle of the working curve. */
  readonly angleB: number;
  /** Distance and offsets of the working curve's centre c from the seat's centre a. */
  readonly ac: number;
  readonly m: number;
  readonly t: number;
  /** Radius of the working curve and its chord. */
  readonly e: number;
  readonly xy: number;
  /** Straight part. */
  readonly yz: number;
  /** Distance and offsets of the topping curve's centre b from a. */
  readonly ab: number;
  readonly w: number;
  readonly v: number;
  /** Radius of the topping curve. */
  readonly f: number;
  /** Height of the point above the pitch polygon, and half pitch on the tooth's centre line. */
  readonly h: number;
  readonly s: number;
}

/**
 * Figures of the ASME B29.1 tooth. NaN in h and s where the topping curves do not meet.
 *
 * Source: Tsubaki technical data, drive sprocket tooth form (JIS S form, the same in mm),
 * tt-net.tsubakimoto.co.jp; "Equations for the design of standard sprocket teeth",
 * scribd.com/document/370084058 (h and s from memory, they reproduce its numbers).
 */
export function asmeTooth(pitchMm: number, rollerDiameterMm: number, teeth: number): AsmeTooth {
  const thou = 0.001 * MM_PER_INCH;
  const dr = rollerDiameterMm;
  const ds = 1.005 * dr + 3 * thou;
  const angleA = rad(35 + 60 / teeth);
  const angleB = rad(18 - 56 / teeth);
  const ab = 1.4 * dr;
  const half = Math.PI / teeth;
  const f =
    dr * (0.8 * Math.cos(angleB) + 1.4 * Math.cos(rad(17 - 64 / teeth)) - 1.3025) - 1.5 * thou;
  const h = Math.sqrt(f * f - (ab - pitchMm / 2) ** 2);
  return {
    pd: pitchDiameterMm(pitchMm, teeth),
    ds,
    r: ds / 2,
    angleA,
    angleB,
    ac: 0.8 * dr,
    m: 0.8 * dr * Math.cos(angleA),
    t: 0.8 * dr * Math.sin(angleA),
    e: 1.3025 * dr + 1.5 * thou,
    xy: (2.605 * dr + 3 * thou) * Math.sin(rad(9 - 28 / teeth)),
    yz: dr * (1.4 * Math.sin(rad(17 - 64 / teeth)) - 0.8 * Math.sin(angleB)),
    ab,
    w: ab * Math.cos(half),
    v: ab * Math.sin(half),
    f,
    h,
    s: (pitchMm / 2) * Math.cos(half) + h * Math.sin(half),
  };
}

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
 * The seat's centre a lies (Ds - Dr)/2 outside the pitch circle, which puts the bottom on the
 * standard's bottom diameter PD - Dr; the standard's outside
 * diameter when pointed has the same shift in it. The curves of neighbouring gaps therefore meet at
 * the JIS figure pa cot(180/N) + 2 H with pa = P (1 + (Ds - Dr) / PD) and H at pa / 2.
 */
export function asmeToothGap(input: ToothInput): ToothGapForm {
  const tooth = asmeTooth(input.pitchMm, input.rollerDiameterMm, input.teeth);
  const seatCentreXMm = tooth.pd / 2 + tooth.r - input.rollerDiameterMm / 2;
  // Page (right, up) is (y, x) here: the upper flank is the page's right one.
  const place = (right: number, up: number): Pt => [seatCentreXMm + up, right];
  const seat = seatHalf(seatCentreXMm, tooth.r, Math.PI / 2 + tooth.angleA);
  const c = place(-tooth.m, tooth.t);
  const b = place(tooth.w, -tooth.v);
  const y = rotatePt(seat.b, -tooth.angleB, c);
  const down = tooth.angleA - tooth.angleB; // of the line c-y and b-z
  const z: Pt = [b[0] + tooth.f * Math.sin(down), b[1] - tooth.f * Math.cos(down)];
  const topping = flankToCentreLine(z, b, input.teeth);
  const half = [seat, arc(seat.b, y, c, false), line(y, z), topping.edge];
  return {
    seatRadiusMm: tooth.r,
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
