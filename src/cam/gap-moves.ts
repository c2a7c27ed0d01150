/**
 * Moves of one gap, in the frame in which its axis is +X.
 *
 * Each pass is entered and left along its own front, in air. Between passes the cutter either
 * turns round where it is and cuts the next front the other way (`both-ways`), or comes back in
 * air to the side it began on, along two small arcs and their common tangent (`climb`):
 *
 *       exit arc  .--<--.  entry arc        both arcs touch the front from the room's side, so the
 *                (       )                  rim parts from the wall as soon as the pass ends
 *          pass   \__>__/
 */
import { edgeLength, edgeRadius, edgeSweepRad } from '../profile/edge.js';
import type { Edge, Pt } from '../profile/edges.js';
import { feedRuns } from './feed-runs.js';
import {
  type ChainFront,
  type Front,
  frontPieces,
  frontRadius,
  intoRoom,
  jointsOf,
  onFront,
  outOfRoom,
} from './front-shape.js';
import { GapEngagement, type GapPass, type GapPlan, GapTooTight } from './gap-front.js';
import { Pen, type PlanarMove } from './planar.js';
import { pieceAt, pieceLengthMm, arcPiece, linePiece } from './stock-front.js';
import { norm2 } from '../profile/norm.js';

/** `climb`: every pass with the material on the right hand. `both-ways`: alternate passes. */
export type RoughDirection = 'climb' | 'both-ways';

export interface GapMovesInput {
  readonly plan: GapPlan;
  readonly halfPitchRad: number;
  /** Radius on which the cutter travels from gap to gap. mm */
  readonly travelRadiusMm: number;
  /** Pillar on the tip towards the next gap; null where the ring is gone. */
  readonly pillar: PillarCut | null;
  readonly direction: RoughDirection;
  readonly feed: (phiRad: number) => number;
  readonly linkFeedMmPerMin: number;
}

/** How the pillar between two gaps is taken. */
export interface PillarCut {
  /** Radius of the centre's path over the tip. mm */
  readonly pathRadiusMm: number;
  /** Angle from a gap's axis up to which that path is in the gap's room. rad */
  readonly airRad: number;
  readonly feedMmPerMin: number;
}

export interface GapMoves {
  /** Where the first pass is entered from; on the travel radius. */
  readonly start: Pt;
  readonly moves: readonly PlanarMove[];
  /** On the travel radius, or past the pillar, on its path. */
  readonly end: Pt;
  /** The next gap's first pass can be begun straight from there. */
  readonly leadsToNext: boolean;
}

/** Travel on the front in air before the cutter meets material and after it leaves. mm */
const LEAD_MM = 0.08;
/** How far the cutter parts from the wall when it turns round. mm */
const PART_MM = 0.04;
/** Added to each measured engagement before a feed is read off: covers what lies between
 *  stations. rad */
const STATION_MARGIN_RAD = (0.15 * Math.PI) / 180;
/** Leads are fed as if they met this much: a skin that rounding left, met at a lean. rad */
const LEAD_TOUCH_RAD = (45 * Math.PI) / 180;
/** On the way in the engagement rises steeply, and a short move's heading is rounded most. */
const ENTRY_MARGIN_RAD = (2 * Math.PI) / 180;
const ENTRY_MM = 0.4;
const STATION_MM = 0.08;
/** A run of constant feed is worth this much travel time more than none, and is no shorter. */
const FEED_RUN = { pricePerRunS: 0.004, minRunMm: 0.25 };
/** Rounding slack of the test whether a centre is in the room. mm */
const ROOM_SLACK_MM = 1e-6;

interface LedPass {
  readonly pass: GapPass;
  /** Lengths along the front: where the pass starts and ends, leads included. mm */
  readonly start: number;
  readonly end: number;
  readonly clockwiseRoundWheel: boolean;
}

