import type { Pt3 } from '../../../model/op.js';
import { arcGeometry, PLANES, type ArcGeometry } from './arcs.js';
import { F, has, valueOf, type Block } from './block.js';
import { G_GROUPS, nameOfG } from './codes.js';
import { runCycle } from './cycles.js';
import { arcTo, feedTo, push, rapidTo, refreshPoint, type Sink } from './emit.js';
import { ReaderFault } from './errors.js';
import { PROBED_INDEX, setParameter, type State, type Surroundings } from './state.js';
import { AXIS_WORDS, target } from './offsets.js';

/** Carries out the motion code of the line: G0 to G3, G38.2 or a canned cycle. */
export function runMotion(
  sink: Sink,
  state: State,
  block: Block,
  motion: number,
  around: Surroundings,
): void {
  const at = motionColumn(block);
  if (motion >= 810) {
    runCycle(sink, state, block, motion);
  } else {
    const machine = block.g[G_GROUPS.nonModal] === 530;
    const end = target(state, block, machine);
    if (state.comp !== 'off' && state.compRadiusMm !== 0) {
      throw new ReaderFault(
        'cutter-comp',
        `${nameOfG(motion)} under cutter radius compensation is not carried out by this reader`,
        at,
        'let the program hold the path of the cutter centre, with G40',
      );
    }
    if (motion === 0) rapidTo(sink, state, end[0], end[1], end[2], machine);
    else if (motion === 10) {
      const length = Math.hypot(end[0] - state.x, end[1] - state.y, end[2] - state.z);
      const feed = feedFor(sink, state, block, motion, at, length);
      feedTo(sink, state, end[0], end[1], end[2], feed, machine);
    } else if (motion === 382) runProbe(sink, state, end, at);
    else runArc(sink, state, block, motion, end, around, at);
  }
  state.motion = motion;
}

function motionColumn(block: Block): number {
  if ((block.g[G_GROUPS.motion] as number) >= 0) return block.gColumns[G_GROUPS.motion] as number;
  const columns = AXIS_WORDS.filter((word) => has(block, word)).map((w) => block.columns[w] ?? 0);
  return Math.min(...columns);
}

/** Feed in units a minute; in G93 the move lasts 1/F minutes and F is on the line (3.5.19). */
function feedFor(
  sink: Sink,
  state: State,
  block: Block,
  motion: number,
  at: number,
  length: number,
): number {
  if (!state.inverseTime) {
    if (state.feed > 0) return state.feed;
    throw new ReaderFault('feed-missing', `${nameOfG(motion)} with feed rate zero`, at);
  }
  if (!has(block, F)) {
    throw new ReaderFault('feed-missing', `${nameOfG(motion)} in G93 without F on the line`, at);
  }
  const perMinute = valueOf(block, F);
  if (!(perMinute > 0)) throw new ReaderFault('feed-missing', 'F0 in G93', at);
  const feed = length * perMinute;
  push(sink, { op: 'feed-rate', line: sink.line, feedMmPerMin: feed * state.mmPerUnit });
  return feed;
}

function runArc(
  sink: Sink,
  state: State,
  block: Block,
  motion: number,
  end: Pt3,
  around: Surroundings,
  at: number,
): void {
  const start: Pt3 = [state.x, state.y, state.z];
  const ccw = motion === 30;
  if (!state.inverseTime) feedFor(sink, state, block, motion, at, 0);
  const arc = arcGeometry(block, state.plane, ccw, start, end, state.mmPerUnit, around.arcRule, at);
  const feed = feedFor(sink, state, block, motion, at, arcLength(state, arc, start, end));
  arcTo(sink, state, state.plane, arc, ccw, end, feed);
}

/** Length along the helix: feed applies along the path, not its projection (2.1.2.6). */
function arcLength(state: State, arc: ArcGeometry, start: Pt3, end: Pt3): number {
  const normal = PLANES[state.plane].normal;
  return Math.hypot(arc.radius * arc.sweep, (end[normal] as number) - (start[normal] as number));
}

/** G38.2 (3.5.9): read as if the probe tripped at the target. */
function runProbe(sink: Sink, state: State, end: Pt3, at: number): void {
  if (state.comp !== 'off') {
    throw new ReaderFault('cutter-comp', 'G38.2 under cutter radius compensation', at);
  }
  if (state.inverseTime)
    throw new ReaderFault('probe', 'G38.2 in inverse time feed mode (G93)', at);
  if (!(state.feed > 0)) throw new ReaderFault('feed-missing', 'G38.2 with feed rate zero', at);
  const far = Math.hypot(end[0] - state.x, end[1] - state.y, end[2] - state.z);
  const least = state.mmPerUnit === 1 ? 0.254 : 0.01;
  if (far < least) {
    throw new ReaderFault('probe', `probe target ${far} away, less than ${least}`, at);
  }
  const from = state.point;
  state.x = end[0];
  state.y = end[1];
  state.z = end[2];
  refreshPoint(state);
  end.forEach((value, axis) => setParameter(state, PROBED_INDEX + axis, value));
  push(sink, {
    op: 'probe',
    line: sink.line,
    from,
    to: state.point,
    feedMmPerMin: state.feed * state.mmPerUnit,
  });
}
