/**
 * Roughing of one tooth gap as a nest of fronts.
 *
 * Where the cutter's centre may be is bounded by the parallel curve of the outline at r +
 * allowance. Every front touches this bound on both flanks; the place where it crosses the gap's
 * axis moves from the ring to the root. Pass k follows the part of front k that still stands in
 * material; the wall it leaves is the front moved by r.
 *
 * The engagement at a point of a pass is the rim (t = 0 at the normal of the new wall, growing
 * towards travel) that lies farther than r from all earlier rooms. The step from front to front
 * is the largest whose worst engagement is within the limit: solved, not looked up, because in a
 * gap the engagement grows although the step does not.
 *
 * Of the folder: front-shape has the shapes of fronts and side the flank that bounds them; this
 * file finds the nest of them, engagement how much of the rim a front meets; pass makes one of them moves, and moves links the passes of a gap.
 */
import { atan2, cos, sin } from '../../maths/elementary.js';
import { distanceToEdge, nearestOnEdge } from '../../profile/geometry/edge.js';
import type { Edge } from '../../model/edges.js';
import { type Contact, type Fronts, GapEngagement, closeContact, worstRad } from './engagement.js';
import {
  type ChainFront,
  MOST_ARCS,
  type RingFront,
  chainFront,
  atNormal,
  endedAt,
} from './front-shape.js';
import { type GapSide, gapSide, lengthOnSide } from './side.js';
import { radFromDeg } from '../../maths/angle.js';
import { bisect } from '../../maths/solve.js';
import { ANGLE_TOL_RAD, OUTPUT_STEP_MM, PLACE_TOL_MM } from '../../maths/tolerance.js';

/** Front with the stretch on which the cutter is in material. */
export interface GapPass {
  readonly front: ChainFront;
  /** Lengths along the front, clockwise round the wheel from `highMm` to `lowMm`. */
  readonly highMm: number;
  readonly lowMm: number;
  readonly peakEngagementRad: number;
}

export interface GapPlan {
  readonly ring: RingFront;
  readonly passes: readonly GapPass[];
  readonly cutterRadiusMm: number;
}

export interface GapInput {
  /** Edges of the gap centred on +X, from mid-tip to mid-tip. */
  readonly gap: readonly Edge[];
  readonly rootRadiusMm: number;
  readonly tipRoundingMm: number;
  /** Radius of the round stock that the gaps are cut into. mm */
  readonly stockRadiusMm: number;
  readonly cutterRadiusMm: number;
  readonly allowanceMm: number;
  readonly maxEngagementRad: number;
}

/** Steps towards the root smaller than this are no progress: a gap would take hundreds. mm */
const MIN_GAP_STEP_MM = 0.02;

/** Smallest circle of the cutter's centre at the root. mm: on a tighter one the output step of
 *  0.001 mm turns the path by more than a degree, and the engagement with it. */
const LEAST_ROOM_MM = 0.05;

/** Closeness to the limit at which the step is good enough. rad */
const LIMIT_SLACK_RAD = radFromDeg(0.05);

/** Thrown when the cutter cannot get into the gap, or only in steps too small to be of use. */
export class GapTooTight extends Error {
  override readonly name = 'GapTooTight';
}

/**
 * Chains by where they cross the axis, each the widest that fits between the flanks. Near the rim
 * of the stock a straight front fits, and meets no flank.
 */
interface FrontFamily {
  readonly ring: RingFront;
  /** Crossing of the last front: the root. mm */
  readonly endMm: number;
  at(bottomMm: number): ChainFront;
}

/** Depth over the root, in radii of the last front, over which chains turn into circles. Least
 *  roughing time over 9 to 60 teeth among 0.2 to 0.9 (measured; the optimum is flat). */
const BLEND_DEPTH = 0.35;
/** Shortest last arc of a chain. mm: long enough that rounding to the output step turns its heading
 *  by a quarter of a degree at most. */
const LEAST_ARC_MM = 0.15;
/** Flattest chain considered, and how closely the widest that fits is found. */
const MOST_K = 0.998;
const K_TOL = 1e-9;
/** Bound on halvings that end when they are close enough. */
const MOST_HALVINGS = 40;

