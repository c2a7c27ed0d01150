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
 * Pieces are lines and arcs (sweep up to a full turn). Short ones in a row are a block. A uniform grid
 * lists, per cell, the blocks that can reach a rim centred in that cell. What is left does not depend on the order in which
 * pieces are subtracted; those that met the rim at the place before come first, since they mostly meet
 * it here, too, and then the newest.
 *
 * One algorithm, one file. Queries reuse the front's own arrays, and hand figures on in fields and
 * arrays, not as arguments, for which the engine would allocate: each ends before the next begins.
 */

import { acos, asin, atan2, sinCos } from '../../maths/elementary.js';
import { TURN_RAD, wrapRad, norm2 } from '../../maths/angle.js';
import { ANGLE_TOL_RAD, TINY } from '../../maths/tolerance.js';
import {
  type PathPiece,
  distanceToPiece,
  nearOrigin,
  pieceAt,
  pieceLengthMm,
} from './path-piece.js';

/** Disjoint stretches of rim that there is room for at first; more is made where it is needed. */
const ROOM_AT_FIRST = 16;

/** Rim stretches shorter than this are rounding, not material. rad, absolute. A thousandth of
 *  a degree: far below the 0.1 deg to which engagement is quoted. Used by the stock front only. */
const SLIVER_RAD = 2e-5;

/** Slack of the edges of what a piece has swept: on its own path the rim touches them exactly, and
 *  the middle of a stretch can fall on a touch. mm2 (and mm), absolute: far below a sliver. */
const EDGE_TOL_MM2 = 1e-9;

/** A place less than a tenth of a micrometre's thousandth from another is that place. mm2, absolute:
 *  (1e-7 mm)^2, far below what the text of a program can say. */
const SAME_PLACE_MM2 = 1e-14;

/** Places of a piece's numbers among its FACTS, see `facts`: a circle about it; its start and end;
 *  of a line its length, direction and the angle of that; of an arc its centre, radius, signed sweep,
 *  and the directions of its start and its end from its centre. */
const ABOUT_X = 0;
const ABOUT_Y = 1;
const ABOUT_RADIUS = 2;
const AX = 3;
const AY = 4;
const BX = 5;
const BY = 6;
/** 0 for a line. */
const RADIUS = 7;
/** 1 where the next piece begins at the end of this one, and so takes what its round end takes. */
const GOES_ON = 8;
const LENGTH = 9;
const UX = 10;
const UY = 11;
const HEADING = 12;
const CX = 9;
const CY = 10;
const SWEEP = 11;
const FROM_X = 12;
const FROM_Y = 13;
const TO_X = 14;
const TO_Y = 15;
const FACTS = 16;

/** Pieces in a block at most. */
const MOST_IN_BLOCK = 32;

/** Pieces kept that met the rim at the place before; mostly there are three or four. */
const MOST_MET = 8;

/** Of the angle at hand. */
const sineAndCosine = new Float64Array(2);

