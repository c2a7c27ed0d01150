/**
 * What each operation of a program asks of the drives of X and Y, and for how long: the cutting
 * force measured in the replay, with what it takes to move the axis.
 */
import { hypot } from '../maths/elementary.js';
import { type AxisLoads, tallyOf } from '../machines/learn/load-history.js';
import { pieceAt } from './stock/path-piece.js';
import { accelerationForceN, thrustAtN } from '../machines/bear/thrust.js';
import type { Machine } from '../model/machine.js';
import type { CanonicalOp } from '../model/op.js';
import type { OpLoads } from './stock/replay.js';
import { isMotion, pieceOf } from './stock/replay/motion.js';
import { motionTimes } from './timing.js';
import type { Move } from '../model/toolpath.js';

/** Index as in the list of operations. */
export interface OpDemands {
  /** Thrust asked for, as a load at standstill: more where the axis has less at its speed. N */
  readonly xN: Float64Array;
  readonly yN: Float64Array;
  readonly seconds: Float64Array;
}

/** A move shorter than this is none. mm */
const NO_LENGTH_MM = 1e-9;
/** An axis with less of the travel than this stands still: rounding of a straight move. */
const NO_SHARE = 1e-6;
/** Places along an arc at which its direction is looked at. */
const ARC_STATIONS = 8;

/**
 * Thrust asked for, demand of the cut as in the replay (the greatest within the move) plus friction and
 * mass times acceleration of an axis that moves, times thrust at standstill over thrust at speed.
 */
export function opDemands(
  ops: readonly CanonicalOp[],
  loads: Pick<OpLoads, 'driveXN' | 'driveYN'>,
  machine: Machine,
): OpDemands {
  const xN = new Float64Array(ops.length);
  const yN = new Float64Array(ops.length);
  ops.forEach((op, i) => {
    const part = axisParts(op);
    if (part === null) return;
    const feed = op.op === 'rapid' ? Infinity : 'feedMmPerMin' in op ? op.feedMmPerMin : 0;
    const { x, y } = machine.rapidMmPerMin;
    const speed = Math.min(feed, x / part.x, y / part.y);
    xN[i] = demandN(machine, 'x', loads.driveXN[i]!, part.x, speed);
    yN[i] = demandN(machine, 'y', loads.driveYN[i]!, part.y, speed);
  });
  return { xN, yN, seconds: opSeconds(ops, machine) };
}

function demandN(
  machine: Machine,
  axis: 'x' | 'y',
  cutN: number,
  part: number,
  speedMmPerMin: number,
): number {
  const moves = part > NO_SHARE;
  const motionN = moves ? machine.frictionN[axis] + accelerationForceN(machine, axis) * part : 0;
  if (cutN + motionN <= 0) return 0;
  const atSpeed = thrustAtN(machine, axis, moves ? speedMmPerMin * part : 0);
  return ((cutN + motionN) * thrustAtN(machine, axis, 0)) / atSpeed;
}

/** Greatest share of the travel that goes along X and along Y; null for what is no motion. */
function axisParts(op: CanonicalOp): { x: number; y: number } | null {
  if (op.op === 'arc' && op.plane === 'xy') {
    const piece = pieceOf(op)!;
    let [x, y] = [0, 0];
    for (let k = 0; k <= ARC_STATIONS; k++) {
      const [, , tx, ty] = pieceAt(piece, k / ARC_STATIONS);
      x = Math.max(x, Math.abs(tx));
      y = Math.max(y, Math.abs(ty));
    }
    return { x, y };
  }
  if (!isMotion(op)) return null;
  const d = [0, 1, 2].map((k) => op.to[k]! - op.from[k]!) as [number, number, number];
  const length = hypot(...d);
  if (length < NO_LENGTH_MM) return null;
  return { x: Math.abs(d[0]) / length, y: Math.abs(d[1]) / length };
}

/** Seconds of each operation, with the acceleration of the machine. */
export function opSeconds(ops: readonly CanonicalOp[], machine: Machine): Float64Array {
  const start = ops.find(isMotion)?.from ?? [0, 0, 0];
  const { secondsOf } = motionTimes(start, ops.map(asMove), machine);
  ops.forEach((op, i) => {
    if (op.op === 'dwell') secondsOf[i] = op.seconds;
  });
  return secondsOf;
}

/** The move that takes as long as an operation. What ends at rest is a stop. */
function asMove(op: CanonicalOp): Move {
  if (op.op === 'rapid') return { kind: 'rapid', to: op.to };
  if (op.op === 'arc' && op.plane === 'xy') {
    const { to, feedMmPerMin, ccw } = op;
    return { kind: 'arc', to, c: op.center, ccw, feedMmPerMin, role: 'cut' };
  }
  if (isMotion(op)) return { kind: 'line', to: op.to, feedMmPerMin: op.feedMmPerMin, role: 'cut' };
  return REST.has(op.op) ? { kind: 'stop', message: '' } : { kind: 'note', text: '' };
}

const REST: ReadonlySet<CanonicalOp['op']> = new Set(['dwell', 'stop', 'spindle', 'end']);

/** Seconds at each load over the operations from `first` to `last`, both included. */
export function demandLoads(demands: OpDemands, first: number, last: number): AxisLoads {
  const [from, end] = [Math.max(0, first), Math.max(0, last + 1)];
  const seconds = demands.seconds.subarray(from, end);
  const loads = (forceN: Float64Array) =>
    tallyOf(Array.from(seconds, (s, i) => [forceN[from + i]!, s] as const));
  return { x: loads(demands.xN), y: loads(demands.yN) };
}
