/**
 * Rim of the cutter in material at any moment, by the simulation's own stock front: the pieces
 * near the cutter are looked up and given to a front of their own, so a moment costs the same
 * wherever in the program it lies.
 */
import {
  type RimStretches,
  StockFront,
  type StockFrontOptions,
  rimTotalRad,
} from '../../cam/stock/stock-front.js';
import {
  type PathPiece,
  distanceToPiece,
  partOfPiece,
  pieceAt,
  pieceLengthMm,
} from '../../cam/stock/path-piece.js';
import { TOUCH_RAD } from '../../cam/stock/replay/rim-load.js';
import type { Timeline } from '../../cam/stock/timeline.js';

export interface Rim {
  /** Stretches in material, pairs of angles counter-clockwise from +X; none where they are rounding
   *  of the text. rad */
  readonly stretches: RimStretches;
  readonly totalRad: number;
  /** Direction of travel, counter-clockwise from +X. rad */
  readonly headingRad: number;
}

const NONE: RimStretches = { count: 0, angles: new Float64Array() };

export class RimAt {
  private readonly timeline: Timeline;
  private readonly setup: StockFrontOptions;
  /** Per sweep: pieces that come near each cell, in order. */
  private readonly cells = new Map<number, Map<number, number[]>>();
  private readonly cellMm: number;

  constructor(timeline: Timeline, setup: StockFrontOptions) {
    this.timeline = timeline;
    this.setup = setup;
    this.cellMm = Math.max(0.5, setup.cutterRadiusMm);
  }

  /** Rim at a fraction of an entry; null where the entry does not move in the plane at depth. */
  at(entry: number, fraction: number): Rim | null {
    const { timeline } = this;
    const stretch = timeline.stretches[timeline.stretchOf[entry] ?? -1];
    const motion = timeline.motionOf[entry] ?? -1;
    if (!stretch || timeline.entries[motion] !== entry) return null;
    let best: Rim | null = null;
    const seen = new Set<string>();
    for (const cut of stretch.cuts) {
      const key = `${cut.from},${cut.sweep}`;
      if (seen.has(key)) continue;
      seen.add(key);
      const k = motion - stretch.first;
      const piece = timeline.sweeps[cut.sweep]?.pieces[k];
      if (!piece || pieceLengthMm(piece) === 0) continue;
      const rim = this.rim(cut.from, cut.sweep, k, piece, fraction);
      if (!best || rim.totalRad > best.totalRad) best = rim;
    }
    return best;
  }

  private rim(from: number, sweep: number, k: number, piece: PathPiece, fraction: number): Rim {
    const front = new StockFront(this.setup);
    const [x, y, tx, ty] = pieceAt(piece, fraction);
    for (const piece of this.nearAfter(from, x, y)) front.add(piece);
    for (const piece of this.near(sweep, x, y, k)) front.add(piece);
    const met = front.rimInMaterial(x, y, partOfPiece(piece, 0, fraction));
    const totalRad = rimTotalRad(met);
    const headingRad = Math.atan2(ty, tx);
    if (totalRad <= TOUCH_RAD) return { stretches: NONE, totalRad: 0, headingRad };
    return { stretches: met, totalRad, headingRad };
  }

  /** What the nearest path of a history leaves at a point: less than 0 where it cuts into it, Infinity
   *  where none is near. mm */
  leftAt(x: number, y: number, history: number): number {
    const pieces = this.nearAfter(history, x, y);
    const nearest = pieces.reduce(
      (mm, piece) => Math.min(mm, distanceToPiece(x, y, piece)),
      Infinity,
    );
    return nearest - this.setup.cutterRadiusMm;
  }

  /** Pieces of a history that come near a place, the last sweep first. */
  private nearAfter(history: number, x: number, y: number): PathPiece[] {
    const pieces: PathPiece[] = [];
    const { histories } = this.timeline;
    for (let h = history; h > 0; h = histories[h]!.before) {
      pieces.push(...this.near(histories[h]!.signature, x, y));
    }
    return pieces;
  }

  /** @param before  number of the piece of the sweep that ends them */
  private near(sweep: number, x: number, y: number, before = Infinity): PathPiece[] {
    const { pieces } = this.timeline.sweeps[sweep]!;
    const numbers = this.cellsOf(sweep).get(this.cell(x, y)) ?? [];
    return numbers.filter((i) => i < before).map((i) => pieces[i]!);
  }

  /** Fraction of an entry at which most of the rim is in material. */
  worstFraction(entry: number): number {
    const totalAt = (i: number) => this.at(entry, (i + 1) / 16)?.totalRad ?? 0;
    const totals = Array.from({ length: 16 }, (_, i) => totalAt(i));
    return (totals.indexOf(Math.max(...totals)) + 1) / 16;
  }

  private cell(x: number, y: number): number {
    return Math.floor(x / this.cellMm) * 65536 + Math.floor(y / this.cellMm);
  }

  private cellsOf(sweep: number): Map<number, number[]> {
    const known = this.cells.get(sweep);
    if (known) return known;
    const cells = new Map<number, number[]>();
    this.timeline.sweeps[sweep]!.pieces.forEach((piece, index) => {
      if (piece) this.register(cells, piece, index);
    });
    this.cells.set(sweep, cells);
    return cells;
  }

  private register(cells: Map<number, number[]>, piece: PathPiece, index: number): void {
    const length = pieceLengthMm(piece);
    const steps = Math.max(1, Math.ceil(length / this.cellMm));
    const span = 2 * this.setup.cutterRadiusMm + length / steps / 2;
    for (let s = 0; s <= steps; s++) {
      const [x, y] = pieceAt(piece, s / steps);
      const i1 = Math.floor((x + span) / this.cellMm);
      const j1 = Math.floor((y + span) / this.cellMm);
      for (let i = Math.floor((x - span) / this.cellMm); i <= i1; i++) {
        for (let j = Math.floor((y - span) / this.cellMm); j <= j1; j++) {
          const key = i * 65536 + j;
          const list = cells.get(key);
          if (!list) cells.set(key, [index]);
          else if (list[list.length - 1] !== index) list.push(index);
        }
      }
    }
  }
}
