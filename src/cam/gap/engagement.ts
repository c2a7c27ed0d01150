/**
 * How much of the rim is in material along a front, given the fronts before it: at a place, and
 * where on the front the cutter meets material at all, and the worst of it.
 *
 * All that is known is whether there is material at a point: the rim is looked at in places, and each
 * change between two of them closed in on. The replay has the exact front of what has been swept, see
 * ../stock/stock-front.
 */
import { cos, sin } from '../../maths/elementary.js';
import { bisect, minimise } from '../../maths/solve.js';
import { PLACE_TOL_MM } from '../../maths/tolerance.js';
import { norm2 } from '../../maths/angle.js';
import {
  type ChainFront,
  type Front,
  type RingFront,
  intoRoom,
  onFront,
  outOfRoom,
} from './front-shape.js';

/** Earlier fronts that can still bound the stock a pass meets. */
const FRONTS_LOOKED_AT = 6;
/** Samples along a pass when its worst engagement is sought. */
const PASS_SAMPLES = 32;
/** Places round the leading half of the rim that are looked at. A touch at the wall itself is found
 *  first: most of a pass engages from there. rad */
const RIM_SAMPLES = 18;
const RIM_PLACES = Float64Array.from({ length: RIM_SAMPLES + 1 }, (_, i) =>
  i === 0 ? 1e-3 : (i - 0.25) * (Math.PI / RIM_SAMPLES),
);
const RIM_COSINES = RIM_PLACES.map(cos);
const RIM_SINES = RIM_PLACES.map(sin);

export interface Rim {
  /** All stretches in material together. rad */
  readonly totalRad: number;
  /** Far end of the last one, the greatest angle in material; 0 where there is none. rad */
  readonly aheadRad: number;
}

/** Places 10 degrees apart halved so often are 9 seconds of arc. */
const HALVINGS = 12;

/** The ring and the fronts cut so far, newest last. */
export type Fronts = readonly [RingFront, ...Front[]];

/** Rim in material on a front, given the fronts before it. */
export class GapEngagement {
  private readonly r: number;
  private before: readonly Front[] = [];
  // Position and wall normal of the query: kept here and not in a closure, which would be made anew
  // for each of some hundred thousand queries. One query ends before the next begins.
  private qx = 0;
  private qy = 0;
  private nx = 0;
  private ny = 0;

  constructor(cutterRadiusMm: number) {
    this.r = cutterRadiusMm;
  }

  /**
   * Rim in material at a point of `front` travelled clockwise round the wheel (from +Y to -Y).
   * By symmetry the other direction meets the same rim at the mirrored point.
   */
  at(front: ChainFront, length: number, before: readonly Front[]): Rim {
    const [x, y] = onFront(front, length);
    this.qx = x;
    this.qy = y;
    const into = intoRoom(front, length);
    this.nx = -into[0];
    this.ny = -into[1];
    this.before = before;
    return this.sampleRim();
  }

  /** Stretches that fall between two places are not seen. One that holds the first place begins at
   *  the wall, one that holds the last place goes on to half a turn. */
  private sampleRim(): Rim {
    let totalRad = 0;
    let aheadRad = 0;
    let inside = this.standsTowards(RIM_COSINES[0]!, RIM_SINES[0]!);
    let open = 0;
    for (let i = 1; i < RIM_PLACES.length; i++) {
      const now = this.standsTowards(RIM_COSINES[i]!, RIM_SINES[i]!);
      if (now === inside) continue;
      inside = now;
      const standing = i - (now ? 0 : 1);
      const clear = i - (now ? 1 : 0);
      const ends = bisect(this.standsAt, RIM_PLACES[standing]!, RIM_PLACES[clear]!, HALVINGS);
      const edge = (ends[0] + ends[1]) / 2;
      if (now) open = edge;
      else {
        totalRad += edge - open;
        aheadRad = edge;
      }
    }
    if (inside) {
      totalRad += Math.PI - open;
      aheadRad = Math.PI;
    }
    return { totalRad, aheadRad };
  }

  private readonly standsAt = (t: number): boolean => this.standsTowards(cos(t), sin(t));

  /** Is there material at the place of the rim whose angle has this cosine and this sine? */
  private standsTowards(cosine: number, sine: number): boolean {
    const c = this.r * cosine;
    const s = this.r * sine;
    // Heading is the normal turned a quarter counter-clockwise: material on the right hand.
    const x = this.qx + c * this.nx - s * this.ny;
    const y = this.qy + c * this.ny + s * this.nx;
    const { before, r } = this;
    const first = Math.max(0, before.length - FRONTS_LOOKED_AT);
    for (let k = before.length - 1; k >= first; k--) {
      if (outOfRoom(before[k]!, x, y) <= r) return false;
    }
    return true;
  }
}

/** Where a front is in material, and the worst of it. Lengths along the front. */
export interface Contact {
  readonly peak: number;
  readonly high: number;
  readonly low: number;
}

type Engaged = (length: number) => number;

const NO_CONTACT: Contact = { peak: 0, high: 0, low: 0 };
/** Bound on how often the window of the search is halved. */
const MOST_WINDOWS = 10;
/** Samples in material that show enough of a pass. */
const ENOUGH_HITS = 6;
/** A sample's distance shortened so often to 0.618 is under a hundredth of it. */
const PEAK_STEPS = 10;

