/**
 * Shapes of the fronts of a tooth gap. Frame: the gap's axis is +X, the wheel's centre the origin.
 *
 *   ring    circle about the origin; the room for the cutter's centre is outside it
 *   chain   arcs joined tangent to tangent up to where they touch the flank's bound, then along
 *           that bound; mirror-symmetric about the axis; the room is inside
 *
 *          \  room  /          flank | arc 2 | arc 1 | arc 0 | arc 1 | arc 2 | flank
 *           \      /
 *            '.__.'            bottom at x = bottomMm
 *
 * A point of a front is named by its signed length from the axis, positive towards +Y. The wall
 * normal of an arc turns from the wheel's centre (theta = 0, on the axis) towards +Y.
 *
 * Why chains and not circles: for a front that moves by d a pass, the depth at a wall normal theta is
 * d cos(theta), and an inside arc of radius rho multiplies it by (rho + r) / rho. The product is constant
 * for rho = r k cos / (1 - k cos), k = d / depth: flat in the middle, tight at the ends.
 */
import { cos, sin } from '../../maths/elementary.js';
import type { Edge, Pt } from '../../model/edges.js';
import {
  arc as makeArc,
  line as makeLine,
  mirrorEdge,
  reverseEdge,
} from '../../profile/geometry/edge.js';
import { type GapSide, alongSide, outOfSide, sidePieces } from './side.js';
import { radFromDeg, norm2 } from '../../maths/angle.js';

/** One arc of the half chain with y >= 0. */
export interface ChainArc {
  readonly cx: number;
  readonly cy: number;
  readonly radiusMm: number;
  readonly fromRad: number;
  readonly toRad: number;
  /** Length from the axis to the start of the arc. mm */
  readonly startMm: number;
  readonly cosTo: number;
  readonly sinTo: number;
}

export interface RingFront {
  readonly kind: 'ring';
  readonly radiusMm: number;
}

export interface ChainFront {
  readonly kind: 'chain';
  readonly bottomMm: number;
  readonly arcs: readonly ChainArc[];
  /** Length of the arcs of half the chain. mm */
  readonly arcsMm: number;
  /** The flank's bound followed after the arcs, from a length along it; null: straight on. */
  readonly tail: { readonly side: GapSide; readonly fromMm: number } | null;
}

export type Front = RingFront | ChainFront;

interface Place {
  readonly p: Pt;
  /** Heading outwards along the front. */
  readonly heading: Pt;
  readonly radiusMm: number;
}

/** Place on the half front with y >= 0. */
function place(front: ChainFront, s: number): Place {
  const { arcs, arcsMm, tail } = front;
  if (s > arcsMm && tail) {
    return { ...alongSide(tail.side, tail.fromMm + s - arcsMm), radiusMm: Infinity };
  }
  let arc = arcs[0]!;
  for (let i = 1; i < arcs.length && arcs[i]!.startMm <= s; i++) arc = arcs[i]!;
  const turned = arc.fromRad + (s - arc.startMm) / arc.radiusMm;
  const theta = Math.min(turned, arc.toRad);
  const past = (turned - theta) * arc.radiusMm;
  const c = cos(theta);
  const n = sin(theta);
  return {
    p: [arc.cx - arc.radiusMm * c + past * n, arc.cy + arc.radiusMm * n + past * c],
    heading: [n, c],
    radiusMm: past > 0 ? Infinity : arc.radiusMm,
  };
}

/** Point of a front. */
export function onFront(front: ChainFront, length: number): Pt {
  const { p } = place(front, Math.abs(length));
  return length < 0 ? [p[0], -p[1]] : p;
}

/** Unit vector from a point of the front into the room. */
export function intoRoom(front: ChainFront, length: number): Pt {
  const { heading } = place(front, Math.abs(length));
  // The room lies to the right of the way out along +Y.
  return length < 0 ? [heading[1], heading[0]] : [heading[1], -heading[0]];
}

/** Radius of the front's arc at a point; Infinity past the arcs. mm */
export function frontRadius(front: ChainFront, length: number): number {
  return place(front, Math.abs(length)).radiusMm;
}

/** Distance from the room to a point: negative inside. Exact on the wall side of the front. mm */
export function outOfRoom(front: Front, x: number, y: number): number {
  if (front.kind === 'ring') return front.radiusMm - norm2(x, y);
  const { arcs, tail } = front;
  const ay = y < 0 ? -y : y;
  for (let i = 0; i < arcs.length; i++) {
    const arc = arcs[i]!;
    const dx = arc.cx - x;
    const dy = ay - arc.cy;
    // Is the direction from the arc's centre within its sector (up to toRad)?
    if (dy * arc.cosTo <= dx * arc.sinTo) return norm2(dx, dy) - arc.radiusMm;
  }
  if (tail) return outOfSide(tail.side, x, ay);
  const last = arcs[arcs.length - 1]!;
  return (last.cx - x) * last.cosTo + (ay - last.cy) * last.sinTo - last.radiusMm;
}

/**
 * The front between two lengths as edges in the order of travel, split where its pieces join and
 * where it crosses the axis.
 */
export function frontPieces(front: ChainFront, from: number, to: number): Edge[] {
  if (from * to < 0) return [...frontPieces(front, from, 0), ...frontPieces(front, 0, to)];
  const negative = from < 0 || to < 0;
  const inwards = Math.abs(from) > Math.abs(to);
  const lo = Math.min(Math.abs(from), Math.abs(to));
  const hi = Math.max(Math.abs(from), Math.abs(to));
  const outwards = outwardPieces(front, lo, hi);
  const pieces = negative ? outwards.map(mirrorEdge) : outwards;
  return inwards ? pieces.map(reverseEdge).reverse() : pieces;
}

