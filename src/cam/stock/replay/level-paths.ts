/** Numbers for paths at one depth: two that do the same to a slab have the same number. */
import { RunNumbers, mixNumber } from '../run-numbers.js';
import type { Motion } from './motion.js';

/** @param motionOf  the motion at a position among the motions of the program */
export function levelPaths(motionOf: (position: number) => Motion): RunNumbers {
  return new RunNumbers({
    mix: (hash, position) => {
      const { to } = motionOf(position);
      return mixNumber(mixNumber(hash, to[0]), to[1]);
    },
    same: (a, b) => sameWork(motionOf(a), motionOf(b)),
    sameStart: (a, b) => {
      const from = motionOf(a).from;
      const other = motionOf(b).from;
      return from[0] === other[0] && from[1] === other[1];
    },
  });
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
