/**
 * The program as flat arrays: one entry for each operation that moves, waits or stops, with the
 * load that the replay found there and the time at which it ends. This is what the page runs on;
 * it passes through a worker or a file unchanged.
 */
import { type Motion, pieceOf as pieceOfMotion, isMotion } from '../../cam/stock/replay/motion.js';
import { type RunRule, mixNumber } from '../../cam/stock/slices.js';
import type { Entries } from '../../cam/stock/timeline.js';
import { type PathPiece, linePiece, pieceLengthMm } from '../../cam/stock/path-piece.js';
import type { MoveRole } from '../../model/toolpath.js';
import type { Plan } from '../../post/plan.js';
import type { CanonicalOp, Pt3 } from '../../model/op.js';
import { norm2 } from '../../maths/angle.js';

/** What an entry does. Arcs lie in the XY plane. */
export const KIND = {
  rapid: 0,
  line: 1,
  arcCw: 2,
  arcCcw: 3,
  wait: 4,
  spindle: 5,
  stop: 6,
  /** The cutter is elsewhere, and nothing is known of the way. */
  jump: 7,
} as const;

/** What a move is for, by number; `none` is a rapid or no move at all. */
export const ROLES = ['none', 'cut', 'finish', 'lead', 'link', 'air'] as const satisfies readonly (
  | MoveRole
  | 'none'
)[];

/** Names of the figures that the replay finds. */
const LOAD_FIGURES = [
  'engagementRad',
  'driveXN',
  'driveYN',
  'resultantN',
  'chipMm',
  'axialMm',
  'powerW',
] as const;

/** Names of the Float32 columns, in the order in which they are stored; `seconds` is the time that the
 *  entry takes. */
export const FIGURES = ['feedMmPerMin', 'spindleRpm', ...LOAD_FIGURES, 'seconds'] as const;

/** Names of the Uint8 columns. */
export const BYTES = ['kind', 'role'] as const;

/** Names of the Float64 columns: where the entry ends (the first starts at the track's `start`), and
 *  the centre of an arc, else 0. mm */
const PLACES = ['x', 'y', 'z', 'cx', 'cy'] as const;

type Columns<Names extends readonly string[], Column> = Readonly<Record<Names[number], Column>>;

/** Per-entry figures; lengths of all columns are equal. */
export type Track = Columns<typeof BYTES, Uint8Array> &
  Columns<typeof PLACES, Float64Array> &
  Columns<typeof FIGURES, Float32Array> & {
    /** 1-based line of the program. */
    readonly line: Uint32Array;
    readonly start: Pt3;
  };

export function emptyTrack(count: number, start: Pt3): Track {
  const columns = <N extends string, C>(names: readonly N[], Column: new (count: number) => C) =>
    Object.fromEntries(names.map((name) => [name, new Column(count)])) as Record<N, C>;
  return {
    ...columns(BYTES, Uint8Array),
    line: new Uint32Array(count),
    ...columns(PLACES, Float64Array),
    ...columns(FIGURES, Float32Array),
    start,
  };
}

/** Track of a planned job. Each move's time is shared among the lines it was written on. */
export function trackOf({ replay, cam, program }: Plan): Track {
  const { ops } = program;
  const kept = [...ops.keys()].filter((i) => ops[i]!.op in KIND_OF);
  const track = pathOf(kept.map((i) => ops[i]!));
  for (const name of LOAD_FIGURES) {
    const from = replay.loads[name];
    kept.forEach((op, i) => (track[name][i] = from[op]!));
  }
  shareTimes(track, cam, program);
  return track;
}

/**
 * What was cut before a program begins, up to where the cutter stands then; null where it is nothing.
 * It has neither loads nor times.
 */
export function trackBefore({ before, program }: Plan): Track | null {
  const motions = [...before, ...program.ops].filter(isMotion);
  const count = before.filter(isMotion).length;
  if (count === 0) return null;
  const steps = motions.slice(0, count + 1).flatMap((op, i): Step[] => {
    const last = motions[i - 1]?.to ?? op.from;
    const jumps = op.from.some((v, axis) => v !== last[axis]) || i === count;
    const jump: Step = { op: 'jump', line: op.line, to: op.from };
    return [...(jumps ? [jump] : []), ...(i < count ? [op] : [])];
  });
  return pathOf(steps);
}

type Step = CanonicalOp | { readonly op: 'jump'; readonly line: number; readonly to: Pt3 };

function pathOf(steps: readonly Step[]): Track {
  const first = steps.find((op) => 'from' in op);
  const track = emptyTrack(steps.length, first?.from ?? [0, 0, 0]);
  let at = track.start;
  let rpm = 0;
  steps.forEach((op, i) => {
    track.kind[i] = op.op === 'arc' && op.ccw ? KIND.arcCcw : KIND_OF[op.op]!;
    track.line[i] = op.line;
    if (op.op === 'spindle') rpm = op.on ? op.rpm : 0;
    if (op.op === 'arc') [track.cx[i], track.cy[i]] = op.center;
    if ('feedMmPerMin' in op) track.feedMmPerMin[i] = op.feedMmPerMin;
    track.spindleRpm[i] = 'spindleRpm' in op ? op.spindleRpm : rpm;
    if ('to' in op) at = op.to;
    [track.x[i], track.y[i], track.z[i]] = at;
  });
  return track;
}

