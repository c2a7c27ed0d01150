/**
 * Starting a program again in the middle.
 *
 * Everything up to the place is taken to be cut as planned, and everything after it as cut by a
 * machine that ran shifted. What is cut again from there meets at most the stock that the plan
 * expected, because nothing puts stock back: engagement and force stay inside the plan's. The rest
 * of the first level is cut in two steps of half the depth all the same, at half the load, as
 * nobody has measured the stock.
 */
import { OUTPUT_STEP_MM, PLACE_TOL_MM } from '../maths/tolerance.js';
import type { Move, Pt3, Toolpath } from '../model/toolpath.js';
import { APPROACH_MM } from './steps.js';

/** Share of the stepdown at which the rest of the first level is cut, one step after the other. */
export const FIRST_LEVEL_SHARE = 0.5;

/** A place where the cutter can come down in air. */
export interface Entry {
  /** The first move to be made again. */
  readonly move: number;
  readonly at: Pt3;
}

/**
 * Places to enter at, the last one at or before a move first: the way from gap to gap outside the
 * work, and the start of a level or pass, where the cutter comes down.
 */
export function entriesBefore(toolpath: Toolpath, move: number): Entry[] {
  const { moves } = toolpath;
  const entries: Entry[] = [];
  let at = toolpath.start;
  for (let i = 0; i < moves.length && i <= move; i++) {
    const one = moves[i]!;
    if (!('to' in one)) continue;
    const before = at;
    at = one.to;
    const straightDown =
      one.kind === 'line' &&
      Math.hypot(at[0] - before[0], at[1] - before[1]) < PLACE_TOL_MM &&
      at[2] < before[2] - PLACE_TOL_MM &&
      at[2] < 0;
    const roundTheWork =
      one.kind === 'arc' &&
      one.role === 'link' &&
      Math.hypot(one.c[0], one.c[1]) < OUTPUT_STEP_MM &&
      before[2] < 0;
    if (straightDown) entries.push({ move: i + 1, at });
    // Entered at its start: what it travels through is air as planned.
    else if (roundTheWork) entries.push({ move: i, at: before });
  }
  return entries.reverse();
}

/** Heading of the section that a move is in. */
export function headingBefore(moves: readonly Move[], index: number): string {
  for (let i = Math.min(index, moves.length - 1); i >= 0; i--) {
    const move = moves[i]!;
    if (move.kind === 'note') return move.text;
  }
  return '';
}

/** Speed and dwell of the spindle as it turns at a move. */
function spindleBefore(moves: readonly Move[], index: number) {
  for (let i = index; i >= 0; i--) {
    const move = moves[i]!;
    if (move.kind === 'spindle') return move;
  }
  return null;
}

export interface RestartParts {
  readonly toolpath: Toolpath;
  /** Index in the new toolpath of the first move that is made again. */
  readonly firstMove: number;
  /** Index in the new toolpath after the level that is cut in two steps. */
  readonly easedUntil: number;
}

/**
 * Toolpath from an entry to the end: the air pass again, then the spindle, down in air and on.
 * @param settings  moves between the air pass and the entry, such as setting a datum
 * @throws RangeError where the spindle has not been started before the entry
 */
export function restartToolpath(
  toolpath: Toolpath,
  entry: Entry,
  plungeFeedMmPerMin: number,
  settings: readonly Move[],
): RestartParts {
  const { moves, clearanceZMm } = toolpath;
  const spindle = spindleBefore(moves, entry.move);
  if (!spindle) throw new RangeError(`no spindle before move ${entry.move}`);
  const airEnd = moves.findIndex((move) => move.kind === 'stop');
  const [x, y, z] = entry.at;
  let end = entry.move;
  while (end < moves.length && !endsLevel(moves[end]!)) end++;
  const level = moves.slice(entry.move, end);
  const enter = (zMm: number): readonly Move[] => [
    { kind: 'rapid', to: [x, y, clearanceZMm] },
    { kind: 'rapid', to: [x, y, APPROACH_MM] },
    { kind: 'line', to: [x, y, zMm], feedMmPerMin: plungeFeedMmPerMin, role: 'link' },
  ];
  const out: Move[] = [...moves.slice(0, airEnd + 1), ...settings];
  out.push(
    { kind: 'note', text: `RESTART AT HALF DEPTH IN ${headingBefore(moves, entry.move)}` },
    spindle,
  );
  const above = depthAbove(moves, entry);
  const half = above + (z - above) * FIRST_LEVEL_SHARE;
  out.push(...enter(half));
  const firstMove = out.length;
  out.push(...level.map((move) => atHeight(move, z, half)));
  // Up where it ends, which is in air at every level.
  const last = level.findLast((move) => 'to' in move);
  if (last && 'to' in last) out.push({ kind: 'rapid', to: [last.to[0], last.to[1], clearanceZMm] });
  out.push({ kind: 'note', text: `RESTART IN ${headingBefore(moves, entry.move)}` });
  out.push(...enter(z), ...level);
  const easedUntil = out.length;
  out.push(...moves.slice(end));
  return { toolpath: { start: toolpath.start, clearanceZMm, moves: out }, firstMove, easedUntil };
}

/** Depth of the level over an entry's: of the last cut before it that is higher; 0 is the face. */
function depthAbove(moves: readonly Move[], entry: Entry): number {
  for (let i = entry.move - 1; i >= 0; i--) {
    const move = moves[i]!;
    if (move.kind !== 'line' && move.kind !== 'arc') continue;
    if (move.role !== 'cut' && move.role !== 'finish') continue;
    if (move.to[2] > entry.at[2] + PLACE_TOL_MM) return move.to[2];
  }
  return 0;
}

function endsLevel(move: Move): boolean {
  return move.kind === 'note' || move.kind === 'stop';
}

/** The same move with depth `from` taken for `to`. */
function atHeight(move: Move, from: number, to: number): Move {
  if (!('to' in move) || Math.abs(move.to[2] - from) > PLACE_TOL_MM) return move;
  return { ...move, to: [move.to[0], move.to[1], to] };
}
