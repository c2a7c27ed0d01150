/**
 * A blank as a map of heights: for each cell of a square grid, how high the material stands. Heights
 * are whole micrometres, the output step of a program in mm. Cells are kept in tiles that come to be
 * when a cutter first comes near.
 */
const TILE = 256;
const TILE_SHIFT = 8;
/** Nothing stands here. */
const EMPTY = -32768;

export interface BlankDisc {
  readonly radius: number;
  readonly thickness: number;
  readonly cx: number;
  readonly cy: number;
}

export class Heightmap {
  readonly cell: number;
  /** Greatest height that cells were cut down from since it was last reset. um */
  highestCutUm = -Infinity;
  /** What was cut away, summed over cells. um */
  removedUm = 0;
  private readonly blank: BlankDisc;
  private readonly bottom: number;
  private readonly n: number;
  private readonly half: number;
  private readonly tiles: (Int16Array | undefined)[];

  /** @param cell  side of a cell, mm */
  constructor(blank: BlankDisc, cell: number) {
    this.blank = blank;
    this.cell = cell;
    this.bottom = Math.round(-blank.thickness * 1000);
    const reach = blank.radius + Math.hypot(blank.cx, blank.cy) + 12;
    this.n = Math.ceil((2 * reach) / cell / TILE);
    this.half = (this.n * TILE) / 2;
    this.tiles = new Array<Int16Array | undefined>(this.n * this.n);
  }

  /** Index of the column or row that holds a coordinate. */
  index(mm: number): number {
    return Math.floor(mm / this.cell) + this.half;
  }

  /** Middle of a column or row. mm */
  middle(index: number): number {
    return (index - this.half + 0.5) * this.cell;
  }

  /** Height of the material at a place; EMPTY where there is none. um */
  heightUm(x: number, y: number): number {
    const i = Math.floor(x / this.cell) + this.half;
    const j = Math.floor(y / this.cell) + this.half;
    const side = this.n * TILE;
    if (i < 0 || j < 0 || i >= side || j >= side) return EMPTY;
    const t = (j >> TILE_SHIFT) * this.n + (i >> TILE_SHIFT);
    const tile = this.tiles[t] ?? this.makeTile(t);
    return tile[((j & (TILE - 1)) << TILE_SHIFT) + (i & (TILE - 1))]!;
  }

  /**
   * Cuts the cells of a row whose middles lie between two places down to a height.
   * @returns number of cells in which anything stood above it
   */
  cutRow(row: number, x0: number, x1: number, zUm: number): number {
    const side = this.n * TILE;
    if (row < 0 || row >= side) return 0;
    let i = Math.max(0, Math.ceil(x0 / this.cell - 0.5) + this.half);
    const last = Math.min(side - 1, Math.floor(x1 / this.cell - 0.5) + this.half);
    let cut = 0;
    const line = (row & (TILE - 1)) << TILE_SHIFT;
    const tileRow = (row >> TILE_SHIFT) * this.n;
    const floor = zUm <= this.bottom ? EMPTY : zUm;
    const low = Math.max(zUm, this.bottom);
    while (i <= last) {
      const t = tileRow + (i >> TILE_SHIFT);
      const tile = this.tiles[t] ?? this.makeTile(t);
      const stop = Math.min(last, i | (TILE - 1));
      for (; i <= stop; i++) {
        const at = line + (i & (TILE - 1));
        const height = tile[at]!;
        if (height > zUm) {
          if (height > this.highestCutUm) this.highestCutUm = height;
          tile[at] = floor;
          this.removedUm += height - low;
          cut++;
        }
      }
    }
    return cut;
  }

  /**
   * Lowers every cell that stands at one height to another: what a path does that repeats the
   * last one deeper.
   * @returns false, and nothing is done, where a cell stands between the two
   */
  lower(fromUm: number, toUm: number): boolean {
    const floor = toUm <= this.bottom ? EMPTY : toUm;
    for (const tile of this.tiles) {
      for (const h of tile ?? []) if (h < fromUm && h > toUm) return false;
    }
    for (const tile of this.tiles) {
      if (!tile) continue;
      for (let k = 0; k < tile.length; k++) {
        if (tile[k] !== fromUm) continue;
        tile[k] = floor;
        this.removedUm += fromUm - Math.max(toUm, this.bottom);
      }
    }
    return true;
  }

  /** Every cell in which something stands, within tiles that a cutter has come near. */
  forEachStanding(see: (x: number, y: number, heightUm: number) => void): void {
    this.tiles.forEach((tile, t) => {
      if (!tile) return;
      const i0 = (t % this.n) * TILE;
      const j0 = Math.floor(t / this.n) * TILE;
      for (let k = 0; k < tile.length; k++) {
        if (tile[k] !== EMPTY) {
          see(this.middle(i0 + (k & (TILE - 1))), this.middle(j0 + (k >> TILE_SHIFT)), tile[k]!);
        }
      }
    });
  }

  private makeTile(t: number): Int16Array {
    const tile = new Int16Array(TILE * TILE).fill(EMPTY);
    const i0 = (t % this.n) * TILE;
    const j0 = Math.floor(t / this.n) * TILE;
    const { radius, cx, cy } = this.blank;
    for (let j = 0; j < TILE; j++) {
      const dy = this.middle(j0 + j) - cy;
      const w2 = radius * radius - dy * dy;
      if (w2 <= 0) continue;
      const w = Math.sqrt(w2);
      const from = Math.max(0, Math.ceil((cx - w) / this.cell - 0.5) + this.half - i0);
      const to = Math.min(TILE - 1, Math.floor((cx + w) / this.cell - 0.5) + this.half - i0);
      for (let i = from; i <= to; i++) tile[(j << TILE_SHIFT) + i] = 0;
    }
    this.tiles[t] = tile;
    return tile;
  }
}
