import { type PathPiece, pieceAt } from '../../cam/stock/path-piece.js';

/**
 * Chords of a piece of path, none farther than `chordTolMm` from it (sagitta r (1 - cos)).
 * @returns flat [x0, y0, x1, y1, ...] from its start to its end, at least two points
 */
export function chordsOf(piece: PathPiece, chordTolMm: number): number[] {
  const { radiusMm, sweepRad } = piece;
  let count = 1;
  if (radiusMm > 0) {
    const step = chordTolMm >= radiusMm ? Math.PI / 2 : 2 * Math.acos(1 - chordTolMm / radiusMm);
    count = Math.max(1, Math.ceil(Math.abs(sweepRad) / step));
  }
  const points = [piece.ax, piece.ay];
  for (let i = 1; i < count; i++) {
    const [x, y] = pieceAt(piece, i / count);
    points.push(x, y);
  }
  points.push(piece.bx, piece.by);
  return points;
}
