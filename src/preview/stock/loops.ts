/**
 * Walls of a field joined into loops, with the points left out that a straight wall does not
 * need: a few hundred walls where the grid gives a few thousand.
 */
import { type TileSurface, edgeCount } from './contour.js';
import type { Grid } from './tile-field.js';

/** Closed loop; material on the left. Wall k runs from point k to the next. */
export interface WallLoop {
  /** Flat [x0, y0, ...], mm. */
  readonly points: Float64Array;
  /** Outward unit normals at the points, flat. */
  readonly normals: Float64Array;
  /** What made each wall: entry of the track, or UNCUT. */
  readonly owners: Int32Array;
}

/** Points that are left out are within this of the wall that is drawn. mm: a thirtieth of a cell,
 *  a few hundredths of a pixel when the whole part is in view. */
const STRAIGHT_MM = 0.003;
/** Most points that one wall stands for. */
const LONGEST_RUN = 48;

/** First wall from each grid edge; kept between calls, and cleared where it was used. */
let startingAt = new Int32Array(0);

/**
 * @param groupOf  walls of different groups are not joined into one (colours)
 */
export function wallLoops(
  surfaces: readonly TileSurface[],
  grid: Grid,
  groupOf: (owner: number) => number,
): WallLoop[] {
  const edges = edgeCount(grid);
  if (startingAt.length < edges) startingAt = new Int32Array(edges).fill(-1);
  const walls = gather(surfaces);
  const count = walls.owner.length;
  for (let w = 0; w < count; w++) startingAt[walls.from[w] as number] = w;
  const done = new Uint8Array(count);
  const loops: WallLoop[] = [];
  const chain: number[] = [];
  for (let first = 0; first < count; first++) {
    if (done[first]) continue;
    chain.length = 0;
    for (let w = first; w >= 0 && !done[w]; w = startingAt[walls.to[w] as number] as number) {
      done[w] = 1;
      chain.push(w);
    }
    const loop = straightened(chain, walls, groupOf);
    if (loop) loops.push(loop);
  }
  for (let w = 0; w < count; w++) startingAt[walls.from[w] as number] = -1;
  return loops;
}

type Walls = Omit<TileSurface, 'full' | 'cap'>;

function gather(surfaces: readonly TileSurface[]): Walls {
  const count = surfaces.reduce((sum, s) => sum + s.owner.length, 0);
  const walls = {
    wall: new Float32Array(4 * count),
    normal: new Float32Array(4 * count),
    owner: new Int32Array(count),
    from: new Int32Array(count),
    to: new Int32Array(count),
  };
  let w = 0;
  for (const surface of surfaces) {
    for (const name of ['wall', 'normal'] as const) walls[name].set(surface[name], 4 * w);
    for (const name of ['owner', 'from', 'to'] as const) walls[name].set(surface[name], w);
    w += surface.owner.length;
  }
  return walls;
}

function straightened(
  chain: readonly number[],
  walls: Walls,
  groupOf: (owner: number) => number,
): WallLoop | null {
  const n = chain.length;
  const x = (k: number) => walls.wall[4 * (chain[k % n] as number)] as number;
  const y = (k: number) => walls.wall[4 * (chain[k % n] as number) + 1] as number;
  const groups = chain.map((w) => groupOf(walls.owner[w] as number));
  const kept: number[] = [];
  let anchor = 0;
  while (anchor < n) {
    kept.push(anchor);
    let end = anchor + 1;
    while (
      end < n &&
      end - anchor < LONGEST_RUN &&
      groups[end] === groups[anchor] &&
      isStraight(anchor, end + 1)
    ) {
      end++;
    }
    anchor = end;
  }
  if (kept.length < 3) return null;

  function isStraight(a: number, b: number): boolean {
    const dx = x(b) - x(a);
    const dy = y(b) - y(a);
    const length = Math.sqrt(dx * dx + dy * dy);
    if (length < 1e-9) return b - a < 3;
    const limit = STRAIGHT_MM * length;
    for (let k = a + 1; k < b; k++) {
      if (Math.abs((x(k) - x(a)) * dy - (y(k) - y(a)) * dx) > limit) return false;
    }
    return true;
  }

  const normal = (w: number) => [walls.normal[4 * w]!, walls.normal[4 * w + 1]!];
  return {
    points: Float64Array.from(kept.flatMap((k) => [x(k), y(k)])),
    normals: Float64Array.from(kept.flatMap((k) => normal(chain[k]!))),
    owners: Int32Array.from(kept, (k) => walls.owner[chain[k]!]!),
  };
}

/** Area inside a loop: positive round material, negative round a hole. mm2 */
export function loopArea({ points }: WallLoop): number {
  let twice = 0;
  const n = points.length / 2;
  for (let k = 0; k < n; k++) {
    const next = (k + 1) % n;
    twice += points[2 * k]! * points[2 * next + 1]! - points[2 * next]! * points[2 * k + 1]!;
  }
  return twice / 2;
}
