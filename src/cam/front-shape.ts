/**
 * Shapes of the fronts of a tooth gap. Frame: the gap's axis is +X, the wheel's centre the origin.
 *
 *   ring    circle about the origin, cut round the whole wheel; the room is outside it
 *   outer   circle centred behind the origin, flatter than the ring; the room is outside it
 *   chain   arcs joined tangent to tangent, mirror-symmetric about the axis; the room is inside
 *
 * A point of a chain is named by the direction of its wall normal: theta = 0 on the axis (normal
 * towards the wheel's centre), growing towards +Y. A single arc makes a circle.
 *
 *          \  room  /          flank | arc 2 | arc 1 | arc 0 | arc 1 | arc 2 | flank
 *           \      /
 *            '.__.'            bottom at x = bottomMm
 */
import type { Pt } from '../profile/edges.js';

/** One arc of the half chain with y >= 0. */
export interface ChainArc {
  readonly cx: number;
  readonly cy: number;
  readonly radiusMm: number;
  /** From `fromRad` to `toRad`; the last arc goes on as far as it is asked for. */
  readonly fromRad: number;
  readonly toRad: number;
}

export type Front =
  | { readonly kind: 'outer'; readonly xMm: number; readonly radiusMm: number }
  | { readonly kind: 'chain'; readonly bottomMm: number; readonly arcs: readonly ChainArc[] };

/** The arc on which an angle falls. */
export function arcOf(arcs: readonly ChainArc[], angle: number): ChainArc {
  const a = Math.abs(angle);
  for (const arc of arcs) if (a <= arc.toRad) return arc;
  return arcs[arcs.length - 1]!;
}

/** Point of a front. For an outer front the angle is that about its centre. */
export function onFront(front: Front, angle: number): Pt {
  if (front.kind === 'outer') {
    return [front.xMm + front.radiusMm * Math.cos(angle), front.radiusMm * Math.sin(angle)];
  }
  const arc = arcOf(front.arcs, angle);
  const a = Math.abs(angle);
  const x = arc.cx - arc.radiusMm * Math.cos(a);
  const y = arc.cy + arc.radiusMm * Math.sin(a);
  return [x, angle < 0 ? -y : y];
}

/** Unit vector from a point of the front into the room. */
export function intoRoom(front: Front, angle: number): Pt {
  return front.kind === 'outer'
    ? [Math.cos(angle), Math.sin(angle)]
    : [Math.cos(angle), -Math.sin(angle)];
}

/** Radius of the front at an angle. mm */
export function frontRadius(front: Front, angle: number): number {
  return front.kind === 'outer' ? front.radiusMm : arcOf(front.arcs, angle).radiusMm;
}

/** Where the front crosses the axis. mm */
export function axisCrossing(front: Front): number {
  return front.kind === 'outer' ? front.xMm + front.radiusMm : front.bottomMm;
}

/** Distance from the room to a point: negative inside. Exact on the wall side of the front. mm */
export function outOfRoom(front: Front, x: number, y: number): number {
  if (front.kind === 'outer') return front.radiusMm - Math.hypot(x - front.xMm, y);
  const { arcs } = front;
  const ay = y < 0 ? -y : y;
  const last = arcs.length - 1;
  for (let i = 0; i < last; i++) {
    const arc = arcs[i]!;
    const dx = arc.cx - x;
    const dy = ay - arc.cy;
    // Is the direction from the arc's centre within its sector (up to toRad)?
    if (dy * Math.cos(arc.toRad) <= dx * Math.sin(arc.toRad)) {
      return Math.hypot(dx, dy) - arc.radiusMm;
    }
  }
  const arc = arcs[last]!;
  return Math.hypot(arc.cx - x, ay - arc.cy) - arc.radiusMm;
}

/** Arc length from the axis to an angle, mm, negative for negative angles. */
export function lengthTo(front: Front, angle: number): number {
  if (front.kind === 'outer') return front.radiusMm * angle;
  const a = Math.abs(angle);
  let length = 0;
  front.arcs.forEach((arc, i) => {
    const end = i === front.arcs.length - 1 ? a : Math.min(a, arc.toRad);
    if (end > arc.fromRad) length += arc.radiusMm * (end - arc.fromRad);
  });
  return angle < 0 ? -length : length;
}

/** Inverse of `lengthTo`. */
export function angleAt(front: Front, length: number): number {
  if (front.kind === 'outer') return length / front.radiusMm;
  let rest = Math.abs(length);
  let angle = 0;
  for (let i = 0; i < front.arcs.length; i++) {
    const arc = front.arcs[i]!;
    const span = arc.toRad - arc.fromRad;
    const own = arc.radiusMm * span;
    if (rest <= own || i === front.arcs.length - 1) {
      angle = arc.fromRad + rest / arc.radiusMm;
      break;
    }
    rest -= own;
  }
  return length < 0 ? -angle : angle;
}

/** Angles at which a chain's arcs join. */
const JOINTS = [14, 29, 44, 60].map((deg) => (deg * Math.PI) / 180);

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
): Front {
  const arcs: ChainArc[] = [];
  const r = cutterRadiusMm;
  const middle = (r * k) / (1 - k);
  let cx = bottomMm;
  let cy = 0;
  let from = 0;
  let before = 0;
  for (let i = 0; i <= JOINTS.length; i++) {
    const to = JOINTS[i] ?? Math.PI;
    const at = i === JOINTS.length ? (72 * Math.PI) / 180 : (from + to) / 2;
    const c = Math.cos(at);
    const even = Math.max(TIGHTEST * r, (r * k * c) / (1 - k * c));
    const radiusMm = i === 0 ? middle : Math.min(before, (1 - circular) * even + circular * middle);
    // The centre moves along the common normal of two arcs.
    if (i === 0) cx += radiusMm;
    else {
      cx -= (before - radiusMm) * Math.cos(from);
      cy += (before - radiusMm) * Math.sin(from);
    }
    arcs.push({ cx, cy, radiusMm, fromRad: from, toRad: to });
    before = radiusMm;
    from = to;
  }
  return { kind: 'chain', bottomMm, arcs };
}