export function gapMoves(input: GapMovesInput): GapMoves {
  const { plan, travelRadiusMm, linkFeedMmPerMin } = input;
  const led = plan.passes.map((pass, i): LedPass => {
    const high = pass.highMm + LEAD_MM;
    const low = pass.lowMm - LEAD_MM;
    const forward = input.direction === 'climb' || i % 2 === 0;
    return forward
      ? { pass, start: high, end: low, clockwiseRoundWheel: true }
      : { pass, start: -high, end: -low, clockwiseRoundWheel: false };
  });
  const first = led[0];
  if (!first) {
    return { start: [travelRadiusMm, 0], moves: [], end: [travelRadiusMm, 0], leadsToNext: false };
  }
  const fronts: Front[] = [plan.ring, ...plan.passes.map((p) => p.front)];
  const inAir = (p: Pt, upTo: number): boolean => {
    for (let k = upTo; k >= 0; k--)
      if (outOfRoom(fronts[k]!, p[0], p[1]) <= ROOM_SLACK_MM) return true;
    return false;
  };
  const enterAt = startOf(first);
  const start = raise(enterAt, travelRadiusMm);
  const pen = new Pen(start);
  pen.line(enterAt, linkFeedMmPerMin, 'link');
  const measure = new GapEngagement(plan.cutterRadiusMm);
  led.forEach((current, i) => {
    cutPass(pen, current, fronts.slice(Math.max(0, i - 8), i + 1), measure, input);
    const next = led[i + 1];
    if (next) linkTo(pen, current, next, (p) => inAir(p, i + 1), input);
  });
  leave(pen, led[led.length - 1]!, (p) => inAir(p, led.length), input);
  // What the pillar's path has passed over is air: the next gap's start must not lie beyond it.
  const { pillar } = input;
  const leadsToNext = pillar !== null && Math.atan2(enterAt[1], enterAt[0]) >= pillar.airRad;
  return { start, moves: pen.moves, end: pen.at, leadsToNext };
}

/** A link ends this far inside the room: what two passes a rounding step apart leave on the wall is
 *  met at the lead's feed, not at the link's. mm */
const INSET_MM = 0.015;

/** Where a pass is begun from. */
function startOf(led: LedPass): Pt {
  const { front } = led.pass;
  return shifted(onFront(front, led.start), intoRoom(front, led.start), INSET_MM);
}

function cutPass(
  pen: Pen,
  led: LedPass,
  before: readonly Front[],
  measure: GapEngagement,
  input: GapMovesInput,
): void {
  const { front, highMm, lowMm } = led.pass;
  // The other way round the wheel the same rim is met at the mirrored angles.
  const side = led.clockwiseRoundWheel ? 1 : -1;
  const from = side * highMm;
  const to = side * lowMm;
  const length = Math.abs(to - from);
  const n = Math.max(2, Math.ceil(length / STATION_MM) + 1);
  const at = (k: number): number => from + ((to - from) * k) / (n - 1);
  const feeds = new Float64Array(n);
  for (let k = 0; k < n; k++) {
    measure.engaged(front, side * at(k), before);
    const margin = Math.abs(at(k) - from) < ENTRY_MM ? ENTRY_MARGIN_RAD : STATION_MARGIN_RAD;
    feeds[k] = input.feed(measure.last + margin);
  }
  const runs = snapped(
    feedRuns(feeds, length / (n - 1), FEED_RUN).map((run) => ({
      from: at(run.from),
      to: at(run.to),
      feedMmPerMin: run.feedMmPerMin,
    })),
    jointsOf(front),
    (a, b) => leastFeed(feeds, (a - from) / (to - from), (b - from) / (to - from)),
  );
  const first = runs[0]?.feedMmPerMin ?? feeds[0]!;
  const leadFeed = Math.min(first, input.feed(LEAD_TOUCH_RAD));
  pen.line(onFront(front, from), leadFeed, 'lead');
  for (const run of runs) {
    along(pen, front, run.from, run.to, run.feedMmPerMin, 'cut');
  }
  const lastFeed = Math.min(runs.at(-1)?.feedMmPerMin ?? first, input.feed(LEAD_TOUCH_RAD));
  along(pen, front, to, led.end, lastFeed, 'lead');
}

interface Run {
  readonly from: number;
  readonly to: number;
  readonly feedMmPerMin: number;
}

/** A change of feed this close to a joint of the front is moved to the joint. mm */
const SNAP_MM = 0.2;

/** Runs whose ends fall on the joints of the front where they nearly do, so that no bits remain. */
function snapped(
  runs: readonly Run[],
  joints: readonly number[],
  feedBetween: (from: number, to: number) => number,
): Run[] {
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
  const result: Run[] = [];
  let from = start;
  for (const to of [...ends, finish]) {
    result.push({ from, to, feedMmPerMin: feedBetween(from, to) });
    from = to;
  }
  return result;
}

/** Shortest run that is left when ends are moved to joints. mm */
const LEAST_RUN_MM = 0.1;

/** Least feed of the stations from one share of the way to another. */
function leastFeed(feeds: Float64Array, a: number, b: number): number {
  const n = feeds.length - 1;
  const first = Math.max(0, Math.floor(Math.min(a, b) * n + 1e-9));
  const last = Math.min(n, Math.ceil(Math.max(a, b) * n - 1e-9));
  let least = Infinity;
  for (let i = first; i <= last; i++) least = Math.min(least, feeds[i]!);
  return least;
}

