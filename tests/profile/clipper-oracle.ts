import { createRequire } from 'node:module';
import type { Loop } from '../../src/model/edges.js';
import { loopFlatten } from '../../src/profile/geometry/loop.js';

// clipper-lib ships no types; this is all of it that the tests use.
interface ClipperApi {
  readonly ClipperOffset: new (
    miterLimit: number,
    arcTolerance: number,
  ) => {
    AddPath(path: readonly Vertex[], joint: number, end: number): void;
    Execute(out: Vertex[][], delta: number): void;
  };
  readonly JoinType: { readonly jtRound: number };
  readonly EndType: { readonly etClosedPolygon: number };
  readonly Clipper: { Area(path: readonly Vertex[]): number };
}
interface Vertex {
  readonly X: number;
  readonly Y: number;
}

const clipper = createRequire(import.meta.url)('clipper-lib') as ClipperApi;
const SCALE = 1e6; // integer coordinates of 1e-6 mm

/** Areas, mm^2, of clipper-lib's round offset of the flattened loop. */
export function clipperOffsetAreas(loop: Loop, distanceMm: number, chordTolMm: number): number[] {
  const flat = loopFlatten(loop, chordTolMm);
  const path: Vertex[] = [];
  for (let i = 0; i < flat.length; i += 2) {
    path.push({
      X: Math.round((flat[i] as number) * SCALE),
      Y: Math.round((flat[i + 1] as number) * SCALE),
    });
  }
  const tool = new clipper.ClipperOffset(2, chordTolMm * SCALE);
  tool.AddPath(path, clipper.JoinType.jtRound, clipper.EndType.etClosedPolygon);
  const out: Vertex[][] = [];
  tool.Execute(out, distanceMm * SCALE);
  return out.map((p) => clipper.Clipper.Area(p) / SCALE ** 2);
}
