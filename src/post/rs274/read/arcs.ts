import { has, I, J, K, R, valueOf, X, Y, Z, type Block } from './block.js';
import { ReaderFault } from './errors.js';
import type { ArcPlane, Pt3 } from '../../../model/op.js';

/** Which difference of the two radii is still an arc: the standard's, or that of many controls. */
export type ArcRule = 'nist' | 'relaxed';

/** Axes and offset words of a plane; ccw turns from the first axis to the second. */
interface PlaneAxes {
  readonly plane: ArcPlane;
  /** Index into a point of the axis that G3 turns from, and of the one it turns to. */
  readonly from: number;
  readonly to: number;
  readonly normal: number;
  readonly fromWord: number;
  readonly toWord: number;
  readonly fromOffset: number;
  readonly toOffset: number;
  readonly strangerOffset: number;
}

/**
 * Counter-clockwise is seen from the positive end of the plane's normal (3.5.3), so the two axes
 * and the normal are right-handed: X Y Z, Z X Y and Y Z X.
 */
const PLANES: Readonly<Record<ArcPlane, PlaneAxes>> = {
  xy: {
    plane: 'xy',
    from: 0,
    to: 1,
    normal: 2,
    fromWord: X,
    toWord: Y,
    fromOffset: I,
    toOffset: J,
    strangerOffset: K,
  },
  xz: {
    plane: 'xz',
    from: 2,
    to: 0,
    normal: 1,
    fromWord: Z,
    toWord: X,
    fromOffset: K,
    toOffset: I,
    strangerOffset: J,
  },
  yz: {
    plane: 'yz',
    from: 1,
    to: 2,
    normal: 0,
    fromWord: Y,
    toWord: Z,
    fromOffset: J,
    toOffset: K,
    strangerOffset: I,
  },
};

export function planeAxes(plane: ArcPlane): PlaneAxes {
  return PLANES[plane];
}

/** Centre in the plane's right-handed axes, with what a move along the arc needs. */
export interface ArcGeometry {
  /** Coordinates of the centre on the axes `from` and `to` of the plane. */
  readonly c0: number;
  readonly c1: number;
  readonly radius: number;
  /** Difference between the radius at the start and at the end. */
  readonly radiusError: number;
  /** Angle turned, 0 < sweep <= 2 pi. */
  readonly sweep: number;
  readonly byRadius?: true;
}

const LETTER_NAMES = 'ABCDEFGHIJKLMNOPQRSTUVWXYZ';
const nameOf = (index: number): string => LETTER_NAMES.charAt(index);

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
  if (has(block, axes.strangerOffset)) {
    throw new ReaderFault(
      'arc-plane',
      `${nameOf(axes.strangerOffset)} word for an arc in the ${plane.toUpperCase()} plane`,
      block.columns[axes.strangerOffset] as number,
    );
  }
  if (!has(block, axes.fromWord) && !has(block, axes.toWord)) {
    throw new ReaderFault(
      'axis-missing',
      `an arc in the ${plane.toUpperCase()} plane without ` +
        `${nameOf(axes.fromWord)} or ${nameOf(axes.toWord)}`,
      at,
    );
  }
  const s0 = start[axes.from] as number;
  const s1 = start[axes.to] as number;
  const e0 = end[axes.from] as number;
  const e1 = end[axes.to] as number;
  if (!hasOffset) return fromRadius(valueOf(block, R), ccw, s0, s1, e0, e1, block.columns[R] ?? at);
  const c0 = s0 + (has(block, axes.fromOffset) ? valueOf(block, axes.fromOffset) : 0);
  const c1 = s1 + (has(block, axes.toOffset) ? valueOf(block, axes.toOffset) : 0);
  return fromCentre(c0, c1, ccw, s0, s1, e0, e1, mmPerUnit, rule, at);
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
  c0: number,
  c1: number,
  ccw: boolean,
  s0: number,
  s1: number,
  e0: number,
  e1: number,
  mmPerUnit: number,
  rule: ArcRule,
  at: number,
): ArcGeometry {
  const radius = Math.hypot(s0 - c0, s1 - c1);
  const endRadius = Math.hypot(e0 - c0, e1 - c1);
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
  return { c0, c1, radius, radiusError, sweep: sweepOf(c0, c1, ccw, s0, s1, e0, e1) };
}

/** Relative rounding allowed where the chord is a diameter; not a tolerance for the user. */
const HALF_CHORD_ROUNDING = 1e-12;

/**
 * 3.5.3.1: R above zero turns through 180 degrees or less, below zero through more. The centre lies
 * on the chord's perpendicular bisector; seen along the chord it is on the left of a
 * counter-clockwise arc of less than 180 degrees.
 */
function fromRadius(
  r: number,
  ccw: boolean,
  s0: number,
  s1: number,
  e0: number,
  e1: number,
  at: number,
): ArcGeometry {
  if (s0 === e0 && s1 === e1) {
    throw new ReaderFault(
      'arc-same-point',
      'an arc in radius format that ends where it starts',
      at,
    );
  }
  const radius = Math.abs(r);
  const d0 = e0 - s0;
  const d1 = e1 - s1;
  const chord = Math.hypot(d0, d1);
  const half = chord / 2;
  if (!(half <= radius * (1 + HALF_CHORD_ROUNDING))) {
    throw new ReaderFault('arc-radius', `radius ${radius} on a chord of ${round(chord)}`, at);
  }
  const distance = Math.sqrt(Math.max(0, (radius - half) * (radius + half)));
  const side = ccw === r > 0 ? 1 : -1;
  const c0 = (s0 + e0) / 2 - (side * distance * d1) / chord;
  const c1 = (s1 + e1) / 2 + (side * distance * d0) / chord;
  const sweep = sweepOf(c0, c1, ccw, s0, s1, e0, e1);
  return { c0, c1, radius, radiusError: 0, sweep, byRadius: true };
}

/** Angle from start to end about the centre in the direction of travel; a full turn for none. */
function sweepOf(
  c0: number,
  c1: number,
  ccw: boolean,
  s0: number,
  s1: number,
  e0: number,
  e1: number,
): number {
  if (s0 === e0 && s1 === e1) return 2 * Math.PI;
  const u0 = s0 - c0;
  const u1 = s1 - c1;
  const v0 = e0 - c0;
  const v1 = e1 - c1;
  const angle = Math.atan2(u0 * v1 - u1 * v0, u0 * v0 + u1 * v1);
  const turned = ccw ? angle : -angle;
  return turned > 0 ? turned : turned + 2 * Math.PI;
}

const round = (value: number): number => Math.round(value * 1e5) / 1e5;
