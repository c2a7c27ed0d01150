/**
 * One pass along a front as moves: highest feed at every place, runs of one feed, pieces of the
 * front, with a short lead in air before and after.
 */
import { edgeLength, edgeRadius, edgeSweepRad } from '../../profile/geometry/edge.js';
import type { Edge, Pt } from '../../model/edges.js';
import { apart, radFromDeg } from '../../maths/angle.js';
import { circleSpeed, feedOfSpeed, speedAfter, squareFeedGain } from '../../maths/motion.js';
import { countDown, countUp } from '../../maths/tolerance.js';
import { type FeedRun, type Reach, feedOver, feedRuns, reachable } from '../feed-runs.js';
import {
  type ChainFront,
  type Front,
  frontPieces,
  frontRadius,
  intoRoom,
  jointsOf,
  onFront,
} from './front-shape.js';
import type { GapEngagement } from './engagement.js';
import type { GapPass } from './front.js';
import { Pen, type PlanarMove } from '../planar.js';

/** Travel on the front in air before the cutter meets material: the way onto the front is at a
 *  slant, and the shorter it is, the more of the rim leans into what it comes to. mm */
const LEAD_IN_MM = 0.08;
/** The same after it leaves the material. mm */
const LEAD_OUT_MM = 0.05;
/** Added to each measured engagement before a feed is read off: covers what lies between
 *  stations. rad */
const STATION_MARGIN_RAD = radFromDeg(0.15);
/** Leads are fed as if they met this much: a skin that rounding left, met at a lean. rad */
const LEAD_TOUCH_RAD = radFromDeg(45);
/** On the way in the engagement rises steeply, and a short move's heading is rounded most. */
const ENTRY_MARGIN_RAD = radFromDeg(2);
const ENTRY_MM = 0.4;
const STATION_MM = 0.08;
/** Shortest run of constant feed. mm */
const LEAST_FEED_RUN_MM = 0.25;

export interface LedPass {
  readonly pass: GapPass;
  /** Lengths along the front: where the pass starts and ends, leads included. mm */
  readonly start: number;
  readonly end: number;
  readonly clockwiseRoundWheel: boolean;
}

/** What the machine can do along a pass. */
export interface PassLimits {
  /** Highest feed at an engagement. */
  readonly feed: (phiRad: number) => number;
  readonly accelerationMmPerS2: number;
}

/** The highest feeds along a pass, at even stations from where material is met to where it ends. */
export interface PassFeeds {
  readonly led: LedPass;
  readonly fromMm: number;
  readonly toMm: number;
  readonly feeds: Float64Array;
  readonly reach: Reach;
  /** Most that the leads are fed. mm/min */
  readonly leadMmPerMin: number;
}

/** A pass with a lead in air at either end, in the direction in which it is cut. */
export function ledPass(pass: GapPass, clockwiseRoundWheel: boolean): LedPass {
  const start = pass.highMm + LEAD_IN_MM;
  const end = pass.lowMm - LEAD_OUT_MM;
  return clockwiseRoundWheel
    ? { pass, start, end, clockwiseRoundWheel }
    : { pass, start: -start, end: -end, clockwiseRoundWheel };
}

/** The point moved along a direction. */
export function shifted(p: Pt, direction: Pt, distance: number): Pt {
  return [p[0] + distance * direction[0], p[1] + distance * direction[1]];
}

/** A link ends this far inside the room: what two passes a rounding step apart leave on the wall is
 *  met at the lead's feed, not at the link's. mm */
const INSET_MM = 0.015;

/** Where a pass is begun from. */
export function startOf(led: LedPass): Pt {
  const { front } = led.pass;
  return shifted(onFront(front, led.start), intoRoom(front, led.start), INSET_MM);
}

/** Speeds with which a pass, leads included, is begun and ended. mm/min */
export interface EndSpeeds {
  readonly entryMmPerMin: number;
  readonly exitMmPerMin: number;
}

/**
 * @param before   fronts before the pass, newest last
 * @param measure  for the cutter's radius
 */
