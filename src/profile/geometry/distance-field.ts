import type { Edge, Loop, Pt } from '../../model/edges.js';
import { norm2 } from '../../maths/angle.js';
import { distanceToEdge, edgeRadius, tangentAt } from './edge.js';
import { inAir, loopBounds } from './loop.js';

/** Signed distance to fixed loops at any point. */
export interface DistanceField {
  /** mm; negative in the material (left of the travel), positive in the air. Exact. */
  (x: number, y: number): number;
  /** Index of the nearest edge, counted through all loops in the order given. */
  nearestEdge(x: number, y: number): number;
}

/** Leaves with this many candidate edges are not split further. */
const LEAF_EDGES = 3;
const MAX_DEPTH = 16;

/** A square of the tree: its candidate edges, or four smaller squares once it was split. */
interface Square {
  readonly edges: readonly number[];
  readonly settled: boolean;
  parts: readonly Square[] | null;
}

/**
 * Exact signed distance to one outline (and any holes in it), made for hundreds of thousands of
 * queries. Give loops of one part: their material sides must not contradict each other.
 *
 * A quadtree over twice the part's extent holds, for each square, the edges that can be nearest
 * to some point of it: with centre m and half diagonal h, exactly those with
 * dist(m, edge) <= min dist(m, edges) + 2 h. Squares are split the first time a query falls into
 * them, so cost follows use. Beyond the tree all edges are looked at.
 */
export function makeDistanceField(outline: Loop, ...holes: Loop[]): DistanceField {
  const loops = [outline, ...holes];
  const edges = loops.flat();
  const normals = loops.flatMap(cornerNormals);
  const all = edges.map((_, i) => i);
  const box = loopBounds(edges);
  const rootX = (box.minX + box.maxX) / 2;
  const rootY = (box.minY + box.maxY) / 2;
  const rootHalf = Math.max(box.maxX - box.minX, box.maxY - box.minY);
  const root: Square = { edges: all, settled: edges.length <= LEAF_EDGES, parts: null };

  function candidates(x: number, y: number): readonly number[] {
    let cx = rootX;
    let cy = rootY;
    let half = rootHalf;
    if (Math.abs(x - cx) > half || Math.abs(y - cy) > half) return all;
    let square = root;
    for (let depth = 1; !square.settled; depth++) {
      half /= 2;
      square.parts ??= split(edges, square, [cx, cy], half, depth);
      square = square.parts[(x >= cx ? 1 : 0) + (y >= cy ? 2 : 0)]!;
      cx += x >= cx ? half : -half;
      cy += y >= cy ? half : -half;
    }
    return square.edges;
  }

  let bestMm = 0;
  function nearestEdge(x: number, y: number): number {
    let nearest = 0;
    bestMm = Infinity;
    for (const i of candidates(x, y)) {
      const d = distanceToEdge(edges[i]!, x, y);
      if (d >= bestMm) continue;
      bestMm = d;
      nearest = i;
    }
    return nearest;
  }

  const field = (x: number, y: number): number => {
    const i = nearestEdge(x, y);
    const air =
      sideOf(edges[i]!, normals[i]!, bestMm, x, y) ?? loops.some((loop) => inAir(loop, [x, y]));
    return air ? bestMm : -bestMm;
  };
  return Object.assign(field, { nearestEdge });
}

/** The four squares in one about (cx, cy), each of half a side `half`. */
function split(
  edges: readonly Edge[],
  square: Square,
  [cx, cy]: Pt,
  half: number,
  depth: number,
): Square[] {
  return [0, 1, 2, 3].map((q) => {
    const [mx, my] = [cx + (q & 1 ? half : -half), cy + (q & 2 ? half : -half)];
    const distances = square.edges.map((i) => distanceToEdge(edges[i]!, mx, my));
    const reach = Math.min(...distances) + 2 * half * Math.SQRT2 + 1e-9;
    const kept = square.edges.filter((_, k) => distances[k]! <= reach);
    const settled = kept.length <= LEAF_EDGES || depth >= MAX_DEPTH;
    return { edges: kept, settled, parts: null };
  });
}

/**
 * Whether a point is in the air beside its nearest edge: by the side of the edge; at a vertex, of
 * the sum of the two edge normals there, which points into the cone of points that the vertex is
 * nearest to. null at a vertex where the loop turns back on itself, which has no such sum.
 */
function sideOf(edge: Edge, normals: Normals, mm: number, x: number, y: number): boolean | null {
  const { a, b } = edge;
  for (const [v, n] of [
    [a, normals.start],
    [b, normals.end],
  ] as const) {
    if (mm !== norm2(x - v[0], y - v[1])) continue;
    if (n[0] * n[0] + n[1] * n[1] < 1e-12) return null;
    return (x - v[0]) * n[0] + (y - v[1]) * n[1] >= 0;
  }
  if (edge.kind === 'arc') {
    return norm2(x - edge.c[0], y - edge.c[1]) > edgeRadius(edge) === edge.ccw;
  }
  return (b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0]) <= 0;
}

/** Sums of the two normals that point into the air, at the start and at the end of an edge. */
interface Normals {
  readonly start: Pt;
  readonly end: Pt;
}

function cornerNormals(loop: Loop): Normals[] {
  const starts = loop.map((edge, i): Pt => {
    const t = tangentAt(loop.at(i - 1)!, 1);
    const u = tangentAt(edge, 0);
    return [t[1] + u[1], -t[0] - u[0]];
  });
  return starts.map((start, i) => ({ start, end: starts[(i + 1) % loop.length]! }));
}
