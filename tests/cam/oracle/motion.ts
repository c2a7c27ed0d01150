/**
 * Time of a program by integration in small steps: what a control with look-ahead and limited
 * acceleration does, taken from the text and the machine's figures alone.
 *
 * The path is cut into steps. Each step has a ceiling of speed: the feed; the rapid rate of each
 * axis; on an arc the speed at which turning takes all the acceleration, v^2 = a R; at a corner the
 * speed on the circle that touches both legs and passes the corner at the given distance. For a
 * corner that turns by t that circle has
 *
 *      R = d cos(t/2) / (1 - cos(t/2))          d: distance between corner and circle
 *
 * Backwards and forwards over all steps, v^2 may change by 2 a ds. The time is the sum of ds over
 * the mean of the two speeds.
 */
import { type OracleMove, type OracleProgram, placeAt, planLength } from './mini-rs274.js';

export interface Drives {
  readonly acceleration: readonly [x: number, y: number, z: number];
  /** mm/min */
  readonly rapid: readonly [x: number, y: number, z: number];
  readonly junctionDeviation: number;
}

interface Step {
  readonly ds: number;
  /** Ceiling over the step and at its start, mm/s. */
  readonly ceiling: number;
  readonly atStart: number;
  readonly acceleration: number;
}

/** @returns seconds of the whole program */
export function programSeconds(program: OracleProgram, drives: Drives, stepMm = 0.02): number {
  let seconds = 0;
  let run: OracleMove[] = [];
  let nextRest = 0;
  const finish = (): void => {
    seconds += runSeconds(run, drives, stepMm);
    run = [];
  };
  program.moves.forEach((move, i) => {
    for (; program.rests[nextRest] && program.rests[nextRest]!.beforeMove <= i; nextRest++) {
      finish();
      seconds += program.rests[nextRest]!.seconds;
    }
    run.push(move);
  });
  finish();
  for (; nextRest < program.rests.length; nextRest++) seconds += program.rests[nextRest]!.seconds;
  return seconds;
}

function least(limits: readonly number[], direction: readonly number[]): number {
  let best = Infinity;
  direction.forEach((part, k) => {
    if (Math.abs(part) > 1e-9) best = Math.min(best, limits[k]! / Math.abs(part));
  });
  return best;
}

function runSeconds(moves: readonly OracleMove[], drives: Drives, stepMm: number): number {
  const steps: Step[] = [];
  let leaving: readonly number[] | null = null;
  for (const move of moves) {
    const flat = planLength(move);
    const dz = move.to[2] - move.from[2];
    const length = Math.hypot(flat, dz);
    if (length < 1e-9) continue;
    const direction = (f: number): number[] => {
      const heading = placeAt(move, f)[2];
      const k = flat / length;
      return [k * Math.cos(heading), k * Math.sin(heading), dz / length];
    };
    const radius =
      move.kind === 'arc' ? Math.hypot(move.from[0] - move.cx, move.from[1] - move.cy) : 0;
    const n = Math.max(1, Math.ceil(length / stepMm));
    for (let s = 0; s < n; s++) {
      const u = direction((s + 0.5) / n);
      const acceleration = least(drives.acceleration, u);
      let ceiling = least(drives.rapid, u) / 60;
      if (move.kind !== 'rapid') ceiling = Math.min(ceiling, move.feed / 60);
      if (radius > 0) {
        ceiling = Math.min(
          ceiling,
          Math.sqrt(Math.min(...drives.acceleration.slice(0, 2)) * radius),
        );
      }
      let atStart = ceiling;
      if (s === 0) {
        const into = direction(0);
        atStart = leaving === null ? 0 : Math.min(ceiling, corner(leaving, into, drives));
      }
      steps.push({ ds: length / n, ceiling, atStart, acceleration });
    }
    leaving = direction(1);
  }
  const n = steps.length;
  const v2 = new Float64Array(n + 1);
  for (let i = 0; i < n; i++) {
    const before = i > 0 ? steps[i - 1]!.ceiling : 0;
    v2[i] = Math.min(steps[i]!.atStart, before) ** 2;
  }
  for (let i = n - 1; i >= 0; i--) {
    v2[i] = Math.min(v2[i]!, v2[i + 1]! + 2 * steps[i]!.acceleration * steps[i]!.ds);
  }
  let seconds = 0;
  for (let i = 0; i < n; i++) {
    const { ds, acceleration, ceiling } = steps[i]!;
    v2[i + 1] = Math.min(v2[i + 1]!, v2[i]! + 2 * acceleration * ds);
    seconds += stepSeconds(ds, Math.sqrt(v2[i]!), Math.sqrt(v2[i + 1]!), ceiling, acceleration);
  }
  return seconds;
}

/** A step between slow ends is faster in its middle: it goes up and down in ten parts. */
function stepSeconds(ds: number, a: number, b: number, ceiling: number, acc: number): number {
  const parts = 10;
  let seconds = 0;
  let last = a;
  for (let k = 1; k <= parts; k++) {
    const up = a * a + (2 * acc * ds * k) / parts;
    const down = b * b + 2 * acc * ds * (1 - k / parts);
    const v = Math.min(ceiling, Math.sqrt(Math.min(up, down)));
    seconds += ds / parts / Math.max(1e-6, (last + v) / 2);
    last = v;
  }
  return seconds;
}

function corner(into: readonly number[], out: readonly number[], drives: Drives): number {
  const dot = into.reduce((sum, part, k) => sum + part * out[k]!, 0);
  const turn = Math.acos(Math.max(-1, Math.min(1, dot)));
  if (turn < 1e-4) return Infinity;
  const c = Math.cos(turn / 2);
  const radius = (drives.junctionDeviation * c) / (1 - c);
  const acceleration = Math.min(least(drives.acceleration, into), least(drives.acceleration, out));
  return Math.sqrt(acceleration * radius);
}
