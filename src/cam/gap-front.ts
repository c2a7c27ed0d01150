/**
 * Roughing of one tooth gap as a nest of circular fronts.
 *
 * Frame of the gap: its axis is +X, the wheel's centre the origin. Where the cutter's centre may
 * be is bounded by the parallel curve of the outline at r + allowance. Every front is a circle
 * centred on the gap's axis that touches this bound on both sides of the gap:
 *
 *   ring     centre at the origin, the cut ring round the whole wheel
 *   outer    centre behind the origin, flatter than the ring; the room is outside the circle
 *   inner    centre out in the gap; the room is inside the circle, narrower towards the root
 *
 *        ring  ___---___             outer fronts dip between two tips,
 *            /  \_____/  \           inner fronts reach down to the seating curve
 *           tip  \___/   tip
 *                 (_)
 *
 * As the centre runs from the origin to minus infinity, and on from plus infinity down to the
 * seating curve, the front moves steadily from the ring to the root. Pass k follows the part of
 * front k that still stands in material; the wall it leaves is the front moved by r.
 *
 * The engagement at any point of a pass is the rim (t = 0 at the normal of the new wall, growing
 * towards travel) outside all earlier rooms grown by r; each of them covers one arc of the rim in
 * closed form. The step from front to front is the largest whose worst engagement is within the
 * limit: solved, not looked up, because in a gap engagement grows although the step does not.
 */
import { nearestOnEdge, pointAt } from '../profile/edge.js';
import type { Edge, Pt } from '../profile/edges.js';

/** Circular front on the gap's axis. */
export interface Front {
  readonly xMm: number;
  readonly radiusMm: number;
  /** True: the room for the cutter's centre is inside the circle. */
  readonly inner: boolean;
}

/** Front with the stretch on which the cutter is in material. */
export interface GapPass extends Front {
  /** Angles along the front, 0 on the gap's axis, growing towards +Y; `high` > `low`. rad */
  readonly highRad: number;
  readonly lowRad: number;
  readonly peakEngagementRad: number;
}

export interface GapPlan {
  readonly passes: readonly GapPass[];
  readonly cutterRadiusMm: number;
  /** The room outside this radius is free all round the wheel. mm */
  readonly ringCentreRadiusMm: number;
}

export interface GapInput {
  /** Edges of the gap centred on +X, from mid-tip to mid-tip. */
  readonly gap: readonly Edge[];
  readonly tipRadiusMm: number;
  readonly rootRadiusMm: number;
  readonly cutterRadiusMm: number;
  readonly allowanceMm: number;
  readonly maxEngagementRad: number;
}

/** Steps towards the root smaller than this are no progress: a gap would take hundreds. mm */
export const MIN_GAP_STEP_MM = 0.02;

/** Samples along a pass when its worst engagement is sought; golden section refines the best. */
const PASS_SAMPLES = 40;

/** Thrown when the cutter cannot get into the gap, or only in steps too small to be of use. */
export class GapTooTight extends Error {
  readonly stepMm: number;
  constructor(message: string, stepMm: number) {
    super(message);
    this.name = 'GapTooTight';
    this.stepMm = stepMm;
  }
}

/** Point of a front. */
export function onFront(front: Front, angle: number): Pt {
  const side = front.inner ? -1 : 1;
  return [front.xMm + side * front.radiusMm * Math.cos(angle), front.radiusMm * Math.sin(angle)];
}

/** Is a centre position in the room that a front bounds? */
export function inRoom(front: Front, p: Pt, slackMm: number): boolean {
  const d = Math.hypot(p[0] - front.xMm, p[1]);
  return front.inner ? d <= front.radiusMm + slackMm : d >= front.radiusMm - slackMm;
}

/** Rim in material on a front, given the fronts before it. */
export class GapEngagement {
  /** Greatest rim angle in material found by the last call of `engaged`. rad */
  last = 0;
  private readonly starts = new Float64Array(64);
  private readonly ends = new Float64Array(64);
  private readonly cutterRadiusMm: number;

  constructor(cutterRadiusMm: number) {
    this.cutterRadiusMm = cutterRadiusMm;
  }