function frontFamily(input: GapInput): FrontFamily {
  const { cutterRadiusMm: r } = input;
  const keepOff = r + input.allowanceMm;
  const ring: RingFront = { kind: 'ring', radiusMm: input.stockRadiusMm + r };
  const endMm = input.rootRadiusMm + keepOff;
  const bound = makeBound(input.gap, keepOff);
  const side = gapSide(input.gap, input.tipRoundingMm, keepOff);
  const endRadius = seatRoom(bound, endMm);
  const fitsIn = (front: ChainFront): boolean =>
    clearance(front, bound, -FIT_TOL_MM).mm >= -FIT_TOL_MM;
  const at = (bottomMm: number): ChainFront => {
    const depth = (bottomMm - endMm) / (BLEND_DEPTH * endRadius);
    const circular = Math.min(1, Math.max(0, 1 - depth));
    const flattest = chainFront(bottomMm, MOST_K, circular, r);
    if (fitsIn(flattest)) return flattest;
    for (let arcCount = MOST_ARCS; ;) {
      const chain = (k: number): ChainFront => chainFront(bottomMm, k, circular, r, arcCount);
      const [widest] = bisect((k) => fitsIn(chain(k)), 0, MOST_K, MOST_HALVINGS, K_TOL);
      const front = withTail(chain(widest), bound, side);
      const used = front.arcs.length;
      if (used === 1 || front.arcsMm - front.arcs[used - 1]!.startMm >= LEAST_ARC_MM) return front;
      // A last arc cut short by the flank would be a kink of a move: the arc before it goes on.
      arcCount = used - 1;
    }
  };
  return { ring, endMm, at };
}

/**
 * Lets a chain follow the flank from where it touches it; straight on where it touches the tip.
 * The last front touches the seating curve all along: its arc is kept long enough to be a move.
 */
function withTail(front: ChainFront, bound: Bound, side: GapSide): ChainFront {
  const least = Math.min(MOST_LEAST_TURN_RAD, LEAST_ARC_MM / front.arcs[0]!.radiusMm);
  const toRad = Math.max(least, clearance(front, bound).contactRad);
  const fromMm = lengthOnSide(side, atNormal(front, toRad));
  return endedAt(front, toRad, fromMm === null ? null : { side, fromMm });
}

const MOST_LEAST_TURN_RAD = 0.6;

interface Bound {
  /** Room left at a point. mm */
  readonly roomMm: (x: number, y: number) => number;
  /** The same, and the nearest place of the bound's source. */
  readonly nearest: (x: number, y: number) => { mm: number; x: number; y: number };
}

function makeBound(edges: readonly Edge[], keepOff: number): Bound {
  let which = edges[0]!;
  const roomMm = (x: number, y: number): number => {
    let near = Infinity;
    for (const edge of edges) {
      const d = distanceToEdge(edge, x, y);
      if (d < near) {
        near = d;
        which = edge;
      }
    }
    return near - keepOff;
  };
  const nearest = (x: number, y: number) => {
    const mm = roomMm(x, y);
    const at = nearestOnEdge(which, [x, y]).point;
    return { mm, x: at[0], y: at[1] };
  };
  return { roomMm, nearest };
}

/**
 * Least room between a chain and the bound, and the direction of the wall normal where it is.
 * From the centre of an arc, the nearest place of the bound is the nearest to the arc where it
 * lies in the arc's sector; elsewhere the arc's ends decide. Later arcs win ties, so that a
 * contact that runs along the front is taken at its far end.
 * @param leastMm  less room than this is not told apart: the search ends where it is found
 */
function clearance(
  front: ChainFront,
  bound: Bound,
  leastMm = -Infinity,
): { mm: number; contactRad: number } {
  let mm = Infinity;
  let contactRad = 0;
  const note = (room: number, angle: number): void => {
    if (room <= mm + PLACE_TOL_MM) {
      mm = Math.min(mm, room);
      contactRad = angle;
    }
  };
  for (const arc of front.arcs) {
    const at = bound.nearest(arc.cx, arc.cy);
    const angle = atan2(at.y - arc.cy, arc.cx - at.x);
    const inSector = angle >= arc.fromRad - ANGLE_TOL_RAD && angle <= arc.toRad + ANGLE_TOL_RAD;
    const onAxis = arc.cy === 0 && Math.abs(angle) <= arc.toRad;
    if (inSector || onAxis) note(at.mm - arc.radiusMm, Math.abs(angle));
    for (const end of [arc.fromRad, arc.toRad]) {
      const x = arc.cx - arc.radiusMm * cos(end);
      const y = arc.cy + arc.radiusMm * sin(end);
      note(bound.roomMm(x, y), end);
    }
    if (mm < leastMm) break;
  }
  return { mm, contactRad };
}

/** A front fits when it is no farther outside the bound than this. mm */
const FIT_TOL_MM = 1e-7;
/** No gap that a cutter of this tool goes into is wider. mm */
const WIDEST_ROOM_MM = 100;
/** ... halved so often is less than 1e-13 mm: as far as doubles go. */
const ROOM_HALVINGS = 50;

/** Radius of the widest circle that touches the bound at the root. mm */
function seatRoom(bound: Bound, endMm: number): number {
  const fits = (radius: number): boolean =>
    bound.roomMm(endMm + radius, 0) >= radius - PLACE_TOL_MM;
  return bisect(fits, 0, WIDEST_ROOM_MM, ROOM_HALVINGS)[0];
}

