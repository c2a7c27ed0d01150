import { TURN_RAD, turnRad } from '../../../maths/angle.js';
import type { Pt } from '../../../model/edges.js';
import { has, I, J, K, R, valueOf, X, type Block } from './block.js';
import { ReaderFault } from './errors.js';
import type { ArcPlane, Pt3 } from '../../../model/op.js';

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

/** Letters of an axis, 0 to 2, as indices of a block: its own word and its centre offset. */
export const axisWord = (axis: number): number => X + axis;
const offsetWord = (axis: number): number => I + axis;

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

const nameOf = (index: number): string => String.fromCharCode(65 + index);

/**
 * Arc of G2 or G3 in either format (3.5.3), from the words of the line.
 * @param start  position, program units
 * @param end    target, program units
 * @param mmPerUnit  1 or 25.4
 * @param at     column of the code, for messages
 */
export function arcGeometry(
  block: Block,
  plane: ArcPlane,
  ccw: boolean,
  start: Pt3,
  end: Pt3,
  mmPerUnit: number,
  rule: ArcRule,
  at: number,
): ArcGeometry {
  const axes = PLANES[plane];
  const hasOffset = has(block, I) || has(block, J) || has(block, K);
  if (hasOffset && has(block, R)) {
    throw new ReaderFault('arc-format', 'R together with I, J or K', block.columns[R] as number);
  }
  if (!hasOffset && !has(block, R)) {
    throw new ReaderFault('arc-format', 'an arc without R, I, J or K', at);
  }
  const stranger = offsetWord(axes.normal);
  const [from, to] = [axisWord(axes.from), axisWord(axes.to)];
  if (has(block, stranger)) {
    throw new ReaderFault(
      'arc-plane',
      `${nameOf(stranger)} word for an arc in the ${plane.toUpperCase()} plane`,
      block.columns[stranger] as number,
    );
  }
  if (!has(block, from) && !has(block, to)) {
    throw new ReaderFault(
      'axis-missing',
      `an arc in the ${plane.toUpperCase()} plane without ${nameOf(from)} or ${nameOf(to)}`,
      at,
    );
  }
  const s: Pt = [start[axes.from] as number, start[axes.to] as number];
  const e: Pt = [end[axes.from] as number, end[axes.to] as number];
  if (!hasOffset) return fromRadius(valueOf(block, R), ccw, s, e, block.columns[R] ?? at);
  const along = (axis: number): number =>
    has(block, offsetWord(axis)) ? valueOf(block, offsetWord(axis)) : 0;
  const c: Pt = [s[0] + along(axes.from), s[1] + along(axes.to)];
  return fromCentre(c, ccw, s, e, mmPerUnit, rule, at);
}

/** 3.5.3.2: the two radii may differ by 0.002 mm, in inch units by 0.0002 inch. */
const NIST_TOLERANCE_MM = 0.002;
const NIST_TOLERANCE_INCH = 0.0002;

/**
 * Rule of many open controls, documented for a PC-based one: the difference is refused above
 * 0.5 mm, or above 0.005 mm when it is also more than 0.1 % of the radius.
 */
function isRelaxedArc(differenceMm: number, radiusMm: number): boolean {
  if (differenceMm > 0.5) return false;
  return differenceMm <= 0.005 || differenceMm <= 0.001 * radiusMm;
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
  const radius = Math.hypot(s[0] - c[0], s[1] - c[1]);
  const endRadius = Math.hypot(e[0] - c[0], e[1] - c[1]);
  if (radius === 0 || endRadius === 0) {
    throw new ReaderFault('arc-radius', 'an arc of radius zero', at);
  }
  const radiusError = Math.abs(radius - endRadius);
  const tolerance = mmPerUnit === 1 ? NIST_TOLERANCE_MM : NIST_TOLERANCE_INCH;
  const good =
    rule === 'nist'
      ? radiusError <= tolerance
      : isRelaxedArc(radiusError * mmPerUnit, radius * mmPerUnit);
  if (!good) {
    throw new ReaderFault(
      'arc-radius-mismatch',
      `radius ${round(radius)} at the start and ${round(endRadius)} at the end`,
      at,
    );
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
  if (s[0] === e[0] && s[1] === e[1]) {
    throw new ReaderFault(
      'arc-same-point',
      'an arc in radius format that ends where it starts',
      at,
    );
  }
  const radius = Math.abs(r);
  const d0 = e[0] - s[0];
  const d1 = e[1] - s[1];
  const chord = Math.hypot(d0, d1);
  const half = chord / 2;
  if (!(half <= radius * (1 + HALF_CHORD_ROUNDING))) {
    throw new ReaderFault('arc-radius', `radius ${radius} on a chord of ${round(chord)}`, at);
  }
  const distance = Math.sqrt(Math.max(0, (radius - half) * (radius + half)));
  const side = ccw === r > 0 ? 1 : -1;
  const c: Pt = [
    (s[0] + e[0]) / 2 - (side * distance * d1) / chord,
    (s[1] + e[1]) / 2 + (side * distance * d0) / chord,
  ];
  const sweep = sweepOf(c, ccw, s, e);
  return { c, radius, radiusError: 0, sweep, byRadius: true };
}

/** Angle from start to end about the centre in the direction of travel; a full turn for none. */
function sweepOf(c: Pt, ccw: boolean, s: Pt, e: Pt): number {
  if (s[0] === e[0] && s[1] === e[1]) return TURN_RAD;
  return turnRad(s[0] - c[0], s[1] - c[1], e[0] - c[0], e[1] - c[1], ccw) || TURN_RAD;
}

const round = (value: number): number => Math.round(value * 1e5) / 1e5;
