import { cos, sin } from '../../maths/elementary.js';
import { Refusal } from '../../model/refusal.js';
import type { ArcEdge, Edge, Pt } from '../../model/edges.js';
import { arc, edgeRadius } from '../geometry/edge.js';
import { type Range, type SideRelief, isoSideRelief, isoToothWidthMm } from '../standard/limits.js';

/** What a tooth form is made from, mm. */
export interface ToothInput {
  readonly pitchMm: number;
  readonly rollerDiameterMm: number;
  readonly teeth: number;
  /** The link that a roller swings on, and how many go round the wheel, where it spans more than one
   *  gap; absent where it spans one. */
  readonly link?: { readonly pitchMm: number; readonly perTurn: number };
  /** Opens the flank towards the tip; see link-sweep. */
  readonly flankReliefMm: number;
}

/**
 * Tooth gap of one form, centred on +X, before the tip circle cuts it off.
 *
 *            tip circle ........
 *   pointed   /.-' flank (ccw, about a centre in or beyond the tooth)
 *   radius   /'
 *           (   seat (cw, about (seatCentreXMm, 0)), bottom at half the root diameter
 *   axis ----+------------------------> +X
 */
export interface ToothGapForm {
  readonly seatRadiusMm: number;
  readonly seatCentreXMm: number;
  /** Distance from the axis at which the two flanks of one tooth meet; Infinity if they do not. */
  readonly pointedRadiusMm: number;
  /**
   * Upper half of the gap, counter-clockwise, from the bottom of the seat outwards. All joints
   * are tangent. The last edge runs on to the tooth's centre line, or half a turn where it never
   * gets there. Only link-sweep with relief depends on the tip radius.
   */
  half(tipRadiusMm: number): readonly Edge[];
}

/** A tooth form: its gap, and what goes with it. Lengths mm. */
export interface ToothRules {
  /** @throws Refusal where it leaves no tooth */
  readonly gap: (input: ToothInput) => ToothGapForm;
  /** By how much the seat may come out larger than drawn before it is over the largest that the
   *  standard allows; Infinity where it sets no such limit. */
  readonly seatRoomMm: (rollerDiameterMm: number) => number;
  /** Whether its flanks can be opened towards the tip. */
  readonly takesRelief: boolean;
  readonly toothWidthMm: (pitchMm: number, innerWidthMm: number) => number;
  readonly sideRelief: (pitchMm: number, innerWidthMm: number) => SideRelief;
  /** Tip diameter, where none is given, before it is seen how much tip that leaves. */
  readonly tipDiameterMm: (pitchMm: number, teeth: number, limits: Range) => number;
  /** Whose limits a finished part is held against. */
  readonly standard: 'iso' | 'asme';
  /** What to take where the flanks strike the rollers. */
  readonly moreOpen: string;
}

/** What ISO 606 says of a wheel of any form. */
export const ISO_RULES: Omit<ToothRules, 'gap'> = {
  seatRoomMm: () => Infinity,
  takesRelief: false,
  toothWidthMm: isoToothWidthMm,
  sideRelief: isoSideRelief,
  tipDiameterMm: (_pitchMm, _teeth, { minMm, maxMm }) => (minMm + maxMm) / 2,
  standard: 'iso',
  moreOpen: 'a more open form, such as iso606-max',
};

/** Upper half of the seat, from the bottom to the end at `endRad` (measured about the seat's
 *  centre, counter-clockwise from +X), clockwise. */
export function seatHalf(centreXMm: number, radiusMm: number, endRad: number): ArcEdge {
  const end: Pt = [centreXMm + radiusMm * cos(endRad), radiusMm * sin(endRad)];
  return arc([centreXMm - radiusMm, 0], end, [centreXMm, 0], false);
}

/**
 * Convex flank from `start` about `c`, counter-clockwise, as far as the centre line of the tooth
 * (the ray at 180 deg / z), or half a turn where it does not reach it.
 * @throws Refusal 'no-tooth' when the start already lies beyond the centre line
 */
export function flankToCentreLine(
  start: Pt,
  c: Pt,
  teeth: number,
): { readonly edge: ArcEdge; readonly pointedRadiusMm: number } {
  const ex = cos(Math.PI / teeth);
  const ey = sin(Math.PI / teeth);
  if (ex * start[1] - ey * start[0] >= 0) {
    throw new Refusal(
      'no-tooth',
      `the gaps of ${teeth} teeth run into each other below the flanks; no tooth is left`,
    );
  }
  const half = arc(start, [2 * c[0] - start[0], 2 * c[1] - start[1]], c, true);
  const r = edgeRadius(half);
  const along = c[0] * ex + c[1] * ey;
  const away = ex * c[1] - ey * c[0];
  const square = (r - away) * (r + away);
  if (square <= 0) return { edge: half, pointedRadiusMm: Infinity };
  // The flank starts on the gap's side of the ray and comes from inside, so its first crossing is
  // the outer one.
  const pointedRadiusMm = along + Math.sqrt(square);
  const point: Pt = [pointedRadiusMm * ex, pointedRadiusMm * ey];
  return { edge: arc(start, point, c, true), pointedRadiusMm };
}
