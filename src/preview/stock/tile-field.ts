/**
 * Stock of one slab as a field: at each node of a square grid the distance into the material,
 * mm, positive where it stands. The surface is where the field is zero, so it is known to far
 * better than a cell: halfway between nodes a straight wall is exact and a curve of radius R is
 * off by h^2 / 8 R, a micron for h = 0.1 mm and R = 1.25 mm.
 *
 * Values are only kept within `reach` of the surface. Tiles of nodes are shared between copies
 * of a field until one of them is written to, so that copies cost next to nothing.
 */
import type { PathPiece } from '../../cam/stock/path-piece.js';
import { norm2 } from '../../maths/angle.js';
import type { Loop } from '../../model/edges.js';
import { makeDistanceField } from '../../profile/geometry/distance-field.js';
import { loopBounds } from '../../profile/geometry/loop.js';

/** Cells along a tile; tiles hold one node more, which neighbours hold too. */
export const TILE_CELLS = 64;
export const TILE_NODES = TILE_CELLS + 1;

/** What a tile's node was last cut by, where nothing has cut it. */
export const UNCUT = -1;
/** Where it was cut before the program begins. */
export const CUT_BEFORE = -2;

export interface Tile {
  /** Distance into the material at [row * TILE_NODES + column], mm. */
  readonly value: Float32Array;
  /** Piece that made the surface there: entry of the track, or UNCUT. */
  readonly owner: Int32Array;
  /** Copy that may write to it. */
  writer: number;
  /** Goes up with every change. */
  version: number;
}

export interface Grid {
  readonly cellMm: number;
  /** Tiles along one side; the grid is square and centred on the axis. */
  readonly tiles: number;
  /** Lower left corner, both coordinates. mm */
  readonly originMm: number;
}

export interface BlankShape {
  readonly radiusMm: number;
  /** About the axis: the radius of a round hole, or a bore with a flat or a keyway, clockwise. */
  readonly hole: number | Loop | null;
}

/** Grid over a blank, with a margin of two cells. @param cells  cells across the blank, about */
export function gridOver(blank: BlankShape, cells: number): Grid {
  const cellMm = (2 * blank.radiusMm) / cells;
  const tiles = Math.ceil((2 * blank.radiusMm + 4 * cellMm) / (cellMm * TILE_CELLS));
  return { cellMm, tiles, originMm: (-tiles * TILE_CELLS * cellMm) / 2 };
}

/** Distance from the wall of the hole into the material; no more than is told apart is reckoned. */
function holeDepth({ hole }: BlankShape, reachMm: number): (x: number, y: number) => number {
  if (hole === null) return () => Infinity;
  if (typeof hole === 'number') return (x, y) => norm2(x, y) - hole;
  const field = makeDistanceField(hole);
  const { minX, maxX, minY, maxY } = loopBounds(hole);
  const far = Math.hypot(Math.max(maxX, -minX), Math.max(maxY, -minY)) + reachMm;
  return (x, y) => (norm2(x, y) > far ? Infinity : -field(x, y));
}

let writers = 0;

export class TileField {
  readonly grid: Grid;
  readonly tiles: Tile[];
  readonly reachMm: number;
  private writer: number;

  private constructor(grid: Grid, tiles: Tile[]) {
    this.grid = grid;
    this.tiles = tiles;
    this.reachMm = 2 * grid.cellMm;
    this.writer = ++writers;
  }

  static blank(grid: Grid, blank: BlankShape): TileField {
    const tiles: Tile[] = [];
    const field = new TileField(grid, tiles);
    const { cellMm, originMm } = grid;
    const fromHole = holeDepth(blank, field.reachMm);
    for (let t = 0; t < grid.tiles * grid.tiles; t++) {
      const value = new Float32Array(TILE_NODES * TILE_NODES);
      const x0 = originMm + (t % grid.tiles) * TILE_CELLS * cellMm;
      const y0 = originMm + Math.floor(t / grid.tiles) * TILE_CELLS * cellMm;
      for (let n = 0; n < value.length; n++) {
        const x = x0 + (n % TILE_NODES) * cellMm;
        const y = y0 + Math.floor(n / TILE_NODES) * cellMm;
        const d = Math.min(blank.radiusMm - norm2(x, y), fromHole(x, y));
        value[n] = Math.max(-field.reachMm, Math.min(field.reachMm, d));
      }
      const owner = new Int32Array(value.length).fill(UNCUT);
      tiles.push({ value, owner, writer: field.writer, version: 0 });
    }
    return field;
  }

  /** Same stock; either may be cut further without changing the other. */
  copy(): TileField {
    // Neither may write to what they now share.
    this.writer = ++writers;
    return new TileField(this.grid, [...this.tiles]);
  }

