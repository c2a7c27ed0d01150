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
import { atan2 } from '../../maths/elementary.js';
import type { Pt } from '../../model/edges.js';
import {
  type PathPiece,
  arcPiece,
  linePiece,
  pieceAt,
  pieceLengthMm,
} from '../stock/path-piece.js';
import { type Front, frontRadius, intoRoom, onFront, outOfRoom } from './front-shape.js';
import { GapEngagement } from './engagement.js';
import { type GapPlan, GapTooTight } from './front.js';
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
import { TURN_RAD, apart, wrapRad, norm2 } from '../../maths/angle.js';
import {
  feedOfSpeed,
  speedAfter,
  speedOfFeed,
  squareGain,
  trapezoidS,
} from '../../maths/motion.js';
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
  if (!first) return { start: [travelRadiusMm, 0], moves: [], leadsToNext: false };
  const fronts: Front[] = [plan.ring, ...plan.passes.map((p) => p.front)];
  const inAir = (p: Pt, upTo: number): boolean => {
    for (let k = upTo; k >= 0; k--) {
      if (outOfRoom(fronts[k]!, p[0], p[1]) <= PLACE_TOL_MM) return true;
    }
    return false;
  };
  const enterAt = startOf(first);
  const start = atRadius(enterAt, travelRadiusMm);
  const measure = new GapEngagement(plan.cutterRadiusMm);
  // Where the cutter turns round it stands still; the way back to the next front is its run-up.
  const ends = (i: number): EndSpeeds => {
    if (input.direction === 'climb') return { entryMmPerMin: Infinity, exitMmPerMin: Infinity };
    if (i === 0) return { entryMmPerMin: Infinity, exitMmPerMin: 0 };
    const [a, b] = [endOf(led[i - 1]!), startOf(led[i]!)];
    const gain = squareGain(input.accelerationMmPerS2, apart(b, a));
    return { entryMmPerMin: feedOfSpeed(speedAfter(0, gain)), exitMmPerMin: 0 };
  };
  const feeds = led.map((pass, i) =>
    passFeeds(pass, fronts.slice(0, i + 1), measure, input, ends(i)),
  );
  // Ways through air from each pass to the next, and out after the last.
  const ways = led.map((pass, i) => {
    const way = new Pen(endOf(pass));
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
  const leadsToNext = pillar !== null && atan2(enterAt[1], enterAt[0]) >= pillar.airRad;
  return { start, moves: pen.moves, leadsToNext };
}

/** Where a pass ends. */
function endOf(led: LedPass): Pt {
  return onFront(led.pass.front, led.end);
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
    const lengthMm = piecesOf(start, moves).reduce((sum, piece) => sum + pieceLengthMm(piece), 0);
    if (moves.length <= MOST_BLOCKS_PER_MM * lengthMm) break;
  }
  return passes;
}

function piecesOf(start: Pt, moves: readonly PlanarMove[]): PathPiece[] {
  return moves.map((move, i) => {
    const [ax, ay] = moves[i - 1]?.to ?? start;
    const [bx, by] = move.to;
    return move.kind === 'line'
      ? linePiece(ax, ay, bx, by)
      : arcPiece(ax, ay, bx, by, move.c[0], move.c[1], move.ccw);
  });
}

function linkTo(
  pen: Pen,
  from: LedPass,
  to: LedPass,
  inAir: (p: Pt) => boolean,
  input: GapMovesInput,
): void {
  for (const link of linksBetween(pen.at, from, to, input)) {
    if (staysIn(pen.at, link, inAir)) return void pen.append(link);
  }
  throw new GapTooTight('there is no way through air from one pass to the next');
}

/** Ways from one pass to the next, the better ones first; not all of them in air. */
function* linksBetween(
  at: Pt,
  from: LedPass,
  to: LedPass,
  { linkFeedMmPerMin: feed, travelRadiusMm }: GapMovesInput,
): Generator<readonly PlanarMove[]> {
  const target = startOf(to);
  if (from.clockwiseRoundWheel === to.clockwiseRoundWheel) {
    for (const share of [0.45, 0.3, 0.15]) {
      const link = roundLink(at, target, from, to, share, feed);
      if (link) yield link;
    }
  } else {
    for (const part of PARTS_MM) yield turnRound(at, target, from, part, feed);
  }
  // By way of the gap's axis: longer, and in air.
  const near = from.pass.front.bottomMm;
  for (const share of [0.15, 0.3, 0.5, 0.75, 1]) {
    const x = near + share * (travelRadiusMm - near);
    yield new Pen(at).line([x, 0], feed, 'link').line(target, feed, 'link').moves;
  }
  // Out over the rim of the stock and back, for passes that end at it.
  yield new Pen(at)
    .line(atRadius(at, travelRadiusMm), feed, 'link')
    .travel(atRadius(target, travelRadiusMm), feed)
    .line(target, feed, 'link').moves;
}

