/**
 * Exact stock front of one level: a round blank less everything that a round cutter has swept.
 *
 * The front is never stored as a polygon. The rim of the cutter at a position q is the circle
 * (q, r); a rim point is in air when it is outside the blank, in a hole, or closer than r to a
 * piece of path already travelled. Each piece covers a few arcs of the rim in closed form, so
 * what is left after subtracting them is the engagement, exact to rounding:
 *
 *        travel                    swept piece a..b covers the rim where
 *          ^   .--.  <- in stock     - the point projects between a and b and is closer than r, or
 *          |  /    \                 - it is closer than r to a or to b (the round ends)
 *         q+-|  +   |--- wall normal
 *             \    /
 *              '--'
 *
 * Pieces are lines and arcs (sweep up to a full turn). A uniform grid lists, per cell, the pieces
 * that can reach a rim centred in that cell, newest first when queried.
 *
 * One algorithm, one file. Queries reuse the front's own arrays: each ends before the next begins.
 */

import { TURN_RAD, wrapRad, norm2 } from '../../maths/angle.js';
import { ANGLE_TOL_RAD, TINY } from '../../maths/tolerance.js';
import {
  type PathPiece,
  distanceToPiece,
  nearOrigin,
  pieceAt,
  pieceLengthMm,
} from './path-piece.js';

/** Most disjoint stretches of rim that one query can return. */
const MAX_STRETCHES = 48;

/** Rim stretches shorter than this are rounding, not material. rad, absolute. A thousandth of
 *  a degree: far below the 0.1 deg to which engagement is quoted. Used by the stock front only. */
const SLIVER_RAD = 2e-5;

/** Slack of the edges of what a piece has swept: on its own path the rim touches them exactly, and
 *  the middle of a stretch can fall on a touch. mm2 (and mm), absolute: far below a sliver. */
const EDGE_TOL_MM2 = 1e-9;

/** A place less than a tenth of a micrometre's thousandth from another is that place. mm2, absolute:
 *  (1e-7 mm)^2, far below what the text of a program can say. */
const SAME_PLACE_MM2 = 1e-14;

/** Numbers kept of a piece, see `facts`. */
const FACTS = 7;

/** Added to the circle about a piece: the slack of the edges, EDGE_TOL_MM2, over the smallest
 *  cutter, with room. mm, absolute. */
const BOUNDS_SLACK_MM = 1e-6;

/** Round hole in the blank before cutting starts (a pilot hole). mm. */
export interface BlankHole {
  readonly x: number;
  readonly y: number;
  readonly radiusMm: number;
}

export interface StockFrontOptions {
  readonly blankRadiusMm: number;
  readonly cutterRadiusMm: number;
  readonly holes?: readonly BlankHole[];
}

/**
 * Stretches of rim in material: absolute angles (rad, counter-clockwise from +X) in pairs
 * [from0, to0, from1, to1, ...], `to` > `from` by a turn at most; both may be over 2 pi, where a
 * stretch that runs through 0 has been cut.
 * The array is reused by the next query.
 */
export interface RimStretches {
  readonly count: number;
  readonly angles: Float64Array;
}

/** Sum of the stretches, rad. */
export function rimTotalRad(rim: RimStretches): number {
  let total = 0;
  for (let i = 0; i < rim.count; i++) total += rim.angles[2 * i + 1]! - rim.angles[2 * i]!;
  return total;
}

export class StockFront {
  readonly cutterRadiusMm: number;
  readonly blankRadiusMm: number;
  /** Pieces of path looked at so far, in all queries: what the queries have cost. */
  visits = 0;
  private readonly holes: readonly BlankHole[];
  private readonly cell: number;
  private readonly cells = new Map<number, number[]>();
  private readonly pieces: PathPiece[] = [];
  /** A circle about each piece: centre x, y and radius; FACTS to a piece. Of an arc also the
   *  directions of its start and its end from its centre. */
  private facts = new Float64Array(FACTS * 256);
  /** A circle about what is left of the rim, its radius with the cutter's added. */
  private leftX = 0;
  private leftY = 0;
  private leftReach = 0;
  // Scratch for the query: current stretches and the next set.
  private angles = new Float64Array(2 * MAX_STRETCHES);
  private spare = new Float64Array(2 * MAX_STRETCHES);
  private count = 0;
  private readonly marks = new Float64Array(16);
  /** Is the stretch of rim after each mark swept? */
  private readonly covered = new Uint8Array(16);

