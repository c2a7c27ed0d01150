/**
 * Moves of a program as pieces of path, whatever plane or slope they have; and those that change
 * depth: plunges, ramps, helices, slanted rapids, arcs in upright planes.
 */
import { atan2, cos, sin } from '../../../maths/elementary.js';
import { TURN_RAD, arcSweepRad, norm2 } from '../../../maths/angle.js';
import { DEPTH_TOL_MM, PLACE_TOL_MM } from '../../../maths/tolerance.js';
import type { CanonicalOp, Pt3 } from '../../../model/op.js';
import {
  type PathPiece,
  arcPiece,
  linePiece,
  nearOrigin,
  partOfPiece,
  pieceAt,
  pieceLengthMm,
} from '../path-piece.js';
import type { StockFront } from '../stock-front.js';

export type Motion = Extract<CanonicalOp, { op: 'rapid' | 'feed' | 'arc' | 'probe' }>;

export function isMotion(op: CanonicalOp): op is Motion {
  return op.op === 'rapid' || op.op === 'feed' || op.op === 'arc' || op.op === 'probe';
}

export type ArcOp = Extract<Motion, { op: 'arc' }>;

/** Axes of an arc's plane, in the order of its `center`: 0 X, 1 Y, 2 Z. */
export function planeAxes(plane: ArcOp['plane']): readonly [first: 0 | 1, second: 1 | 2] {
  return PLANE_AXES[plane];
}

const PLANE_AXES = { xy: [0, 1], xz: [0, 2], yz: [1, 2] } as const;

/** Does an arc pass a direction from its centre, given along the axes of its plane? */
export function arcPasses(op: ArcOp, first: number, second: number): boolean {
  const [i, j] = planeAxes(op.plane);
  const [c0, c1] = op.center;
  // In the XZ plane G3 turns from Z to X: against the angle counted from X.
  const hand = op.ccw === (op.plane !== 'xz') ? 1 : -1;
  const ax = op.from[i] - c0;
  const ay = op.from[j] - c1;
  const bx = op.to[i] - c0;
  const by = op.to[j] - c1;
  const leftOfStart = hand * (ax * second - ay * first) >= 0;
  const rightOfEnd = hand * (first * by - second * bx) >= 0;
  // Up to half a turn, both; beyond it (a full circle, too), either.
  return hand * (ax * by - ay * bx) > 0 ? leftOfStart && rightOfEnd : leftOfStart || rightOfEnd;
}

/** Does the move keep its depth all the way? An arc in XZ or YZ does not, wherever it ends. */
export function isLevel(op: Motion): boolean {
  if (op.op === 'arc' && op.plane !== 'xy') return false;
  return Math.abs(op.to[2] - op.from[2]) <= DEPTH_TOL_MM;
}

/** Straight up, the way out: where it comes from has been told. */
export function isStraightUp({ from, to }: Motion): boolean {
  return to[2] > from[2] && to[0] === from[0] && to[1] === from[1];
}

/** Path of a level move, or of a slanted one seen from above; null where X and Y stand still. */
export function pieceOf(op: Motion): PathPiece | null {
  const { from, to } = op;
  if (op.op === 'arc' && op.plane === 'xy') {
    return arcPiece(from[0], from[1], to[0], to[1], op.center[0], op.center[1], op.ccw);
  }
  if (from[0] === to[0] && from[1] === to[1]) return null;
  return linePiece(from[0], from[1], to[0], to[1]);
}

/** A move that changes depth, as a function of the share of it that is done. */
export interface Slope {
  readonly at: (share: number) => Pt3;
  /** Length seen from above, mm. */
  readonly planLengthMm: number;
  /** Length of the path itself, mm. */
  readonly lengthMm: number;
  /** Piece of path between two shares, seen from above; a point where X and Y stand still. */
  readonly piece: (from: number, to: number) => PathPiece;
}

export function slopeOf(op: Motion): Slope {
  return op.op === 'arc' && op.plane !== 'xy' ? uprightArc(op) : plainSlope(op);
}

/** Lines and helices about a vertical axis: depth goes in proportion. */
function plainSlope(op: Motion): Slope {
  const { from, to } = op;
  const plan = pieceOf(op);
  const rise = to[2] - from[2];
  const planLengthMm = plan === null ? 0 : pieceLengthMm(plan);
  return {
    at: (share) => {
      if (share >= 1) return to;
      const [x, y] = plan === null ? to : pieceAt(plan, share);
      return [x, y, from[2] + share * rise];
    },
    planLengthMm,
    lengthMm: norm2(planLengthMm, rise),
    piece: (a, b) =>
      plan === null ? linePiece(to[0], to[1], to[0], to[1]) : partOfPiece(plan, a, b),
  };
}

/**
 * Arc in the XZ or YZ plane. Seen from above it runs along a line to and fro; `center` is [x, z]
 * or [y, z], and G3 turns from Z to X, and from Y to Z.
 */
