/** Faces inside wall loops, as triangles. */
import { ShapeUtils, Vector2 } from 'three';
import { type WallLoop, loopArea } from '../stock/loops.js';

/** Loops smaller than this are chips of the grid. mm2 */
const LEAST_MM2 = 1e-6;

/** @returns corners of triangles, flat [x0, y0, x1, y1, x2, y2, ...] */
export function capTriangles(loops: readonly WallLoop[]): number[] {
  const outer: { loop: WallLoop; points: Vector2[]; holes: Vector2[][] }[] = [];
  const holes: WallLoop[] = [];
  for (const loop of loops) {
    const area = loopArea(loop);
    if (area > LEAST_MM2) outer.push({ loop, points: vectors(loop), holes: [] });
    else if (area < -LEAST_MM2) holes.push(loop);
  }
  for (const hole of holes) {
    const inside = outer.filter(({ loop }) => contains(loop, hole.points[0]!, hole.points[1]!));
    // The innermost of those around it has the least area.
    inside.sort((a, b) => loopArea(a.loop) - loopArea(b.loop));
    inside[0]?.holes.push(vectors(hole));
  }
  const out: number[] = [];
  for (const { points, holes: inner } of outer) {
    const all = [points, ...inner].flat();
    for (const triangle of ShapeUtils.triangulateShape(points, inner)) {
      for (const v of triangle) out.push(all[v]!.x, all[v]!.y);
    }
  }
  return out;
}

function vectors({ points }: WallLoop): Vector2[] {
  return Array.from(
    { length: points.length / 2 },
    (_, k) => new Vector2(points[2 * k], points[2 * k + 1]),
  );
}

/** Crossings of a ray to the right. */
function contains({ points }: WallLoop, x: number, y: number): boolean {
  let inside = false;
  const n = points.length / 2;
  for (let i = 0, j = n - 1; i < n; j = i++) {
    const [xi, yi, xj, yj] = [
      points[2 * i]!,
      points[2 * i + 1]!,
      points[2 * j]!,
      points[2 * j + 1]!,
    ];
    if (yi > y !== yj > y && x < ((xj - xi) * (y - yi)) / (yj - yi) + xi) inside = !inside;
  }
  return inside;
}
