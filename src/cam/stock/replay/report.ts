import type { CanonicalOp } from '../../../model/op.js';
import { type ArcOp, arcPasses, isMotion, planeAxes } from './motion.js';
import type { Measured, OpLoads, ReplayFinding, ReplayReport } from './types.js';
import { norm2 } from '../../../maths/norm.js';

interface Gathered {
  readonly loads: OpLoads;
  readonly gougesMm: Float64Array;
  readonly removedMm3: number;
  readonly findings: readonly ReplayFinding[];
  readonly samples: number;
}

/** The report of a replay, from what was gathered along the way. */
export function reportOf(
  ops: readonly CanonicalOp[],
  gathered: Gathered,
  left: { readonly mm: number; readonly at: readonly [number, number] | null },
): ReplayReport {
  const { loads, gougesMm, removedMm3, findings, samples } = gathered;
  const peak = (values: Float64Array): Measured => {
    let best = 0;
    let at = -1;
    for (let i = 0; i < values.length; i++) {
      if (values[i]! > best) {
        best = values[i]!;
        at = i;
      }
    }
    return { value: best, line: at >= 0 ? ops[at]!.line : 0 };
  };
  let arcError: Measured = { value: 0, line: 0 };
  for (const op of ops) {
    if (op.op === 'arc' && op.radiusErrorMm > arcError.value) {
      arcError = { value: op.radiusErrorMm, line: op.line };
    }
  }
  return {
    loads,
    peakEngagementRad: peak(loads.engagementRad),
    peakForceN: { x: peak(loads.xN), y: peak(loads.yN) },
    peakChipMm: peak(loads.chipMm),
    peakPowerW: peak(loads.powerW),
    peakAxialMm: peak(loads.axialMm),
    gougeMm: peak(gougesMm),
    gougesMm,
    leftoverMm: left.mm,
    leftoverAt: left.at,
    worstArcRadiusErrorMm: arcError,
    removedMm3,
    findings,
    samples,
  };
}

/**
 * Axes on which the program spans more than the machine travels, with the line that does it.
 * A coordinate that is not a number counts as not known and is left out.
 */
export function travelFindings(
  ops: readonly CanonicalOp[],
  travelMm: Readonly<Record<'x' | 'y' | 'z', number>>,
): ReplayFinding[] {
  const findings: ReplayFinding[] = [];
  for (const [k, axis] of (['x', 'y', 'z'] as const).entries()) {
    const most = travelMm[axis];
    let low = Infinity;
    let high = -Infinity;
    let line = 0;
    for (const op of ops) {
      if (!isMotion(op)) continue;
      const to = op.to[k]!;
      // Comparisons, not Math.min: they leave out what is not a number.
      if (to < low) low = to;
      if (to > high) high = to;
      // The bulge of an arc goes beyond its ends, hardly ever beyond what is known.
      if (op.op === 'arc' && !staysWithin(op, k, low, high)) {
        const [lowest, highest] = arcReach(op, k);
        if (lowest < low) low = lowest;
        if (highest > high) high = highest;
      }
      if (line === 0 && high - low > most) line = op.line;
    }
    const span = high - low;
    if (line === 0) continue;
    findings.push({
      line,
      code: 'travel',
      text: `the program spans ${span.toFixed(1)} mm in ${axis.toUpperCase()}; the machine travels ${most} mm`,
      value: span,
    });
  }
  return findings;
}

/** Would a full circle about the arc's centre lie between two bounds on an axis? */
function staysWithin(op: ArcOp, axis: number, low: number, high: number): boolean {
  const [first, second] = planeAxes(op.plane);
  if (axis !== first && axis !== second) return false;
  const radius = radiusOf(op);
  const centre = op.center[axis === first ? 0 : 1];
  return centre - radius >= low && centre + radius <= high;
}

/** Least and greatest coordinate of an arc on one axis. */
function arcReach(op: ArcOp, axis: number): readonly [number, number] {
  const [first, second] = planeAxes(op.plane);
  const ends: [number, number] = [
    Math.min(op.from[axis]!, op.to[axis]!),
    Math.max(op.from[axis]!, op.to[axis]!),
  ];
  if (axis !== first && axis !== second) return ends;
  const [u, v] = axis === first ? [1, 0] : [0, 1];
  const centre = op.center[axis === first ? 0 : 1];
  const radius = radiusOf(op);
  if (arcPasses(op, u, v)) ends[1] = Math.max(ends[1], centre + radius);
  if (arcPasses(op, -u, -v)) ends[0] = Math.min(ends[0], centre - radius);
  return ends;
}

function radiusOf(op: ArcOp): number {
  const [first, second] = planeAxes(op.plane);
  return norm2(op.from[first] - op.center[0], op.from[second] - op.center[1]);
}

/** Loads of the operations from one on, for a replay that was begun with others. */
export function loadsFrom(loads: OpLoads, first: number): OpLoads {
  if (first === 0) return loads;
  const later = Object.entries(loads).map(([name, values]: [string, Float64Array]) => [
    name,
    values.subarray(first),
  ]);
  return Object.fromEntries(later) as OpLoads;
}