  constructor(options: StockFrontOptions) {
    this.cutterRadiusMm = options.cutterRadiusMm;
    this.blankRadiusMm = options.blankRadiusMm;
    this.holes = options.holes ?? [];
    this.cell = Math.max(options.cutterRadiusMm, 0.2);
  }

  get size(): number {
    return this.pieces.length;
  }

  /** Records a piece as swept. */
  add(piece: PathPiece): void {
    const index = this.pieces.length;
    this.pieces.push(piece);
    this.keepFacts(index, piece);
    if (nearOrigin(piece, this.blankRadiusMm + 2 * this.cutterRadiusMm).length === 0) return;
    // Walk the piece in short steps and register it in every cell within reach of each step; what
    // is too far from the blank to be asked about is left out.
    const length = pieceLengthMm(piece);
    const steps = Math.max(1, Math.ceil(length / this.cell));
    const slack = 2 * this.cutterRadiusMm + length / steps / 2;
    const near = this.blankRadiusMm + this.cutterRadiusMm + 2 * this.cell + slack;
    let next = 0;
    for (const [from, to] of nearOrigin(piece, near)) {
      const first = Math.max(next, Math.floor(from * steps));
      next = Math.min(steps, Math.ceil(to * steps)) + 1;
      for (let i = first; i < next; i++) this.registerAt(index, pieceAt(piece, i / steps), slack);
    }
  }

  private keepFacts(index: number, piece: PathPiece): void {
    const k = FACTS * index;
    if (k + FACTS > this.facts.length) {
      const longer = new Float64Array(2 * this.facts.length);
      longer.set(this.facts);
      this.facts = longer;
    }
    const { facts } = this;
    // About its middle, out to its ends or, past half a turn, all round.
    const wide = Math.abs(piece.sweepRad) > Math.PI;
    const [x, y] = wide ? [piece.cx, piece.cy] : pieceAt(piece, 0.5);
    const toA = norm2(piece.ax - x, piece.ay - y);
    const toB = norm2(piece.bx - x, piece.by - y);
    facts[k] = x;
    facts[k + 1] = y;
    facts[k + 2] = Math.max(toA, toB, wide ? piece.radiusMm : 0) + BOUNDS_SLACK_MM;
    if (piece.radiusMm === 0) return;
    const toStart = norm2(piece.ax - piece.cx, piece.ay - piece.cy) || 1;
    const toEnd = norm2(piece.bx - piece.cx, piece.by - piece.cy) || 1;
    facts[k + 3] = (piece.ax - piece.cx) / toStart;
    facts[k + 4] = (piece.ay - piece.cy) / toStart;
    facts[k + 5] = (piece.bx - piece.cx) / toEnd;
    facts[k + 6] = (piece.by - piece.cy) / toEnd;
  }

  /** Bounds what is left of the rim: a stretch of half-width h lies within 2 r sin(h / 2) of its
   *  middle. */
  private boundLeft(x: number, y: number): void {
    if (this.count === 0) return;
    const r = this.cutterRadiusMm;
    const from = this.angles[0]!;
    const to = this.angles[2 * this.count - 1]!;
    const half = (to - from) / 2;
    if (half >= Math.PI / 2) {
      this.leftX = x;
      this.leftY = y;
      this.leftReach = 2 * r;
      return;
    }
    this.leftX = x + r * Math.cos(from + half);
    this.leftY = y + r * Math.sin(from + half);
    this.leftReach = r + 2 * r * Math.sin(half / 2);
  }

