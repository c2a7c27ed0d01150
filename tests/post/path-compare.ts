import type { Move, Toolpath } from '../../src/model/toolpath.js';
import type { Pt } from '../../src/model/edges.js';
import type { ReadResult } from '../../src/post/rs274/reader.js';
import type { CanonicalOp, Pt3 } from '../../src/model/op.js';
import type { WrittenProgram } from '../../src/post/rs274/writer.js';

/** Largest departures of a written program from the toolpath it came from. mm. */
export interface Departures {
  /** On one axis, at the end of a move. */
  end: number;
  /** From points along the exact move to the written path. */
  toWritten: number;
  /** From points along the written path to the exact move. */
  toExact: number;
  /** Difference of the two radii of a written arc. */
  radius: number;
  /** Sweep of a written arc, radians. */
  sweep: number;
  /** Feed written above the feed asked for, mm/min. */
  feedAbove: number;
  /** Feed written below the feed asked for, mm/min. */
  feedBelow: number;
  arcs: number;
  lines: number;
}

type Motion = Extract<CanonicalOp, { op: 'rapid' | 'feed' | 'arc' }>;

const isMotion = (op: CanonicalOp): op is Motion =>
  op.op === 'rapid' || op.op === 'feed' || op.op === 'arc';

/**
 * Compares move by move: the motions on the lines that the writer names for a move against the
 * move's exact geometry, by points along both.
 */
export function compare(toolpath: Toolpath, written: WrittenProgram, read: ReadResult): Departures {
  const motions = read.ops.filter(isMotion);
  const byLine = new Map(motions.map((op) => [op.line, op]));
  const out: Departures = {
    end: 0,
    toWritten: 0,
    toExact: 0,
    radius: 0,
    sweep: 0,
    feedAbove: -Infinity,
    feedBelow: -Infinity,
    arcs: 0,
    lines: 0,
  };
  let at: Pt3 = toolpath.start;
  let last: Pt3 = toolpath.start;
  toolpath.moves.forEach((move, index) => {
    if (move.kind !== 'rapid' && move.kind !== 'line' && move.kind !== 'arc') return;
    const from = written.moveLines[index]!;
    const until = from + written.moveLineCounts[index]!;
    const ops: Motion[] = [];
    for (let line = from; line < until; line++) {
      const op = byLine.get(line);
      if (op !== undefined) ops.push(op);
    }
    if (ops.length > 0) last = ops.at(-1)!.to;
    for (let axis = 0; axis < 3; axis++) {
      out.end = Math.max(out.end, Math.abs(last[axis]! - move.to[axis]!));
    }
    if (move.kind !== 'rapid') compareFeedMove(out, move, at, ops);
    at = move.to;
  });
  return out;
}

const SAMPLES = 24;

function compareFeedMove(
  out: Departures,
  move: Extract<Move, { kind: 'line' | 'arc' }>,
  at: Pt3,
  ops: readonly Motion[],
): void {
  for (const op of ops) {
    if (op.op === 'rapid') throw new Error(`line ${op.line}: rapid in a feed move`);
    out.feedAbove = Math.max(out.feedAbove, op.feedMmPerMin - move.feedMmPerMin);
    out.feedBelow = Math.max(out.feedBelow, move.feedMmPerMin - op.feedMmPerMin);
    if (op.op === 'arc') {
      out.arcs++;
      out.radius = Math.max(out.radius, op.radiusErrorMm);
      out.sweep = Math.max(out.sweep, sweepOf(op.from, op.to, op.center, op.ccw));
    } else {
      out.lines++;
    }
  }
  const exact = (p: readonly number[]): number =>
    move.kind === 'line'
      ? toLine(p, at, move.to)
      : toArc(p, at, move.to, move.c, move.ccw, Math.hypot(at[0] - move.c[0], at[1] - move.c[1]));
  for (let k = 0; k <= SAMPLES; k++) {
    const share = k / SAMPLES;
    if (ops.length > 0) {
      const point =
        move.kind === 'line'
          ? along(at, move.to, share)
          : alongArc(at, move.to, move.c, move.ccw, share);
      out.toWritten = Math.max(out.toWritten, Math.min(...ops.map((op) => toOp(point, op))));
    }
    for (const op of ops) {
      const point =
        op.op === 'arc'
          ? alongArc(op.from, op.to, op.center, op.ccw, share)
          : along(op.from, op.to, share);
      out.toExact = Math.max(out.toExact, exact(point));
    }
  }
}

