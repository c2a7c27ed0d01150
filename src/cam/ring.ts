/**
 * The ring of stock round the tooth tips, cut clockwise while it is thicker than one pass may be;
 * what is left goes with the gaps, and a pillar on each tip on the way from one to the next.
 *
 * A pass enters from air along an arc of more than twice its own radius that touches the pass's
 * circle from outside: the cutter drifts into the stock over many millimetres and meets little more
 * of it than on the full pass; after one turn it leaves to the left, off the part.
 */
import { atan2 } from '../maths/elementary.js';
import type { Pt } from '../model/edges.js';
import { stepForEngagementConvexMm } from '../machines/load/engagement.js';
import { atRadius, polar } from '../profile/geometry/edge.js';
import { Pen, type PlanarMove } from './planar.js';
import { PLACE_TOL_MM } from '../maths/tolerance.js';
import { TURN_RAD, cornerRad, radFromDeg, norm2 } from '../maths/angle.js';

interface RingInput {
  /** Blank radius with the centring error added: the most that can be met. mm */
  readonly blankRadiusMm: number;
  /** Radius that the last round cuts down to. mm */
  readonly wallRadiusMm: number;
  /** Down to the wall, and not to within one pass of it. */
  readonly toWall?: boolean;
  readonly cutterRadiusMm: number;
  readonly maxEngagementRad: number;
  /** Angle at which passes touch their circle. rad */
  readonly touchRad: number;
  readonly feed: (phiRad: number) => number;
  readonly linkFeedMmPerMin: number;
}

/** Moves from `start` round every whole pass and out, both in air. */
interface RingPlan {
  readonly start: Pt;
  readonly moves: readonly PlanarMove[];
  /** Radius of the stock that the gaps are cut into. mm */
  readonly stockRadiusMm: number;
}

/** Air left between the cutter's rim and the blank before a pass begins. mm */
const AIR_GAP_MM = 0.4;

/** Rim inside a disc of radius `stock` with the cutter `centre` from the disc's. rad */
export function rimInDisc(centre: number, r: number, stock: number): number {
  return cornerRad(centre, r, stock);
}

/** The whole passes, each at the engagement limit. */
export function planRing(input: RingInput): RingPlan {
  const { blankRadiusMm, wallRadiusMm, cutterRadiusMm: r, touchRad, linkFeedMmPerMin } = input;
  /** Where air begins over stock of a radius: a pass has gone all the way round before the next. */
  const outsideOf = (stockRadiusMm: number): number => stockRadiusMm + r + AIR_GAP_MM;
  let stock = blankRadiusMm;
  let pen: Pen | null = null;
  const left = (): number =>
    input.toWall ? PLACE_TOL_MM : stepForEngagementConvexMm(input.maxEngagementRad, r, stock);
  while (stock - wallRadiusMm > left()) {
    const outside = outsideOf(stock);
    const { path, wide, back, full, entering } = wholePass(input, stock, outside);
    const touch = polar(path, touchRad);
    const c = polar(path - wide, touchRad);
    const from = polar(wide, touchRad + back, c);
    // Round the blank: straight across, the cutter would meet it.
    if (pen) {
      pen.line(atRadius(pen.at, outside), linkFeedMmPerMin, 'link').travel(from, linkFeedMmPerMin);
    } else pen = new Pen(from);
    pen.sweep(c, -back, input.feed(entering), 'cut').snap(touch);
    pen.sweep([0, 0], -TURN_RAD, input.feed(full), 'cut').snap(touch);
    // Out to the left about a point outside the circle.
    const out = 2 * r;
    const sweep = exitSweep(path, out, outside);
    pen.sweep(polar(path + out, touchRad), sweep, linkFeedMmPerMin, 'lead');
    stock = path - r;
  }
  return {
    start: pen?.start ?? polar(outsideOf(blankRadiusMm), touchRad),
    moves: pen?.moves ?? [],
    stockRadiusMm: Math.max(stock, wallRadiusMm),
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
    const step = STEP_SHARE * stepForEngagementConvexMm(aim, r, stock);
    const path = Math.max(input.wallRadiusMm, stock - step) + r;
    const wide = 2.2 * path + 10;
    const back = entrySweep(path, wide, outside);
    const full = rimInDisc(path, r, stock);
    const c = polar(path - wide, touchRad);
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
    if (met > 0) phi = Math.max(phi, Math.abs(a - atan2(q[1], q[0])) + met);
  }
  return phi;
}

/** Sweep of the wide entry arc from where it is `outside` of the origin to the touching point. */
function entrySweep(path: number, wide: number, outside: number): number {
  // Distance of a point at angle a from the centre line: |c + wide e(a)|, c = path - wide.
  return Math.PI - cornerRad(path - wide, wide, outside);
}

/** Sweep of the exit circle until its point is `outside` of the origin (at most 120 degrees). */
function exitSweep(path: number, out: number, outside: number): number {
  return Math.min(radFromDeg(120), cornerRad(path + out, out, outside));
}
