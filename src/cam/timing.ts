/**
 * Time of a toolpath on a machine with limited acceleration and look-ahead.
 *
 * Each block runs a trapezoid of speed: from its entry speed up to the feed, along, and down to
 * the entry speed of the next block. Corner speed follows the junction-deviation rule used by
 * open stepper controls, v^2 = a d s / (1 - s) with s = sin(half the angle between the segments,
 * 180 degrees = straight); an arc is no faster than sqrt(a R), where its own curvature takes all
 * the acceleration. A backward pass makes sure that every block can still brake for the next, a
 * forward pass that it can reach its speed. A stop, dwell or spindle word ends at rest.
 */
import type { Machine } from '../model/machine.js';
import { arcPiece, pieceAt } from './stock/path-piece.js';
import type { Move, Pt3 } from '../model/toolpath.js';
import {
  circleSpeed,
  feedOfSpeed,
  speedAfter,
  speedOfFeed,
  squareGain,
  trapezoidS,
} from '../maths/motion.js';
import { norm2 } from '../maths/angle.js';

export interface MotionTimes {
  /** Seconds of each move, index as in the toolpath. */
  readonly secondsOf: Float64Array;
  /** Speed at the start of each move. mm/min */
  readonly entryMmPerMin: Float64Array;
  readonly totalS: number;
}

type Direction = readonly [number, number, number];

interface Block {
  readonly index: number;
  readonly lengthMm: number;
  /** Nominal speed, mm/s. */
  readonly speed: number;
  /** mm/s2 */
  readonly acceleration: number;
  readonly first: Direction;
  readonly last: Direction;
}

/** A move shorter than this is none. mm */
const NO_LENGTH_MM = 1e-9;
/** Sine of half the angle between two moves from which on they are one straight line. */
const STRAIGHT = 1 - 1e-9;

/** Highest value along a direction, every axis keeping its own limit. */
function leastAlong(limit: Machine['rapidMmPerMin'], [ux, uy, uz]: Direction): number {
  return Math.min(limit.x / Math.abs(ux), limit.y / Math.abs(uy), limit.z / Math.abs(uz));
}

/** Acceleration in any direction at one depth: that of the slower of X and Y. mm/s2 */
export function levelAcceleration({ accelerationMmPerS2: a }: Machine): number {
  return Math.min(a.x, a.y);
}

export function motionTimes(start: Pt3, moves: readonly Move[], machine: Machine): MotionTimes {
  const secondsOf = new Float64Array(moves.length);
  const entryMmPerMin = new Float64Array(moves.length);
  let at = start;
  let run: Block[] = [];
  const flush = (): void => {
    timeRun(run, machine, secondsOf, entryMmPerMin);
    run = [];
  };
  moves.forEach((move, index) => {
    if (move.kind === 'note' || move.kind === 'section') return;
    if (move.kind === 'stop') return flush();
    if (move.kind === 'spindle') {
      flush();
      secondsOf[index] = move.dwellS;
      return;
    }
    const block = blockOf(index, at, move, machine);
    if (block) run.push(block);
    at = move.to;
  });
  flush();
  let totalS = 0;
  for (const s of secondsOf) totalS += s;
  return { secondsOf, entryMmPerMin, totalS };
}

function blockOf(
  index: number,
  at: Pt3,
  move: Extract<Move, { kind: 'rapid' | 'line' | 'arc' | 'probe' }>,
  machine: Machine,
): Block | null {
  const dz = move.to[2] - at[2];
  if (move.kind === 'arc') {
    const piece = arcPiece(at[0], at[1], move.to[0], move.to[1], move.c[0], move.c[1], move.ccw);
    const flat = piece.radiusMm * Math.abs(piece.sweepRad);
    const lengthMm = norm2(flat, dz);
    const acceleration = levelAcceleration(machine);
    const [, , ax, ay] = pieceAt(piece, 0);
    const [, , bx, by] = pieceAt(piece, 1);
    const k = flat / lengthMm;
    return {
      index,
      lengthMm,
      speed: Math.min(speedOfFeed(move.feedMmPerMin), circleSpeed(acceleration, piece.radiusMm)),
      acceleration,
      first: [ax * k, ay * k, dz / lengthMm],
      last: [bx * k, by * k, dz / lengthMm],
    };
  }
  const dx = move.to[0] - at[0];
  const dy = move.to[1] - at[1];
  const lengthMm = Math.sqrt(dx * dx + dy * dy + dz * dz);
  if (lengthMm < NO_LENGTH_MM) return null;
  const u = [dx / lengthMm, dy / lengthMm, dz / lengthMm] as const;
  const ceiling = speedOfFeed(leastAlong(machine.rapidMmPerMin, u));
  return {
    index,
    lengthMm,
    speed: move.kind === 'rapid' ? ceiling : Math.min(ceiling, speedOfFeed(move.feedMmPerMin)),
    acceleration: leastAlong(machine.accelerationMmPerS2, u),
    first: u,
    last: u,
  };
}

/** Highest speed through the corner between two blocks. mm/s */
function junctionSpeed(a: Block, b: Block, deviationMm: number): number {
  const [into, outOf] = [a.last, b.first];
  const dot = into[0] * outOf[0] + into[1] * outOf[1] + into[2] * outOf[2];
  const s = Math.sqrt(Math.max(0, (1 + dot) / 2));
  if (s > STRAIGHT) return Infinity;
  return Math.sqrt((Math.min(a.acceleration, b.acceleration) * deviationMm * s) / (1 - s));
}

function timeRun(
  run: readonly Block[],
  machine: Machine,
  secondsOf: Float64Array,
  entryMmPerMin: Float64Array,
): void {
  const n = run.length;
  const entry = new Float64Array(n + 1);
  for (let i = 1; i < n; i++) {
    const a = run[i - 1]!;
    const b = run[i]!;
    entry[i] = Math.min(a.speed, b.speed, junctionSpeed(a, b, machine.junctionDeviationMm));
  }
  for (let i = n - 1; i >= 0; i--) {
    const b = run[i]!;
    const gain = squareGain(b.acceleration, b.lengthMm);
    entry[i] = Math.min(entry[i]!, speedAfter(entry[i + 1]!, gain));
  }
  for (let i = 0; i < n; i++) {
    const b = run[i]!;
    const gain = squareGain(b.acceleration, b.lengthMm);
    entry[i + 1] = Math.min(entry[i + 1]!, speedAfter(entry[i]!, gain));
    secondsOf[b.index] = trapezoidS(b.lengthMm, entry[i]!, b.speed, entry[i + 1]!, b.acceleration);
    entryMmPerMin[b.index] = feedOfSpeed(entry[i]!);
  }
}
