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

/** Places of a block's numbers in a row of {@link Run}: directions at its start and its end, length
 *  in mm, nominal speed in mm/s, acceleration in mm/s2. */
const FIRST = 0;
const LAST = 3;
const LENGTH = 6;
const SPEED = 7;
const ACCELERATION = 8;
const ROW = 9;

/** Blocks between two stops, as a table: a program has some hundred thousand. */
interface Run {
  readonly table: Float64Array;
  /** Move of each block. */
  readonly moves: Int32Array;
  blocks: number;
}

/** A move shorter than this is none. mm */
const NO_LENGTH_MM = 1e-9;
/** Sine of half the angle between two moves from which on they are one straight line. */
const STRAIGHT = 1 - 1e-9;

/** Highest value along a direction, every axis keeping its own limit. */
function leastAlong(limit: Machine['rapidMmPerMin'], ux: number, uy: number, uz: number): number {
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
  const { length } = moves;
  const run: Run = {
    table: new Float64Array(ROW * length),
    moves: new Int32Array(length),
    blocks: 0,
  };
  const flush = (): void => {
    timeRun(run, machine, secondsOf, entryMmPerMin);
    run.blocks = 0;
  };
  moves.forEach((move, index) => {
    if (move.kind === 'note' || move.kind === 'section') return;
    if (move.kind === 'stop') return flush();
    if (move.kind === 'spindle') {
      flush();
      secondsOf[index] = move.dwellS;
      return;
    }
    addBlock(run, index, at, move, machine);
    at = move.to;
  });
  flush();
  let totalS = 0;
  for (const s of secondsOf) totalS += s;
  return { secondsOf, entryMmPerMin, totalS };
}

function addBlock(
  run: Run,
  index: number,
  at: Pt3,
  move: Extract<Move, { kind: 'rapid' | 'line' | 'arc' | 'probe' }>,
  machine: Machine,
): void {
  const dx = move.to[0] - at[0];
  const dy = move.to[1] - at[1];
  const dz = move.to[2] - at[2];
  const { table } = run;
  const row = ROW * run.blocks;
  if (move.kind === 'arc') {
    const piece = arcPiece(at[0], at[1], move.to[0], move.to[1], move.c[0], move.c[1], move.ccw);
    const flat = piece.radiusMm * Math.abs(piece.sweepRad);
    const lengthMm = norm2(flat, dz);
    const acceleration = levelAcceleration(machine);
    const start = pieceAt(piece, 0);
    const end = pieceAt(piece, 1);
    const k = flat / lengthMm;
    table[row + FIRST] = start[2] * k;
    table[row + FIRST + 1] = start[3] * k;
    table[row + LAST] = end[2] * k;
    table[row + LAST + 1] = end[3] * k;
    table[row + FIRST + 2] = table[row + LAST + 2] = dz / lengthMm;
    table[row + LENGTH] = lengthMm;
    const round = circleSpeed(acceleration, piece.radiusMm);
    table[row + SPEED] = Math.min(speedOfFeed(move.feedMmPerMin), round);
    table[row + ACCELERATION] = acceleration;
  } else {
    const lengthMm = Math.sqrt(dx * dx + dy * dy + dz * dz);
    if (lengthMm < NO_LENGTH_MM) return;
    const ux = dx / lengthMm;
    const uy = dy / lengthMm;
    const uz = dz / lengthMm;
    table[row + FIRST] = table[row + LAST] = ux;
    table[row + FIRST + 1] = table[row + LAST + 1] = uy;
    table[row + FIRST + 2] = table[row + LAST + 2] = uz;
    table[row + LENGTH] = lengthMm;
    const ceiling = speedOfFeed(leastAlong(machine.rapidMmPerMin, ux, uy, uz));
    table[row + SPEED] =
      move.kind === 'rapid' ? ceiling : Math.min(ceiling, speedOfFeed(move.feedMmPerMin));
    table[row + ACCELERATION] = leastAlong(machine.accelerationMmPerS2, ux, uy, uz);
  }
  run.moves[run.blocks++] = index;
}

/** Highest speed through the corner between the blocks of two rows. mm/s */
function junctionSpeed(table: Float64Array, a: number, b: number, deviationMm: number): number {
  const dot =
    table[a + LAST]! * table[b + FIRST]! +
    table[a + LAST + 1]! * table[b + FIRST + 1]! +
    table[a + LAST + 2]! * table[b + FIRST + 2]!;
  const s = Math.sqrt(Math.max(0, (1 + dot) / 2));
  if (s > STRAIGHT) return Infinity;
  const acceleration = Math.min(table[a + ACCELERATION]!, table[b + ACCELERATION]!);
  return Math.sqrt((acceleration * deviationMm * s) / (1 - s));
}

function timeRun(
  { table, moves, blocks: n }: Run,
  machine: Machine,
  secondsOf: Float64Array,
  entryMmPerMin: Float64Array,
): void {
  const entry = new Float64Array(n + 1);
  for (let i = 1; i < n; i++) {
    const a = ROW * (i - 1);
    const b = ROW * i;
    const corner = junctionSpeed(table, a, b, machine.junctionDeviationMm);
    entry[i] = Math.min(table[a + SPEED]!, table[b + SPEED]!, corner);
  }
  for (let i = n - 1; i >= 0; i--) {
    const gain = squareGain(table[ROW * i + ACCELERATION]!, table[ROW * i + LENGTH]!);
    entry[i] = Math.min(entry[i]!, speedAfter(entry[i + 1]!, gain));
  }
  for (let i = 0; i < n; i++) {
    const lengthMm = table[ROW * i + LENGTH]!;
    const speed = table[ROW * i + SPEED]!;
    const acceleration = table[ROW * i + ACCELERATION]!;
    const gain = squareGain(acceleration, lengthMm);
    entry[i + 1] = Math.min(entry[i + 1]!, speedAfter(entry[i]!, gain));
    secondsOf[moves[i]!] = trapezoidS(lengthMm, entry[i]!, speed, entry[i + 1]!, acceleration);
    entryMmPerMin[moves[i]!] = feedOfSpeed(entry[i]!);
  }
}