  /** Is a piece too far from what is left of the rim to have swept any of it? */
  private outOfReach(index: number): boolean {
    const k = FACTS * index;
    const dx = this.facts[k]! - this.leftX;
    const dy = this.facts[k + 1]! - this.leftY;
    const reach = this.facts[k + 2]! + this.leftReach;
    return dx * dx + dy * dy > reach * reach;
  }

  private registerAt(index: number, at: readonly number[], slack: number): void {
    const [x, y] = at as [number, number];
    const i0 = Math.floor((x - slack) / this.cell);
    const i1 = Math.floor((x + slack) / this.cell);
    const j0 = Math.floor((y - slack) / this.cell);
    const j1 = Math.floor((y + slack) / this.cell);
    for (let ci = i0; ci <= i1; ci++) {
      const nearX = Math.max(ci * this.cell - x, x - (ci + 1) * this.cell, 0);
      for (let cj = j0; cj <= j1; cj++) {
        const nearY = Math.max(cj * this.cell - y, y - (cj + 1) * this.cell, 0);
        if (nearX * nearX + nearY * nearY > slack * slack) continue;
        const key = cellKey(ci, cj);
        const list = this.cells.get(key);
        if (!list) this.cells.set(key, [index]);
        else if (list[list.length - 1] !== index) list.push(index);
      }
    }
  }

  /**
   * Rim in material with the cutter's centre at (x, y).
   * @param own  piece being travelled: its part from its start to (x, y) counts as swept,
   *             without the round end at (x, y) itself; where a full turn closes, as its start
   */
  rimInMaterial(x: number, y: number, own: PathPiece | null = null): RimStretches {
    this.startWithBlank(x, y);
    if (own && this.count > 0) this.subtractOwn(x, y, own);
    if (this.count > 0) {
      const list = this.cells.get(cellKey(Math.floor(x / this.cell), Math.floor(y / this.cell)));
      if (list) {
        this.boundLeft(x, y);
        for (let k = list.length - 1; k >= 0 && this.count > 0; k--) {
          this.visits++;
          if (this.outOfReach(list[k]!)) continue;
          this.subtractPiece(x, y, list[k]!);
          this.boundLeft(x, y);
        }
      }
    }
    return { count: this.count, angles: this.angles };
  }

  /** Total rim in material, rad. */
  engagedRad(x: number, y: number, own: PathPiece | null = null): number {
    return rimTotalRad(this.rimInMaterial(x, y, own));
  }

  /** Is there material at a point: in the blank, in no hole, and swept by no piece? */
  standsAt(x: number, y: number): boolean {
    if (norm2(x, y) > this.blankRadiusMm) return false;
    for (const hole of this.holes) {
      if (norm2(x - hole.x, y - hole.y) < hole.radiusMm) return false;
    }
    return this.distanceToPath(x, y) >= this.cutterRadiusMm;
  }

  /** Distance from a point to the nearest piece of path within reach (2 r); else Infinity. mm */
  distanceToPath(x: number, y: number): number {
    const list = this.cells.get(cellKey(Math.floor(x / this.cell), Math.floor(y / this.cell)));
    if (!list) return Infinity;
    this.visits += list.length;
    let best = Infinity;
    for (const index of list) {
      best = Math.min(best, distanceToPiece(x, y, this.pieces[index]!));
    }
    return best;
  }

  private startWithBlank(x: number, y: number): void {
    const r = this.cutterRadiusMm;
    const R = this.blankRadiusMm;
    const d = norm2(x, y);
    this.count = 0;
    if (d >= R + r) return;
    if (d + r <= R) {
      this.angles[0] = 0;
      this.angles[1] = TURN_RAD;
      this.count = 1;
    } else {
      // |q + r e|^2 <= R^2 for e within acos(c) of the direction away from the origin's far side.
      const c = (R * R - d * d - r * r) / (2 * d * r);
      if (c <= -1) return;
      const half = Math.PI - Math.acos(Math.min(1, c));
      const mid = Math.atan2(-y, -x);
      const span = mid + half - (mid - half);
      this.angles[0] = wrapRad(mid - half);
      this.angles[1] = this.angles[0] + Math.min(span, TURN_RAD);
      this.count = span > SLIVER_RAD ? 1 : 0;
    }
    for (const hole of this.holes) {
      this.subtractInsideCircle(x, y, hole.x, hole.y, hole.radiusMm);
    }
  }

