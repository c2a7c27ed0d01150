/** Checks of closed surfaces that know nothing of how they were made. */
import { loopFlatten, signedArea } from '../../src/profile/geometry/loop.js';
import type { SolidBody } from '../../src/profile/wheel/solid.js';
import type { Wheel } from '../../src/profile/wheel/sprocket.js';

type Point3 = readonly [x: number, y: number, z: number];
type Corners = readonly [Point3, Point3, Point3];

/** Directed edges that do not have exactly one partner running the other way; corners are one
 *  where they are the same object. */
export function openEdges(triangles: readonly Corners[]): number {
  const ids = new Map<unknown, number>();
  const id = (v: unknown): number => {
    const known = ids.get(v);
    if (known !== undefined) return known;
    ids.set(v, ids.size);
    return ids.size - 1;
  };
  const edges = new Map<string, number>();
  for (const [a, b, c] of triangles) {
    for (const [from, to] of [
      [a, b],
      [b, c],
      [c, a],
    ] as const) {
      const key = `${id(from)} ${id(to)}`;
      edges.set(key, (edges.get(key) ?? 0) + 1);
    }
  }
  let bad = 0;
  for (const [key, count] of edges) {
    const [from, to] = key.split(' ');
    if (count !== 1 || edges.get(`${to} ${from}`) !== 1) bad++;
  }
  return bad;
}

/** Divergence theorem: sum of tetrahedra over the origin. */
export function meshVolume(triangles: readonly Corners[]): number {
  let sum = 0;
  for (const [a, b, c] of triangles) {
    sum +=
      a[0] * (b[1] * c[2] - b[2] * c[1]) +
      a[1] * (b[2] * c[0] - b[0] * c[2]) +
      a[2] * (b[0] * c[1] - b[1] * c[0]);
  }
  return sum / 6;
}

/**
 * Volume from areas of exact arcs. The relief is a depth z(r) over the teeth's area:
 * integral of z dA = closed integral of F(r) dtheta along the outline, F(r) = integral of z r dr
 * (Green's theorem in polar coordinates), taken along a polygon ten times finer than the solid.
 */
export function analyticVolume(
  profile: Wheel,
  body: SolidBody,
  startMm: number,
  radiusMm: number,
): number {
  const depth = (r: number): number =>
    r <= startMm ? 0 : radiusMm - Math.sqrt(radiusMm ** 2 - (r - startMm) ** 2);
  const primitive = (r: number): number => {
    const n = 40;
    if (r <= startMm) return 0;
    const h = (r - startMm) / n;
    let sum = 0;
    for (let i = 0; i <= n; i++) {
      const x = startMm + i * h;
      sum += (i === 0 || i === n ? 1 : i % 2 === 1 ? 4 : 2) * depth(x) * x;
    }
    return (sum * h) / 3;
  };
  const xy = loopFlatten(profile.outline, 1e-4);
  let relief = 0;
  const n = xy.length / 2;
  const at = (i: number): [number, number] => [xy[2 * (i % n)]!, xy[2 * (i % n) + 1]!];
  for (let i = 0; i < n; i++) {
    const [a, b] = [at(i), at(i + 1)];
    const turn = Math.atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1]);
    relief += ((primitive(Math.hypot(...a)) + primitive(Math.hypot(...b))) / 2) * turn;
  }
  const t = profile.thicknessMm;
  const hub = body.hub ? (Math.PI / 4) * body.hub.diameterMm ** 2 * body.hub.lengthMm : 0;
  const length = t + (body.hub?.lengthMm ?? 0);
  return signedArea(profile.outline) * t - 2 * relief + hub + signedArea(body.bore) * length;
}
