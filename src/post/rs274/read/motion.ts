import { hypot } from '../../../maths/elementary.js';
import type { Pt3 } from '../../../model/op.js';
import { arcGeometry, PLANES } from './arcs.js';
import { codeOf, GROUPS, has, motionColumn, nameOfG, wordOr } from './block.js';
import { runCycle } from './cycles.js';
import { refuse } from './errors.js';
import { target } from './offsets.js';
import {
  arcTo,
  feedTo,
  moveState,
  PROBED,
  push,
  rapidTo,
  setParameter,
  type State,
} from './state.js';

/** Carries out the motion code of the line: G0 to G3, G38.2 or a canned cycle. */
export function runMotion(state: State, motion: number): void {
  if (motion >= 810) runCycle(state, motion);
  else {
    const machine = codeOf(state.block, GROUPS.nonModal) === 530;
    const end = target(state, machine);
    if (state.comp !== 'off' && state.compDiameterMm !== 0) {
      refuse(
        'cutter-comp',
        `${nameOfG(motion)} under cutter radius compensation is not carried out by this reader`,
        motionColumn(state.block),
        'let the program hold the path of the cutter centre, with G40',
      );
    }
    if (motion === 0) rapidTo(state, end, machine);
    else if (motion === 10) {
      const way = state.inverseTime ? wayTo(state, end) : 0;
      feedTo(state, end, feedFor(state, motion, way), machine);
    } else if (motion === 382) runProbe(state, end);
    else runArc(state, motion, end);
  }
  state.motion = motion;
}

/** Straight to a point, program units. */
function wayTo({ x, y, z }: State, end: Pt3): number {
  return hypot(end[0] - x, end[1] - y, end[2] - z);
}

/** Feed in units a minute; in G93, where the length counts, the move lasts 1/F minutes and F is on the line (3.5.19). */
function feedFor(state: State, motion: number, length: number): number {
  const { block, line, feed, mmPerUnit } = state;
  if (!state.inverseTime) {
    if (feed > 0) return feed;
    refuse('feed-missing', `${nameOfG(motion)} with feed rate zero`, motionColumn(block));
  }
  if (!has(block, 'F')) {
    const what = `${nameOfG(motion)} in G93 without F on the line`;
    refuse('feed-missing', what, motionColumn(block));
  }
  const perMinute = wordOr(block, 'F', 0);
  if (!(perMinute > 0)) refuse('feed-missing', 'F0 in G93', motionColumn(block));
  push(state, { op: 'feed-rate', line, feedMmPerMin: length * perMinute * mmPerUnit });
  return length * perMinute;
}

function runArc(state: State, motion: number, end: Pt3): void {
  const { block, plane, mmPerUnit, around } = state;
  const start: Pt3 = [state.x, state.y, state.z];
  const ccw = motion === 30;
  if (!state.inverseTime) feedFor(state, motion, 0);
  const { arcRule } = around;
  const placed = state.absoluteCentres;
  const arc = arcGeometry(block, plane, ccw, start, end, mmPerUnit, arcRule, placed);
  let length = 0;
  if (state.inverseTime) {
    // Along the helix: feed applies along the path, not its projection (2.1.2.6).
    const { normal } = PLANES[plane];
    length = hypot(arc.radius * arc.sweep, end[normal]! - start[normal]!);
  }
  arcTo(state, arc, ccw, end, feedFor(state, motion, length));
}

/** G38.2 (3.5.9): read as if the probe tripped at the target. */
function runProbe(state: State, end: Pt3): void {
  const at = motionColumn(state.block);
  if (state.comp !== 'off') {
    refuse('cutter-comp', 'G38.2 under cutter radius compensation', at);
  }
  if (state.inverseTime) refuse('probe', 'G38.2 in inverse time feed mode (G93)', at);
  const feed = feedFor(state, 382, 0);
  const far = wayTo(state, end);
  const least = state.mmPerUnit === 1 ? 0.254 : 0.01;
  if (far < least) refuse('probe', `probe target ${far} away, less than ${least}`, at);
  const { line, point: from } = state;
  const to = moveState(state, ...end);
  end.forEach((value, axis) => setParameter(state, PROBED + axis, value));
  push(state, { op: 'probe', line, from, to, feedMmPerMin: feed * state.mmPerUnit });
}
