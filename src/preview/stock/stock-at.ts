/**
 * Stock at any moment of the program, for going forwards and backwards in it. Each run of a sweep
 * over a history keeps a copy of its field now and then; a moment is reached from the nearest copy
 * before it. This folder is the picture of the stock: fields, their walls and the rim at a moment;
 * when what is swept is src/cam/stock's.
 */
import type { SlabDepths } from '../../cam/stock/slabs.js';
import { partOfPiece } from '../../cam/stock/path-piece.js';
import type { Timeline } from '../../cam/stock/timeline.js';
import { CUT_BEFORE, type BlankShape, type Grid, TileField, gridOver } from './tile-field.js';

/** Part of the depth whose stock is the same all through. */
export interface StockLayer extends SlabDepths {
  readonly field: TileField;
}

/** Pieces between two copies kept. */
const COPY_EVERY = 96;
/** Runs whose copies are kept; others start again from their history. */
const KEPT_RUNS = 6;

/** Where one run of a sweep over a history has come to. */
interface Run {
  field: TileField;
  /** Pieces done in full, and the fraction of the next. */
  pieces: number;
  fraction: number;
  readonly copies: { readonly pieces: number; readonly field: TileField }[];
}

export interface StockSetup {
  readonly blank: BlankShape;
  readonly cutterRadiusMm: number;
  /** Cells across the blank; more is finer and slower. */
  readonly cells: number;
}

export class StockAt {
  readonly grid: Grid;
  private readonly timeline: Timeline;
  private readonly setup: StockSetup;
  private readonly finished = new Map<number, TileField>();
  private readonly runs = new Map<string, Run>();

  constructor(timeline: Timeline, setup: StockSetup) {
    this.timeline = timeline;
    this.setup = setup;
    this.grid = gridOver(setup.blank, setup.cells);
    this.finished.set(0, TileField.blank(this.grid, setup.blank));
  }

  /**
   * Layers from the top down when entry `entry` has been run up to `fraction`. Fields are live:
   * the next call may change them.
   */
  at(entry: number, fraction: number): StockLayer[] {
    const { timeline } = this;
    const { slabs } = timeline;
    const index = timeline.stretchOf[entry] ?? -1;
    const stretch = timeline.stretches[index];
    const motion = timeline.motionOf[entry] ?? -1;
    const moves = timeline.entries[motion] === entry;
    // A wait stands at the end of the motion before it.
    const done = motion - (stretch?.first ?? 0) + (moves ? 0 : 1);
    const layers: StockLayer[] = [];
    slabs.forEach((slab, k) => {
      const cut = stretch?.cuts.find((c) => c.slab === k);
      const field = cut
        ? this.partly(cut.from, cut.sweep, done, moves ? fraction : 0)
        : this.whole(index < 0 ? 0 : (timeline.after[index * slabs.length + k] as number));
      const last = layers[layers.length - 1];
      if (last?.field === field) layers[layers.length - 1] = { ...last, bottomMm: slab.bottomMm };
      else layers.push({ ...slab, field });
    });
    return layers;
  }

  /** Field of a history, all of its sweeps done. */
  whole(history: number): TileField {
    const known = this.finished.get(history);
    if (known) return known;
    const { before, signature } = this.timeline.histories[history]!;
    const { pieces } = this.timeline.sweeps[signature]!;
    const field = this.partly(before, signature, pieces.length, 0).copy();
    this.finished.set(history, field);
    return field;
  }

  private partly(from: number, sweep: number, pieces: number, fraction: number): TileField {
    const { pieces: all, first } = this.timeline.sweeps[sweep]!;
    const run = this.run(from, sweep);
    if (pieces < run.pieces || (pieces === run.pieces && fraction < run.fraction)) {
      const copy = run.copies.findLast((c) => c.pieces <= pieces)!;
      run.field = copy.field.copy();
      run.pieces = copy.pieces;
      run.fraction = 0;
    }
    const { cutterRadiusMm } = this.setup;
    const cut = (k: number, a: number, b: number) => {
      const piece = all[k];
      if (!piece) return;
      const entry = this.timeline.entries[first + k]!;
      run.field.sweep(partOfPiece(piece, a, b), cutterRadiusMm, entry < 0 ? CUT_BEFORE : entry);
    };
    while (run.pieces < pieces && run.pieces < all.length) {
      cut(run.pieces, run.fraction, 1);
      run.pieces++;
      run.fraction = 0;
      const last = run.copies[run.copies.length - 1] as Run['copies'][number];
      if (run.pieces - last.pieces >= COPY_EVERY) {
        run.copies.push({ pieces: run.pieces, field: run.field.copy() });
      }
    }
    if (run.pieces === pieces && fraction > run.fraction) {
      cut(run.pieces, run.fraction, fraction);
      run.fraction = fraction;
    }
    return run.field;
  }

  private run(from: number, sweep: number): Run {
    const key = `${from},${sweep}`;
    let run = this.runs.get(key);
    if (run === undefined) {
      const start = this.whole(from);
      run = { field: start.copy(), pieces: 0, fraction: 0, copies: [{ pieces: 0, field: start }] };
    }
    // The map is in order of use.
    this.runs.delete(key);
    this.runs.set(key, run);
    if (this.runs.size > KEPT_RUNS) this.runs.delete(this.runs.keys().next().value as string);
    return run;
  }
}