  /**
   * Total rim in material, rad, at a point of `front` travelled clockwise round the wheel (from
   * +Y to -Y). By symmetry the other direction meets the same rim at the mirrored point.
   * @param before  earlier fronts, newest last; the last eight decide
   */
  engaged(front: Front, angle: number, before: readonly Front[]): number {
    const r = this.cutterRadiusMm;
    const [qx, qy] = onFront(front, angle);
    // Normal of the new wall: away from the room.
    const normal = front.inner ? Math.PI - angle : Math.PI + angle;
    let n = 0;
    for (let k = before.length - 1; k >= 0 && k >= before.length - 8; k--) {
      const other = before[k]!;
      const dx = other.xMm - qx;
      const d = Math.hypot(dx, qy);
      const towards = Math.atan2(-qy, dx);
      if (other.inner) {
        const R = other.radiusMm + r;
        if (d + r <= R) return (this.last = 0);
        const cos = (d * d + r * r - R * R) / (2 * d * r);
        if (cos < 1) n = this.cover(n, towards - normal, Math.acos(Math.max(-1, cos)));
      } else {
        const R = other.radiusMm - r;
        if (d - r >= R) return (this.last = 0);
        // Outside the circle: all but acos(c) about the direction to its centre.
        const cos = (d * d + r * r - R * R) / (2 * d * r);
        if (cos <= -1) continue;
        const half = Math.PI - Math.acos(Math.min(1, cos));
        n = this.cover(n, towards + Math.PI - normal, half);
      }
    }
    return this.remaining(n);
  }

  /** Notes an arc of rim in air: middle and half width, folded into [0, 2 pi]. */
  private cover(n: number, middle: number, half: number): number {
    const TURN = 2 * Math.PI;
    let from = (middle - half) % TURN;
    if (from < 0) from += TURN;
    const to = from + 2 * half;
    this.starts[n] = from;
    this.ends[n] = to;
    n++;
    if (to > TURN) {
      this.starts[n] = from - TURN;
      this.ends[n] = to - TURN;
      n++;
    }
    return n;
  }

  /** What of the leading half of the rim, [0, pi], is not covered by n arcs. */
  private remaining(n: number): number {
    const { starts, ends } = this;
    for (let i = 1; i < n; i++) {
      const s = starts[i]!;
      const e = ends[i]!;
      let j = i - 1;
      while (j >= 0 && starts[j]! > s) {
        starts[j + 1] = starts[j]!;
        ends[j + 1] = ends[j]!;
        j--;
      }
      starts[j + 1] = s;
      ends[j + 1] = e;
    }
    let at = 0;
    let total = 0;
    this.last = 0;
    for (let i = 0; i < n && at < Math.PI; i++) {
      const s = starts[i]!;
      if (s > at) {
        const stop = Math.min(s, Math.PI);
        total += stop - at;
        this.last = stop;
      }
      at = Math.max(at, ends[i]!);
    }
    if (at < Math.PI) {
      total += Math.PI - at;
      this.last = Math.PI;
    }
    return total;
  }
}

/** Fronts by one parameter in [0, 1): 0 the ring, then outer, then inner ones towards the root. */
export type FrontAt = (u: number) => Front;

/**
 * The family of fronts of a gap: `at(u)` touches the bound of the room, and the place where it
 * crosses the axis falls with u, from the ring to the root at `uEnd`.
 */
export function frontFamily(input: GapInput): { at: FrontAt; uEnd: number; ring: Front } {
  const { gap } = input;
  const keepOff = input.cutterRadiusMm + input.allowanceMm;
  const scale = input.tipRadiusMm;
  const corners = farCandidates(gap);
  const at = (u: number): Front => {
    const angle = Math.PI * u;
    const c = -scale * Math.tan(angle);
    if (u < 0.5) {
      let far = 0;
      for (const p of corners) far = Math.max(far, Math.hypot(p[0] - c, p[1]));
      return { xMm: c, radiusMm: far + keepOff, inner: false };
    }
    let near = Infinity;
    for (const edge of gap) near = Math.min(near, nearestOnEdge(edge, [c, 0]).distanceMm);
    return { xMm: c, radiusMm: near - keepOff, inner: true };
  };
  const crossing = (u: number): number => {
    const front = at(u);
    return front.inner ? front.xMm - front.radiusMm : front.xMm + front.radiusMm;
  };
  const bottom = input.rootRadiusMm + keepOff;
  let lo = 0.5 + 1e-9;
  let hi = 1 - Math.atan(input.rootRadiusMm / scale) / Math.PI;
  for (let i = 0; i < 70 && hi - lo > 1e-13; i++) {
    const m = (lo + hi) / 2;
    if (crossing(m) > bottom + 1e-6) lo = m;
    else hi = m;
  }
  return { at, uEnd: hi, ring: at(0) };
}

/** Points of the gap's edges that can be farthest from a point behind the wheel's centre. */
function farCandidates(gap: readonly Edge[]): Pt[] {
  const points: Pt[] = [];
  for (const edge of gap) {
    const n = edge.kind === 'line' ? 1 : 24;
    for (let i = 0; i <= n; i++) points.push(pointAt(edge, i / n));
  }
  return points;
}

