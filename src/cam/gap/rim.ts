/**
 * Rim in material where all that is known is whether there is material at a point: the rim is
 * looked at in places, and each change between two of them closed in on.
 *
 * For planning, whose stock is described by what bounds it. The replay has the exact front of
 * what has been swept, see ../stock/stock-front.
 */
import { bisect } from '../../maths/solve.js';

export interface Rim {
  /** All stretches in material together. rad */
  readonly totalRad: number;
  /** Far end of the last one, the greatest angle in material; 0 where there is none. rad */
  readonly aheadRad: number;
}

/** Places 3 to 10 degrees apart halved so often are 3 to 9 seconds of arc. */
const HALVINGS = 12;

/**
 * @param places  angles to look at, rising, rad; stretches that fall between two are not seen
 * @param fromRad, toRad  the rim looked at: a stretch that holds the first place begins at the one,
 *                one that holds the last place goes on to the other
 */
export function sampleRim(
  stands: (rad: number) => boolean,
  places: ArrayLike<number>,
  fromRad: number,
  toRad: number,
): Rim {
  let totalRad = 0;
  let aheadRad = 0;
  let before = places[0]!;
  let inside = stands(before);
  let open = fromRad;
  for (let i = 1; i < places.length; i++) {
    const at = places[i]!;
    const now = stands(at);
    if (now !== inside) {
      const [a, b] = bisect((t) => stands(t) === inside, before, at, HALVINGS);
      const edge = (a + b) / 2;
      if (now) open = edge;
      else {
        totalRad += edge - open;
        aheadRad = edge;
      }
      inside = now;
    }
    before = at;
  }
  if (inside) {
    totalRad += toRad - open;
    aheadRad = toRad;
  }
  return { totalRad, aheadRad };
}