/** One track and then another, which starts where the first ends. */
function joined(first: Track, then: Track): Track {
  const count = first.kind.length;
  const whole = emptyTrack(count + then.kind.length, first.start);
  for (const name of ['kind', 'x', 'y', 'z', 'cx', 'cy'] as const) {
    whole[name].set(first[name]);
    whole[name].set(then[name], count);
  }
  return whole;
}

/** Kinds of the operations that are kept, by name; an arc may also run the other way. */
const KIND_OF: Readonly<Partial<Record<Step['op'], number>>> = {
  rapid: KIND.rapid,
  feed: KIND.line,
  probe: KIND.line,
  arc: KIND.arcCw,
  dwell: KIND.wait,
  spindle: KIND.spindle,
  stop: KIND.stop,
  jump: KIND.jump,
};

/** Roles and times belong to moves; a move may be on several lines, each at least one entry. */
function shareTimes(
  track: Track,
  cam: Plan['cam'],
  { moveLines, moveLineCounts }: Plan['program'],
): void {
  const { moves } = cam.toolpath;
  const count = track.line.length;
  let i = 0;
  moves.forEach((move, m) => {
    const from = moveLines[m] as number;
    const end = from + (moveLineCounts[m] as number);
    while (i < count && (track.line[i] as number) < from) i++;
    const first = i;
    while (i < count && (track.line[i] as number) < end) i++;
    const role = 'role' in move ? ROLES.indexOf(move.role) : 0;
    track.role.fill(role, first, i);
    const seconds = cam.secondsOf[m] as number;
    if (i - first === 1) {
      // One entry takes it all, unless it takes no time whatever it is.
      if (track.kind[first]! <= KIND.wait) track.seconds[first] = seconds;
      return;
    }
    const weights = Array.from({ length: i - first }, (_, k) => weight(track, first + k));
    const total = weights.reduce((sum, w) => sum + w, 0);
    if (total > 0) weights.forEach((w, k) => (track.seconds[first + k] = (seconds * w) / total));
  });
}

/** Share of a move's time: length of a motion; a wait takes all of its move's. */
function weight(track: Track, i: number): number {
  if (track.kind[i] === KIND.wait) return 1;
  const motion = motionOf(track, i);
  return motion ? norm2(pieceLengthMm(pieceOf(motion)), motion.to[2] - motion.from[2]) : 0;
}

/** Place at which an entry starts. */
export function startOf(track: Track, i: number): readonly [number, number, number] {
  return i === 0 ? track.start : [track.x[i - 1]!, track.y[i - 1]!, track.z[i - 1]!];
}

/** An entry as a motion of the program; null for one that does not move. */
export function motionOf(track: Track, i: number): Motion | null {
  const kind = track.kind[i]!;
  if (kind > KIND.arcCcw) return null;
  const line = track.line[i]!;
  const from = startOf(track, i);
  const to = [track.x[i]!, track.y[i]!, track.z[i]!] as const;
  if (kind === KIND.rapid) return { op: 'rapid', line, from, to };
  const feedMmPerMin = track.feedMmPerMin[i]!;
  const spindleRpm = track.spindleRpm[i]!;
  if (kind === KIND.line) return { op: 'feed', line, from, to, feedMmPerMin, spindleRpm };
  const center = [track.cx[i]!, track.cy[i]!] as const;
  const ccw = kind === KIND.arcCcw;
  // Written out: a program has tens of thousands of these, and spreading is slow.
  return {
    op: 'arc',
    line,
    from,
    to,
    plane: 'xy',
    center,
    ccw,
    feedMmPerMin,
    spindleRpm,
    radiusErrorMm: 0,
  };
}

/**
 * The program as the stock model takes it.
 * @param before  what was cut before it begins
 */
export function programOf(track: Track, before: Track | null): Entries {
  const whole = before ? joined(before, track) : track;
  const count = before?.kind.length ?? 0;
  const { kind, x, y, cx, cy } = whole;
  const moves = (entry: number): boolean => kind[entry]! <= KIND.arcCcw;
  const rule: RunRule = {
    mix: (hash, i) => mixNumber(mixNumber(hash, x[i]!), y[i]!),
    same: (a, b) =>
      x[a] === x[b] &&
      y[a] === y[b] &&
      kind[a] === kind[b] &&
      cx[a] === cx[b] &&
      cy[a] === cy[b] &&
      a < count === b < count,
    sameStart: (a, b) => {
      const from = startOf(whole, a);
      const other = startOf(whole, b);
      return from[0] === other[0] && from[1] === other[1];
    },
  };
  const motionAt = (entry: number) => motionOf(whole, entry);
  return { count: kind.length, before: count, moves, motionAt, rule };
}

/** Path of a motion in the plane; a line without length for one that stands still there. */
export function pieceOf(motion: Motion): PathPiece {
  const { to } = motion;
  return pieceOfMotion(motion) ?? linePiece(to[0], to[1], to[0], to[1]);
}

/** First entry, from `from` on, that ends at a time or after it. */
export function firstEndingAt(ends: Float64Array, timeS: number, from = 0): number {
  let low = from;
  let high = ends.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (ends[middle]! < timeS) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Time at which each entry ends, s from the start of the program. */
export function endTimes(track: Track): Float64Array {
  const ends = new Float64Array(track.seconds.length);
  let t = 0;
  track.seconds.forEach((s, i) => (ends[i] = t += s));
  return ends;
}
