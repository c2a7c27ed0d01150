/**
 * Offset of a polygon by clipper-lib, a general-purpose polygon library. No other file of the
 * project knows the library: a newer one goes in here.
 */
import clipper from 'clipper-lib';
import type { Pt } from '../model/edges.js';

/** clipper-lib works on whole numbers: a raster of a nanometre. */
const UNITS_PER_MM = 1e6;
/** Chords of the round corners stay within this of the arc. mm */
const CORNER_TOL_MM = 1e-4;

/**
 * Counter-clockwise polygon moved outwards, with round corners.
 * @param points      corners, mm, not closed
 * @param distanceMm  more than 0
 * @returns the loops of the result, outer ones counter-clockwise; mm
 */
export function offsetPolygon(points: readonly Pt[], distanceMm: number): Pt[][] {
  const tool = new clipper.ClipperOffset(2, CORNER_TOL_MM * UNITS_PER_MM);
  const path = points.map(([x, y]) => ({
    X: Math.round(x * UNITS_PER_MM),
    Y: Math.round(y * UNITS_PER_MM),
  }));
  tool.AddPath(path, clipper.JoinType.jtRound, clipper.EndType.etClosedPolygon);
  const out: { X: number; Y: number }[][] = [];
  tool.Execute(out, distanceMm * UNITS_PER_MM);
  return out.map((loop) => loop.map(({ X, Y }): Pt => [X / UNITS_PER_MM, Y / UNITS_PER_MM]));
}
