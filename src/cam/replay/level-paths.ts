/**
 * Numbers for paths at one depth: two that do the same to a slab have the same number. A program
 * repeats itself level by level, so almost every path has been met before; they are told apart by
 * their figures, and a hash of them only says which are worth comparing.
 */
import type { Motion } from './motion.js';

const scratch = new Float64Array(1);
const bits = new Int32Array(scratch.buffer);

export class LevelPaths {
  private readonly motionOf: (position: number) => Motion;
  /** Paths by hash: the number of each, and where it was met first. */
  private readonly known = new Map<number, { number: number; first: number; last: number }[]>();

  /** @param motionOf  the motion at a position among the motions of the program */
  constructor(motionOf: (position: number) => Motion) {
    this.motionOf = motionOf;
  }

  /**
   * @param first, last  positions of the path's motions
   * @param register     called for a path that has not been met before; gives it its number
   */
  numberOf(first: number, last: number, register: () => number): number {
    const hash = this.hashOf(first, last);
    let alike = this.known.get(hash);
    if (!alike) this.known.set(hash, (alike = []));
    const same = alike.find((path) => this.equal(path.first, path.last, first, last));
    if (same) return same.number;
    const number = register();
    alike.push({ number, first, last });
    return number;
  }

  private hashOf(first: number, last: number): number {
    const { from } = this.motionOf(first);
    let hash = mix(mix(last - first, from[0]), from[1]);
    for (let i = first; i <= last; i++) {
      const { to } = this.motionOf(i);
      hash = mix(mix(hash, to[0]), to[1]);
    }
    return hash;
  }

  private equal(first: number, last: number, otherFirst: number, otherLast: number): boolean {
    if (last - first !== otherLast - otherFirst) return false;
    const from = this.motionOf(first).from;
    const otherFrom = this.motionOf(otherFirst).from;
    if (from[0] !== otherFrom[0] || from[1] !== otherFrom[1]) return false;
    for (let k = 0; k <= last - first; k++) {
      if (!sameWork(this.motionOf(first + k), this.motionOf(otherFirst + k))) return false;
    }
    return true;
  }
}

/** Of two level motions from one place: do they do the same to a slab? */
function sameWork(a: Motion, b: Motion): boolean {
  if (a.to[0] !== b.to[0] || a.to[1] !== b.to[1]) return false;
  const cuts = a.op === 'feed' || a.op === 'arc';
  if (!cuts) return b.op !== 'feed' && b.op !== 'arc';
  if (a.op !== b.op || a.feedMmPerMin !== b.feedMmPerMin || a.spindleRpm !== b.spindleRpm) {
    return false;
  }
  if (a.op !== 'arc' || b.op !== 'arc') return true;
  return a.center[0] === b.center[0] && a.center[1] === b.center[1] && a.ccw === b.ccw;
}

function mix(hash: number, value: number): number {
  // 0 and -0 are one place.
  scratch[0] = value + 0;
  const mixed = Math.imul(hash ^ bits[0]!, 0x85ebca6b);
  return Math.imul(mixed ^ (mixed >>> 15) ^ bits[1]!, 0xc2b2ae35) | 0;
}