export function sweepOf(from: Pt3, to: Pt3, c: Pt, ccw: boolean): number {
  if (from[0] === to[0] && from[1] === to[1]) return 2 * Math.PI;
  const a0 = Math.atan2(from[1] - c[1], from[0] - c[0]);
  const a1 = Math.atan2(to[1] - c[1], to[0] - c[0]);
  const turn = ccw ? a1 - a0 : a0 - a1;
  return turn > 0 ? turn : turn + 2 * Math.PI;
}

function along(from: Pt3, to: Pt3, share: number): Pt3 {
  return [
    from[0] + (to[0] - from[0]) * share,
    from[1] + (to[1] - from[1]) * share,
    from[2] + (to[2] - from[2]) * share,
  ];
}

function alongArc(from: Pt3, to: Pt3, c: Pt, ccw: boolean, share: number): Pt3 {
  const a0 = Math.atan2(from[1] - c[1], from[0] - c[0]);
  const turn = sweepOf(from, to, c, ccw) * share * (ccw ? 1 : -1);
  const r0 = Math.hypot(from[0] - c[0], from[1] - c[1]);
  const r1 = Math.hypot(to[0] - c[0], to[1] - c[1]);
  const r = r0 + (r1 - r0) * share;
  return [
    c[0] + r * Math.cos(a0 + turn),
    c[1] + r * Math.sin(a0 + turn),
    from[2] + (to[2] - from[2]) * share,
  ];
}

const toOp = (p: readonly number[], op: Motion): number =>
  op.op === 'arc'
    ? toArc(
        p,
        op.from,
        op.to,
        op.center,
        op.ccw,
        Math.hypot(op.from[0] - op.center[0], op.from[1] - op.center[1]),
      )
    : toLine(p, op.from, op.to);

function toLine(p: readonly number[], a: Pt3, b: Pt3): number {
  const d = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
  const length2 = d[0]! ** 2 + d[1]! ** 2 + d[2]! ** 2;
  const t =
    length2 === 0
      ? 0
      : d.reduce((sum, component, i) => sum + component * (p[i]! - a[i]!), 0) / length2;
  const s = Math.min(1, Math.max(0, t));
  return Math.hypot(...d.map((component, i) => a[i]! + component * s - p[i]!));
}

/** Distance to an arc or a helix; at each angle the helix has one height. */
function toArc(p: readonly number[], a: Pt3, b: Pt3, c: Pt, ccw: boolean, radius: number): number {
  const sweep = sweepOf(a, b, c, ccw);
  const a0 = Math.atan2(a[1] - c[1], a[0] - c[0]);
  const angle = Math.atan2(p[1]! - c[1], p[0]! - c[0]);
  let turn = (ccw ? angle - a0 : a0 - angle) % (2 * Math.PI);
  if (turn < 0) turn += 2 * Math.PI;
  const onArc =
    turn <= sweep
      ? Math.hypot(
          Math.hypot(p[0]! - c[0], p[1]! - c[1]) - radius,
          p[2]! - (a[2] + ((b[2] - a[2]) * turn) / sweep),
        )
      : Infinity;
  const toEnd = (e: Pt3): number => Math.hypot(p[0]! - e[0], p[1]! - e[1], p[2]! - e[2]);
  return Math.min(onArc, toEnd(a), toEnd(b));
}