  /** Removes the rim inside the circle (cx, cy, radius). */
  private subtractInsideCircle(x: number, y: number, cx: number, cy: number, radius: number): void {
    const r = this.cutterRadiusMm;
    const dx = cx - x;
    const dy = cy - y;
    const d = norm2(dx, dy);
    if (d >= radius + r) return;
    if (d + r <= radius) {
      this.count = 0;
      return;
    }
    if (d + radius <= r) return;
    const c = (d * d + r * r - radius * radius) / (2 * d * r);
    const half = Math.acos(Math.max(-1, Math.min(1, c)));
    const mid = Math.atan2(dy, dx);
    this.subtract(mid - half, mid + half);
  }

  /** Removes [from, to] (any turn count) from the current stretches. */
  private subtract(from: number, to: number): void {
    const span = to - from;
    if (span <= 0) return;
    if (span >= TURN_RAD) {
      this.count = 0;
      return;
    }
    const s = wrapRad(from);
    const e = s + span;
    const src = this.angles;
    const dst = this.spare;
    let n = 0;
    for (let i = 0; i < this.count; i++) {
      let a = src[2 * i]!;
      const b = src[2 * i + 1]!;
      // The cut and its images one turn away.
      for (let turn = -1; turn <= 1; turn++) {
        const cs = s + turn * TURN_RAD;
        const ce = e + turn * TURN_RAD;
        if (ce <= a || cs >= b) continue;
        if (cs - a > SLIVER_RAD && n < MAX_STRETCHES) {
          dst[2 * n] = a;
          dst[2 * n + 1] = cs;
          n++;
        }
        a = Math.max(a, ce);
      }
      if (b - a > SLIVER_RAD && n < MAX_STRETCHES) {
        dst[2 * n] = a;
        dst[2 * n + 1] = b;
        n++;
      }
    }
    this.count = n;
    this.angles = dst;
    this.spare = src;
  }

  /** Round end of a piece: rim within acos(d / 2r) of the direction to it. */
  private subtractEnd(x: number, y: number, ex: number, ey: number): void {
    const dx = ex - x;
    const dy = ey - y;
    const d2 = dx * dx + dy * dy;
    const r2 = 2 * this.cutterRadiusMm;
    if (d2 >= r2 * r2) return;
    if (d2 < SAME_PLACE_MM2) {
      // The cutter has stood exactly here before: its rim is the edge of what it cut then.
      this.count = 0;
      return;
    }
    const half = Math.acos(Math.sqrt(d2) / r2);
    const mid = Math.atan2(dy, dx);
    this.subtract(mid - half, mid + half);
  }

  private subtractPiece(x: number, y: number, index: number): void {
    const p = this.pieces[index]!;
    if (p.radiusMm === 0) this.subtractLineBody(x, y, p.ax, p.ay, p.bx, p.by);
    else {
      const { facts } = this;
      const k = FACTS * index + 3;
      const [fromX, fromY, toX, toY] = [facts[k]!, facts[k + 1]!, facts[k + 2]!, facts[k + 3]!];
      this.subtractArcBody(x, y, p, fromX, fromY, toX, toY, p.sweepRad);
    }
    if (this.count === 0) return;
    this.subtractEnd(x, y, p.ax, p.ay);
    if (this.count === 0) return;
    this.subtractEnd(x, y, p.bx, p.by);
  }

