/**
 * Stock at any moment of the program, for going forwards and backwards in it. Each run of a sweep
 * over a state keeps a copy of its field now and then; a moment is reached from the nearest copy
 * before it.
 */
import type { PathPiece } from '../../cam/stock/path-piece.js';
import { type BlankShape, type Grid, TileField, gridOver } from './tile-field.js';
import { type SlabState, type Sweep, type Timeline, partOfPiece } from './timeline.js';

/** Part of the depth whose stock is the same all through. */
export interface StockLayer {
  readonly topMm: number;
  readonly bottomMm: number;
  readonly field: TileField;
}

/** Pieces between two copies kept. */
const COPY_EVERY = 96;
/** Runs whose copies are kept; others start again from their state. */
const KEPT_RUNS = 6;

/** Where one run of a sweep over a state has come to. */
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
    const layers: StockLayer[] = [];
    slabs.forEach((slab, k) => {
      const cut = stretch?.cuts.find((c) => c.slab === k);
      const field =
        cut && stretch
          ? this.partly(cut.from, cut.sweep, entry - stretch.first, fraction)
          : this.whole(index < 0 ? 0 : (timeline.after[index * slabs.length + k] as number));
      const last = layers[layers.length - 1];
      if (last?.field === field) layers[layers.length - 1] = { ...last, bottomMm: slab.bottomMm };
      else layers.push({ ...slab, field });
    });
    return layers;
  }

  /** Field of a state, all of its sweeps done. */
  whole(state: number): TileField {
    const known = this.finished.get(state);
    if (known) return known;
    const { parent, sweep } = this.timeline.states[state] as SlabState;
    const { pieces } = this.timeline.sweeps[sweep] as Sweep;
    const field = this.partly(parent, sweep, pieces.length, 0).copy();
    this.finished.set(state, field);
    return field;
  }

  private partly(from: number, sweep: number, pieces: number, fraction: number): TileField {
    const { pieces: all, firstEntry } = this.timeline.sweeps[sweep] as Sweep;
    const run = this.run(from, sweep);
    if (pieces < run.pieces || (pieces === run.pieces && fraction < run.fraction)) {
      let copy = run.copies[0];
      for (const c of run.copies) if (c.pieces <= pieces) copy = c;
      if (!copy) throw new Error('a run has lost its first copy');
      run.field = copy.field.copy();
      run.pieces = copy.pieces;
      run.fraction = 0;
    }
    const { cutterRadiusMm } = this.setup;
    const cut = (k: number, a: number, b: number) => {
      const piece = all[k] as PathPiece | null | undefined;
      if (piece) run.field.sweep(partOfPiece(piece, a, b), cutterRadiusMm, firstEntry + k);
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
