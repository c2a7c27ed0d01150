/** Runs planar moves through an exact stock front and notes what each of them meets. */
import type { PlanarMove } from '../../src/cam/planar.js';
import { type StockFront } from '../../src/cam/stock/stock-front.js';
import {
  type PathPiece,
  arcPiece,
  linePiece,
  pieceAt,
  pieceLengthMm,
} from '../../src/cam/stock/path-piece.js';
import type { Pt } from '../../src/model/edges.js';
import { type CurveGrid } from './oracle/curves.js';

export interface Walked {
  readonly move: PlanarMove;
  readonly piece: PathPiece;
  readonly peakRad: number;
  readonly lengthMm: number;
  /** Area taken, mm2. */
  readonly areaMm2: number;
}

/** Pieces of moves, in order; a move of no length gives none. */
export function piecesOf(start: Pt, moves: readonly PlanarMove[]): [PlanarMove, PathPiece][] {
  let at = start;
  const list: [PlanarMove, PathPiece][] = [];
  for (const move of moves) {
    const piece =
      move.kind === 'line'
        ? linePiece(at[0], at[1], move.to[0], move.to[1])
        : arcPiece(at[0], at[1], move.to[0], move.to[1], move.c[0], move.c[1], move.ccw);
    if (pieceLengthMm(piece) > 0) list.push([move, piece]);
    at = move.to;
  }
  return list;
}

/** Measures every move and adds it to the front. @param stepMm  distance between looks */
export function walk(
  front: StockFront,
  start: Pt,
  moves: readonly PlanarMove[],
  stepMm = 0.05,
): Walked[] {
  const r = front.cutterRadiusMm;
  return piecesOf(start, moves).map(([move, piece]) => {
    const lengthMm = pieceLengthMm(piece);
    const n = Math.max(1, Math.ceil(lengthMm / stepMm));
    let peakRad = 0;
    let areaMm2 = 0;
    for (let s = 1; s <= n; s++) {
      const [x, y, tx, ty] = pieceAt(piece, s / n);
      const rim = front.rimInMaterial(x, y, piece);
      let total = 0;
      const heading = Math.atan2(ty, tx);
      for (let i = 0; i < rim.count; i++) {
        const from = rim.angles[2 * i]!;
        const to = rim.angles[2 * i + 1]!;
        total += to - from;
        areaMm2 += (lengthMm / n) * r * (Math.sin(to - heading) - Math.sin(from - heading));
      }
      peakRad = Math.max(peakRad, total);
    }
    front.add(piece);
    return { move, piece, peakRad, lengthMm, areaMm2 };
  });
}

/** Least distance from a path to a set of curves. mm */
export function leastDistance(
  start: Pt,
  moves: readonly PlanarMove[],
  grid: CurveGrid,
  stepMm = 0.05,
): number {
  let least = Infinity;
  for (const [, piece] of piecesOf(start, moves)) {
    const n = Math.max(1, Math.ceil(pieceLengthMm(piece) / stepMm));
    for (let s = 0; s <= n; s++) {
      const [x, y] = pieceAt(piece, s / n);
      least = Math.min(least, grid.distance(x, y));
    }
  }
  return least;
}
