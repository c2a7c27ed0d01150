/**
 * A way down in many short lines, a ramp or a spiral, taken as one move: what it meets is looked at
 * every so far along it, however many lines it has, and every slab records it once.
 *
 * Slabs are gone through from the lowest up. What has been swept in one has been swept in all above
 * it, so where the cutter meets nothing, it meets nothing in any slab above.
 *
 *        z ----.                 slab 0    lines 1 to n go through it
 *               `-.___           slab 1    line 4 begins in it, lines 5 to n go through it
 *                     `---.      slab 2    lines 7 to n end in it, and leave it standing
 */
import { atan2 } from '../../../maths/elementary.js';
import { DEPTH_TOL_MM } from '../../../maths/tolerance.js';
import { type PathPiece, pieceLengthMm } from '../path-piece.js';
import type { Slab } from '../slabs.js';
import type { Motions, Slice } from '../slices.js';
import type { StockFront } from '../stock-front.js';
import { type Motion, pieceOf } from './motion.js';

/** Lines longer than this are moves of their own. mm */
const SHORT_MM = 2;
/** So many depths, one after the other in short lines, make a chain. */
const LEAST = 8;
/** Level lines between them go with them, for heights are rounded; a longer level path is one of its
 *  own. mm */
const LEVEL_MM = 10;
/** Lines within this length count as meeting what the worst of them meets. mm */
const WINDOW_MM = 0.5;
/** Heights are rounded by this much at most. mm */
const STEP_MM = 0.001;
/** Way back to a line that the cutter may still touch. cutter radii */
const TRAIL_RADII = 4;
/** Length over which the way down is measured: of a single line it would be that of rounding. mm */
const STEEP_OVER_MM = 1;

/** Slices with every way down in short lines as one: no signature, but more than one motion. */
export function withChains(slices: readonly Slice[], motions: Motions): Slice[] {
  const all: Slice[] = [];
  let run: Slice[] = [];
  const close = (): void => {
    const [first, last] = [run[0], run.at(-1)];
    if (run.length < LEAST || !first || !last) all.push(...run);
    else all.push({ zMm: last.zMm, first: first.first, last: last.last, signature: -1 });
    run = [];
  };
  for (const slice of slices) {
    const goesOn = isShort(slice, motions);
    if (!goesOn) close();
    (goesOn ? run : all).push(slice);
  }
  close();
  return all;
}

function isShort({ first, last, signature }: Slice, motions: Motions): boolean {
  let lengthMm = 0;
  for (let i = first; i <= last; i++) {
    const op = motions.at(i);
    if (op.op !== 'feed' && !(op.op === 'arc' && op.plane === 'xy')) return false;
    const piece = pieceOf(op);
    const pieceMm = piece ? pieceLengthMm(piece) : 0;
    if (pieceMm === 0 || pieceMm > SHORT_MM) return false;
    lengthMm += pieceMm;
  }
  return signature < 0 || lengthMm <= LEVEL_MM;
}

/** The lines of a chain, by number. */
export class Chain {
  readonly ops: readonly Motion[];
  readonly pieces: readonly PathPiece[];
  /** Least and greatest height of each line. mm */
  readonly lowMm: Float64Array;
  readonly highMm: Float64Array;
  /** First line of each window, and the count of lines at the end. */
  readonly windows: readonly number[];
  /** Way from the start of the chain to the end of each line. mm */
  private readonly wayMm: Float64Array;

  constructor({ first, last }: Slice, at: Motions['at']) {
    const ops = Array.from({ length: last - first + 1 }, (_, k) => at(first + k));
    this.ops = ops;
    this.pieces = ops.map((op) => pieceOf(op)!);
    this.lowMm = Float64Array.from(ops, ({ from, to }) => Math.min(from[2], to[2]));
    this.highMm = Float64Array.from(ops, ({ from, to }) => Math.max(from[2], to[2]));
    this.wayMm = new Float64Array(ops.length);
    const windows = [0];
    let [way, begins] = [0, 0];
    ops.forEach((op, i) => {
      if (i > windows.at(-1)! && (way - begins >= WINDOW_MM || !sameWay(op, ops[i - 1]!))) {
        windows.push(i);
        begins = way;
      }
      this.wayMm[i] = way += pieceLengthMm(this.pieces[i]!);
    });
    this.windows = [...windows, ops.length];
  }

  /** Lines that lie in a slab in part or whole, the cutter's tip below its top. */
  meets(i: number, slab: Slab): boolean {
    return this.lowMm[i]! < slab.topMm - DEPTH_TOL_MM;
  }

  /** Lines that take all of a slab's height away. */
  goesThrough(i: number, slab: Slab): boolean {
    return this.highMm[i]! <= slab.bottomMm + DEPTH_TOL_MM;
  }

  /** Lines before one, the nearest first, that the cutter may still touch and that end in the slab: for
   *  what the chain itself meets they count as swept. */
  trail(i: number, slab: Slab, radiusMm: number): PathPiece[] {
    const trail: PathPiece[] = [];
    const from = this.startMm(i) - TRAIL_RADII * radiusMm;
    for (let k = i - 1; k >= 0 && this.wayMm[k]! > from; k--) {
      if (this.meets(k, slab) && !this.goesThrough(k, slab)) trail.push(this.pieces[k]!);
    }
    return trail;
  }

  /** Way before a line. mm */
  private startMm(i: number): number {
    return i > 0 ? this.wayMm[i - 1]! : 0;
  }

  /** How steep the way down to the end of a line is; below 0 on the way up. rad */
  steepnessRad(i: number): number {
    let first = i;
    while (first > 0 && this.wayMm[i]! - this.startMm(first) < STEEP_OVER_MM) first--;
    const dropMm = this.ops[first]!.from[2] - this.ops[i]!.to[2] - STEP_MM;
    return atan2(dropMm, this.wayMm[i]! - this.startMm(first));
  }

  /** Pieces that take all of a slab away, in order, and what tells them from those of another slab. */
  through(slab: Slab): { readonly key: string; readonly pieces: readonly PathPiece[] } {
    const runs: string[] = [];
    const pieces: PathPiece[] = [];
    this.pieces.forEach((piece, i) => {
      const is = this.goesThrough(i, slab);
      if (is !== (i > 0 && this.goesThrough(i - 1, slab))) runs.push(String(i));
      if (is) pieces.push(piece);
    });
    return { key: runs.join(), pieces };
  }
}

function sameWay(a: Motion, b: Motion): boolean {
  const figures = (op: Motion) =>
    op.op === 'feed' || op.op === 'arc' ? [op.feedMmPerMin, op.spindleRpm] : [];
  return figures(a).join() === figures(b).join();
}

/** A slab's front, given the lines of a chain as far as they are asked about. */
export class GrowingFront {
  private readonly chain: Chain;
  private readonly slab: Slab;
  private readonly make: () => StockFront;
  private front: StockFront | null = null;
  private given = 0;

  constructor(chain: Chain, slab: Slab, make: () => StockFront) {
    this.chain = chain;
    this.slab = slab;
    this.make = make;
  }

  /** The front as a line finds it. */
  before(i: number): StockFront {
    const front = (this.front ??= this.make());
    for (; this.given < i; this.given++) {
      if (this.chain.goesThrough(this.given, this.slab)) front.add(this.chain.pieces[this.given]!);
    }
    return front;
  }
}

/** Does a line come down into a slab from above it? */
export function entersFromAbove({ from, to }: Motion, slab: Slab): boolean {
  return from[2] >= slab.topMm - DEPTH_TOL_MM && to[2] < from[2];
}
