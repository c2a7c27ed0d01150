import type { Move, Pt3 } from '../../../model/toolpath.js';
import type { Pt } from '../../../model/edges.js';
import { MERGE_TOL_MM } from '../../../maths/tolerance.js';
import { arcPieces } from './arc-steps.js';
import { feedWord } from './feed-word.js';
import { formatSteps, toSteps } from './format.js';
import { feedLine, pushFeed, type Page } from './page.js';
import { WriteError } from './write-error.js';
import { norm2 } from '../../../maths/norm.js';

/** Ends may be at slightly different distances from the centre; more is a fault of the toolpath. */
const ARC_INPUT_TOL_MM = 0.001;

export function writeArc(
  page: Page,
  move: Extract<Move, { kind: 'arc' }>,
  index: number,
  at: Pt3,
): void {
  const { to, c, ccw } = move;
  const feed = feedWord(index, move.feedMmPerMin);
  const sweep = sweepOf(index, at, to, c, ccw);
  const { xyScale } = page.limits;
  const dz = to[2] - at[2];
  const from: Pt = [at[0], at[1]];
  const end: Pt = [to[0], to[1]];
  for (const piece of arcPieces([page.x, page.y], from, end, c, ccw, sweep, page.limits)) {
    const z = toSteps(piece.share >= 1 ? to[2] : at[2] + dz * piece.share, xyScale);
    if (piece.kind === 'line') {
      feedLine(page, piece.x, piece.y, z, feed);
      continue;
    }
    let line =
      `${ccw ? 'G3' : 'G2'} X${formatSteps(piece.x, page.xyDecimals)}` +
      ` Y${formatSteps(piece.y, page.xyDecimals)}`;
    if (z !== page.z) line += ` Z${formatSteps(z, page.xyDecimals)}`;
    line += ` I${formatSteps(piece.i, page.ijDecimals)} J${formatSteps(piece.j, page.ijDecimals)}`;
    page.x = piece.x;
    page.y = piece.y;
    page.z = z;
    pushFeed(page, line, feed);
  }
}

/**
 * Angle turned, radians, 0 < sweep <= 2 pi; 0 where start and end are one vertex and the arc does
 * not go round. An arc that ends exactly where it starts is a full circle; one that ends a hair
 * away and would go almost all the way round is refused, because a hair decides between a circle
 * and nothing.
 */
function sweepOf(index: number, at: Pt3, to: Pt3, c: Pt, ccw: boolean): number {
  const u0 = at[0] - c[0];
  const u1 = at[1] - c[1];
  const v0 = to[0] - c[0];
  const v1 = to[1] - c[1];
  const r0 = norm2(u0, u1);
  const r1 = norm2(v0, v1);
  if (!(Math.abs(r0 - r1) <= ARC_INPUT_TOL_MM)) {
    throw new WriteError(index, `arc of radius ${r0} at its start and ${r1} at its end`);
  }
  if (at[0] === to[0] && at[1] === to[1]) return r0 > 0 ? 2 * Math.PI : 0;
  const angle = Math.atan2(u0 * v1 - u1 * v0, u0 * v0 + u1 * v1);
  const turned = ccw ? angle : -angle;
  const sweep = turned >= 0 ? turned : turned + 2 * Math.PI;
  if (norm2(v0 - u0, v1 - u1) <= MERGE_TOL_MM) {
    if (sweep <= Math.PI) return 0;
    throw new WriteError(
      index,
      'arc ends a hair before its start: a full circle or nothing cannot be told apart',
    );
  }
  return sweep;
}