  /** Takes away what a round cutter sweeps along a piece. */
  sweep(piece: PathPiece, cutterRadiusMm: number, owner: number): void {
    const { reachMm, writer } = this;
    const { cellMm, originMm, tiles: across } = this.grid;
    const span = cutterRadiusMm + reachMm;
    const { minX, maxX, minY, maxY } = pieceBox(piece, span);
    const tile = (mm: number) => Math.floor((mm - originMm) / (TILE_CELLS * cellMm));
    const from = (mm: number, zero: number) => Math.max(0, Math.ceil((mm - zero) / cellMm));
    const to = (mm: number, zero: number) => Math.min(TILE_CELLS, Math.floor((mm - zero) / cellMm));
    const t1 = Math.min(across - 1, tile(maxX));
    const u1 = Math.min(across - 1, tile(maxY));
    const less = takerOf(piece, { cutterRadiusMm, reachMm, cellMm, owner });
    for (let u = Math.max(0, tile(minY)); u <= u1; u++) {
      for (let t = Math.max(0, tile(minX)); t <= t1; t++) {
        const x0 = originMm + t * TILE_CELLS * cellMm;
        const y0 = originMm + u * TILE_CELLS * cellMm;
        const window = [from(minX, x0), to(maxX, x0), from(minY, y0), to(maxY, y0)] as const;
        if (window[0] > window[1] || window[2] > window[3]) continue;
        // A tile that others hold too is copied, but only for a cut that changes it.
        let own = this.tiles[u * across + t] as Tile;
        if (own.writer !== writer) {
          own = { value: own.value.slice(), owner: own.owner.slice(), writer, version: 0 };
        }
        if (!less(own, x0, y0, window)) continue;
        own.version++;
        this.tiles[u * across + t] = own;
      }
    }
  }

  /** Distance into the material at a place, between nodes by bilinear interpolation. mm */
  at(x: number, y: number): number {
    const { cellMm, originMm, tiles: across } = this.grid;
    const side = TILE_CELLS * cellMm;
    const t = Math.floor((x - originMm) / side);
    const u = Math.floor((y - originMm) / side);
    if (t < 0 || u < 0 || t >= across || u >= across) return -this.reachMm;
    const { value } = this.tiles[u * across + t] as Tile;
    const fx = (x - originMm - t * side) / cellMm;
    const fy = (y - originMm - u * side) / cellMm;
    const i = Math.min(TILE_CELLS - 1, Math.floor(fx));
    const j = Math.min(TILE_CELLS - 1, Math.floor(fy));
    const n = j * TILE_NODES + i;
    const low = value[n]! + (fx - i) * (value[n + 1]! - value[n]!);
    const high =
      value[n + TILE_NODES]! + (fx - i) * (value[n + TILE_NODES + 1]! - value[n + TILE_NODES]!);
    return low + (fy - j) * (high - low);
  }
}

type Box = Readonly<Record<'minX' | 'maxX' | 'minY' | 'maxY', number>>;

/** The ends grown by a span and by how far an arc is from its chord at most: r (1 - cos), whatever
 *  its sweep. */
function pieceBox({ ax, ay, bx, by, radiusMm, sweepRad }: PathPiece, spanMm: number): Box {
  const off = radiusMm * (1 - Math.cos(sweepRad / 2));
  return {
    minX: Math.min(ax, bx) - off - spanMm,
    maxX: Math.max(ax, bx) + off + spanMm,
    minY: Math.min(ay, by) - off - spanMm,
    maxY: Math.max(ay, by) + off + spanMm,
  };
}

/** What takes from columns i0 to i1 of rows j0 to j1 of a tile whose first node is at x0, y0 what a
 *  cutter sweeps along a piece, and says whether anything went. */
function takerOf(
  piece: PathPiece,
  cut: Readonly<Record<'cutterRadiusMm' | 'reachMm' | 'cellMm' | 'owner', number>>,
) {
  const { ax, ay, bx, by, cx, cy, radiusMm } = piece;
  const { cutterRadiusMm, reachMm, cellMm, owner } = cut;
  const dx = bx - ax;
  const dy = by - ay;
  const l2 = dx * dx + dy * dy;
  const k = l2 > 0 ? 1 / l2 : 0;
  const isLine = radiusMm === 0;
  const { x: mx, y: my, least } = sectorOf(piece);
  return (
    { value, owner: owners }: Tile,
    x0: number,
    y0: number,
    [i0, i1, j0, j1]: readonly [i0: number, i1: number, j0: number, j1: number],
  ): boolean => {
    let changed = false;
    // Here is where the time goes: it is written out so that nothing is called in it.
    for (let j = j0; j <= j1; j++) {
      const y = y0 + j * cellMm;
      const py = y - ay;
      const vy = y - cy;
      let n = j * TILE_NODES + i0;
      for (let i = i0; i <= i1; i++, n++) {
        const old = value[n] as number;
        if (old <= -reachMm) continue;
        const x = x0 + i * cellMm;
        const px = x - ax;
        let d: number;
        if (isLine) {
          let f = (px * dx + py * dy) * k;
          f = f < 0 ? 0 : f > 1 ? 1 : f;
          const ex = px - f * dx;
          const ey = py - f * dy;
          d = Math.sqrt(ex * ex + ey * ey) - cutterRadiusMm;
        } else {
          const vx = x - cx;
          const v = Math.sqrt(vx * vx + vy * vy);
          if (vx * mx + vy * my >= least * v) d = Math.abs(v - radiusMm) - cutterRadiusMm;
          else {
            const ea = px * px + py * py;
            const eb = (x - bx) * (x - bx) + (y - by) * (y - by);
            d = Math.sqrt(ea < eb ? ea : eb) - cutterRadiusMm;
          }
        }
        if (d >= old) continue;
        value[n] = d < -reachMm ? -reachMm : d;
        owners[n] = owner;
        changed = true;
      }
    }
    return changed;
  };
}

/** A direction v is in the sector of an arc when v . (x, y) >= least |v|: within half the sweep of
 *  its middle. */
function sectorOf(p: PathPiece): { x: number; y: number; least: number } {
  const middle = Math.atan2(p.ay - p.cy, p.ax - p.cx) + p.sweepRad / 2;
  const half = Math.abs(p.sweepRad) / 2;
  return { x: Math.cos(middle), y: Math.sin(middle), least: half >= Math.PI ? -2 : Math.cos(half) };
}
