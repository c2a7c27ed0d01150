/**
 * The same operations as `clipper`, by clipper2-ts 2.0.1 (npm, Boost licence), a newer
 * general-purpose polygon library, on the same raster: for comparison only.
 */
import {
  ClipType,
  Clipper,
  Clipper64,
  EndType,
  FillRule,
  JoinType,
  type Paths64,
} from 'clipper2-ts';
import { discCorners } from './clipper.js';

const SCALE = 1e6;
type Points = readonly (readonly [number, number])[];

function scaled(points: Points): Paths64[number] {
  return points.map(([x, y]) => ({ x: Math.round(x * SCALE), y: Math.round(y * SCALE) }));
}

/** Disc as a polygon of the same area. */
export function disc(cx: number, cy: number, radius: number, corners = 4000): Paths64 {
  return [scaled(discCorners(cx, cy, radius, corners))];
}

/** Everything that a disc of radius r covers while its centre runs along the points. */
export function sweptBy(points: Points, r: number, tolMm: number): Paths64 {
  const line = [scaled(points)];
  return Clipper.inflatePaths(line, r * SCALE, JoinType.Round, EndType.Round, 2, tolMm * SCALE);
}

export function minus(a: Paths64, b: Paths64): Paths64 {
  return Clipper.difference(a, b, FillRule.NonZero);
}

/** mm2; holes count against it. */
export function areaOf(region: Paths64): number {
  return region.reduce((sum, path) => sum + Clipper.area(path), 0) / SCALE ** 2;
}

/** Length of an open line that lies inside a region. mm */
export function lengthInside(points: Points, region: Paths64): number {
  const tool = new Clipper64();
  tool.addOpenSubject([scaled(points)]);
  tool.addClip(region);
  const open: Paths64 = [];
  tool.execute(ClipType.Intersection, FillRule.NonZero, [] as Paths64, open);
  let length = 0;
  for (const path of open) {
    for (let i = 1; i < path.length; i++) {
      length += Math.hypot(path[i]!.x - path[i - 1]!.x, path[i]!.y - path[i - 1]!.y);
    }
  }
  return length / SCALE;
}