/**
 * Worst engagement on a front, and the lengths between which the cutter is in material.
 * @param reach  how far along the front to look, see `reachInside`
 */
function worstWithin(engaged: Engaged, reach: number): Contact {
  const seen = reach > 0 ? sampledContact(engaged, reach) : null;
  if (!seen) return NO_CONTACT;
  const { fine } = seen;
  const high = edgeOfContact(engaged, seen.high, Math.min(seen.high + fine, reach));
  const low = edgeOfContact(engaged, seen.low, Math.max(seen.low - fine, -reach));
  let { peak } = seen;
  const less = (length: number): number => {
    const phi = engaged(length);
    peak = Math.max(peak, phi);
    return -phi;
  };
  minimise(less, seen.best - fine, seen.best + fine, PEAK_STEPS);
  return { peak, high, low };
}

/** Worst engagement on a front. rad */
export function worstRad(measure: GapEngagement, front: ChainFront, before: Fronts): number {
  const engaged = (length: number): number => measure.at(front, length, before).totalRad;
  return worstWithin(engaged, reachInside(front, before[0])).peak;
}

/** Spacing of the search for touches apart from the main cut. mm */
const TOUCH_SEARCH_MM = 0.06;
/** Spacing of the close look along a pass, mm, and bound on its places: 45 mm of pass, the longest
 *  of the largest wheel. */
const CLOSE_MM = 0.03;
const MOST_CLOSE_LOOKS = 1500;

/** Contact looked at closely all along, widened to touches farther out along the front, on slivers
 *  that earlier fronts left. */
export function closeContact(measure: GapEngagement, front: ChainFront, before: Fronts): Contact {
  const engaged = (length: number): number => measure.at(front, length, before).totalRad;
  const reach = reachInside(front, before[0]);
  const main = worstWithin(engaged, reach);
  if (main.peak <= 0) return main;
  const outermost = (side: 1 | -1, found: number): number => {
    for (let s = reach; s > side * found; s -= TOUCH_SEARCH_MM) {
      if (engaged(side * s) <= 0) continue;
      return edgeOfContact(engaged, side * s, side * (s + TOUCH_SEARCH_MM));
    }
    return found;
  };
  const [high, low] = [outermost(1, main.high), outermost(-1, main.low)];
  const n = Math.min(MOST_CLOSE_LOOKS, Math.ceil((high - low) / CLOSE_MM));
  let { peak } = main;
  for (let i = 0; i <= n; i++) peak = Math.max(peak, engaged(high - ((high - low) * i) / n));
  return { peak, high, low };
}

/** The outermost of even samples that are in material, and the worst; null where none is. */
function sampledContact(
  engaged: Engaged,
  reach: number,
): (Contact & { readonly best: number; readonly fine: number }) | null {
  let span = reach;
  let peak = 0;
  let best = 0;
  let high = NaN;
  let low = NaN;
  // A short bite near the axis: shrink the window until several samples are in material.
  for (let tries = 0; tries < MOST_WINDOWS; tries++) {
    let hits = 0;
    high = low = NaN;
    peak = 0;
    for (let i = 0; i <= PASS_SAMPLES; i++) {
      const at = span - (2 * span * i) / PASS_SAMPLES;
      const phi = engaged(at);
      if (phi <= 0) continue;
      if (Number.isNaN(high)) high = at;
      low = at;
      hits++;
      if (phi > peak) {
        peak = phi;
        best = at;
      }
    }
    if (hits >= ENOUGH_HITS) break;
    if (hits === 0 && engaged(0) <= 0) return null;
    span /= 2;
  }
  if (Number.isNaN(high)) return null;
  return { peak, best, high, low, fine: (2 * span) / PASS_SAMPLES };
}

/**
 * Length along a front, from the axis, at which it first leaves the ring, beyond which nothing
 * stands; at most a little past the flank that it touches. mm
 */
function reachInside(front: ChainFront, { radiusMm }: RingFront): number {
  const farthest = front.arcsMm + radiusMm;
  const inside = (length: number): boolean => {
    const [x, y] = onFront(front, length);
    return norm2(x, y) < radiusMm;
  };
  if (!inside(0)) return 0;
  // A front is at most this far from the axis inside the ring.
  const stride = Math.max(1e-3, radiusMm / 40);
  let lo: number;
  let hi = 0;
  do {
    lo = hi;
    hi = Math.min(farthest, lo + stride);
  } while (hi < farthest && inside(hi));
  if (inside(hi)) return hi;
  return bisect(inside, lo, hi, REACH_HALVINGS, PLACE_TOL_MM)[1];
}

/** Bound on halvings that end when they are close enough. */
const REACH_HALVINGS = 40;

/** A sample's distance, of a few tenths of a millimetre at most, halved so often is 5e-6 mm. */
const CONTACT_HALVINGS = 16;

/** Boundary between contact at `inside` and none at `outside`. */
function edgeOfContact(engaged: Engaged, inside: number, outside: number): number {
  if (engaged(outside) > 0) return outside;
  return bisect((length) => engaged(length) > 0, inside, outside, CONTACT_HALVINGS)[1];
}
