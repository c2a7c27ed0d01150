/**
 * The path as points to draw, and thinner versions of it for when fewer will do: what cannot be
 * seen at a scale is left out, so that a million points cost what a screen can show.
 */
import { TURN_RAD, norm2 } from '../../maths/angle.js';
import { type PathPiece, pieceAt } from '../../cam/stock/path-piece.js';
import { type Track, motionOf, pieceOf, startOf } from './track.js';

export interface PathPoints {
  /** Flat [x0, y0, z0, ...], mm. */
  readonly position: Float32Array;
  /** Entry that each point belongs to: the one that arrives there. */
  readonly entry: Float32Array;
}

/** Points of entries `from` up to but without `to`; arcs within `chordTolMm` of their chords. */
export function pathPoints(track: Track, from: number, to: number, chordTolMm: number): PathPoints {
  const position: number[] = [...startOf(track, from)];
  const entry = [from];
  for (let i = from; i < to; i++) {
    const motion = motionOf(track, i);
    if (!motion) continue;
    const z0 = motion.from[2];
    const z1 = motion.to[2];
    const piece = pieceOf(motion);
    const count = chordCount(piece, chordTolMm);
    for (let k = 1; k <= count; k++) {
      const [x, y] = k < count ? pieceAt(piece, k / count) : motion.to;
      position.push(x, y, z0 + ((z1 - z0) * k) / count);
      entry.push(i);
    }
  }
  return { position: Float32Array.from(position), entry: Float32Array.from(entry) };
}

/** Chords of a piece of path, none farther than `chordTolMm` from it (sagitta r (1 - cos)). */
function chordCount({ radiusMm, sweepRad }: PathPiece, chordTolMm: number): number {
  if (radiusMm === 0) return 1;
  const step = chordTolMm >= radiusMm ? Math.PI / 2 : 2 * Math.acos(1 - chordTolMm / radiusMm);
  return Math.max(1, Math.ceil(Math.abs(sweepRad) / step));
}

/**
 * The same path with points left out: each point that is left out is within twice `tolMm` of a
 * chord between points that stay, mostly within once (opening cone: a chord is drawn out for as long
 * as one direction passes all points since its start at that distance).
 * @returns indices of the points that stay, rising
 */
export function thinned({ position }: PathPoints, tolMm: number): Uint32Array {
  const count = position.length / 3;
  if (count === 0) return new Uint32Array();
  let anchor = 0;
  const kept = [anchor];
  let coneFrom = -Math.PI;
  let coneTo = Math.PI;
  let middle = 0;
  let open = true;
  let far = 0;
  for (let i = 1; i < count; i++) {
    const dx = position[3 * i]! - position[3 * anchor]!;
    const dy = position[3 * i + 1]! - position[3 * anchor + 1]!;
    const dz = position[3 * i + 2]! - position[3 * anchor + 2]!;
    const d = norm2(dx, dy);
    let fits = Math.abs(dz) <= tolMm;
    if (fits && d > tolMm) {
      const angle = Math.atan2(dy, dx);
      const half = Math.asin(Math.min(1, tolMm / d));
      if (open) {
        middle = angle;
        coneFrom = -half;
        coneTo = half;
        open = false;
      } else {
        const turn = wrapPi(angle - middle);
        fits = turn >= coneFrom && turn <= coneTo && d >= far - tolMm;
        coneFrom = Math.max(coneFrom, turn - half);
        coneTo = Math.min(coneTo, turn + half);
      }
      far = Math.max(far, d);
    } else if (fits) fits = far <= 2 * tolMm;
    if (fits) continue;
    // The point before ends this chord and starts the next.
    anchor = i - 1 > anchor ? i - 1 : i;
    kept.push(anchor);
    open = true;
    far = 0;
    if (anchor < i) i--;
  }
  if (kept[kept.length - 1] !== count - 1) kept.push(count - 1);
  return Uint32Array.from(kept);
}

function wrapPi(angle: number): number {
  if (angle > Math.PI) return angle - TURN_RAD;
  return angle < -Math.PI ? angle + TURN_RAD : angle;
}

/** Points at the indices given. */
export function pick({ position, entry }: PathPoints, indices: Uint32Array): PathPoints {
  const picked = new Float32Array(3 * indices.length);
  indices.forEach((from, to) => picked.set(position.subarray(3 * from, 3 * from + 3), 3 * to));
  return { position: picked, entry: Float32Array.from(indices, (i) => entry[i]!) };
}