/**
 * Nest of passes that clears one gap to the allowance.
 * @throws GapTooTight where the cutter does not fit, or where the engagement limit leaves no
 *         step worth taking
 */
export function planGap(input: GapInput): GapPlan {
  const { at, uEnd, ring } = frontFamily(input);
  const last = at(uEnd);
  if (!(last.radiusMm > 1e-3)) {
    throw new GapTooTight('the cutter does not fit between the flanks of a tooth gap', 0);
  }
  const measure = new GapEngagement(input.cutterRadiusMm);
  const before: Front[] = [ring];
  const passes: GapPass[] = [];
  let u = 0;
  while (u < uEnd) {
    const tooMuch = (candidate: number): boolean =>
      worst(measure, at(candidate), before).peak > input.maxEngagementRad;
    let next = uEnd;
    if (tooMuch(uEnd)) {
      let good = u;
      let bad = uEnd;
      for (let i = 0; i < 44 && bad - good > 1e-9; i++) {
        const middle = (good + bad) / 2;
        if (tooMuch(middle)) bad = middle;
        else good = middle;
      }
      next = good;
    }
    const front = at(next);
    const found = worst(measure, front, before);
    const step = axisCrossing(before[before.length - 1]!) - axisCrossing(front);
    if (step < MIN_GAP_STEP_MM && next < uEnd) {
      throw new GapTooTight(
        `the engagement limit leaves steps of ${step.toFixed(3)} mm in the gap`,
        step,
      );
    }
    if (found.peak > 0) {
      passes.push({
        ...front,
        highRad: found.high,
        lowRad: found.low,
        peakEngagementRad: found.peak,
      });
    }
    before.push(front);
    u = next;
  }
  return {
    passes,
    cutterRadiusMm: input.cutterRadiusMm,
    ringCentreRadiusMm: ring.radiusMm,
  };
}

function axisCrossing(front: Front): number {
  return front.inner ? front.xMm - front.radiusMm : front.xMm + front.radiusMm;
}

/** Worst engagement on a front, and the angles between which the cutter is in material. */
function worst(
  measure: GapEngagement,
  front: Front,
  before: readonly Front[],
): { peak: number; high: number; low: number } {
  // An outer front meets material only between two tips: look no farther than half the wheel.
  const widest = front.inner
    ? Math.PI
    : Math.asin(Math.min(1, before[0]!.radiusMm / front.radiusMm));
  const step = (2 * widest) / PASS_SAMPLES;
  let peak = 0;
  let best = 0;
  let high = NaN;
  let low = NaN;
  const engaged = (angle: number): number => measure.engaged(front, angle, before);
  let span = widest;
  // Narrow bites near the axis: shrink the window until several samples are in material.
  for (let tries = 0; tries < 12; tries++) {
    let hits = 0;
    high = low = NaN;
    peak = 0;
    for (let i = 0; i <= PASS_SAMPLES; i++) {
      const angle = span - (2 * span * i) / PASS_SAMPLES;
      const phi = engaged(angle);
      if (phi > 0) {
        if (Number.isNaN(high)) high = angle;
        low = angle;
        hits++;
      }
      if (phi > peak) {
        peak = phi;
        best = angle;
      }
    }
    if (hits >= 8 || span < step / 64) break;
    if (hits === 0 && engaged(0) === 0) return { peak: 0, high: 0, low: 0 };
    span /= 2;
  }
  if (Number.isNaN(high)) return { peak: 0, high: 0, low: 0 };
  const fine = (2 * span) / PASS_SAMPLES;
  const touches = (angle: number): boolean => engaged(angle) > 0;
  high = edgeOfContact(touches, high, high + fine);
  low = edgeOfContact(touches, low, low - fine);
  const golden = (Math.sqrt(5) - 1) / 2;
  let a = best - fine;
  let b = best + fine;
  let c = b - golden * (b - a);
  let d = a + golden * (b - a);
  let fc = engaged(c);
  let fd = engaged(d);
  for (let i = 0; i < 16; i++) {
    if (fc > fd) {
      b = d;
      d = c;
      fd = fc;
      c = b - golden * (b - a);
      fc = engaged(c);
    } else {
      a = c;
      c = d;
      fc = fd;
      d = a + golden * (b - a);
      fd = engaged(d);
    }
  }
  return { peak: Math.max(peak, fc, fd), high, low };
}

/** Boundary between contact at `inside` and none at `outside`. */
function edgeOfContact(touches: (b: number) => boolean, inside: number, outside: number): number {
  if (touches(outside)) return outside;
  let a = inside;
  let b = outside;
  for (let i = 0; i < 24; i++) {
    const m = (a + b) / 2;
    if (touches(m)) a = m;
    else b = m;
  }
  return b;
}