const NO_TRAIL: readonly PathPiece[] = [];

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
 * Reused by the next query.
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
  /** Pieces among them, and of those being travelled, of which the edges were laid on the rim. */
  laid = 0;
  private readonly holes: readonly BlankHole[];
  private readonly cell: number;
  /** Numbers of blocks, the newest last. */
  private readonly cells = new Map<number, number[]>();
  private readonly pieces: PathPiece[] = [];
  /** First piece of each block. */
  private readonly blocks: number[] = [];
  /** A circle about each block: X, Y, radius. */
  private readonly about: number[] = [];
  /** Way that is left to the last block; below 0 where nothing may follow in it. mm */
  private roomMm = -1;
  /** Numbers of each piece, FACTS to a piece. */
  private facts = new Float64Array(FACTS * 256);
  /** The same of the part of the piece being travelled. */
  private readonly ownFacts = new Float64Array(FACTS);
  /** The place asked about. */
  private x = 0;
  private y = 0;
  /** Of what is left of the rim: direction to its middle, cosine of its half-width, and its ends. */
  private midX = 0;
  private midY = 0;
  private cosHalf = 0;
  private fromX = 0;
  private fromY = 0;
  private toX = 0;
  private toY = 0;
  // Scratch for the query: current stretches and the next set.
  private angles = new Float64Array(2 * ROOM_AT_FIRST);
  private spare = new Float64Array(2 * ROOM_AT_FIRST);
  private count = 0;
  /** Has anything been taken off the rim? Set back by who asks. */
  private taken = false;
  /** Pieces that took something off at the place before, and at this one. */
  private met = new Int32Array(MOST_MET);
  private metCount = 0;
  private meeting = new Int32Array(MOST_MET);
  private meetingCount = 0;
  private readonly rim = { count: 0, angles: this.angles };
  /** Angles at which a piece's edges meet the rim, and the first again, a turn on. */
  private readonly marks = new Float64Array(16);
  /** Is the stretch of rim after each mark swept? After the last there is none. */
  private readonly covered = new Uint8Array(16);

  constructor(options: StockFrontOptions) {
    this.cutterRadiusMm = options.cutterRadiusMm;
    this.blankRadiusMm = options.blankRadiusMm;
    this.holes = options.holes ?? [];
    this.cell = options.cutterRadiusMm;
  }

  get size(): number {
    return this.pieces.length;
  }

  /** Records a piece as swept. */
  add(piece: PathPiece): void {
    const index = this.pieces.length;
    this.pieces.push(piece);
    this.keepFacts(index, piece);
    const length = pieceLengthMm(piece);
    if (this.joinsBlock(index, length)) return;
    const block = this.blocks.push(index) - 1;
    for (let k = 0; k < 3; k++) this.about.push(this.facts[FACTS * index + k]!);
    this.roomMm = this.cell - length;
    const roomMm = Math.max(0, this.roomMm);
    // Walk the piece in short steps and register it in every cell within reach of each step; what
    // is too far from the blank to be asked about is left out.
    const steps = Math.max(1, Math.ceil(length / this.cell));
    const slack = 2 * this.cutterRadiusMm + length / steps / 2 + roomMm;
    const near = this.blankRadiusMm + 2 * this.cutterRadiusMm + roomMm;
    let next = 0;
    for (const [from, to] of nearOrigin(piece, near)) {
      const first = Math.max(next, Math.floor(from * steps));
      next = Math.min(steps, Math.ceil(to * steps)) + 1;
      for (let i = first; i < next; i++) this.registerAt(block, pieceAt(piece, i / steps), slack);
    }
  }

  /** Does a piece go on where the last block of short pieces ends, and is there room in that? */
  private joinsBlock(index: number, lengthMm: number): boolean {
    const { facts, about, blocks } = this;
    const block = blocks.length - 1;
    if (lengthMm > this.roomMm || index - blocks[block]! >= MOST_IN_BLOCK) return false;
    if (facts[FACTS * (index - 1) + GOES_ON] === 0) return false;
    this.roomMm -= lengthMm;
    const k = FACTS * index;
    const away = norm2(
      facts[k + ABOUT_X]! - about[3 * block]!,
      facts[k + ABOUT_Y]! - about[3 * block + 1]!,
    );
    about[3 * block + 2] = Math.max(about[3 * block + 2]!, away + facts[k + ABOUT_RADIUS]!);
    return true;
  }

  private keepFacts(index: number, piece: PathPiece): void {
    const k = FACTS * index;
    if (k === this.facts.length) {
      const longer = new Float64Array(2 * this.facts.length);
      longer.set(this.facts);
      this.facts = longer;
    }
    const { facts } = this;
    // About its middle; no place of it is farther from there than its ends, up to a full turn.
    const [x, y] = pieceAt(piece, 0.5);
    const toA = norm2(piece.ax - x, piece.ay - y);
    const toB = norm2(piece.bx - x, piece.by - y);
    facts[k + ABOUT_X] = x;
    facts[k + ABOUT_Y] = y;
    facts[k + ABOUT_RADIUS] = Math.max(toA, toB) + BOUNDS_SLACK_MM;
    facts[k + AX] = piece.ax;
    facts[k + AY] = piece.ay;
    facts[k + BX] = piece.bx;
    facts[k + BY] = piece.by;
    if (facts[k - FACTS + BX] === piece.ax && facts[k - FACTS + BY] === piece.ay) {
      facts[k - FACTS + GOES_ON] = 1;
    }
    if (piece.radiusMm === 0) lineFacts(facts, k, piece.bx, piece.by);
    else arcFacts(facts, k, piece, piece.bx, piece.by, piece.sweepRad);
  }

  /** Notes where what is left of the rim begins and ends. */
  private boundLeft(): void {
    const { x, y } = this;
    const r = this.cutterRadiusMm;
    const from = this.angles[0]!;
    const to = this.angles[2 * this.count - 1]!;
    const half = (to - from) / 2;
    sinCos(from + half, sineAndCosine);
    const cosMid = sineAndCosine[1]!;
    const sinMid = sineAndCosine[0]!;
    sinCos(half, sineAndCosine);
    const cosHalf = sineAndCosine[1]!;
    const sinHalf = sineAndCosine[0]!;
    this.midX = cosMid;
    this.midY = sinMid;
    this.cosHalf = cosHalf;
    this.fromX = x + r * (cosMid * cosHalf + sinMid * sinHalf);
    this.fromY = y + r * (sinMid * cosHalf - cosMid * sinHalf);
    this.toX = x + r * (cosMid * cosHalf - sinMid * sinHalf);
    this.toY = y + r * (sinMid * cosHalf + cosMid * sinHalf);
  }

  /** Is what lies in a circle, which stands at `k`, too far from what is left of the rim to have swept
   *  any of it? */
  private outOfReach(circles: Float64Array | readonly number[], k: number): boolean {
    const swept = circles[k + 2]! + this.cutterRadiusMm;
    const vx = circles[k]! - this.x;
    const vy = circles[k + 1]! - this.y;
    const v = norm2(vx, vy);
    // Abreast of the stretch the rim straight ahead is what is nearest, aside of it its ends are.
    if (vx * this.midX + vy * this.midY >= this.cosHalf * v) {
      return Math.abs(v - this.cutterRadiusMm) > swept;
    }
    const far = swept * swept;
    const ax = circles[k]! - this.fromX;
    const ay = circles[k + 1]! - this.fromY;
    const bx = circles[k]! - this.toX;
    const by = circles[k + 1]! - this.toY;
    return ax * ax + ay * ay > far && bx * bx + by * by > far;
  }

  /** Takes what has been swept off the rim. */
  private subtractSwept(): void {
    const { cell, met } = this;
    const list = this.cells.get(cellKey(Math.floor(this.x / cell), Math.floor(this.y / cell)));
    if (!list) return;
    const { metCount } = this;
    this.meetingCount = 0;
    for (let k = 0; k < metCount; k++) this.tryPiece(met[k]!);
    if (this.count > 0) this.subtractBlocks(list);
    this.met = this.meeting;
    this.metCount = this.meetingCount;
    this.meeting = met;
  }

  /** Takes off what the pieces of blocks have swept, until nothing is left. */
  private subtractBlocks(list: readonly number[]): void {
    const { met, metCount } = this;
    this.boundLeft();
    for (let k = list.length - 1; k >= 0; k--) {
      this.visits++;
      const block = list[k]!;
      if (this.outOfReach(this.about, 3 * block)) continue;
      const first = this.blocks[block]!;
      for (let index = this.endOf(block) - 1; index >= first; index--) {
        if (index > first) {
          this.visits++;
          if (this.outOfReach(this.facts, FACTS * index)) continue;
        }
        if (isAmong(met, metCount, index) || !this.tryPiece(index)) continue;
        if (this.count === 0) return;
        this.boundLeft();
      }
    }
  }

  /** The piece after the last one of a block. */
  private endOf(block: number): number {
    return this.blocks[block + 1] ?? this.pieces.length;
  }

  /** Takes off what a piece has swept, and keeps the piece in mind. @returns was it anything? */
  private tryPiece(index: number): boolean {
    this.taken = false;
    this.subtractPiece(FACTS * index);
    if (this.taken && this.meetingCount < MOST_MET) this.meeting[this.meetingCount++] = index;
    return this.taken;
  }

  private registerAt(block: number, at: readonly number[], slack: number): void {
    const { cell } = this;
    const [x, y] = at as [number, number];
    const last = Math.floor((y + slack) / cell);
    for (let cj = Math.floor((y - slack) / cell); cj <= last; cj++) {
      const nearY = Math.max(cj * cell - y, y - (cj + 1) * cell, 0);
      const aside = Math.sqrt(slack * slack - nearY * nearY);
      const end = Math.floor((x + aside) / cell);
      for (let ci = Math.floor((x - aside) / cell); ci <= end; ci++) {
        const key = cellKey(ci, cj);
        const list = this.cells.get(key);
        if (!list) this.cells.set(key, [block]);
        else if (list[list.length - 1] !== block) list.push(block);
      }
    }
  }

  /**
   * Rim in material with the cutter's centre at (x, y).
   * @param own  piece being travelled: its part from its start to (x, y) counts as swept,
   *             without the round end at (x, y) itself; where a full turn closes, as its start
   * @param trail  pieces that count as swept, too, the nearest first
   */
  rimInMaterial(
    x: number,
    y: number,
    own: PathPiece | null = null,
    trail: readonly PathPiece[] = NO_TRAIL,
  ): RimStretches {
    this.x = x;
    this.y = y;
    this.startWithBlank(x, y);
    if (own) this.subtractOwn(own);
    for (let k = 0; k < trail.length; k++) this.subtractTrail(trail[k]!);
    if (this.count > 0) this.subtractSwept();
    this.rim.count = this.count;
    this.rim.angles = this.angles;
    return this.rim;
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
    let best = Infinity;
    for (const block of list) {
      const end = this.endOf(block);
      const first = this.blocks[block]!;
      this.visits += end - first;
      for (let index = first; index < end; index++) {
        best = Math.min(best, distanceToPiece(x, y, this.pieces[index]!));
      }
    }
    return best;
  }

  private startWithBlank(x: number, y: number): void {
    const r = this.cutterRadiusMm;
    const R = this.blankRadiusMm;
    const d = norm2(x, y);
    this.count = 1;
    if (d + r <= R) {
      this.angles[0] = 0;
      this.angles[1] = TURN_RAD;
    } else {
      // |q + r e|^2 <= R^2 for e within acos(c) of the direction away from the origin's far side.
      const c = (R * R - d * d - r * r) / (2 * d * r);
      const half = Math.PI - acos(Math.max(-1, Math.min(1, c)));
      const mid = atan2(-y, -x);
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
    if (d + r <= radius) return this.takeAll();
    const c = (d * d + r * r - radius * radius) / (2 * d * r);
    const half = acos(Math.min(1, c));
    const mid = atan2(dy, dx);
    this.subtract(mid - half, mid + half);
  }

  /** Removes [from, to] (any turn count) from the current stretches. */
  private subtract(from: number, to: number): void {
    const span = to - from;
    if (span <= 0) return;
    const s = wrapRad(from);
    const e = s + span;
    const src = this.angles;
    // A cut makes one stretch more at most.
    if (this.count >= this.spare.length / 2) this.spare = new Float64Array(2 * this.spare.length);
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
        this.taken = true;
        if (cs - a > SLIVER_RAD) {
          dst[2 * n] = a;
          dst[2 * n + 1] = cs;
          n++;
        }
        a = Math.max(a, ce);
      }
      if (b - a > SLIVER_RAD) {
        dst[2 * n] = a;
        dst[2 * n + 1] = b;
        n++;
      }
    }
    this.count = n;
    this.angles = dst;
    this.spare = src;
  }

  private takeAll(): void {
    this.count = 0;
    this.taken = true;
  }

  /** Round end of a piece, of which X and Y stand at `k`: rim within acos(d / 2r) of the direction to
   *  it. */
  private subtractEnd(facts: Float64Array, k: number): void {
    const dx = facts[k]! - this.x;
    const dy = facts[k + 1]! - this.y;
    const d2 = dx * dx + dy * dy;
    const r2 = 2 * this.cutterRadiusMm;
    if (d2 >= r2 * r2) return;
    // The cutter has stood exactly here before: its rim is the edge of what it cut then.
    if (d2 < SAME_PLACE_MM2) return this.takeAll();
    const half = acos(Math.sqrt(d2) / r2);
    const mid = atan2(dy, dx);
    this.subtract(mid - half, mid + half);
  }

  /** @param k  where its facts begin */
  private subtractPiece(k: number): void {
    const { facts } = this;
    if (facts[k + RADIUS] === 0) this.subtractLineBody(facts, k);
    else this.subtractArcBody(facts, k);
    this.subtractEnd(facts, k + AX);
    if (facts[k + GOES_ON] === 0) this.subtractEnd(facts, k + BX);
  }

  private subtractOwn(p: PathPiece): void {
    const { x, y } = this;
    if (p.radiusMm === 0) this.subtractLine(p, x, y);
    else {
      const way = Math.sign(p.sweepRad);
      const turned = atan2(y - p.cy, x - p.cx) - atan2(p.ay - p.cy, p.ax - p.cx);
      const sweepRad = way * (wrapRad(way * turned + ANGLE_TOL_RAD) - ANGLE_TOL_RAD);
      this.subtractArc(p, x, y, sweepRad);
    }
    if (x !== p.ax || y !== p.ay) this.subtractEnd(this.ownFacts, AX);
  }

  private subtractTrail(p: PathPiece): void {
    if (p.radiusMm === 0) this.subtractLine(p, p.bx, p.by);
    else this.subtractArc(p, p.bx, p.by, p.sweepRad);
    this.subtractEnd(this.ownFacts, AX);
  }

  /** What a line has swept as far as (bx, by), between its ends. */
  private subtractLine({ ax, ay }: PathPiece, bx: number, by: number): void {
    this.ownFacts[AX] = ax;
    this.ownFacts[AY] = ay;
    lineFacts(this.ownFacts, 0, bx, by);
    this.subtractLineBody(this.ownFacts, 0);
  }

  /** What an arc has swept as far as (bx, by), between its ends. */
  private subtractArc(p: PathPiece, bx: number, by: number, sweepRad: number): void {
    this.ownFacts[AX] = p.ax;
    this.ownFacts[AY] = p.ay;
    arcFacts(this.ownFacts, 0, p, bx, by, sweepRad);
    this.subtractArcBody(this.ownFacts, 0);
  }

  private subtractLineBody(facts: Float64Array, k: number): void {
    const length = facts[k + LENGTH]!;
    const r = this.cutterRadiusMm;
    const ux = facts[k + UX]!;
    const uy = facts[k + UY]!;
    const dx = this.x - facts[k + AX]!;
    const dy = this.y - facts[k + AY]!;
    const qx = dx * ux + dy * uy;
    const qy = dy * ux - dx * uy;
    if (Math.abs(qy) >= 2 * r || qx <= -r || qx >= length + r) return;
    this.laid++;
    const { marks, covered } = this;
    let n = 0;
    n = pushCos(marks, n, -qx / r);
    n = pushCos(marks, n, (length - qx) / r);
    n = pushSin(marks, n, 1 - qy / r);
    n = pushSin(marks, n, -1 - qy / r);
    n = closeMarks(marks, n);
    for (let i = 0; i < n; i++) {
      sinCos((marks[i]! + marks[i + 1]!) / 2, sineAndCosine);
      const along = qx + r * sineAndCosine[1]!;
      const aside = Math.abs(qy + r * sineAndCosine[0]!);
      covered[i] = along >= 0 && along <= length && aside <= r + EDGE_TOL_MM2 ? 1 : 0;
    }
    this.subtractCovered(n, facts[k + HEADING]!);
  }

  private subtractArcBody(facts: Float64Array, k: number): void {
    const sweep = facts[k + SWEEP]!;
    const span = Math.abs(sweep);
    if (span < TINY) return;
    const r = this.cutterRadiusMm;
    const R = facts[k + RADIUS]!;
    const dx = this.x - facts[k + CX]!;
    const dy = this.y - facts[k + CY]!;
    const d = Math.sqrt(dx * dx + dy * dy);
    if (d >= R + 2 * r || d <= R - 2 * r) return;
    this.laid++;
    // In the frame where c is the origin and q lies on +X at distance d, counter-clockwise from
    // ray 0 to ray 1.
    const ex = d > TINY ? dx / d : 1;
    const ey = d > TINY ? dy / d : 0;
    const ccw = sweep > 0;
    const first = k + (ccw ? FROM_X : TO_X);
    const last = k + (ccw ? TO_X : FROM_X);
    const x0 = facts[first]! * ex + facts[first + 1]! * ey;
    const y0 = facts[first + 1]! * ex - facts[first]! * ey;
    const x1 = facts[last]! * ex + facts[last + 1]! * ey;
    const y1 = facts[last + 1]! * ex - facts[last]! * ey;
    const { marks, covered } = this;
    let n = 0;
    const hollow = Math.max(0, R - r);
    n = pushCos(marks, n, ((R + r) * (R + r) - d * d - r * r) / (2 * d * r));
    n = pushCos(marks, n, (hollow * hollow - d * d - r * r) / (2 * d * r));
    n = pushRay(marks, n, d, r, x0, y0);
    n = pushRay(marks, n, d, r, x1, y1);
    // A rim through the arc's centre changes from one sector to another there, at no ray.
    if (Math.abs(d - r) < THROUGH_CENTRE_MM) marks[n++] = Math.PI;
    n = closeMarks(marks, n);
    const outer = (R + r) * (R + r) + EDGE_TOL_MM2;
    const inner = hollow * hollow - EDGE_TOL_MM2;
    for (let i = 0; i < n; i++) {
      sinCos((marks[i]! + marks[i + 1]!) / 2, sineAndCosine);
      const px = d + r * sineAndCosine[1]!;
      const py = r * sineAndCosine[0]!;
      const m2 = px * px + py * py;
      const after0 = x0 * py - y0 * px >= 0;
      const before1 = px * y1 - py * x1 >= 0;
      const between = span <= Math.PI ? after0 && before1 : after0 || before1;
      covered[i] = between && m2 <= outer && m2 >= inner ? 1 : 0;
    }
    this.subtractCovered(n, atan2(ey, ex));
  }

  /** Subtracts the stretches that follow a mark and are `covered`. */
  private subtractCovered(n: number, base: number): void {
    const { marks, covered } = this;
    covered[n] = 0;
    let from = Number.NaN;
    for (let i = 0; i <= n; i++) {
      if (covered[i] === 1) {
        if (Number.isNaN(from)) from = marks[i]!;
      } else if (!Number.isNaN(from)) {
        this.subtract(from + base, marks[i]! + base);
        from = Number.NaN;
      }
    }
  }
}