export function passFeeds(
  led: LedPass,
  before: readonly Front[],
  measure: GapEngagement,
  limits: PassLimits,
  ends: EndSpeeds,
): PassFeeds {
  const { front, highMm, lowMm } = led.pass;
  const { feed, accelerationMmPerS2 } = limits;
  // The other way round the wheel the same rim is met at the mirrored angles.
  const side = led.clockwiseRoundWheel ? 1 : -1;
  const fromMm = side * highMm;
  const toMm = side * lowMm;
  const length = Math.abs(toMm - fromMm);
  const n = Math.max(2, Math.ceil(length / STATION_MM) + 1);
  const feeds = new Float64Array(n);
  const followed = new Float64Array(n);
  for (let k = 0; k < n; k++) {
    const at = fromMm + ((toMm - fromMm) * k) / (n - 1);
    const { aheadRad } = measure.at(front, side * at, before);
    const margin = Math.abs(at - fromMm) < ENTRY_MM ? ENTRY_MARGIN_RAD : STATION_MARGIN_RAD;
    feeds[k] = feed(aheadRad + margin);
    // On an arc its own curvature takes acceleration.
    const onArc = feedOfSpeed(circleSpeed(accelerationMmPerS2, frontRadius(front, side * at)));
    followed[k] = Math.min(feeds[k]!, onArc);
  }
  const over = (speed: number, leadMm: number): number =>
    speedAfter(speed, squareFeedGain(accelerationMmPerS2, leadMm));
  const reach = reachable(followed, length / (n - 1), {
    accelerationMmPerS2,
    entryMmPerMin: over(ends.entryMmPerMin, LEAD_IN_MM),
    exitMmPerMin: over(ends.exitMmPerMin, LEAD_OUT_MM),
  });
  return { led, fromMm, toMm, feeds, reach, leadMmPerMin: feed(LEAD_TOUCH_RAD) };
}

/**
 * The moves of a pass from where it is begun (`startOf`), leads included.
 * @param pricePerRunS  travel time that a change of feed must save, s
 */
export function passMoves(along: PassFeeds, pricePerRunS: number): readonly PlanarMove[] {
  const { led, fromMm: from, toMm: to, feeds, reach, leadMmPerMin } = along;
  const { front } = led.pass;
  const last = feeds.length - 1;
  const at = (k: number): number => from + ((to - from) * k) / last;
  const options = { pricePerRunS, minRunMm: LEAST_FEED_RUN_MM, reach };
  const runs = snapped(
    feedRuns(feeds, Math.abs(to - from) / last, options).map((run) => ({
      from: at(run.from),
      to: at(run.to),
      feedMmPerMin: run.feedMmPerMin,
    })),
    jointsOf(front),
    (a, b) => feedBetween(feeds, reach, (a - from) / (to - from), (b - from) / (to - from)),
  );
  const pen = new Pen(startOf(led));
  const first = runs[0]?.feedMmPerMin ?? feeds[0]!;
  pen.line(onFront(front, from), Math.min(first, leadMmPerMin), 'lead');
  for (const run of runs) drawFront(pen, front, run.from, run.to, run.feedMmPerMin, 'cut');
  const lastFeed = Math.min(runs.at(-1)?.feedMmPerMin ?? first, leadMmPerMin);
  drawFront(pen, front, to, led.end, lastFeed, 'lead');
  return pen.moves;
}

/** A change of feed this close to a joint of the front is moved to the joint. mm */
const SNAP_MM = 0.2;

/** Runs, by lengths along the front, whose ends fall on its joints where they nearly do, so that no
 *  bits remain. */
