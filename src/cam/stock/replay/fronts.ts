/** Stock fronts by what has been swept: made when asked for, the last ones kept. */
import { StockFront, type StockFrontOptions } from '../stock-front.js';
import type { PathPiece } from '../path-piece.js';
import type { Budget } from './budget.js';
import type { Histories, Slab } from '../slabs.js';

/** Fronts kept at a time, whatever their size; each holds the pieces of a level or two. */
const KEPT_FRONTS = 24;
/** As many as a long way down in short lines asks of in turn, while they hold no more pieces. */
const KEPT_SMALL_FRONTS = 200;
const KEPT_PIECES = 250_000;

/** Pieces of each distinct path, by signature, and the fronts they leave. */
export class Fronts {
  readonly pieces: (readonly (PathPiece | null)[])[] = [];
  private readonly setup: StockFrontOptions;
  private readonly budget: Budget;
  /** By history. */
  private readonly kept = new Map<number, StockFront>();

  constructor(setup: StockFrontOptions, budget: Budget) {
    this.setup = setup;
    this.budget = budget;
  }

  /** Gives a path its number. */
  register(pieces: readonly (PathPiece | null)[]): number {
    this.pieces.push(pieces);
    return this.pieces.length - 1;
  }

  /** A front of its own, for the caller to cut into. */
  fresh(swept: Iterable<number>): StockFront {
    const front = new StockFront(this.setup);
    for (const signature of swept) this.add(front, signature);
    return front;
  }

  /** The front of a slab; not to be changed. Slabs of equal history share it. */
  of(slab: Slab): StockFront {
    const known = this.kept.get(slab.history);
    if (known) return known;
    const front = this.fresh(slab.swept);
    this.keep(slab.history, front);
    return front;
  }

  /** The front of a slab, for the caller to cut into. */
  take(slab: Slab): StockFront {
    const known = this.kept.get(slab.history);
    if (!known) return this.fresh(slab.swept);
    this.kept.delete(slab.history);
    return known;
  }

  /**
   * Records a path as swept through one slab. Where no other slab has the same history, the front
   * that is kept for it grows by the path instead of being made anew.
   */
  sweep(slab: Slab, signature: number, histories: Histories): void {
    const before = slab.history;
    const front = this.kept.get(before);
    histories.sweep(slab, signature);
    if (!front || histories.count(before) > 0) return;
    this.kept.delete(before);
    this.add(front, signature);
    this.keep(slab.history, front);
  }

  private add(front: StockFront, signature: number): void {
    const pieces = this.pieces[signature]!;
    this.budget.spend(pieces.length);
    for (const piece of pieces) if (piece) front.add(piece);
  }

  /** Keeps the front of a history for whoever asks for it next. */
  keep(history: number, front: StockFront): void {
    let pieces = front.size;
    for (const other of this.kept.values()) pieces += other.size;
    const most = pieces > KEPT_PIECES ? KEPT_FRONTS : KEPT_SMALL_FRONTS;
    for (const oldest of this.kept.keys()) {
      if (this.kept.size < most) break;
      this.kept.delete(oldest);
    }
    this.kept.set(history, front);
  }
}