/** Into the room by `part`, over to the next front's start, and on to it. */
function turnRound(start: Pt, target: Pt, from: LedPass, part: number, feed: number): PlanarMove[] {
  const pen = new Pen(start);
  if (part > 0) {
    const middle: Pt = [(start[0] + target[0]) / 2, (start[1] + target[1]) / 2];
    pen.line(shifted(middle, intoRoom(from.pass.front, from.end), part), feed, 'link');
  }
  return pen.line(target, feed, 'link').moves;
}

/** Two arcs of equal radius and their common tangent, all turning left. */
function roundLink(
  start: Pt,
  target: Pt,
  from: LedPass,
  to: LedPass,
  share: number,
  feed: number,
): readonly PlanarMove[] | null {
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
  const from = atan2(pen.at[1] - c[1], pen.at[0] - c[0]);
  const sweep = wrapRad(atan2(to[1] - c[1], to[0] - c[0]) - from);
  const radius = apart(to, c);
  if (radius * sweep >= 1e-3 && TURN_RAD - sweep >= 1e-6)
    pen.sweep(c, sweep, feed, 'link').snap(to);
}

/**
 * From the last pass out of the gap to the travel radius: on the way to the next gap the pillar on
 * the tip between them is taken, clockwise. Of the ways through air with one bend or two, the
 * quickest.
 */
function leave(pen: Pen, last: LedPass, inAir: (p: Pt) => boolean, input: GapMovesInput): void {
  const { linkFeedMmPerMin: feed, travelRadiusMm, halfPitchRad, pillar } = input;
  const { front } = last.pass;
  const part = Math.min(0.4, 0.4 * front.arcs[0]!.radiusMm);
  const away = shifted(pen.at, intoRoom(front, last.end), part);
  const exits: Pt[] = pillar
    ? [polar(pillar.pathRadiusMm, -pillar.airRad)]
    : [1, 0.75, 0.5, 0.25, 0].map((share) => polar(travelRadiusMm, -share * halfPitchRad));
  const bends: Pt[] = BENDS.flatMap((out) => {
    const radius = front.bottomMm + out * (travelRadiusMm - front.bottomMm);
    return BENDS.map((share) => polar(radius, -share * halfPitchRad));
  });
  const out = polar(travelRadiusMm, 0);
  const ways = exits.flatMap((exit) => [
    [exit],
    [away, exit],
    ...bends.flatMap((bend) => [
      [bend, exit],
      [away, bend, exit],
    ]),
    [away, out, atRadius(exit, travelRadiusMm), exit],
  ]);
  const way = ways
    .map((points) => ({ points, seconds: wayS(pen.at, points, input) }))
    .sort((a, b) => a.seconds - b.seconds)
    .find(({ points }) => staysIn(pen.at, new Pen(pen.at).links(points, feed).moves, inAir));
  if (!way) throw new GapTooTight('there is no way through air out of the gap');
  pen.links(way.points, feed);
  if (!pillar) return;
  const end = -(2 * halfPitchRad - pillar.airRad);
  pen.arc(polar(pillar.pathRadiusMm, end), [0, 0], false, pillar.feedMmPerMin, 'cut');
}

/** Where a way out of a gap may bend: shares of the way out, and of half the pitch angle. */
const BENDS = [0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1];

/** Time of straight moves, each from rest to rest. s */
function wayS(start: Pt, points: readonly Pt[], input: GapMovesInput): number {
  const speed = speedOfFeed(input.linkFeedMmPerMin);
  return points.reduce((seconds, to, i) => {
    const at = points[i - 1] ?? start;
    const length = apart(to, at);
    return seconds + trapezoidS(length, 0, speed, 0, input.accelerationMmPerS2);
  }, 0);
}

/** Samples moves and asks whether every point is in air. */
function staysIn(start: Pt, moves: readonly PlanarMove[], test: (p: Pt) => boolean): boolean {
  return piecesOf(start, moves).every((piece) => {
    const n = Math.max(4, Math.ceil(pieceLengthMm(piece) / 0.1));
    for (let i = 0; i <= n; i++) {
      const [x, y] = pieceAt(piece, i / n);
      if (!test([x, y])) return false;
    }
    return true;
  });
}