/** Lengths along the half front at which its pieces join. mm */
export function jointsOf(front: ChainFront): number[] {
  const { arcs, arcsMm, tail } = front;
  const onTail = tail ? [...tail.side.starts.slice(1), tail.side.lengthMm] : [];
  return [
    ...arcs.slice(1).map((arc) => arc.startMm),
    arcsMm,
    ...onTail.filter((start) => start > tail!.fromMm).map((start) => arcsMm + start - tail!.fromMm),
  ];
}

/** Pieces at y >= 0, from the axis outwards. Arcs run clockwise about their centres. */
function outwardPieces(front: ChainFront, lo: number, hi: number): Edge[] {
  const pieces: Edge[] = [];
  front.arcs.forEach((arc, i) => {
    const end = i + 1 < front.arcs.length ? front.arcs[i + 1]!.startMm : front.arcsMm;
    const a = Math.max(lo, arc.startMm);
    const b = Math.min(hi, end);
    if (b - a > 1e-9) {
      pieces.push(makeArc(place(front, a).p, place(front, b).p, [arc.cx, arc.cy], false));
    }
  });
  if (hi > front.arcsMm + 1e-9) {
    const a = Math.max(lo, front.arcsMm);
    const { tail } = front;
    if (tail) {
      const from = tail.fromMm + a - front.arcsMm;
      pieces.push(...sidePieces(tail.side, from, tail.fromMm + hi - front.arcsMm));
    } else {
      pieces.push(makeLine(place(front, a).p, place(front, hi).p));
    }
  }
  return pieces;
}

/** Point of the arcs of a chain at a wall normal's direction. */
export function atNormal(front: ChainFront, theta: number): Pt {
  const { arcs } = front;
  const arc = arcs.find((a) => theta <= a.toRad) ?? arcs[arcs.length - 1]!;
  return [arc.cx - arc.radiusMm * cos(theta), arc.cy + arc.radiusMm * sin(theta)];
}

/** The same chain, its arcs ended where the normal has turned by `toRad`, with a tail. */
export function endedAt(front: ChainFront, toRad: number, tail: ChainFront['tail']): ChainFront {
  const arcs = front.arcs
    .filter((arc) => arc.fromRad < toRad)
    .map((arc) =>
      arc.toRad <= toRad ? arc : { ...arc, toRad, cosTo: cos(toRad), sinTo: sin(toRad) },
    );
  const last = arcs[arcs.length - 1]!;
  const arcsMm = last.startMm + last.radiusMm * (last.toRad - last.fromRad);
  return { ...front, arcs, arcsMm, tail };
}

/** Angles at which a chain's arcs join. */
const JOINTS = [14, 29, 44, 60].map(radFromDeg);

/** Arcs of half a chain at most. */
export const MOST_ARCS = JOINTS.length + 1;
/** Far end of the angles that the last arc is made for. rad */
const LAST_JOINT_RAD = radFromDeg(84);

/** Where the last arc ends and the line begins, unless a flank is touched before. */
const LAST_RAD = radFromDeg(100);

/** No arc of a chain is tighter than this, as a share of the cutter's radius: the machine has to
 *  follow it at cutting feed. */
const TIGHTEST = 0.5;

/**
 * Chain with its bottom at a place on the axis.
 *
 * A front that moves towards the root by d a pass takes d cos(theta) off the wall whose normal is
 * theta. Following an inside arc of radius rho that is an effective depth of d cos(theta)
 * (rho + r) / rho, to first order in d. It is the same all along the front when
 *
 *   rho(theta) = r k cos(theta) / (1 - k cos(theta)),   k = d / depth at the limit
 *
 * so a wide, flat middle with tighter ends is loaded evenly where a circle is loaded only in the
 * middle. `circular` = 1 makes all arcs as wide as the middle one (a circle), 0 the even chain.
 */
export function chainFront(
  bottomMm: number,
  k: number,
  circular: number,
  cutterRadiusMm: number,
  arcCount: number = MOST_ARCS,
): ChainFront {
  const arcs: ChainArc[] = [];
  const r = cutterRadiusMm;
  const middle = (r * k) / (1 - k);
  let cx = bottomMm;
  let cy = 0;
  let from = 0;
  let before = 0;
  let startMm = 0;
  for (let i = 0; i < arcCount; i++) {
    const joint = JOINTS[i] ?? LAST_JOINT_RAD;
    const to = i === arcCount - 1 ? LAST_RAD : joint;
    const at = (from + joint) / 2;
    const c = cos(at);
    const even = Math.max(TIGHTEST * r, (r * k * c) / (1 - k * c));
    const radiusMm = i === 0 ? middle : Math.min(before, (1 - circular) * even + circular * middle);
    // The centre moves along the common normal of two arcs.
    if (i === 0) cx += radiusMm;
    else {
      cx -= (before - radiusMm) * cos(from);
      cy += (before - radiusMm) * sin(from);
    }
    arcs.push({
      cx,
      cy,
      radiusMm,
      fromRad: from,
      toRad: to,
      startMm,
      cosTo: cos(to),
      sinTo: sin(to),
    });
    startMm += radiusMm * (to - from);
    before = radiusMm;
    from = to;
  }
  return { kind: 'chain', bottomMm, arcs, arcsMm: startMm, tail: null };
}