/** Notes of a line from its start to (bx, by) what lies between its ends. */
function lineFacts(facts: Float64Array, k: number, bx: number, by: number): void {
  const lx = bx - facts[k + AX]!;
  const ly = by - facts[k + AY]!;
  facts[k + RADIUS] = 0;
  facts[k + LENGTH] = norm2(lx, ly);
  // Without length there is no direction, and nothing between the ends.
  const length = facts[k + LENGTH]! || 1;
  facts[k + UX] = lx / length;
  facts[k + UY] = ly / length;
  facts[k + HEADING] = atan2(ly / length, lx / length);
}

/** Notes of an arc, as far as (bx, by), what lies between its ends. */
function arcFacts(
  facts: Float64Array,
  k: number,
  { ax, ay, cx, cy, radiusMm }: PathPiece,
  bx: number,
  by: number,
  sweepRad: number,
): void {
  const toStart = norm2(ax - cx, ay - cy) || 1;
  const toEnd = norm2(bx - cx, by - cy) || 1;
  facts[k + RADIUS] = radiusMm;
  facts[k + CX] = cx;
  facts[k + CY] = cy;
  facts[k + SWEEP] = sweepRad;
  facts[k + FROM_X] = (ax - cx) / toStart;
  facts[k + FROM_Y] = (ay - cy) / toStart;
  facts[k + TO_X] = (bx - cx) / toEnd;
  facts[k + TO_Y] = (by - cy) / toEnd;
}

