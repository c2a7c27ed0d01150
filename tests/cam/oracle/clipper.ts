/**
 * Exact polygon method: clipper-lib 6.4.2 (npm, Boost licence), a general-purpose polygon library,
 * on a raster of 1e-6 mm. What a round cutter sweeps is an open path offset with round ends.
 */
import { createRequire } from 'node:module';

export interface Vertex {
  readonly X: number;
  readonly Y: number;
}
type Path = Vertex[];
type PolyTree = { readonly isPolyTree: never };

// clipper-lib ships no types; this is all of it that the tests use.
interface Api {
  readonly ClipperOffset: new (
    miterLimit: number,
    arcTolerance: number,
  ) => {
    AddPath(path: Path, joint: number, end: number): void;
    AddPaths(paths: Path[], joint: number, end: number): void;
    Execute(out: Path[], delta: number): void;
  };
  readonly Clipper: (new () => {
    AddPath(path: Path, type: number, closed: boolean): boolean;
    AddPaths(paths: Path[], type: number, closed: boolean): boolean;
    Execute(type: number, out: Path[] | PolyTree, subject: number, clip: number): boolean;
  }) & {
    Area(path: Path): number;
    OpenPathsFromPolyTree(tree: PolyTree): Path[];
  };
  readonly PolyTree: new () => PolyTree;
  readonly JoinType: { readonly jtRound: number };
  readonly EndType: { readonly etOpenRound: number; readonly etClosedPolygon: number };
  readonly PolyType: { readonly ptSubject: number; readonly ptClip: number };
  readonly ClipType: {
    readonly ctIntersection: number;
    readonly ctDifference: number;
    readonly ctUnion: number;
  };
  readonly PolyFillType: { readonly pftNonZero: number };
}

const api = createRequire(import.meta.url)('clipper-lib') as Api;
const SCALE = 1e6;
const TOL_MM = 1e-4;
const NON_ZERO = api.PolyFillType.pftNonZero;

/** Set of polygons: outer loops counter-clockwise, holes clockwise. */
export type Region = readonly Path[];

function scaled(points: readonly (readonly [number, number])[]): Path {
  return points.map(([x, y]) => ({ X: Math.round(x * SCALE), Y: Math.round(y * SCALE) }));
}

/** Corners of a polygon of the same area as a disc. mm */
export function discCorners(
  cx: number,
  cy: number,
  radius: number,
  corners: number,
): (readonly [number, number])[] {
  const step = (2 * Math.PI) / corners;
  const r = radius * Math.sqrt(step / Math.sin(step));
  return Array.from({ length: corners }, (_, i) => [
    cx + r * Math.cos(i * step),
    cy + r * Math.sin(i * step),
  ]);
}

/** Disc as a polygon of the same area. */
export function disc(cx: number, cy: number, radius: number, corners = 4000): Region {
  return [scaled(discCorners(cx, cy, radius, corners))];
}

/** Everything that a disc of radius r covers while its centre runs along the points. */
export function sweptBy(
  points: readonly (readonly [number, number])[],
  r: number,
  tolMm = TOL_MM,
): Region {
  const tool = new api.ClipperOffset(2, tolMm * SCALE);
  tool.AddPath(scaled(points), api.JoinType.jtRound, api.EndType.etOpenRound);
  const out: Path[] = [];
  tool.Execute(out, r * SCALE);
  return out;
}

/** Closed polygon moved out by a distance, in where it is negative; round corners. */
export function offsetRegion(region: Region, distance: number, tolMm = TOL_MM): Region {
  const tool = new api.ClipperOffset(2, tolMm * SCALE);
  tool.AddPaths([...region], api.JoinType.jtRound, api.EndType.etClosedPolygon);
  const out: Path[] = [];
  tool.Execute(out, distance * SCALE);
  return out;
}

export function polygon(points: readonly (readonly [number, number])[]): Region {
  return [scaled(points)];
}

function combine(type: number, a: Region, b: Region): Region {
  const tool = new api.Clipper();
  tool.AddPaths([...a], api.PolyType.ptSubject, true);
  if (b.length > 0) tool.AddPaths([...b], api.PolyType.ptClip, true);
  const out: Path[] = [];
  tool.Execute(type, out, NON_ZERO, NON_ZERO);
  return out;
}

export function minus(a: Region, b: Region): Region {
  return combine(api.ClipType.ctDifference, a, b);
}

export function common(a: Region, b: Region): Region {
  return combine(api.ClipType.ctIntersection, a, b);
}

export function union(a: Region, b: Region): Region {
  return combine(api.ClipType.ctUnion, a, b);
}

/** mm2; holes count against it. */
export function areaOf(region: Region): number {
  let area = 0;
  for (const path of region) area += api.Clipper.Area(path);
  return area / SCALE ** 2;
}

/** Corners of the loops, mm. */
export function loopsOf(region: Region): [number, number][][] {
  return region.map((path) => path.map(({ X, Y }): [number, number] => [X / SCALE, Y / SCALE]));
}

/** Length of an open line that lies inside a region. mm */
export function lengthInside(
  points: readonly (readonly [number, number])[],
  region: Region,
): number {
  const tool = new api.Clipper();
  tool.AddPath(scaled(points), api.PolyType.ptSubject, false);
  tool.AddPaths([...region], api.PolyType.ptClip, true);
  const tree = new api.PolyTree();
  tool.Execute(api.ClipType.ctIntersection, tree, NON_ZERO, NON_ZERO);
  let length = 0;
  for (const path of api.Clipper.OpenPathsFromPolyTree(tree)) {
    for (let i = 1; i < path.length; i++) {
      length += Math.hypot(path[i]!.X - path[i - 1]!.X, path[i]!.Y - path[i - 1]!.Y);
    }
  }
  return length / SCALE;
}
