/**
 * Surface of one tile of a field: the cap (where material stands) and the walls round it, by
 * marching squares with linear interpolation along the cell edges.
 *
 *     +---.---+      Corners in turn from the lower left. A wall runs from where the material is
 *     |  / \##|      left to where it is met again, so the material is on its left hand; of two
 *     +-.---.-+      ways to join a saddle, the value in the middle of the cell decides.
 */
import { norm2 } from '../../maths/angle.js';
import { TILE_CELLS, TILE_NODES, UNCUT, type Grid, type Tile } from './tile-field.js';

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

/** Corner that stands, or point on an edge of the cell: a wall leaves it for the next, or comes to it. */
interface CellPoint {
  readonly x: number;
  readonly y: number;
  /** Outward unit normal of the wall; this and the rest are nothing at a corner. */
  readonly normal: readonly [x: number, y: number];
  readonly owner: number;
  readonly edge: number;
  readonly leaves: boolean;
}

const CORNER = { normal: [0, 0], owner: UNCUT, edge: 0, leaves: false } as const;

const surfaces = new WeakMap<Tile, { version: number; surface: TileSurface }>();

/** Walls and caps of a tile, worked out once for each version of it. */
export function surfaceOf(tile: Tile, grid: Grid, index: number): TileSurface {
  let known = surfaces.get(tile);
  if (known?.version !== tile.version) {
    known = { version: tile.version, surface: tileSurface(tile, grid, index) };
    surfaces.set(tile, known);
  }
  return known.surface;
}

type Values = readonly [number, number, number, number];

function tileSurface(tile: Tile, grid: Grid, index: number): TileSurface {
  const { cellMm, originMm, tiles } = grid;
  const x0 = originMm + (index % tiles) * TILE_CELLS * cellMm;
  const y0 = originMm + Math.floor(index / tiles) * TILE_CELLS * cellMm;
  full.length = cap.length = wall.length = normal.length = owner.length = 0;
  from.length = to.length = 0;
  const { value } = tile;
  const side = TILE_CELLS * cellMm;
  if (value.every((v) => v > 0)) full.push(x0, y0, x0 + side, y0 + side);
  else if (value.some((v) => v > 0)) {
    const column = (index % tiles) * TILE_CELLS;
    const row = Math.floor(index / tiles) * TILE_CELLS;
    // Nodes in a row of the whole grid.
    const across = tiles * TILE_CELLS + 1;
    for (let j = 0; j < TILE_CELLS; j++) {
      const y = y0 + j * cellMm;
      // Full cells are joined into one rectangle, the others cut.
      let open = -1;
      for (let i = 0; i <= TILE_CELLS; i++) {
        const n = j * TILE_NODES + i;
        const stand = i < TILE_CELLS ? standing(value, n) : 0;
        if (stand === 4) {
          if (open < 0) open = i;
          continue;
        }
        if (open >= 0) full.push(x0 + open * cellMm, y, x0 + i * cellMm, y + cellMm);
        open = -1;
        if (stand === 0) continue;
        const node = (row + j) * across + column + i;
        const edges = [2 * node, 2 * node + 3, 2 * (node + across), 2 * node + 1] as const;
        cutCell(tile, n, x0 + i * cellMm, y, cellMm, edges);
      }
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

/** Corners of the cell above and right of a node that are material. */
function standing(value: Float32Array, n: number): number {
  let stand = 0;
  if (value[n]! > 0) stand++;
  if (value[n + 1]! > 0) stand++;
  if (value[n + TILE_NODES + 1]! > 0) stand++;
  if (value[n + TILE_NODES]! > 0) stand++;
  return stand;
}

function cutCell(tile: Tile, n: number, x: number, y: number, h: number, edges: Values): void {
  const { value, owner: owners } = tile;
  const at = [n, n + 1, n + TILE_NODES + 1, n + TILE_NODES] as const;
  const v: Values = [value[at[0]]!, value[at[1]]!, value[at[2]]!, value[at[3]]!];
  const cornerX = [x, x + h, x + h, x] as const;
  const cornerY = [y, y, y + h, y + h] as const;
  const points: CellPoint[] = [];
  for (let k = 0; k < 4; k++) {
    const next = (k + 1) & 3;
    const [a, b] = [v[k]!, v[next]!];
    const leaves = a > 0;
    if (leaves) points.push({ x: cornerX[k]!, y: cornerY[k]!, ...CORNER });
    if (leaves === b > 0) continue;
    const f = a / (a - b);
    const px = cornerX[k]! + f * (cornerX[next]! - cornerX[k]!);
    const py = cornerY[k]! + f * (cornerY[next]! - cornerY[k]!);
    const normal = downhill(v, (px - x) / h, (py - y) / h);
    const owner = owners[at[leaves ? next : k]!]!;
    points.push({ x: px, y: py, normal, owner, edge: edges[k]!, leaves });
  }
  const count = points.length;
  const saddle = v[0] > 0 === v[2] > 0 && v[1] > 0 === v[3] > 0;
  if (saddle && v[0] + v[1] + v[2] + v[3] <= 0) {
    // Two corners stand apart. The points go round as corner, leaves, enters, corner, leaves, enters
    // when the first corner stands, else enters, corner, leaves, enters, corner, leaves.
    for (const corner of v[0] > 0 ? [0, 3] : [1, 4]) {
      const out = points[(corner + 1) % count]!;
      const into = points[(corner + count - 1) % count]!;
      triangle(points[corner]!, out, into);
      wallBetween(out, into);
    }
    return;
  }
  for (let k = 1; k + 1 < count; k++) triangle(points[0]!, points[k]!, points[k + 1]!);
  points.forEach((p, k) => p.leaves && wallBetween(p, points[(k + 1) % count]!));
}

function triangle(a: CellPoint, b: CellPoint, c: CellPoint): void {
  cap.push(a.x, a.y, b.x, b.y, c.x, c.y);
}

function wallBetween(a: CellPoint, b: CellPoint): void {
  wall.push(a.x, a.y, b.x, b.y);
  normal.push(...a.normal, ...b.normal);
  owner.push(a.owner);
  from.push(a.edge);
  to.push(b.edge);
}

/** Down the slope of the field, by the bilinear form of the cell. */
function downhill(v: Values, fx: number, fy: number): CellPoint['normal'] {
  const gx = (v[1] - v[0]) * (1 - fy) + (v[2] - v[3]) * fy;
  const gy = (v[3] - v[0]) * (1 - fx) + (v[2] - v[1]) * fx;
  const length = norm2(gx, gy) || 1;
  return [-gx / length, -gy / length];
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