  private subtractOwn(x: number, y: number, p: PathPiece): void {
    if (p.radiusMm === 0) this.subtractLineBody(x, y, p.ax, p.ay, x, y);
    else {
      const [dx, dy] = [x - p.cx, y - p.cy];
      const [sx, sy] = [p.ax - p.cx, p.ay - p.cy];
      let sweep = Math.atan2(dy, dx) - Math.atan2(sy, sx);
      if (p.sweepRad > 0) while (sweep < -ANGLE_TOL_RAD) sweep += TURN_RAD;
      else while (sweep > ANGLE_TOL_RAD) sweep -= TURN_RAD;
      const d = norm2(dx, dy) || 1;
      const s = norm2(sx, sy) || 1;
      this.subtractArcBody(x, y, p, sx / s, sy / s, dx / d, dy / d, sweep);
    }
    if (this.count > 0 && (x !== p.ax || y !== p.ay)) this.subtractEnd(x, y, p.ax, p.ay);
  }

  private subtractLineBody(
    x: number,
    y: number,
    ax: number,
    ay: number,
    bx: number,
    by: number,
  ): void {
    const r = this.cutterRadiusMm;
    const lx = bx - ax;
    const ly = by - ay;
    const length = norm2(lx, ly);
    if (length < TINY) return;
    const ux = lx / length;
    const uy = ly / length;
    const qx = (x - ax) * ux + (y - ay) * uy;
    const qy = (y - ay) * ux - (x - ax) * uy;
    if (Math.abs(qy) >= 2 * r || qx <= -r || qx >= length + r) return;
    const { marks, covered } = this;
    let n = 0;
    n = pushCos(marks, n, -qx / r);
    n = pushCos(marks, n, (length - qx) / r);
    n = pushSin(marks, n, 1 - qy / r);
    n = pushSin(marks, n, -1 - qy / r);
    sortMarks(marks, n);
    for (let i = 0; i < Math.max(1, n); i++) {
      const angle = middleAfter(marks, n, i);
      const along = qx + r * Math.cos(angle);
      covered[i] =
        along >= 0 && along <= length && Math.abs(qy + r * Math.sin(angle)) <= r + EDGE_TOL_MM2
          ? 1
          : 0;
    }
    this.subtractCovered(n, Math.atan2(uy, ux));
  }

  /** @param from  direction of the arc's start from its centre, unit @param to  of its end */
  private subtractArcBody(
    x: number,
    y: number,
    p: PathPiece,
    fromX: number,
    fromY: number,
    toX: number,
    toY: number,
    sweep: number,
  ): void {
    const span = Math.abs(sweep);
    if (span < TINY) return;
    const r = this.cutterRadiusMm;
    const R = p.radiusMm;
    const dx = x - p.cx;
    const dy = y - p.cy;
    const d = Math.sqrt(dx * dx + dy * dy);
    if (d >= R + 2 * r || d <= R - 2 * r) return;
    // In the frame where c is the origin and q lies on +X at distance d, counter-clockwise from
    // ray 0 to ray 1.
    const ex = d > TINY ? dx / d : 1;
    const ey = d > TINY ? dy / d : 0;
    const full = span >= TURN_RAD - ANGLE_TOL_RAD;
    const ccw = sweep > 0;
    const x0 = ccw ? fromX * ex + fromY * ey : toX * ex + toY * ey;
    const y0 = ccw ? fromY * ex - fromX * ey : toY * ex - toX * ey;
    const x1 = ccw ? toX * ex + toY * ey : fromX * ex + fromY * ey;
    const y1 = ccw ? toY * ex - toX * ey : fromY * ex - fromX * ey;
    const { marks, covered } = this;
    let n = 0;
    if (d > TINY) {
      n = pushCos(marks, n, ((R + r) * (R + r) - d * d - r * r) / (2 * d * r));
      if (R > r) n = pushCos(marks, n, ((R - r) * (R - r) - d * d - r * r) / (2 * d * r));
    }
    if (!full) {
      n = pushRay(marks, n, d, r, x0, y0);
      n = pushRay(marks, n, d, r, x1, y1);
      // A rim through the arc's centre changes from one sector to another there, at no ray.
      if (Math.abs(d - r) < THROUGH_CENTRE_MM) marks[n++] = Math.PI;
    }
    sortMarks(marks, n);
    const outer = (R + r) * (R + r) + EDGE_TOL_MM2;
    const inner = R > r ? (R - r) * (R - r) - EDGE_TOL_MM2 : 0;
    for (let i = 0; i < Math.max(1, n); i++) {
      const angle = middleAfter(marks, n, i);
      const px = d + r * Math.cos(angle);
      const py = r * Math.sin(angle);
      const m2 = px * px + py * py;
      let inside = m2 <= outer && m2 >= inner;
      if (inside && !full) {
        const after0 = x0 * py - y0 * px >= 0;
        const before1 = px * y1 - py * x1 >= 0;
        inside = span <= Math.PI ? after0 && before1 : after0 || before1;
      }
      covered[i] = inside ? 1 : 0;
    }
    this.subtractCovered(n, Math.atan2(ey, ex));
  }