/** Moves along a front from one length to another, a piece at a time. */
function along(
  pen: Pen,
  front: ChainFront,
  from: number,
  to: number,
  feed: number,
  role: 'cut' | 'lead',
): void {
  for (const piece of withoutBits(frontPieces(front, from, to))) {
    if (piece.kind === 'line') pen.line(piece.b, feed, role);
    else pen.arc(piece.b, piece.c, piece.ccw, feed, role);
  }
}

/** Pieces shorter than this are drawn by their neighbour. mm: on a shorter one, rounding to the
 *  output step would turn the heading, and with it the engagement, by more than half a degree; the
 *  neighbour strays from it by no more than 0.002 mm. */
const BIT_MM = 0.08;
/** ... unless they turn by more than this: dropping the turn would kink the path. rad */
const BIT_TURN_RAD = 0.02;
/** Too short to survive rounding, whatever they turn. mm */
const SPECK_MM = 0.012;

function isBit(piece: Edge): boolean {
  const length = edgeLength(piece);
  if (length >= BIT_MM) return false;
  return length < SPECK_MM || edgeSweepRad(piece) < BIT_TURN_RAD;
}

function withoutBits(pieces: readonly Edge[]): Edge[] {
  const kept: Edge[] = [];
  let start: Pt | null = null;
  pieces.forEach((piece, i) => {
    const from = start ?? piece.a;
    if (!isBit(piece) || pieces.length === 1) {
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
  const chord = norm2(b[0] - a[0], b[1] - a[1]);
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

function linkTo(
  pen: Pen,
  from: LedPass,
  to: LedPass,
  inAir: (p: Pt) => boolean,
  input: GapMovesInput,
): void {
  const feed = input.linkFeedMmPerMin;
  const target = startOf(to);
  const tries: (() => PlanarMove[] | null)[] =
    from.clockwiseRoundWheel === to.clockwiseRoundWheel
      ? [0.45, 0.3, 0.15].map((share) => () => roundLink(pen.at, target, from, to, share, feed))
      : [PART_MM, PART_MM / 3, 0].map((part) => () => turnRound(pen.at, target, from, part, feed));
  for (const make of tries) {
    const link = make();
    if (link && staysIn(pen.at, link, inAir)) {
      pen.append(link);
      return;
    }
  }
  // By way of the gap's axis: longer, and in air.
  const near = from.pass.front.bottomMm;
  for (const share of [0.15, 0.3, 0.5, 0.75, 1]) {
    const x = near + share * (input.travelRadiusMm - near);
    const link = new Pen(pen.at).line([x, 0], feed, 'link').line(target, feed, 'link').moves;
    if (staysIn(pen.at, link, inAir)) {
      pen.append(link);
      return;
    }
  }
  // Out over the rim of the stock and back, for passes that end at it.
  const over = new Pen(pen.at).line(raise(pen.at, input.travelRadiusMm), feed, 'link');
  travelTo(over, raise(target, input.travelRadiusMm), feed);
  over.line(target, feed, 'link');
  if (staysIn(pen.at, over.moves, inAir)) {
    pen.append(over.moves);
    return;
  }
  throw new GapTooTight('there is no way through air from one pass to the next', 0);
}

/** Into the room by `part`, over to the next front's start, and on to it. */
function turnRound(start: Pt, target: Pt, from: LedPass, part: number, feed: number): PlanarMove[] {
  const pen = new Pen(start);
  if (part > 0) {
    const into = intoRoom(from.pass.front, from.end);
    pen.line(
      [(start[0] + target[0]) / 2 + part * into[0], (start[1] + target[1]) / 2 + part * into[1]],
      feed,
      'link',
    );
  }
  pen.line(target, feed, 'link');
  return pen.moves;
}

/** Two arcs of equal radius and their common tangent, all turning left. */
function roundLink(
  start: Pt,
  target: Pt,
  from: LedPass,
  to: LedPass,
  share: number,
  feed: number,
): PlanarMove[] | null {
  const radius = Math.min(
    1.2,
    share * frontRadius(from.pass.front, from.end),
    share * frontRadius(to.pass.front, to.start),
  );
  const o1 = shifted(start, intoRoom(from.pass.front, from.end), radius);
  const o2 = shifted(target, intoRoom(to.pass.front, to.start), radius);
  const dx = o2[0] - o1[0];
  const dy = o2[1] - o1[1];
  const d = norm2(dx, dy);
  if (d < 1e-3) return null;
  // Counter-clockwise circles: the tangent runs with the centres on its left.
  const nx = (dy / d) * radius;
  const ny = (-dx / d) * radius;
  const pen = new Pen(start);
  arcBetween(pen, o1, [o1[0] + nx, o1[1] + ny], feed);
  pen.line([o2[0] + nx, o2[1] + ny], feed, 'link');
  arcBetween(pen, o2, target, feed);
  return pen.moves;
}

/** Counter-clockwise arc about c from the pen to `to`, at most half a turn a piece. */
function arcBetween(pen: Pen, c: Pt, to: Pt, feed: number): void {
  const a0 = Math.atan2(pen.at[1] - c[1], pen.at[0] - c[0]);
  let sweep = Math.atan2(to[1] - c[1], to[0] - c[0]) - a0;
  while (sweep < 0) sweep += 2 * Math.PI;
  const radius = norm2(to[0] - c[0], to[1] - c[1]);
  if (radius * sweep < 1e-3 || 2 * Math.PI - sweep < 1e-6) return;
  pen.sweep(c, sweep, feed, 'link');
  pen.snap(to);
}

/** The point moved along a direction. */
function shifted(p: Pt, direction: Pt, distance: number): Pt {
  return [p[0] + distance * direction[0], p[1] + distance * direction[1]];
}

/** The same direction from the wheel's axis, at a given radius. */
export function raise(p: Pt, radius: number): Pt {
  const d = norm2(p[0], p[1]);
  return [(p[0] / d) * radius, (p[1] / d) * radius];
}

/** Along the travel radius, the short way. */
export function travelTo(pen: Pen, to: Pt, feed: number): void {
  const from = Math.atan2(pen.at[1], pen.at[0]);
  let sweep = Math.atan2(to[1], to[0]) - from;
  if (sweep > Math.PI) sweep -= 2 * Math.PI;
  if (sweep < -Math.PI) sweep += 2 * Math.PI;
  const radius = norm2(to[0], to[1]);
  if (radius * Math.abs(sweep) < 2e-3) return;
  pen.sweep([0, 0], sweep, feed, 'link');
  pen.snap(to);
}

/**
 * From the last pass out of the gap to the travel radius: on the way to the next gap the pillar on
 * the tip between them is taken, clockwise.
 */
function leave(pen: Pen, last: LedPass, inAir: (p: Pt) => boolean, input: GapMovesInput): void {
  const feed = input.linkFeedMmPerMin;
  const { front } = last.pass;
  const part = Math.min(0.4, 0.4 * front.arcs[0]!.radiusMm);
  const away = shifted(pen.at, intoRoom(front, last.end), part);
  const { pillar } = input;
  const exits: Pt[] = pillar
    ? [onCircle(pillar.pathRadiusMm, -pillar.airRad)]
    : [1, 0.75, 0.5, 0.25, 0].map((share) =>
        onCircle(input.travelRadiusMm, -share * input.halfPitchRad),
      );
  const over: Pt = [Math.min(front.arcs[0]!.cx, input.travelRadiusMm), 0];
  const out = onCircle(input.travelRadiusMm, 0);
  const ways = exits.flatMap((exit) => [
    [away, exit],
    [away, over, exit],
    [away, out, raise(exit, input.travelRadiusMm), exit],
  ]);
  const way = ways.find((points) => {
    const trial = new Pen(pen.at);
    for (const point of points) trial.line(point, feed, 'link');
    return staysIn(pen.at, trial.moves, inAir);
  });
  if (!way) throw new GapTooTight('there is no way through air out of the gap', 0);
  for (const point of way) pen.line(point, feed, 'link');
  if (!pillar) return;
  const end = -(2 * input.halfPitchRad - pillar.airRad);
  pen.arc(onCircle(pillar.pathRadiusMm, end), [0, 0], false, pillar.feedMmPerMin, 'cut');
}

function onCircle(radius: number, angle: number): Pt {
  return [radius * Math.cos(angle), radius * Math.sin(angle)];
}

/** Samples moves and asks whether every point is in air. */
function staysIn(start: Pt, moves: readonly PlanarMove[], test: (p: Pt) => boolean): boolean {
  let at = start;
  for (const move of moves) {
    const piece =
      move.kind === 'line'
        ? linePiece(at[0], at[1], move.to[0], move.to[1])
        : arcPiece(at[0], at[1], move.to[0], move.to[1], move.c[0], move.c[1], move.ccw);
    const n = Math.max(4, Math.ceil(pieceLengthMm(piece) / 0.1));
    for (let i = 0; i <= n; i++) {
      const [x, y] = pieceAt(piece, i / n);
      if (!test([x, y])) return false;
    }
    at = move.to;
  }
  return true;
}
