/**
 * The ring of stock round the tooth tips, cut clockwise.
 *
 * Whole passes come first, each at the engagement limit, while the ring is thicker than one pass
 * may be. Each enters from air along an arc of more than twice its own radius that touches the
 * pass's circle from outside: the cutter drifts into the stock over many millimetres and meets
 * little more of it than on the full pass; after one turn it leaves to the left, off the part.
 *
 * What is left is thinner than one pass. It goes with the gaps, except for a pillar on each tip,
 * which is taken on the way from one gap to the next.
 */
import type { Pt } from '../model/edges.js';
import { stepForEngagementConvexMm } from '../machines/load/engagement.js';
import { atRadius, polar } from '../profile/geometry/edge.js';
import { travelTo } from './gap/moves.js';
import { Pen, type PlanarMove } from './planar.js';
import { TURN_RAD, radFromDeg } from '../maths/angle.js';
import { norm2 } from '../maths/norm.js';

export interface RingInput {
  /** Blank radius with the centring error added: the most that can be met. mm */
  readonly blankRadiusMm: number;
  /** Radius that the last round cuts down to. mm */
  readonly wallRadiusMm: number;
  readonly cutterRadiusMm: number;
  readonly maxEngagementRad: number;
  /** Angle at which passes touch their circle. rad */
  readonly touchRad: number;
  readonly feed: (phiRad: number) => number;
  readonly linkFeedMmPerMin: number;
}

export interface RingPlan {
  /** From `start` round every whole pass and out to `end`, both in air. */
  readonly start: Pt;
  readonly moves: readonly PlanarMove[];
  readonly end: Pt;
  readonly passes: number;
  /** Radius of the stock that the gaps are cut into. mm */
  readonly stockRadiusMm: number;
  readonly peakEngagementRad: number;
}

/** Air left between the cutter's rim and the blank before a pass begins. mm */
const AIR_GAP_MM = 0.4;

/** Rim inside a disc of radius `stock` with the cutter `centre` from the disc's. rad */
export function rimInDisc(centre: number, r: number, stock: number): number {
  const c = (stock * stock - centre * centre - r * r) / (2 * centre * r);
  return c <= -1 ? 0 : Math.PI - Math.acos(Math.min(1, c));
}

export function planRing(input: RingInput): RingPlan {
  const { blankRadiusMm, wallRadiusMm, cutterRadiusMm: r, touchRad } = input;
  const outside = blankRadiusMm + r + AIR_GAP_MM;
  const u: Pt = [Math.cos(touchRad), Math.sin(touchRad)];
  const rest: Pt = [outside * u[0], outside * u[1]];
  let stock = blankRadiusMm;
  let pen: Pen | null = null;
  let passes = 0;
  let peak = 0;
  for (;;) {
    if (stock - wallRadiusMm <= stepForEngagementConvexMm(input.maxEngagementRad, r, stock)) break;
    const { path, wide, back, full, entering } = wholePass(input, stock, outside);
    const touch: Pt = [path * u[0], path * u[1]];
    const c: Pt = [(path - wide) * u[0], (path - wide) * u[1]];
    const from = polar(wide, touchRad + back, c);
    if (pen) {
      // Round the blank: straight across, the cutter would meet it.
      pen.line(atRadius(pen.at, outside), input.linkFeedMmPerMin, 'link');
      travelTo(pen, from, input.linkFeedMmPerMin);
    } else pen = new Pen(from);
    peak = Math.max(peak, full, entering);
    pen.sweep(c, -back, input.feed(entering), 'cut').snap(touch);
    pen.sweep([0, 0], -TURN_RAD, input.feed(full), 'cut').snap(touch);
    // Out to the left about a point outside the circle.
    const out = 2 * r;
    const oc: Pt = [(path + out) * u[0], (path + out) * u[1]];
    pen.sweep(oc, exitSweep(path, out, outside), input.linkFeedMmPerMin, 'lead');
    stock = path - r;
    passes++;
  }
  return {
    start: pen?.start ?? rest,
    moves: pen?.moves ?? [],
    end: pen?.at ?? rest,
    passes,
    stockRadiusMm: Math.max(stock, wallRadiusMm),
    peakEngagementRad: peak,
  };
}

/** Share of the widest step that is taken. */
const STEP_SHARE = 0.99;

interface WholePass {
  /** Radius of the cutter's path and of the arc that leads to it. mm */
  readonly path: number;
  readonly wide: number;
  /** Sweep of that arc. rad */
  readonly back: number;
  /** Rim in material on the pass, and at most on the way in. rad */
  readonly full: number;
  readonly entering: number;
}

/**
 * The widest pass that keeps the limit on the way in too. The engagement grows there by a share
 * of a degree on a wheel of a hundred millimetres, by several on one of fifteen.
 */
function wholePass(input: RingInput, stock: number, outside: number): WholePass {
  const { cutterRadiusMm: r, maxEngagementRad: limit, touchRad } = input;
  for (let aim = limit; ;) {
    const path = stock - STEP_SHARE * stepForEngagementConvexMm(aim, r, stock) + r;
    const wide = 2.2 * path + 10;
    const back = entrySweep(path, wide, outside);
    const full = rimInDisc(path, r, stock);
    const c: Pt = [(path - wide) * Math.cos(touchRad), (path - wide) * Math.sin(touchRad)];
    const entering = entryEngagement(c, wide, touchRad, back, r, stock, full);
    if (entering <= limit || aim < limit / 2) return { path, wide, back, full, entering };
    aim -= entering - limit + 1e-4;
  }
}

/** Greatest rim met on an entry arc: its heading leans inwards by the angle between the normals. */
function entryEngagement(
  c: Pt,
  wide: number,
  touchRad: number,
  back: number,
  r: number,
  stock: number,
  full: number,
): number {
  const stations = 32;
  let phi = full;
  for (let k = 1; k < stations; k++) {
    const a = touchRad + (back * k) / stations;
    const q = polar(wide, a, c);
    const met = rimInDisc(norm2(q[0], q[1]), r, stock);
    if (met > 0) phi = Math.max(phi, Math.abs(a - Math.atan2(q[1], q[0])) + met);
  }
  return phi;
}

/** Sweep of the wide entry arc from where it is `outside` of the origin to the touching point. */
function entrySweep(path: number, wide: number, outside: number): number {
  // Distance of a point at angle a from the centre line: |c + wide e(a)|, c = path - wide.
  const c = path - wide;
  const cos = (outside * outside - c * c - wide * wide) / (2 * c * wide);
  return Math.acos(Math.max(-1, Math.min(1, cos)));
}

/** Sweep of the exit circle until its point is `outside` of the origin (at most 120 degrees). */
function exitSweep(path: number, out: number, outside: number): number {
  const d = path + out;
  const cos = (d * d + out * out - outside * outside) / (2 * d * out);
  return Math.min(radFromDeg(120), Math.acos(Math.max(-1, Math.min(1, cos))));
}
