import { hypot } from '../../../maths/elementary.js';
import { TURN_RAD, turnRad } from '../../../maths/angle.js';
import type { Pt } from '../../../model/edges.js';
import type { ArcPlane, Pt3 } from '../../../model/op.js';
import { columnOf, has, motionColumn, wordOr, type Block } from './block.js';
import { refuse } from './errors.js';

/** Which difference of the two radii is still an arc: the standard's, or that of many controls. */
export type ArcRule = 'nist' | 'relaxed';

/** Indices of a plane's axes: G3 turns from `from` to `to`, seen from the positive end of `normal`. */
export interface PlaneAxes {
  readonly from: number;
  readonly to: number;
  readonly normal: number;
}

/**
 * Counter-clockwise is seen from the positive end of the plane's normal (3.5.3), so the two axes
 * and the normal are right-handed: X Y Z, Z X Y and Y Z X.
 */
export const PLANES: Readonly<Record<ArcPlane, PlaneAxes>> = {
  xy: { from: 0, to: 1, normal: 2 },
  xz: { from: 2, to: 0, normal: 1 },
  yz: { from: 1, to: 2, normal: 0 },
};

/** Letter of an axis, 0 to 2: its own word, and that of its centre offset. */
export const axisWord = (axis: number): string => 'XYZ'.charAt(axis);
const offsetWord = (axis: number): string => 'IJK'.charAt(axis);

/** Centre in the plane's right-handed axes, with what a move along the arc needs. */
export interface ArcGeometry {
  /** Centre on the axes `from` and `to` of the plane. */
  readonly c: Pt;
  readonly radius: number;
  /** Difference between the radius at the start and at the end. */
  readonly radiusError: number;
  /** Angle turned, 0 < sweep <= 2 pi. */
  readonly sweep: number;
  readonly byRadius?: true;
}

/**
 * Arc of G2 or G3 in either format (3.5.3), from the words of the line.
 * @param start  position, program units
 * @param end    target, program units
 * @param mmPerUnit  1 or 25.4
 * @param placed  I, J and K are places, as G90.1 of later dialects has them
 */
export function arcGeometry(
  block: Block,
  plane: ArcPlane,
  ccw: boolean,
  start: Pt3,
  end: Pt3,
  mmPerUnit: number,
  rule: ArcRule,
  placed: boolean,
): ArcGeometry {
  const at = motionColumn(block);
  const axes = PLANES[plane];
  const hasOffset = has(block, 'I') || has(block, 'J') || has(block, 'K');
  if (hasOffset && has(block, 'R')) {
    refuse('arc-format', 'R together with I, J or K', columnOf(block, 'R'));
  }
  if (!hasOffset && !has(block, 'R')) refuse('arc-format', 'an arc without R, I, J or K', at);
  const stranger = offsetWord(axes.normal);
  if (has(block, stranger)) {
    refuse('arc-plane', `${stranger} word for ${arcIn(plane)}`, columnOf(block, stranger));
  }
  const from = axisWord(axes.from);
  const to = axisWord(axes.to);
  if (!has(block, from) && !has(block, to)) {
    refuse('axis-missing', `${arcIn(plane)} without ${from} or ${to}`, at);
  }
  const s: Pt = [start[axes.from]!, start[axes.to]!];
  const e: Pt = [end[axes.from]!, end[axes.to]!];
  if (!hasOffset) return fromRadius(wordOr(block, 'R', 0), ccw, s, e, columnOf(block, 'R'));
  const [i, j] = [offsetWord(axes.from), offsetWord(axes.to)];
  if (placed && !(has(block, i) && has(block, j))) {
    refuse('arc-format', `a centre as a place (G90.1) without both ${i} and ${j}`, at);
  }
  const c: Pt = placed
    ? [wordOr(block, i, 0), wordOr(block, j, 0)]
    : [s[0] + wordOr(block, i, 0), s[1] + wordOr(block, j, 0)];
  return fromCentre(c, ccw, s, e, mmPerUnit, rule, at);
}

const arcIn = (plane: ArcPlane): string => `an arc in the ${plane.toUpperCase()} plane`;

/** 3.5.3.2: the two radii may differ by 0.002 mm, in inch units by 0.0002 inch. */
const NIST_TOLERANCE_MM = 0.002;
const NIST_TOLERANCE_INCH = 0.0002;

/**
 * Rule of many open controls, documented for a PC-based one: the difference is refused above
 * 0.5 mm, or above 0.005 mm when it is also more than 0.1 % of the radius.
 */
function isRelaxedArc(differenceMm: number, radiusMm: number): boolean {
  return differenceMm <= 0.5 && (differenceMm <= 0.005 || differenceMm <= 0.001 * radiusMm);
}

function fromCentre(
  c: Pt,
  ccw: boolean,
  s: Pt,
  e: Pt,
  mmPerUnit: number,
  rule: ArcRule,
  at: number,
): ArcGeometry {
  const radius = hypot(s[0] - c[0], s[1] - c[1]);
  const endRadius = hypot(e[0] - c[0], e[1] - c[1]);
  if (radius === 0 || endRadius === 0) refuse('arc-radius', 'an arc of radius zero', at);
  const radiusError = Math.abs(radius - endRadius);
  const good =
    rule === 'nist'
      ? radiusError <= (mmPerUnit === 1 ? NIST_TOLERANCE_MM : NIST_TOLERANCE_INCH)
      : isRelaxedArc(radiusError * mmPerUnit, radius * mmPerUnit);
  if (!good) {
    const what = `radius ${round(radius)} at the start and ${round(endRadius)} at the end`;
    refuse('arc-radius-mismatch', what, at);
  }
  return { c, radius, radiusError, sweep: sweepOf(c, ccw, s, e) };
}

/** Relative rounding allowed where the chord is a diameter; not a tolerance for the user. */
const HALF_CHORD_ROUNDING = 1e-12;

/**
 * 3.5.3.1: R above zero turns through 180 degrees or less, below zero through more. The centre lies
 * on the chord's perpendicular bisector; seen along the chord it is on the left of a
 * counter-clockwise arc of less than 180 degrees.
 */
function fromRadius(r: number, ccw: boolean, s: Pt, e: Pt, at: number): ArcGeometry {
  const [d0, d1] = [e[0] - s[0], e[1] - s[1]];
  if (d0 === 0 && d1 === 0) {
    refuse('arc-same-point', 'an arc in radius format that ends where it starts', at);
  }
  const radius = Math.abs(r);
  const chord = hypot(d0, d1);
  const half = chord / 2;
  if (!(half <= radius * (1 + HALF_CHORD_ROUNDING))) {
    refuse('arc-radius', `radius ${radius} on a chord of ${round(chord)}`, at);
  }
  const distance = Math.sqrt(Math.max(0, (radius - half) * (radius + half)));
  const side = ccw === r > 0 ? 1 : -1;
  const c: Pt = [
    (s[0] + e[0]) / 2 - (side * distance * d1) / chord,
    (s[1] + e[1]) / 2 + (side * distance * d0) / chord,
  ];
  return { c, radius, radiusError: 0, sweep: sweepOf(c, ccw, s, e), byRadius: true };
}

/** Angle from start to end about the centre in the direction of travel; a full turn for none. */
function sweepOf(c: Pt, ccw: boolean, s: Pt, e: Pt): number {
  if (s[0] === e[0] && s[1] === e[1]) return TURN_RAD;
  return turnRad(s[0] - c[0], s[1] - c[1], e[0] - c[0], e[1] - c[1], ccw) || TURN_RAD;
}

const round = (value: number): number => Math.round(value * 1e5) / 1e5;
