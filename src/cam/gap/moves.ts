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
import type { Pt } from '../../model/edges.js';
import {
  type PathPiece,
  arcPiece,
  linePiece,
  pieceAt,
  pieceLengthMm,
} from '../stock/path-piece.js';
import { type Front, frontRadius, intoRoom, onFront, outOfRoom } from './front-shape.js';
import { GapEngagement, type GapPlan, GapTooTight } from './front.js';
import {
  type EndSpeeds,
  type LedPass,
  type PassFeeds,
  type PassLimits,
  ledPass,
  passFeeds,
  passMoves,
  shifted,
  startOf,
} from './pass.js';
import { Pen, type PlanarMove } from '../planar.js';
import { TURN_RAD } from '../../maths/angle.js';
import {
  feedOfSpeed,
  speedAfter,
  speedOfFeed,
  squareGain,
  trapezoidS,
} from '../../maths/motion.js';
import { norm2 } from '../../maths/norm.js';
import { PLACE_TOL_MM } from '../../maths/tolerance.js';
import { atRadius, polar } from '../../profile/geometry/edge.js';

/** `climb`: every pass with the material on the right hand. `both-ways`: alternate passes. */
export type RoughDirection = 'climb' | 'both-ways';

export interface GapMovesInput extends PassLimits {
  readonly plan: GapPlan;
  readonly halfPitchRad: number;
  /** Radius on which the cutter travels from gap to gap. mm */
  readonly travelRadiusMm: number;
  /** Pillar on the tip towards the next gap; null where the ring is gone. */
  readonly pillar: PillarCut | null;
  readonly direction: RoughDirection;
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

/** How far the cutter parts from the wall when it turns round: the first that stays in air. mm */
const PARTS_MM = [0.04, 0.013, 0, 0.1, 0.2, 0.4, 0.8];
export function gapMoves(input: GapMovesInput): GapMoves {
  const { plan, travelRadiusMm, linkFeedMmPerMin } = input;
  const led = plan.passes.map((pass, i) =>
    ledPass(pass, input.direction === 'climb' || i % 2 === 0),
  );
  const first = led[0];
  if (!first) {
    return { start: [travelRadiusMm, 0], moves: [], end: [travelRadiusMm, 0], leadsToNext: false };
  }
  const fronts: Front[] = [plan.ring, ...plan.passes.map((p) => p.front)];
  const inAir = (p: Pt, upTo: number): boolean => {
    for (let k = upTo; k >= 0; k--)
      if (outOfRoom(fronts[k]!, p[0], p[1]) <= PLACE_TOL_MM) return true;
    return false;
  };
  const enterAt = startOf(first);
  const start = atRadius(enterAt, travelRadiusMm);
  const measure = new GapEngagement(plan.cutterRadiusMm);
  // Where the cutter turns round it stands still; the way back to the next front is its run-up.
  const ends = (i: number): EndSpeeds => {
    if (input.direction === 'climb') return { entryMmPerMin: Infinity, exitMmPerMin: Infinity };
    if (i === 0) return { entryMmPerMin: Infinity, exitMmPerMin: 0 };
    const [a, b] = [onFront(led[i - 1]!.pass.front, led[i - 1]!.end), startOf(led[i]!)];
    const runUpMm = norm2(b[0] - a[0], b[1] - a[1]);
    const gain = squareGain(input.accelerationMmPerS2, runUpMm);
    const entryMmPerMin = feedOfSpeed(speedAfter(0, gain));
    return { entryMmPerMin, exitMmPerMin: 0 };
  };
  const feeds = led.map((pass, i) =>
    passFeeds(pass, fronts.slice(Math.max(0, i - 8), i + 1), measure, input, ends(i)),
  );
  // Ways through air from each pass to the next, and out after the last.
  const ways = led.map((pass, i) => {
    const way = new Pen(onFront(pass.pass.front, pass.end));
    const next = led[i + 1];
    if (next) linkTo(way, pass, next, (p) => inAir(p, i + 1), input);
    else leave(way, pass, (p) => inAir(p, led.length), input);
    return way.moves;
  });
  const pen = new Pen(start).line(enterAt, linkFeedMmPerMin, 'link');
  const passes = drawn(start, feeds, ways);
  led.forEach((_, i) => pen.append(passes[i]!).append(ways[i]!));
  // What the pillar's path has passed over is air: the next gap's start must not lie beyond it.
  const { pillar } = input;
  const leadsToNext = pillar !== null && Math.atan2(enterAt[1], enterAt[0]) >= pillar.airRad;
  return { start, moves: pen.moves, end: pen.at, leadsToNext };
}

/** Travel time that a change of feed must save, s: the first with which the blocks of a gap are
 *  long enough. More than the last would cost time for nothing. */
const PRICES_S = [0.003, 0.004, 0.005, 0.006, 0.007, 0.008, 0.011, 0.015];
/** Blocks that a gap has for each millimetre of path at most. A program's joints between gaps add
 *  a little: its own limit is one block in half a millimetre. */
const MOST_BLOCKS_PER_MM = 1.95;

/** The passes, with no more changes of feed than make blocks of a fair length. */
function drawn(
  start: Pt,
  feeds: readonly PassFeeds[],
  ways: readonly (readonly PlanarMove[])[],
): readonly (readonly PlanarMove[])[] {
  let passes: readonly (readonly PlanarMove[])[] = [];
  for (const price of PRICES_S) {
    passes = feeds.map((along) => passMoves(along, price));
    const moves = passes.flatMap((pass, i) => [...pass, ...ways[i]!]);
    if (moves.length <= MOST_BLOCKS_PER_MM * pathLengthMm(start, moves)) break;
  }
  return passes;
}

function pathLengthMm(start: Pt, moves: readonly PlanarMove[]): number {
  let at = start;
  let length = 0;
  for (const move of moves) {
    length += pieceLengthMm(pieceOf(at, move));
    at = move.to;
  }
  return length;
}

function pieceOf(at: Pt, { to, ...move }: PlanarMove): PathPiece {
  return move.kind === 'line'
    ? linePiece(at[0], at[1], to[0], to[1])
    : arcPiece(at[0], at[1], to[0], to[1], move.c[0], move.c[1], move.ccw);
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
      : PARTS_MM.map((part) => () => turnRound(pen.at, target, from, part, feed));
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
  const over = new Pen(pen.at).line(atRadius(pen.at, input.travelRadiusMm), feed, 'link');
  travelTo(over, atRadius(target, input.travelRadiusMm), feed);
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
  while (sweep < 0) sweep += TURN_RAD;
  const radius = norm2(to[0] - c[0], to[1] - c[1]);
  if (radius * sweep < 1e-3 || TURN_RAD - sweep < 1e-6) return;
  pen.sweep(c, sweep, feed, 'link');
  pen.snap(to);
}

/** Along the travel radius, the short way. */
export function travelTo(pen: Pen, to: Pt, feed: number): void {
  const from = Math.atan2(pen.at[1], pen.at[0]);
  let sweep = Math.atan2(to[1], to[0]) - from;
  if (sweep > Math.PI) sweep -= TURN_RAD;
  if (sweep < -Math.PI) sweep += TURN_RAD;
  const radius = norm2(to[0], to[1]);
  if (radius * Math.abs(sweep) < 2e-3) return;
  pen.sweep([0, 0], sweep, feed, 'link');
  pen.snap(to);
}

/**
 * From the last pass out of the gap to the travel radius: on the way to the next gap the pillar on
 * the tip between them is taken, clockwise. Of the ways through air with one bend or two, the
 * quickest.
 */
function leave(pen: Pen, last: LedPass, inAir: (p: Pt) => boolean, input: GapMovesInput): void {
  const feed = input.linkFeedMmPerMin;
  const { front } = last.pass;
  const { pillar } = input;
  const part = Math.min(0.4, 0.4 * front.arcs[0]!.radiusMm);
  const away = shifted(pen.at, intoRoom(front, last.end), part);
  const exits: Pt[] = pillar
    ? [polar(pillar.pathRadiusMm, -pillar.airRad)]
    : [1, 0.75, 0.5, 0.25, 0].map((share) =>
        polar(input.travelRadiusMm, -share * input.halfPitchRad),
      );
  const bends: Pt[] = BENDS.flatMap((out) => {
    const radius = front.bottomMm + out * (input.travelRadiusMm - front.bottomMm);
    return BENDS.map((share) => polar(radius, -share * input.halfPitchRad));
  });
  const out = polar(input.travelRadiusMm, 0);
  const ways = exits.flatMap((exit) => [
    [exit],
    [away, exit],
    ...bends.flatMap((bend) => [
      [bend, exit],
      [away, bend, exit],
    ]),
    [away, out, atRadius(exit, input.travelRadiusMm), exit],
  ]);
  const timed = ways
    .map((points) => ({ points, seconds: wayS(pen.at, points, input) }))
    .sort((a, b) => a.seconds - b.seconds);
  const way = timed.find(({ points }) => {
    const trial = new Pen(pen.at);
    for (const point of points) trial.line(point, feed, 'link');
    return staysIn(pen.at, trial.moves, inAir);
  });
  if (!way) throw new GapTooTight('there is no way through air out of the gap', 0);
  for (const point of way.points) pen.line(point, feed, 'link');
  if (!pillar) return;
  const end = -(2 * input.halfPitchRad - pillar.airRad);
  pen.arc(polar(pillar.pathRadiusMm, end), [0, 0], false, pillar.feedMmPerMin, 'cut');
}

/** Where a way out of a gap may bend: shares of the way out, and of half the pitch angle. */
const BENDS = [0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1];

/** Time of straight moves, each from rest to rest. s */
function wayS(start: Pt, points: readonly Pt[], input: GapMovesInput): number {
  const a = input.accelerationMmPerS2;
  let at = start;
  let seconds = 0;
  for (const to of points) {
    seconds += trapezoidS(
      norm2(to[0] - at[0], to[1] - at[1]),
      0,
      speedOfFeed(input.linkFeedMmPerMin),
      0,
      a,
    );
    at = to;
  }
  return seconds;
}

/** Samples moves and asks whether every point is in air. */
function staysIn(start: Pt, moves: readonly PlanarMove[], test: (p: Pt) => boolean): boolean {
  let at = start;
  for (const move of moves) {
    const piece = pieceOf(at, move);
    const n = Math.max(4, Math.ceil(pieceLengthMm(piece) / 0.1));
    for (let i = 0; i <= n; i++) {
      const [x, y] = pieceAt(piece, i / n);
      if (!test([x, y])) return false;
    }
    at = move.to;
  }
  return true;
}
