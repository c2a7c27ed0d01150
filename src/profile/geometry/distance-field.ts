import type { Edge, Loop } from '../../model/edges.js';
import { edgeRadius, tangentAt } from './edge.js';
import { inAir, loopBounds } from './loop.js';
import { norm2 } from '../../maths/angle.js';

/** Signed distance to fixed loops at any point. */
export interface DistanceField {
  /** mm; negative in the material (left of the travel), positive in the air. Exact. */
  (x: number, y: number): number;
  /** Index of the nearest edge, counted through all loops in the order given. */
  nearestEdge(x: number, y: number): number;
}

/** Numbers per edge in the flat table. */
const STRIDE = 12;
/** Leaves with this many candidate edges are not split further. */
const LEAF_EDGES = 3;
const MAX_DEPTH = 16;

/**
 * Exact signed distance to one outline (and any holes in it), made for hundreds of thousands of
 * queries. Give loops of one part: their material sides must not contradict each other.
 *
 * A quadtree over twice the part's extent holds, for each square, the edges that can be nearest
 * to some point of it: with centre m and half diagonal h, exactly those with
 * dist(m, edge) <= min dist(m, edges) + 2 h. Squares are split the first time a query falls into
 * them, so cost follows use. Beyond the tree all edges are looked at.
 *
 * Sign: side of the nearest edge; at a vertex, of the sum of the two edge normals there, which
 * points into the cone of points that the vertex is nearest to. A vertex where the loop turns
 * back on itself has no such sum and is settled by the winding number.
 */
export function makeDistanceField(outline: Loop, ...holes: Loop[]): DistanceField {
  const loops = [outline, ...holes];
  const table = flatTable(loops);
  const count = table.length / STRIDE;
  const all = Int32Array.from({ length: count }, (_, i) => i);

  const box = loopBounds(loops.flat());
  const rootX = (box.minX + box.maxX) / 2;
  const rootY = (box.minY + box.maxY) / 2;
  const rootHalf = Math.max(box.maxX - box.minX, box.maxY - box.minY);

  // Nodes by index: four consecutive children from firstChild[n], or candidates if it is a leaf.
  const firstChild: number[] = [-1];
  const candidates: (Int32Array | null)[] = [all];
  const settled: boolean[] = [count <= LEAF_EDGES];
  const scratch = new Float64Array(count);

  // Results of the last scan.
  let bestEdge = 0;
  let bestSigned = 0;

  function scan(list: Int32Array, x: number, y: number): void {
    let best = Infinity;
    let edge = 0;
    let where = 0; // -1 at its start, 1 at its end, 0 between
    for (let k = 0; k < list.length; k++) {
      const i = list[k]!;
      const d = edgeDistance(table, i, x, y);
      if (d < best) {
        best = d;
        edge = i;
        where = foundAt;
      }
    }
    bestEdge = edge;
    bestSigned = best * sideOf(edge, where, x, y);
  }

  function sideOf(i: number, where: number, x: number, y: number): number {
    const o = i * STRIDE;
    if (where === 0) {
      const ax = table[o + 1]!;
      const ay = table[o + 2]!;
      const turn = table[o]!;
      if (turn === 0) {
        const cross = (table[o + 3]! - ax) * (y - ay) - (table[o + 4]! - ay) * (x - ax);
        return cross > 0 ? -1 : 1;
      }
      const beyond = norm2(x - table[o + 5]!, y - table[o + 6]!);
      return beyond > table[o + 7]! === turn > 0 ? 1 : -1;
    }
    const n = where < 0 ? o + 8 : o + 10;
    const nx = table[n]!;
    const ny = table[n + 1]!;
    if (nx * nx + ny * ny < 1e-12) {
      return loops.some((loop) => inAir(loop, [x, y])) ? 1 : -1;
    }
    const v = where < 0 ? o + 1 : o + 3;
    return (x - table[v]!) * nx + (y - table[v + 1]!) * ny < 0 ? -1 : 1;
  }

  function locate(x: number, y: number): Int32Array {
    let cx = rootX;
    let cy = rootY;
    let half = rootHalf;
    if (Math.abs(x - cx) > half || Math.abs(y - cy) > half) return all;
    let node = 0;
    for (let depth = 0; ; depth++) {
      if (settled[node]) return candidates[node]!;
      if (firstChild[node]! < 0) split(node, cx, cy, half / 2, depth + 1);
      half /= 2;
      let child = firstChild[node]!;
      if (x >= cx) {
        child += 1;
        cx += half;
      } else cx -= half;
      if (y >= cy) {
        child += 2;
        cy += half;
      } else cy -= half;
      node = child;
    }
  }

  function split(node: number, cx: number, cy: number, half: number, depth: number): void {
    const from = candidates[node]!;
    firstChild[node] = firstChild.length;
    const diagonal = half * Math.SQRT2;
    for (let q = 0; q < 4; q++) {
      const mx = cx + (q & 1 ? half : -half);
      const my = cy + (q & 2 ? half : -half);
      let least = Infinity;
      for (let k = 0; k < from.length; k++) {
        const d = edgeDistance(table, from[k]!, mx, my);
        scratch[k] = d;
        if (d < least) least = d;
      }
      const reach = least + 2 * diagonal + 1e-9;
      const kept = from.filter((_, k) => scratch[k]! <= reach);
      firstChild.push(-1);
      candidates.push(kept);
      settled.push(kept.length <= LEAF_EDGES || depth >= MAX_DEPTH);
    }
    candidates[node] = null;
  }

  const field = (x: number, y: number): number => {
    scan(locate(x, y), x, y);
    return bestSigned;
  };
  return Object.assign(field, {
    nearestEdge(x: number, y: number): number {
      scan(locate(x, y), x, y);
      return bestEdge;
    },
  });
}

