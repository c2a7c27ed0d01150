import { orient2d } from 'robust-predicates';
import type { Pt } from '../../model/edges.js';

/**
 * Side of the directed line a -> b on which p lies, decided exactly.
 *
 * @returns > 0 left, < 0 right, 0 exactly on the line (y up). Only the sign is exact; the size
 *          is about twice the signed area of the triangle, mm^2.
 * The library's own sign is for y down, so it is flipped here and nowhere else.
 */
export function orientation(a: Pt, b: Pt, p: Pt): number {
  return -orient2d(a[0], a[1], b[0], b[1], p[0], p[1]);
}
