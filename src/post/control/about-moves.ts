/** What a class makes of moves: rapids, arcs, feeds, and the spindle that turns meanwhile. */
import { lowestWithin } from '../../cam/stock/replay/motion.js';
import { hypot, sin } from '../../maths/elementary.js';
import { TURN_RAD, radFromDeg, turnRad } from '../../maths/angle.js';
import { type ArcOp, type CanonicalOp, type Controller, isFeedMove } from '../../model/op.js';
import { PLANES } from '../rs274/read/arcs.js';
import type { ReadResult } from '../rs274/reader.js';
import type { Rules } from './finding.js';
import type { Line } from './line.js';

/** Words of a line that say how an arc is given, or how fast the spindle turns. */
export const MOVE_LINE_RULES: Rules<Line> = {
  'radius-arc': {
    severity: 'danger',
    when: ({ letters, gs }, c) =>
      letters.has('R') && (gs.includes(2) || gs.includes(3)) && !c.radiusArcs,
    says: 'arcs by radius are not known to this control',
    fix: 'give the centre with I and J',
  },
  'spindle-unit': {
    severity: 'warning',
    when: ({ letters }, c) => letters.has('S') && c.spindleUnit === 'pwm255',
    says: 'S is a power step from 0 to 255 here unless the firmware was set to rev/min',
    fix: 'set the spindle unit to rev/min',
  },
};

/** An op, the spindle as it turns by then, and whether it was given time to come up to speed. */
export interface OpAt {
  readonly line: number;
  readonly op: CanonicalOp;
  readonly direction: 'cw' | 'ccw' | 'off';
  readonly waited: boolean;
  /** A feed move has been made with the spindle turning. */
  readonly begun: boolean;
  /** It stands on the last line that does something. */
  readonly last: boolean;
  /** Farther from the zero than this it is beside the work. mm */
  readonly workRadiusMm: number;
}

export function* opsOf({ ops }: ReadResult, workRadiusMm: number): Generator<OpAt, void, void> {
  let direction: OpAt['direction'] = 'off';
  let waited = true;
  let begun = false;
  const lastLine = ops.at(-1)?.line ?? 0;
  for (const op of ops) {
    if (op.op === 'spindle') {
      waited = !op.on || (op.direction === direction && waited);
      direction = op.direction;
    } else if (op.op === 'dwell' && op.seconds > 0) waited = true;
    const last = op.line === lastLine;
    yield { line: op.line, op, direction, waited, begun, last, workRadiusMm };
    begun ||= isTurning(op);
  }
}

/** Probing faster than this is a blow. mm/min. Common practice, no source. */
const PROBE_MOST_MM_PER_MIN = 200;

const isTurning = (op: CanonicalOp): boolean => isFeedMove(op) && op.spindleRpm !== 0;
const isLow = ({ op, workRadiusMm: radiusMm }: OpAt): boolean =>
  isFeedMove(op) &&
  Math.min(op.from[2], op.to[2]) < 0 &&
  (radiusMm === Infinity || lowestWithin(op, radiusMm) < 0);

export const OP_RULES: Rules<OpAt> = {
  'spindle-off': {
    // Over the work and beside it it may be meant: a datum is looked at so.
    severity: (at) => (isLow(at) ? 'danger' : 'note'),
    when: ({ op }) => isFeedMove(op) && op.spindleRpm === 0,
    says: (at) =>
      `feed move ${isLow(at) ? 'below the work zero ' : ''}with the spindle standing still`,
    fix: (at) =>
      isLow(at)
        ? 'start the spindle with M3 and S before the first feed move'
        : 'look whether that is meant, as at a datum',
    key: (at) => (isLow(at) ? 'low' : ''),
  },
  'spindle-reverse': {
    severity: 'danger',
    when: ({ op, direction }) => isTurning(op) && direction === 'ccw',
    says: 'the spindle turns counter-clockwise (M4): an ordinary cutter rubs and breaks',
    fix: 'write M3',
  },
  'spin-up': {
    severity: 'warning',
    when: ({ op, direction, waited }) => isTurning(op) && direction !== 'ccw' && !waited,
    says: 'no wait between spindle start and the first feed move: controls do not wait for speed',
    fix: 'write G4 after M3',
  },
  'probe-spindle-on': {
    severity: 'danger',
    when: ({ op, direction }) => op.op === 'probe' && direction !== 'off',
    says: 'a probe move with the spindle turning',
    fix: 'write M5 before it',
  },
  'probe-fast': {
    severity: 'warning',
    when: ({ op }) => op.op === 'probe' && op.feedMmPerMin > PROBE_MOST_MM_PER_MIN,
    says: `a probe move at more than ${PROBE_MOST_MM_PER_MIN} mm/min: it runs on before it stops, and bends what it touches`,
    fix: 'write F30',
  },
  'stop-turning': {
    severity: 'warning',
    when: ({ op, direction }) => op.op === 'stop' && direction !== 'off',
    says: 'the program stops with the spindle turning: a hand that clears chips there meets it',
    fix: 'write M5 before M0, and M3 with G4 after it',
  },
  'tool-change': {
    severity: 'warning',
    when: ({ op, begun }) => op.op === 'change-tool' && begun,
    says: "another cutter goes in between cuts: its length and diameter are judged as the first one's",
    fix: 'touch off again, or write a program for each cutter',
  },
  'overrides-off': {
    severity: 'warning',
    when: ({ op }) => op.op === 'overrides' && !op.enabled,
    says: 'M49: from here on feed and speed cannot be turned down by hand',
    fix: 'remove M49',
  },
  'rapid-slanted': {
    severity: 'warning',
    when: ({ op }) =>
      op.op === 'rapid' &&
      hypot(op.to[0] - op.from[0], op.to[1] - op.from[1]) > 1e-9 &&
      Math.abs(op.to[2] - op.from[2]) > 1e-9,
    says: 'a rapid moves Z together with X or Y: some controls split it or bend its path',
    fix: 'move Z on a line of its own, up first and down last',
  },
  'origin-moved': {
    severity: 'warning',
    when: ({ op, last }) => op.op === 'origin-offsets' && !last,
    says: 'the program moves the work zero; a run broken off leaves it moved',
    fix: 'set the zero by hand and use one work system',
  },
};

