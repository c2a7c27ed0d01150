/**
 * Surface of one tile of a field: the cap (where material stands) and the walls round it, by
 * marching squares with linear interpolation along the cell edges.
 *
 *     +---.---+      Corners in turn from the lower left. A wall runs from where the material is
 *     |  / \##|      left to where it is met again, so the material is on its left hand; of two
 *     +-.---.-+      ways to join a saddle, the value in the middle of the cell decides.
 */
import { norm2 } from '../../maths/angle.js';
import { TILE_CELLS, TILE_NODES, type Grid, type Tile } from './tile-field.js';

export interface TileSurface {
  /** Rectangles that are material all over, flat [ax, ay, bx, by, ...]. mm */
  readonly full: Float32Array;
  /** Triangles of the cells that the surface cuts, flat [x0, y0, x1, y1, x2, y2, ...],
   *  counter-clockwise. mm */
  readonly cap: Float32Array;
  /** Walls, flat [ax, ay, bx, by, ...]. mm */
  readonly wall: Float32Array;
  /** Outward unit normals at the ends of each wall, flat [anx, any, bnx, bny, ...]. */
  readonly normal: Float32Array;
  /** What made each wall: entry of the track, or UNCUT. */
  readonly owner: Int32Array;
  /** Grid edges on which each wall starts and ends: equal where two walls meet. */
  readonly from: Int32Array;
  readonly to: Int32Array;
}

const full: number[] = [];
const cap: number[] = [];
const wall: number[] = [];
const normal: number[] = [];
const owner: number[] = [];
const from: number[] = [];
const to: number[] = [];

/** Points of the current cell, [x, y, nx, ny, owner] each; wall from `leaves` to the next. */
const px = new Float64Array(8);
const py = new Float64Array(8);
const pnx = new Float64Array(8);
const pny = new Float64Array(8);
const pOwner = new Int32Array(8);
const pEdge = new Int32Array(8);
const leaves = new Uint8Array(8);

export function tileSurface(tile: Tile, grid: Grid, index: number): TileSurface {
  const { cellMm, originMm, tiles } = grid;
  const x0 = originMm + (index % tiles) * TILE_CELLS * cellMm;
  const y0 = originMm + Math.floor(index / tiles) * TILE_CELLS * cellMm;
  full.length = cap.length = wall.length = normal.length = owner.length = 0;
  from.length = to.length = 0;
  const { value } = tile;
  let least = Infinity;
  let most = -Infinity;
  for (let n = 0; n < value.length; n++) {
    least = Math.min(least, value[n] as number);
    most = Math.max(most, value[n] as number);
  }
  const side = TILE_CELLS * cellMm;
  if (least > 0) full.push(x0, y0, x0 + side, y0 + side);
  else if (most > 0) {
    const column = (index % tiles) * TILE_CELLS;
    const row = Math.floor(index / tiles) * TILE_CELLS;
    const across = tiles * TILE_CELLS + 1;
    for (let j = 0; j < TILE_CELLS; j++) {
      rowOfCells(tile, j, x0, y0, cellMm, (row + j) * across + column, across);
    }
  }
  return {
    full: Float32Array.from(full),
    cap: Float32Array.from(cap),
    wall: Float32Array.from(wall),
    normal: Float32Array.from(normal),
    owner: Int32Array.from(owner),
    from: Int32Array.from(from),
    to: Int32Array.from(to),
  };
}

/** Grid edges: the one along X from a node is twice the node's number, the one along Y one more. */
export function edgeCount({ tiles }: Grid): number {
  return 2 * (tiles * TILE_CELLS + 1) ** 2;
}

/**
 * One row: full cells are joined into one rectangle, the others cut.
 * @param node    number of the row's first node in the whole grid
 * @param across  nodes in a row of the whole grid
 */
function rowOfCells(
  tile: Tile,
  j: number,
  x0: number,
  y0: number,
  h: number,
  node: number,
  across: number,
): void {
  const { value } = tile;
  const y = y0 + j * h;
  let open = -1;
  for (let i = 0; i <= TILE_CELLS; i++) {
    const n = j * TILE_NODES + i;
    let stand = 0;
    if (i < TILE_CELLS) {
      if (value[n]! > 0) stand++;
      if (value[n + 1]! > 0) stand++;
      if (value[n + TILE_NODES + 1]! > 0) stand++;
      if (value[n + TILE_NODES]! > 0) stand++;
    }
    if (stand === 4) {
      if (open < 0) open = i;
      continue;
    }
    if (open >= 0) full.push(x0 + open * h, y, x0 + i * h, y + h);
    open = -1;
    if (stand > 0) cutCell(tile, n, x0 + i * h, y, h, node + i, across);
  }
}