  /** Subtracts the stretches that follow a mark and are `covered`. */
  private subtractCovered(n: number, base: number): void {
    const { marks, covered } = this;
    if (n === 0) {
      if (covered[0] === 1) this.count = 0;
      return;
    }
    let runStart = Number.NaN;
    const first = marks[0]!;
    for (let i = 0; i < n && this.count > 0; i++) {
      const a = marks[i]!;
      const b = i + 1 < n ? marks[i + 1]! : first + TURN_RAD;
      if (b - a < TINY) continue;
      if (covered[i] === 1) {
        if (Number.isNaN(runStart)) runStart = a;
      } else if (!Number.isNaN(runStart)) {
        this.subtract(runStart + base, a + base);
        runStart = Number.NaN;
      }
    }
    if (!Number.isNaN(runStart)) this.subtract(runStart + base, first + TURN_RAD + base);
  }
}

/** A rim this close to an arc's centre is taken to run through it. mm */
const THROUGH_CENTRE_MM = 1e-7;

/** Middle of the stretch of rim from mark `i` to the next; any angle where there is no mark. */
function middleAfter(marks: Float64Array, n: number, i: number): number {
  if (n === 0) return 0.5;
  return (marks[i]! + (i + 1 < n ? marks[i + 1]! : marks[0]! + TURN_RAD)) / 2;
}

function cellKey(i: number, j: number): number {
  return (i + 0x8000) * 0x10000 + (j + 0x8000);
}

/** Adds the two angles in [0, 2 pi) whose cosine is c. */
function pushCos(marks: Float64Array, n: number, c: number): number {
  if (c <= -1 || c >= 1) return n;
  const a = Math.acos(c);
  marks[n] = a;
  marks[n + 1] = TURN_RAD - a;
  return n + 2;
}

function pushSin(marks: Float64Array, n: number, s: number): number {
  if (s <= -1 || s >= 1) return n;
  const a = Math.asin(s);
  marks[n] = wrapRad(a);
  marks[n + 1] = wrapRad(Math.PI - a);
  return n + 2;
}

/** Adds the rim angles where the circle about (d, 0) meets the ray along a unit vector. */
function pushRay(
  marks: Float64Array,
  n: number,
  d: number,
  r: number,
  ux: number,
  uy: number,
): number {
  const along = d * ux;
  const off2 = d * d - along * along;
  const disc = r * r - off2;
  if (disc <= 0) return n;
  const root = Math.sqrt(disc);
  for (let side = -1; side <= 1; side += 2) {
    const t = along + side * root;
    if (t > 0) marks[n++] = wrapRad(Math.atan2(t * uy, t * ux - d));
  }
  return n;
}

function sortMarks(marks: Float64Array, n: number): void {
  for (let i = 1; i < n; i++) {
    const v = marks[i]!;
    let j = i - 1;
    while (j >= 0 && marks[j]! > v) {
      marks[j + 1] = marks[j]!;
      j--;
    }
    marks[j + 1] = v;
  }
}