function uprightArc(op: ArcOp): Slope {
  const { from, to, center, ccw, plane } = op;
  const flat = plane === 'xz' ? 0 : 1;
  const across = 1 - flat;
  const [c, cz] = center;
  const angleOf = (p: Pt3): number => atan2(p[2] - cz, p[flat]! - c);
  const a0 = angleOf(from);
  const radius = norm2(from[2] - cz, from[flat]! - c);
  // Angles count from the flat axis to Z, which is the sense of G3 in YZ and against it in XZ.
  const forward = ccw === (plane === 'yz');
  const sweep = arcSweepRad(a0, angleOf(to), forward);
  const at = (share: number): Pt3 => {
    if (share >= 1) return to;
    const a = a0 + share * sweep;
    const along = c + radius * cos(a);
    const aside = from[across]! + share * (to[across]! - from[across]!);
    const z = cz + radius * sin(a);
    return flat === 0 ? [along, aside, z] : [aside, along, z];
  };
  const lengthMm = norm2(radius * sweep, to[across]! - from[across]!);
  return {
    at,
    planLengthMm: lengthMm,
    lengthMm,
    piece: (a, b) => {
      const p = at(a);
      const q = at(b);
      return linePiece(p[0], p[1], q[0], q[1]);
    },
  };
}

/** Distance between places looked at along a slanted move. mm */
const STEP_MM = 0.1;
/** Places looked at along one move at most: a longer one is looked at more coarsely. */
const MOST_PLACES = 4000;

/** Slabs that a slanted move passes through are no thicker than this where there is a choice. mm */
const SLAB_MM = 0.25;

/**
 * Depths at which slabs should end so that what a move meets is not taken for much deeper than it
 * is: its ends, its lowest place, and steps between.
 */
export function slopeDepths(slope: Slope, thicknessMm: number): number[] {
  if (slope.planLengthMm < PLACE_TOL_MM) return [slope.at(1)[2]];
  const looked = slopeShares(slope).map((share) => slope.at(share)[2]);
  const [low, high] = [Math.min(...looked), Math.max(...looked)];
  const depths = [slope.at(0)[2], slope.at(1)[2], low];
  const top = Math.floor(Math.min(0, high) / SLAB_MM);
  const bottom = Math.ceil(Math.max(-thicknessMm, low) / SLAB_MM);
  for (let k = top; k >= bottom; k--) depths.push(k * SLAB_MM);
  return depths;
}

/** Part of a slanted move, in shares of it, that lies below a depth. */
export interface Below {
  readonly from: number;
  readonly to: number;
}

/** Shares at which a slanted move is looked at, from 0 to 1. */
export function slopeShares(slope: Slope): Float64Array {
  const n = Math.min(MOST_PLACES, Math.max(1, Math.ceil(slope.planLengthMm / STEP_MM)));
  return Float64Array.from({ length: n + 1 }, (_, i) => i / n);
}

/** Runs of neighbouring shares at which the tip is lower than a depth. */
export function runsBelow(depths: Float64Array, shares: Float64Array, zMm: number): Below[] {
  const runs: Below[] = [];
  let from = -1;
  for (let i = 0; i < shares.length; i++) {
    const low = depths[i]! < zMm;
    if (low && from < 0) from = i;
    if (from >= 0 && (!low || i === shares.length - 1)) {
      runs.push({ from: shares[from]!, to: shares[low ? i : i - 1]! });
      from = -1;
    }
  }
  return runs;
}

/** Does the cutter's disc at a place hold any material inside its rim? Asked on rings of points. */
export function holdsMaterial(front: StockFront, x: number, y: number, radiusMm: number): boolean {
  for (const share of [0, 0.3, 0.6, 0.85]) {
    const n = share === 0 ? 1 : Math.ceil(24 * share);
    for (let i = 0; i < n; i++) {
      const a = (TURN_RAD * i) / n;
      const px = x + share * radiusMm * cos(a);
      const py = y + share * radiusMm * sin(a);
      if (front.standsAt(px, py)) return true;
    }
  }
  return false;
}

/** Lowest height of a move within a radius of the axis; Infinity where it never is. mm */
export function lowestWithin(op: Motion, radiusMm: number): number {
  if (isLevel(op)) {
    const piece = pieceOf(op);
    const inside = piece
      ? nearOrigin(piece, radiusMm).length > 0
      : norm2(op.to[0], op.to[1]) <= radiusMm;
    return inside ? op.to[2] : Infinity;
  }
  const slope = slopeOf(op);
  let low = Infinity;
  for (const share of slopeShares(slope)) {
    const [x, y, z] = slope.at(share);
    if (norm2(x, y) <= radiusMm) low = Math.min(low, z);
  }
  return low;
}

/** Steepest way down between neighbouring shares of a move; 0 where it never goes down. rad */
export function steepestRad(slope: Slope, shares: Float64Array): number {
  let steepest = 0;
  for (let i = 1; i < shares.length; i++) {
    const [ax, ay, az] = slope.at(shares[i - 1]!);
    const [bx, by, bz] = slope.at(shares[i]!);
    steepest = Math.max(steepest, atan2(az - bz, norm2(bx - ax, by - ay)));
  }
  return steepest;
}
