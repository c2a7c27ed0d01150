/**
 * Ring passes: the round blank is cut down to just above the tooth tips, clockwise, from air.
 *
 * Each pass enters along an arc of more than twice its own radius that touches the pass's circle
 * from outside. The cutter so drifts into the stock over many millimetres and never meets more
 * of it than on the full pass; after one turn it leaves to the left, away from the part.
 */
import type { Pt } from '../profile/edges.js';
import { stepForEngagementConvexMm } from '../machines/engagement.js';
import { Pen, type PlanarMove } from './planar.js';

export interface RingInput {
  /** Blank radius with the centring error added: the most that can be met. mm */
  readonly blankRadiusMm: number;
  /** Radius the ring is cut down to. mm */
  readonly wallRadiusMm: number;
  readonly cutterRadiusMm: number;
  readonly maxEngagementRad: number;
  /** Angle at which passes touch their circle. rad */
  readonly touchRad: number;
  readonly feed: (phiRad: number) => number;
  readonly linkFeedMmPerMin: number;
}

export interface RingPlan {
  /** From `start` round every pass and out to `end`, both in air. */
  readonly start: Pt;
  readonly moves: readonly PlanarMove[];
  readonly end: Pt;
  readonly passes: number;
  readonly peakEngagementRad: number;
}

/** Air left between the cutter's rim and the blank before a pass begins. mm */
export const AIR_GAP_MM = 0.4;

/** Engagement on a circle of radius `path` about the origin in a disc of radius `stock`. */
function rimInDisc(centre: number, r: number, stock: number): number {
  const c = (stock * stock - centre * centre - r * r) / (2 * centre * r);
  return c <= -1 ? 0 : Math.PI - Math.acos(Math.min(1, c));
}

export function planRing(input: RingInput): RingPlan {
  const { blankRadiusMm, wallRadiusMm, cutterRadiusMm: r, touchRad } = input;
  const step = stepForEngagementConvexMm(input.maxEngagementRad, r, wallRadiusMm);
  const depth = Math.max(0, blankRadiusMm - wallRadiusMm);
  const passes = Math.ceil(depth / step - 1e-9);
  const outside = blankRadiusMm + r + AIR_GAP_MM;
  if (passes === 0) {
    const at: Pt = [outside * Math.cos(touchRad), outside * Math.sin(touchRad)];
    return { start: at, moves: [], end: at, passes: 0, peakEngagementRad: 0 };
  }
  let pen: Pen | null = null;
  let start: Pt = [0, 0];
  let peak = 0;
  for (let i = 1; i <= passes; i++) {
    const stock = blankRadiusMm - (depth * (i - 1)) / passes;
    const wall = blankRadiusMm - (depth * i) / passes;
    const path = wall + r;
    const u: Pt = [Math.cos(touchRad), Math.sin(touchRad)];
    const touch: Pt = [path * u[0], path * u[1]];
    const full = rimInDisc(path, r, stock);
    // Entry arc: radius `wide`, centre on the far side of the wheel's centre.
    const wide = 2.2 * path + 10;
    const c: Pt = [(path - wide) * u[0], (path - wide) * u[1]];
    const back = entrySweep(path, wide, outside);
    const from: Pt = pointAbout(c, wide, touchRad + back);
    if (!pen) {
      pen = new Pen(from);
      start = from;
    } else {
      pen.line(from, input.linkFeedMmPerMin, 'link');
    }
    // Rim met on the entry: its heading leans inwards by the angle between the two normals.
    const stations = 24;
    let phi = full;
    for (let k = 1; k < stations; k++) {
      const a = touchRad + (back * k) / stations;
      const q = pointAbout(c, wide, a);
      const lean = a - Math.atan2(q[1], q[0]);
      phi = Math.max(phi, Math.abs(lean) + rimInDisc(Math.hypot(q[0], q[1]), r, stock));
    }
    peak = Math.max(peak, phi);
    const entryFeed = input.feed(phi);
    pen.sweep(c, -back, entryFeed, 'cut');
    pen.snap(touch);
    pen.sweep([0, 0], -2 * Math.PI, input.feed(full), 'cut');
    // Out to the left about a point outside the circle.
    const out = 2 * r;
    const oc: Pt = [(path + out) * u[0], (path + out) * u[1]];
    pen.sweep(oc, exitSweep(path, out, outside), input.linkFeedMmPerMin, 'lead');
  }
  return { start, moves: pen!.moves, end: pen!.at, passes, peakEngagementRad: peak };
}

function pointAbout(c: Pt, radius: number, angle: number): Pt {
  return [c[0] + radius * Math.cos(angle), c[1] + radius * Math.sin(angle)];
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
  return Math.min((2 * Math.PI) / 3, Math.acos(Math.max(-1, Math.min(1, cos))));
}