function isAmong(list: Int32Array, count: number, value: number): boolean {
  for (let i = 0; i < count; i++) if (list[i] === value) return true;
  return false;
}

/** A rim this close to an arc's centre is taken to run through it. mm */
const THROUGH_CENTRE_MM = 1e-7;

function cellKey(i: number, j: number): number {
  return (i + 0x8000) * 0x10000 + (j + 0x8000);
}

/** Adds the two angles in [0, 2 pi) whose cosine is c. */
function pushCos(marks: Float64Array, n: number, c: number): number {
  if (c <= -1 || c >= 1) return n;
  const a = acos(c);
  marks[n] = a;
  marks[n + 1] = TURN_RAD - a;
  return n + 2;
}

function pushSin(marks: Float64Array, n: number, s: number): number {
  if (s <= -1 || s >= 1) return n;
  const a = asin(s);
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
  // Not a number, and so not ahead, where the circle does not meet the line.
  const root = Math.sqrt(r * r - off2);
  for (let side = -1; side <= 1; side += 2) {
    const t = along + side * root;
    if (t > 0) marks[n++] = wrapRad(atan2(t * uy, t * ux - d));
  }
  return n;
}

/** Sorts the marks, one where there is none, and closes the turn. @returns how many there are */
function closeMarks(marks: Float64Array, count: number): number {
  let n = count;
  if (n === 0) marks[n++] = 0.5;
  for (let i = 1; i < n; i++) {
    const v = marks[i]!;
    let j = i - 1;
    while (j >= 0 && marks[j]! > v) {
      marks[j + 1] = marks[j]!;
      j--;
    }
    marks[j + 1] = v;
  }
  marks[n] = marks[0]! + TURN_RAD;
  return n;
}