/** Crossings this close to the root are at it. mm */
const END_TOL_MM = 1e-9;

/**
 * Nest of passes that clears one gap to the allowance. (Sharing the depth evenly, so that the last
 * step is no small one, was tried: lower engagement all along costs as much as it saves.)
 * @throws GapTooTight where the cutter does not fit, or where the engagement limit leaves no
 *         step worth taking
 */
export function planGap(input: GapInput): GapPlan {
  const family = frontFamily(input);
  const room = family.at(family.endMm).arcs[0]!.radiusMm;
  if (!(room > OUTPUT_STEP_MM)) {
    throw new GapTooTight('the cutter does not fit between the flanks of a tooth gap');
  }
  if (room < LEAST_ROOM_MM) {
    throw new GapTooTight(
      `its centre would turn on a circle of ${room.toFixed(3)} mm at the root, where the output step decides what it meets`,
    );
  }
  const limit = input.maxEngagementRad;
  const { ring, endMm } = family;
  const measure = new GapEngagement(input.cutterRadiusMm);
  const before: [RingFront, ...ChainFront[]] = [ring];
  const passes: GapPass[] = [];
  let bottom = ring.radiusMm;
  while (bottom > endMm + END_TOL_MM) {
    const { front, found } = nextPass(family, measure, before, bottom, limit);
    const next = front.bottomMm;
    const step = bottom - next;
    if (step < MIN_GAP_STEP_MM && next > endMm + END_TOL_MM) {
      throw new GapTooTight(
        `the engagement limit leaves steps of ${step.toFixed(3)} mm in the gap`,
      );
    }
    if (found.peak > 0) {
      const { high, low, peak } = found;
      passes.push({ front, highMm: high, lowMm: low, peakEngagementRad: peak });
    }
    before.push(front);
    bottom = next;
  }
  return { ring, passes, cutterRadiusMm: input.cutterRadiusMm };
}

/**
 * The next pass, its engagement looked at closely all along: where arcs meet it can rise for a
 * tenth of a millimetre, between the samples that the step was solved with. The step is then
 * solved again for a limit lower by what was found over it.
 */
function nextPass(
  family: FrontFamily,
  measure: GapEngagement,
  before: Fronts,
  bottom: number,
  limit: number,
): { front: ChainFront; found: Contact } {
  let aim = limit;
  for (let tries = 0; ; tries++) {
    const front = family.at(nextBottom(family, measure, before, bottom, aim));
    const found = closeContact(measure, front, before);
    if (found.peak <= limit + LIMIT_SLACK_RAD || tries >= CLOSE_TRIES) return { front, found };
    aim -= found.peak - limit;
  }
}

const CLOSE_TRIES = 6;

/** First step that is tried, mm, and how much longer each one after it is. */
const FIRST_STEP_MM = 0.25;
const STEP_GROWTH = 1.5;
/** Bound on the steps of regula falsi, which settles in a few. */
const MOST_FALSI = 30;
/** Crossings this close are close enough. mm: a hundredth of the output step */
const CROSSING_TOL_MM = 1e-5;
/** Regula falsi aims at a little less than the limit, and keeps clear of the ends of its bracket. */
const FALSI_AIM = 0.98;
const FALSI_CLEAR = 0.1;

/** Deepest crossing whose front keeps the limit: regula falsi on the worst engagement. */
function nextBottom(
  family: FrontFamily,
  measure: GapEngagement,
  before: Fronts,
  from: number,
  limit: number,
): number {
  const { endMm } = family;
  const tried = (at: number) => ({ at, peak: worstRad(measure, family.at(at), before) });
  if (tried(endMm).peak <= limit) return endMm;
  let good = { at: from, peak: 0 };
  // Walk down in growing steps first: far below, the engagement is a half circle and says little.
  let bad = tried(Math.max(endMm, from - FIRST_STEP_MM));
  while (bad.peak <= limit) {
    good = bad;
    bad = tried(Math.max(endMm, from - (from - good.at) * STEP_GROWTH));
  }
  for (let i = 0; i < MOST_FALSI && good.at - bad.at > CROSSING_TOL_MM; i++) {
    const share = (limit - good.peak) / (bad.peak - good.peak);
    const inner = Math.min(1 - FALSI_CLEAR, Math.max(FALSI_CLEAR, share * FALSI_AIM));
    const middle = tried(good.at + (bad.at - good.at) * inner);
    if (middle.peak > limit) bad = middle;
    else {
      good = middle;
      if (limit - middle.peak < LIMIT_SLACK_RAD) break;
    }
  }
  return good.at;
}
