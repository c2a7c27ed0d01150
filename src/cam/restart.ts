/**
 * Starting a program again in the middle.
 *
 * Everything up to the place is taken to be cut as planned, and everything after it as cut by a
 * machine that ran shifted. What is cut again from there meets at most the stock that the plan
 * expected, because nothing puts stock back: engagement and force stay inside the plan's. The rest
 * of the first level is cut in two steps of half the depth all the same, at half the load, as
 * nobody has measured the stock.
 */
import { apart } from '../maths/angle.js';
import { hypot } from '../maths/elementary.js';
import type { Machine } from '../model/machine.js';
import type { LevelHead } from '../model/section.js';
import { type Move, type Pt3, type Toolpath, isCut } from '../model/toolpath.js';
import { type CamPlan, timed } from './sequence.js';
import { OUTPUT_STEP_MM, PLACE_TOL_MM } from '../maths/tolerance.js';
import { APPROACH_MM, type TimedAs } from './steps.js';

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
      apart(at, before) < PLACE_TOL_MM &&
      at[2] < before[2] - PLACE_TOL_MM &&
      at[2] < 0;
    const roundTheWork =
      one.kind === 'arc' &&
      one.role === 'link' &&
      hypot(one.c[0], one.c[1]) < OUTPUT_STEP_MM &&
      before[2] < 0;
    if (straightDown) entries.push({ move: i + 1, at });
    // Entered at its start: what it travels through is air as planned.
    else if (roundTheWork) entries.push({ move: i, at: before });
  }
  return entries.reverse();
}

/** The last move of a kind at or before an index. */
function lastBefore<K extends Move['kind']>(
  moves: readonly Move[],
  index: number,
  kind: K,
): Extract<Move, { kind: K }> | undefined {
  const is = (move: Move): move is Extract<Move, { kind: K }> => move.kind === kind;
  return moves.slice(0, index + 1).findLast(is);
}

/** The level that a move is in; null where it is in none. */
export function levelBefore(moves: readonly Move[], index: number): LevelHead | null {
  const head = lastBefore(moves, index, 'section')?.head;
  return head?.kind === 'rough' || head?.kind === 'finish' ? head : null;
}

export interface RestartCam {
  /** The plan from the entry on, with times, levels and bound of its own. */
  readonly cam: CamPlan;
  /** Index in the new toolpath after the level that is cut in two steps. */
  readonly easedUntil: number;
}

/**
 * Plan from an entry to the end: the air pass again, then the spindle, down in air and on.
 * @param settings  moves between the air pass and the entry, such as setting a datum
 * @throws RangeError where the spindle has not been started before the entry, or it is in no level
 */
export function restartCam(
  cam: CamPlan,
  entry: Entry,
  settings: readonly Move[],
  machine: Machine,
): RestartCam {
  const { start, moves, clearanceZMm } = cam.toolpath;
  const spindle = lastBefore(moves, entry.move, 'spindle');
  const head = levelBefore(moves, entry.move);
  if (!spindle) throw new RangeError(`no spindle before move ${entry.move}`);
  if (!head) throw new RangeError(`move ${entry.move} is in no level`);
  const airEnd = moves.findIndex((move) => move.kind === 'stop' && move.why === 'air-pass') + 1;
  const [x, y, z] = entry.at;
  const { plungeFeedMmPerMin: feedMmPerMin } = cam.process;
  const length = moves
    .slice(entry.move)
    .findIndex(({ kind }) => kind === 'section' || kind === 'stop');
  const end = length < 0 ? moves.length : entry.move + length;
  const level = moves.slice(entry.move, end);
  const enter = (zMm: number): readonly Move[] => [
    { kind: 'rapid', to: [x, y, clearanceZMm] },
    { kind: 'rapid', to: [x, y, APPROACH_MM] },
    { kind: 'line', to: [x, y, zMm], feedMmPerMin, role: 'link' },
  ];
  const above = depthAbove(moves, entry);
  const half = above + (z - above) * FIRST_LEVEL_SHARE;
  // Up where the level ends, which is in air at every depth.
  const up = level
    .filter((move) => 'to' in move)
    .slice(-1)
    .map(({ to }): Move => ({ kind: 'rapid', to: [to[0], to[1], clearanceZMm] }));
  const eased: Move[] = [
    { kind: 'section', head: { ...head, zMm: half, halfDepth: true } },
    spindle,
    ...enter(half),
    ...level.map((move) => atHeight(move, z, half)),
    ...up,
    { kind: 'section', head },
    ...enter(z),
    ...level,
  ];
  const out = [...moves.slice(0, airEnd), ...settings, ...eased, ...moves.slice(end)];
  const timedAs = [
    ...cam.timedAs.slice(0, airEnd),
    ...settings.map((): TimedAs => 'air'),
    ...eased.map((): TimedAs => (head.kind === 'rough' ? 'rough' : 'finish')),
    ...cam.timedAs.slice(end),
  ];
  return {
    cam: {
      ...cam,
      ...restOf(cam, head),
      ...timed({ start, clearanceZMm, moves: out }, timedAs, machine),
    },
    easedUntil: airEnd + settings.length + eased.length,
  };
}

/** What is left of the levels from one on, and of the bound of their time. */
function restOf(cam: CamPlan, { kind, level }: LevelHead) {
  const roughed = kind === 'rough' ? level - 1 : cam.process.levelsMm.length;
  const finished = kind === 'finish' ? level - 1 : 0;
  const levelsMm = cam.process.levelsMm.slice(roughed);
  return {
    process: { ...cam.process, levelsMm },
    finish: { ...cam.finish, levelsMm: cam.finish.levelsMm.slice(finished) },
    roughBoundMin: (cam.roughBoundMin * levelsMm.length) / cam.process.levelsMm.length,
  };
}

/** Depth of the level over an entry's: of the last cut before it that is higher; 0 is the face. */
function depthAbove(moves: readonly Move[], entry: Entry): number {
  const above = moves
    .slice(0, entry.move)
    .filter(isCut)
    .findLast((move) => move.to[2] > entry.at[2] + PLACE_TOL_MM);
  return above?.to[2] ?? 0;
}

/** The same move with depth `from` taken for `to`. */
function atHeight(move: Move, from: number, to: number): Move {
  if (!('to' in move) || Math.abs(move.to[2] - from) > PLACE_TOL_MM) return move;
  return { ...move, to: [move.to[0], move.to[1], to] };
}
