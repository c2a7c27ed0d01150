/** What wears or breaks the edge besides its load: rubbing, the wrong surface speed, standing still. */
import type { OpLoads } from '../../cam/stock/replay.js';
import { DEPTH_TOL_MM } from '../../maths/tolerance.js';
import { isMotion } from '../../cam/stock/replay/motion.js';
import { surfaceSpeedMPerMin } from '../../machines/bear/spindle.js';
import type { CutLimits } from '../../machines/bear/limits.js';
import { feedPerToothMm } from '../../machines/load/chip.js';
import type { Job } from '../../model/job.js';
import type { CanonicalOp, Pt3 } from '../../model/op.js';
import type { CheckFindings } from './findings.js';

/** A surface speed this many times outside the material's range is told. Common practice, no
 *  source: a catalogue's range itself spans a factor of two. */
const FAR_OUTSIDE = 2;
/** A cutter nearer to the finished wall than this stands against it. mm */
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
    if ((op.op !== 'feed' && op.op !== 'arc') || op.spindleRpm <= 0) return [];
    return loads.engagementRad[i]! > 0 ? [op] : [];
  });
  const floorMm = limits.chipFloorMm;
  const fedMm = (op: (typeof cuts)[number]): number =>
    feedPerToothMm(op.feedMmPerMin, cutter.flutes, op.spindleRpm);
  const um = (mm: number): string => (mm * 1000).toFixed(1);
  const slowest = cuts.filter((op) => fedMm(op) < floorMm).sort((a, b) => fedMm(a) - fedMm(b));
  for (const op of slowest) {
    const fed = fedMm(op);
    const text = `feeds ${um(fed)} um a tooth; under ${um(floorMm)} um this edge rubs instead of cutting: feed faster than ${(floorMm * cutter.flutes * op.spindleRpm).toFixed(0)} mm/min, or turn slower`;
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
 * Dwells and stops where the last cut ended, or beside the finished wall: a mark, and a hard skin.
 * @param field  distance of a place to the finished outline. mm
 */
export function restFindings(
  findings: CheckFindings,
  ops: readonly CanonicalOp[],
  loads: OpLoads,
  field: ((x: number, y: number) => number) | null,
  radiusMm: number,
): void {
  let at: Pt3 | null = null;
  let cutting = false;
  for (const [i, op] of ops.entries()) {
    if (isMotion(op)) {
      at = op.to;
      cutting = loads.engagementRad[i]! > 0;
      continue;
    }
    const rests = op.op === 'stop' || (op.op === 'dwell' && op.seconds > 0);
    if (!rests || at === null || at[2] >= -DEPTH_TOL_MM) continue;
    const beside = field !== null && field(at[0], at[1]) < radiusMm + AGAINST_MM;
    if (!cutting && !beside) continue;
    const what = op.op === 'stop' ? 'stops' : `waits ${op.seconds} s`;
    const text = `${what} at Z ${at[2].toFixed(2)} with the cutter against a wall; move away from it first, or up`;
    findings.add(op.line, op.op === 'stop' ? 'error' : 'warning', 'rests-in-cut', text, at[2], 0);
  }
}
