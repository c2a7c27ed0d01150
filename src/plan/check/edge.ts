/** What wears or breaks the edge besides its load: rubbing, the wrong surface speed, standing still, too
 *  long a life. */
import { type PathPiece, distanceToPiece, linePiece } from '../../cam/stock/path-piece.js';
import type { OpLoads, ReplaySetup } from '../../cam/stock/replay.js';
import { TURN_RAD, norm2 } from '../../maths/angle.js';
import { cos, sin } from '../../maths/elementary.js';
import { DEPTH_TOL_MM } from '../../maths/tolerance.js';
import { type Motion, isMotion, pieceOf } from '../../cam/stock/replay/motion.js';
import { livesFor } from '../../machines/bear/edge.js';
import { surfaceSpeedMPerMin } from '../../machines/bear/spindle.js';
import type { CutLimits } from '../../machines/bear/limits.js';
import { feedPerToothMm } from '../../machines/load/chip.js';
import type { Job } from '../../model/job.js';
import { type CanonicalOp, type Pt3, isFeedMove } from '../../model/op.js';
import { eachInCut } from '../odds.js';
import type { CheckFindings } from './findings.js';
import { um } from '../../text/show.js';

/** A surface speed this many times outside the material's range is told. Common practice, no
 *  source: a catalogue's range itself spans a factor of two. */
const FAR_OUTSIDE = 2;
/** A cutter nearer to a wall than this stands against it. mm */
const AGAINST_MM = 0.02;

export function edgeFindings(
  findings: CheckFindings,
  ops: readonly CanonicalOp[],
  loads: OpLoads,
  job: Job,
  limits: CutLimits,
): void {
  const { cutter, machine, material } = job;
  const cuts = ops.flatMap((op, i) => {
    if (!isFeedMove(op) || op.spindleRpm <= 0) return [];
    return loads.engagementRad[i]! > 0 ? [op] : [];
  });
  const floorMm = limits.chipFloorMm;
  const fedMm = (op: (typeof cuts)[number]): number =>
    feedPerToothMm(op.feedMmPerMin, cutter.flutes, op.spindleRpm);
  const slowest = cuts.filter((op) => fedMm(op) < floorMm).sort((a, b) => fedMm(a) - fedMm(b));
  for (const op of slowest) {
    const fed = fedMm(op);
    const text = `feeds ${um(fed)} a tooth; under ${um(floorMm)} this edge rubs instead of cutting: feed faster than ${(floorMm * cutter.flutes * op.spindleRpm).toFixed(0)} mm/min, or turn slower`;
    findings.add(op.line, 'warning', 'rubs', text, fed, floorMm);
  }
  const { low, high } = material.surfaceSpeedMPerMin;
  // What the spindle cannot reach is not asked for.
  const within = Math.min(low, surfaceSpeedMPerMin(cutter.diameterMm, machine.spindle.maxRpm));
  for (const op of cuts) {
    const speed = surfaceSpeedMPerMin(cutter.diameterMm, op.spindleRpm);
    const over = speed / high;
    if (over <= FAR_OUTSIDE && within / speed <= FAR_OUTSIDE) continue;
    const factor = over > 1 ? over : low / speed;
    const text = `cuts at ${speed.toFixed(0)} m/min, ${factor.toFixed(1)} times ${over > 1 ? 'above' : 'below'} the ${low} to ${high} m/min of ${material.id}: check S and the cutter's diameter`;
    findings.add(op.line, 'warning', 'surface-speed', text, speed, over > 1 ? high : low);
    break;
  }
}

/**
 * Where an edge has cut for longer than it lives, each line of its way within all limits: a worn one
 * pushes harder, then breaks. A stop or a tool change is a chance to put in another.
 */
export function edgeLifeFindings(
  findings: CheckFindings,
  ops: readonly CanonicalOp[],
  loads: OpLoads,
  job: Job,
): void {
  const most = Math.max(1, livesFor(job.riskShare));
  const chances = ops.filter((op) => op.op === 'change-tool' || (op.op === 'stop' && !op.optional));
  let edge = { lives: job.basis?.servedLives ?? 0, minutes: 0, line: 0 };
  let worst = edge;
  let next = 0;
  eachInCut(job, loads, ops, (op, inCutMin, used) => {
    for (; next < chances.length && chances[next]!.line < op.line; next++) {
      edge = { lives: 0, minutes: 0, line: 0 };
    }
    edge.lives += used;
    edge.minutes += inCutMin;
    if (edge.line === 0 && edge.lives > most) edge.line = op.line;
    if (edge.lives > worst.lives) worst = edge;
  });
  if (worst.line === 0) return;
  const text = `from here on the edge has served its life: until it may be changed it cuts for ${worst.minutes.toFixed(0)} min, ${worst.lives.toFixed(1)} lives; stop before, high and away, and put in a new one`;
  findings.add(worst.line, 'warning', 'edge-life', text, worst.lives, most);
}

/**
 * Dwells, stops and tool changes with the cutter at a wall of what it has cut, the finished one or
 * another: a mark, and a hard skin.
 */
export function restFindings(
  findings: CheckFindings,
  ops: readonly CanonicalOp[],
  stock: Pick<ReplaySetup, 'blankRadiusMm' | 'holes' | 'before'>,
  radiusMm: number,
): void {
  const swept = (stock.before ?? []).filter(isMotion);
  let at: Pt3 | null = null;
  for (const op of ops) {
    if (isMotion(op)) {
      at = op.to;
      swept.push(op);
      continue;
    }
    const isStop = op.op === 'stop' || op.op === 'change-tool';
    const rests = isStop || (op.op === 'dwell' && op.seconds > 0);
    if (!rests || at === null || at[2] >= -DEPTH_TOL_MM) continue;
    if (!atWall(at, swept, stock, radiusMm)) continue;
    const what = op.op === 'dwell' ? `waits ${op.seconds} s` : 'stops';
    const text = `${what} at Z ${at[2].toFixed(2)} with the cutter against a wall; move away from it first, or up`;
    findings.add(op.line, isStop ? 'error' : 'warning', 'rests-in-cut', text, at[2], 0);
  }
}

/** Places round the cutter at which a wall is looked for: 5 deg of it are seen. */
const WALL_PLACES = 72;

/** Does anything stand beside the tip that no move at its depth or deeper has taken? */
function atWall(
  [x, y, z]: Pt3,
  swept: readonly Motion[],
  { blankRadiusMm, holes }: Pick<ReplaySetup, 'blankRadiusMm' | 'holes'>,
  radiusMm: number,
): boolean {
  const reachMm = radiusMm + AGAINST_MM;
  if (norm2(x, y) > blankRadiusMm + reachMm) return false;
  const near: PathPiece[] = [];
  for (const op of swept) {
    const { from, to } = op;
    const way = pieceOf(op);
    const deep = way === null ? Math.min(from[2], to[2]) : Math.max(from[2], to[2]);
    if (deep > z + DEPTH_TOL_MM) continue;
    const piece = way ?? linePiece(to[0], to[1], to[0], to[1]);
    if (distanceToPiece(x, y, piece) < reachMm + radiusMm) near.push(piece);
  }
  return Array.from({ length: WALL_PLACES }, (_, i) => (TURN_RAD * i) / WALL_PLACES).some((a) => {
    const [px, py] = [x + reachMm * cos(a), y + reachMm * sin(a)];
    if (norm2(px, py) > blankRadiusMm) return false;
    if (holes.some((hole) => norm2(px - hole.x, py - hole.y) < hole.radiusMm)) return false;
    return near.every((piece) => distanceToPiece(px, py, piece) >= radiusMm);
  });
}