function snapped(
  runs: readonly FeedRun[],
  joints: readonly number[],
  feedBetween: (from: number, to: number) => number,
): FeedRun[] {
  const snap = (s: number): number => {
    for (const joint of joints) {
      if (Math.abs(s - joint) < SNAP_MM) return joint;
      if (Math.abs(s + joint) < SNAP_MM) return -joint;
    }
    return Math.abs(s) < SNAP_MM ? 0 : s;
  };
  const start = runs[0]?.from ?? 0;
  const finish = runs[runs.length - 1]?.to ?? start;
  const ends: number[] = [];
  for (const run of runs.slice(0, -1)) {
    const end = snap(run.to);
    const apart = (other: number): boolean => Math.abs(end - other) >= LEAST_RUN_MM;
    if (apart(ends[ends.length - 1] ?? start) && apart(finish)) ends.push(end);
  }
  return [...ends, finish].map((to, i) => {
    const from = ends[i - 1] ?? start;
    return { from, to, feedMmPerMin: feedBetween(from, to) };
  });
}

/** Shortest run that is left when ends are moved to joints. mm */
const LEAST_RUN_MM = 0.1;

/** Feed from one share of the way to another. */
function feedBetween(feeds: Float64Array, reach: Reach, a: number, b: number): number {
  const n = feeds.length - 1;
  const first = Math.max(0, countDown(Math.min(a, b) * n));
  const last = Math.min(n, countUp(Math.max(a, b) * n));
  return feedOver(feeds, reach, first, last);
}

/** Moves along a front from one length to another, a piece at a time. */
function drawFront(
  pen: Pen,
  front: ChainFront,
  from: number,
  to: number,
  feed: number,
  role: 'cut' | 'lead',
): void {
  for (const piece of withoutBits(frontPieces(front, from, to))) pen.edge(piece, feed, role);
}

/** Pieces shorter than this are drawn by their neighbour. mm: on a shorter one, rounding to the
 *  output step would turn the heading, and with it the engagement, by more than half a degree. */
const BIT_MM = 0.08;
/** ... unless they turn by more than this: dropping the turn would kink the path. rad */
const BIT_TURN_RAD = 0.02;
/** ... or the neighbour, an arc, would stray from them by more than this. mm */
const BIT_STRAY_MM = 0.002;
/** Too short to survive rounding, whatever they turn. mm */
const SPECK_MM = 0.012;

function isBit(piece: Edge, neighbour: Edge | undefined): boolean {
  const length = edgeLength(piece);
  if (length >= BIT_MM) return false;
  if (length < SPECK_MM) return true;
  if (edgeSweepRad(piece) >= BIT_TURN_RAD) return false;
  // An arc drawn on over a nearly straight bit bends away from it by l^2 / 2 R.
  return neighbour?.kind !== 'arc' || length ** 2 < 2 * BIT_STRAY_MM * edgeRadius(neighbour);
}

function withoutBits(pieces: readonly Edge[]): Edge[] {
  const kept: Edge[] = [];
  let start: Pt | null = null;
  pieces.forEach((piece, i) => {
    const from = start ?? piece.a;
    if (!isBit(piece, pieces[i + 1] ?? kept.at(-1)) || pieces.length === 1) {
      kept.push(withEnds(piece, from, piece.b));
      start = null;
    } else if (i + 1 < pieces.length) {
      start = from;
    } else if (kept.length > 0) {
      const last = kept[kept.length - 1]!;
      kept[kept.length - 1] = withEnds(last, last.a, piece.b);
    } else {
      kept.push(withEnds(piece, from, piece.b));
    }
  });
  return kept;
}

/** The piece between other ends close to its own: an arc keeps its radius. */
function withEnds(piece: Edge, a: Pt, b: Pt): Edge {
  if (piece.kind === 'line') return { ...piece, a, b };
  if (a === piece.a && b === piece.b) return piece;
  const radius = edgeRadius(piece);
  const chord = apart(b, a);
  const rise = Math.sqrt(Math.max(0, radius * radius - (chord * chord) / 4));
  const side = piece.ccw ? 1 : -1;
  return {
    ...piece,
    a,
    b,
    c: [
      (a[0] + b[0]) / 2 - (side * rise * (b[1] - a[1])) / chord,
      (a[1] + b[1]) / 2 + (side * rise * (b[0] - a[0])) / chord,
    ],
  };
}