function cutCell(
  tile: Tile,
  n: number,
  x: number,
  y: number,
  h: number,
  node: number,
  across: number,
): void {
  const { value } = tile;
  const at = [n, n + 1, n + TILE_NODES + 1, n + TILE_NODES] as const;
  const v = at.map((k) => value[k] as number) as [number, number, number, number];
  const edges = [2 * node, 2 * node + 3, 2 * (node + across), 2 * node + 1] as const;
  const cornerX = [x, x + h, x + h, x] as const;
  const cornerY = [y, y, y + h, y + h] as const;
  let points = 0;
  for (let k = 0; k < 4; k++) {
    const next = (k + 1) & 3;
    const a = v[k] as number;
    const b = v[next] as number;
    if (a > 0) {
      px[points] = cornerX[k] as number;
      py[points] = cornerY[k] as number;
      leaves[points++] = 0;
    }
    if (a > 0 === b > 0) continue;
    const f = a / (a - b);
    px[points] = cornerX[k]! + f * (cornerX[next]! - cornerX[k]!);
    py[points] = cornerY[k]! + f * (cornerY[next]! - cornerY[k]!);
    setNormal(points, v, (px[points]! - x) / h, (py[points]! - y) / h);
    pEdge[points] = edges[k] as number;
    pOwner[points] = tile.owner[at[a > 0 ? next : k] as number] as number;
    leaves[points++] = a > 0 ? 1 : 0;
  }
  const saddle = v[0] > 0 === v[2] > 0 && v[1] > 0 === v[3] > 0;
  if (saddle && v[0] + v[1] + v[2] + v[3] <= 0) {
    splitSaddle(points, v[0] > 0);
    return;
  }
  for (let k = 1; k + 1 < points; k++) triangle(0, k, k + 1);
  for (let k = 0; k < points; k++) if (leaves[k] === 1) wallBetween(k, (k + 1) % points);
}

/**
 * Two corners stand apart. The points go round as corner, leaves, enters, corner, leaves, enters
 * when the first corner stands, else enters, corner, leaves, enters, corner, leaves.
 */
function splitSaddle(points: number, first: boolean): void {
  for (const corner of first ? [0, 3] : [1, 4]) {
    const out = (corner + 1) % points;
    const into = (corner + points - 1) % points;
    triangle(corner, out, into);
    wallBetween(out, into);
  }
}

function triangle(a: number, b: number, c: number): void {
  cap.push(px[a]!, py[a]!, px[b]!, py[b]!, px[c]!, py[c]!);
}

function wallBetween(a: number, b: number): void {
  wall.push(px[a]!, py[a]!, px[b]!, py[b]!);
  normal.push(pnx[a]!, pny[a]!, pnx[b]!, pny[b]!);
  owner.push(pOwner[a] as number);
  from.push(pEdge[a] as number);
  to.push(pEdge[b] as number);
}

/** Down the slope of the field, by the bilinear form of the cell. */
function setNormal(
  k: number,
  v: readonly [number, number, number, number],
  fx: number,
  fy: number,
): void {
  const gx = (v[1] - v[0]) * (1 - fy) + (v[2] - v[3]) * fy;
  const gy = (v[3] - v[0]) * (1 - fx) + (v[2] - v[1]) * fx;
  const length = norm2(gx, gy) || 1;
  pnx[k] = -gx / length;
  pny[k] = -gy / length;
}

/** Area of the material, mm2. */
export function capArea({ full: r, cap: t }: TileSurface): number {
  let twice = 0;
  for (let k = 0; k < r.length; k += 4) {
    twice += 2 * (r[k + 2]! - r[k]!) * (r[k + 3]! - r[k + 1]!);
  }
  for (let k = 0; k < t.length; k += 6) {
    twice +=
      (t[k + 2]! - t[k]!) * (t[k + 5]! - t[k + 1]!) - (t[k + 4]! - t[k]!) * (t[k + 3]! - t[k + 1]!);
  }
  return twice / 2;
}
