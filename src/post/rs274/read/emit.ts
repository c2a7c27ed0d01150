import type { ArcPlane, CanonicalOp, Pt3 } from '../../../model/op.js';
import { PLANES, type ArcGeometry } from './arcs.js';
import { ReaderFault } from './errors.js';
import { isSpindleOn, offsetMm, type State } from './state.js';

/** Where the interpreter puts what it does. */
export interface Sink {
  readonly ops: CanonicalOp[];
  /** Most actions of a program, and most of those that its canned cycles may come to. */
  readonly maxOps: number;
  readonly maxCycleOps: number;
  /** Actions that canned cycles have come to, without the cycle being carried out. */
  cycleOps: number;
  /** Number of actions at which it is too much: set lower while a cycle is carried out. */
  ceiling: number;
  line: number;
}

export function createSink(maxOps: number, maxCycleOps: number): Sink {
  return { ops: [], maxOps, maxCycleOps, cycleOps: 0, ceiling: maxOps, line: 0 };
}

export function push(sink: Sink, op: CanonicalOp): void {
  if (sink.ops.length >= sink.ceiling) {
    const what =
      sink.ceiling < sink.maxOps
        ? `more than ${sink.maxCycleOps} actions out of canned cycles`
        : `more than ${sink.maxOps} actions in the program`;
    throw new ReaderFault('limit', what, 0);
  }
  sink.ops.push(op);
}

/** Sets the position (program units) and returns it in mm. */
export function moveState(state: State, x: number, y: number, z: number): Pt3 {
  const scale = state.mmPerUnit;
  const point: Pt3 = [x * scale, y * scale, z * scale];
  if (!Number.isFinite(point[0] + point[1] + point[2])) {
    throw new ReaderFault('arithmetic', 'the position is not a finite number', 0);
  }
  state.x = x;
  state.y = y;
  state.z = z;
  state.point = point;
  return point;
}

/** Position again in mm after the units or the work system have changed; nothing moves. */
export function refreshPoint(state: State): void {
  moveState(state, state.x, state.y, state.z);
}

export function rapidTo(
  sink: Sink,
  state: State,
  x: number,
  y: number,
  z: number,
  machine = false,
): void {
  const from = state.point;
  const to = moveState(state, x, y, z);
  const line = sink.line;
  push(sink, machine ? { op: 'rapid', line, from, to, machine } : { op: 'rapid', line, from, to });
}

/** Straight feed at `feedPerMin` program units a minute. */
export function feedTo(
  sink: Sink,
  state: State,
  x: number,
  y: number,
  z: number,
  feedPerMin: number,
  machine = false,
): void {
  const from = state.point;
  const to = moveState(state, x, y, z);
  const op: CanonicalOp = {
    op: 'feed',
    line: sink.line,
    from,
    to,
    feedMmPerMin: feedPerMin * state.mmPerUnit,
    spindleRpm: isSpindleOn(state) ? state.rpm : 0,
  };
  push(sink, machine ? { ...op, machine } : op);
}

export function arcTo(
  sink: Sink,
  state: State,
  plane: ArcPlane,
  arc: ArcGeometry,
  ccw: boolean,
  end: Pt3,
  feedPerMin: number,
): void {
  const from = state.point;
  const to = moveState(state, end[0], end[1], end[2]);
  const scale = state.mmPerUnit;
  const c0 = arc.c[0] * scale;
  const c1 = arc.c[1] * scale;
  const op: CanonicalOp = {
    op: 'arc',
    line: sink.line,
    from,
    to,
    plane,
    center: PLANES[plane].from < PLANES[plane].to ? [c0, c1] : [c1, c0],
    ccw,
    feedMmPerMin: feedPerMin * scale,
    spindleRpm: isSpindleOn(state) ? state.rpm : 0,
    radiusErrorMm: arc.radiusError * scale,
  };
  push(sink, arc.byRadius ? { ...op, byRadius: true } : op);
}

export function emitSpindle(sink: Sink, state: State, direction: State['spindle']): void {
  state.spindle = direction;
  push(sink, {
    op: 'spindle',
    line: sink.line,
    rpm: state.rpm,
    on: direction !== 'off',
    direction,
  });
}

export function emitDwell(sink: Sink, seconds: number): void {
  push(sink, { op: 'dwell', line: sink.line, seconds });
}

export function emitPathMode(sink: Sink, state: State, mode: State['pathMode']): void {
  state.pathMode = mode;
  push(sink, { op: 'path-mode', line: sink.line, mode });
}

export function emitOrigin(sink: Sink, state: State): void {
  push(sink, {
    op: 'origin-offsets',
    line: sink.line,
    offsetMm: [offsetMm(state, 0), offsetMm(state, 1), offsetMm(state, 2)],
  });
}