type ArcAt = ReturnType<typeof arcAt>;

/** An arc with its measures in its plane, mm. */
export function arcAt(op: ArcOp) {
  const { from, to, normal } = PLANES[op.plane];
  const [c0, c1] = op.plane === 'xz' ? [op.center[1], op.center[0]] : op.center;
  const [u0, u1] = [op.from[from]! - c0, op.from[to]! - c1];
  const [v0, v1] = [op.to[from]! - c0, op.to[to]! - c1];
  const radiusMm = hypot(u0, u1);
  const sweepRad = turnRad(u0, u1, v0, v1, op.ccw) || TURN_RAD;
  return {
    line: op.line,
    op,
    chordMm: hypot(op.to[from]! - op.from[from]!, op.to[to]! - op.from[to]!),
    radiusMm,
    lengthMm: hypot(radiusMm * sweepRad, op.to[normal]! - op.from[normal]!),
  };
}

/** Below this chord a control may take an arc for a full turn. mm. */
const TINY_CHORD_MM = 0.01;

/**
 * Chord of 165 degrees over the diameter: RS274/NGC 3.5.3.1 advises against radius format from
 * there to 195 degrees, because small errors then move the centre far.
 */
const NEAR_HALF = sin(radFromDeg(165 / 2));

export const ARC_RULES: Rules<ArcAt> = {
  'tiny-arc': {
    severity: 'danger',
    when: ({ chordMm }) => chordMm > 0 && chordMm < TINY_CHORD_MM,
    says: ({ chordMm }) =>
      `an arc with ends ${chordMm.toFixed(4)} mm apart may be run as a full circle`,
    fix: 'write a line instead',
  },
  'arc-plane': {
    severity: 'warning',
    when: ({ op }) => op.plane !== 'xy',
    says: ({ op }) => `an arc in the ${op.plane.toUpperCase()} plane moves Z along a curve`,
    fix: 'check that G18 or G19 is meant',
  },
  'radius-arc-half': {
    severity: 'warning',
    when: ({ op, chordMm, radiusMm }) => op.byRadius === true && chordMm > 2 * radiusMm * NEAR_HALF,
    says: 'an arc by radius of nearly a half circle: a rounding of its end moves its centre many times as far, or is refused',
    fix: 'give the centre with I and J',
  },
  'large-arc': {
    severity: 'warning',
    when: ({ radiusMm }, c) => radiusMm > c.maxArcRadiusMm,
    says: ({ radiusMm }, c) =>
      `radius ${Math.round(radiusMm)} mm, above ${c.maxArcRadiusMm} mm: precision is lost`,
    fix: 'write lines instead',
  },
};

/** A slowing below this share of the feed time is worth no more than a note. */
const NOTABLE_SHARE = 0.01;

type ShortMoves = ReturnType<typeof shortMoves>;

/** Feed moves that are over before the control can read the next line, the first of them in `line`. */
export function shortMoves({ ops }: ReadResult, { maxBlocksPerS }: Controller) {
  const leastS = 1 / maxBlocksPerS;
  let [line, short, moves, extraS, totalS] = [0, 0, 0, 0, 0];
  for (const op of ops) {
    if (!isFeedMove(op)) continue;
    const [x, y, z] = [op.to[0] - op.from[0], op.to[1] - op.from[1], op.to[2] - op.from[2]];
    const lengthMm = op.op === 'feed' ? hypot(x, y, z) : arcAt(op).lengthMm;
    if (lengthMm === 0) continue;
    moves++;
    const seconds = (lengthMm / op.feedMmPerMin) * 60;
    totalS += seconds;
    if (seconds >= leastS) continue;
    if (short++ === 0) line = op.line;
    extraS += leastS - seconds;
  }
  // What waiting for them adds, and how long the feed moves take without it.
  return { line, short, moves, extraS, totalS };
}

export const RATE_RULES: Rules<ShortMoves> = {
  'block-rate': {
    severity: ({ extraS, totalS }) =>
      extraS >= 0.5 && extraS > NOTABLE_SHARE * totalS ? 'warning' : 'note',
    when: ({ short }) => short > 0,
    says: ({ short, moves, extraS }, { maxBlocksPerS }) => {
      const share = (100 * short) / moves;
      const percent = share < 1 ? share.toPrecision(1) : Math.round(share);
      const lineMs = Math.round((1 / maxBlocksPerS) * 1000);
      return `${short} of ${moves} feed moves (${percent} %) are shorter than the ${lineMs} ms a line takes: the run slows down by about ${Math.ceil(extraS)} s, in jerks`;
    },
    fix: 'use arcs, or fewer and longer lines',
  },
};