/** Set by edgeDistance: -1 nearest at the start of the edge, 1 at its end, 0 between. */
let foundAt = 0;

function edgeDistance(table: Float64Array, i: number, x: number, y: number): number {
  const o = i * STRIDE;
  const turn = table[o]!;
  const px = x - table[o + 1]!;
  const py = y - table[o + 2]!;
  const qx = x - table[o + 3]!;
  const qy = y - table[o + 4]!;
  if (turn === 0) {
    const dx = px - qx;
    const dy = py - qy;
    const along = px * dx + py * dy;
    if (along > 0 && qx * dx + qy * dy < 0) {
      foundAt = 0;
      return Math.abs(dx * py - dy * px) / Math.sqrt(dx * dx + dy * dy);
    }
    foundAt = along <= 0 ? -1 : 1;
    return along <= 0 ? Math.sqrt(px * px + py * py) : Math.sqrt(qx * qx + qy * qy);
  }
  const vx = x - table[o + 5]!;
  const vy = y - table[o + 6]!;
  // In the sector of an arc of at most half a turn: left of its start, right of its end.
  const fromStart = turn * ((vx - px) * vy - (vy - py) * vx);
  const toEnd = turn * (vx * (vy - qy) - vy * (vx - qx));
  if (fromStart > 0 && toEnd > 0) {
    foundAt = 0;
    return Math.abs(Math.sqrt(vx * vx + vy * vy) - table[o + 7]!);
  }
  const toA = px * px + py * py;
  const toB = qx * qx + qy * qy;
  foundAt = toA <= toB ? -1 : 1;
  return Math.sqrt(toA <= toB ? toA : toB);
}

/**
 * Per edge: turn (0 line, 1 ccw, -1 cw), ax, ay, bx, by, cx, cy, radius, then the sum of the two
 * normals that point into the air at its start and at its end.
 */
function flatTable(loops: readonly Loop[]): Float64Array {
  const rows: number[] = [];
  for (const loop of loops) {
    const normals = loop.map((edge, i) => {
      const t = tangentAt(loop[(i + loop.length - 1) % loop.length] as Edge, 1);
      const u = tangentAt(edge, 0);
      return [t[1] + u[1], -t[0] - u[0]] as const;
    });
    loop.forEach((edge, i) => {
      const arc = edge.kind === 'arc';
      const turn = arc ? (edge.ccw ? 1 : -1) : 0;
      const c = arc ? edge.c : ([0, 0] as const);
      const end = normals[(i + 1) % loop.length] as readonly [number, number];
      rows.push(turn, ...edge.a, ...edge.b, ...c, arc ? edgeRadius(edge) : 0);
      rows.push(...(normals[i] as readonly [number, number]), ...end);
    });
  }
  return Float64Array.from(rows);
}
