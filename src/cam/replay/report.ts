import type { CanonicalOp } from '../../post/types.js';
import { isMotion } from './motion.js';
import type { Measured, OpLoads, ReplayFinding, ReplayReport } from './types.js';
import { norm2 } from '../../profile/norm.js';

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
  travelMm: Readonly<Record<'x' | 'y' | 'z', number>>,
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
    findings: [...findings, ...travelFindings(ops, travelMm)],
    samples,
  };
}

/** Axes on which the program spans more than the machine travels, with the line that does it. */
function travelFindings(
  ops: readonly CanonicalOp[],
  travelMm: Readonly<Record<'x' | 'y' | 'z', number>>,
): ReplayFinding[] {
  const findings: ReplayFinding[] = [];
  (['x', 'y', 'z'] as const).forEach((axis, k) => {
    let low = Infinity;
    let high = -Infinity;
    let line = 0;
    const meet = (value: number, at: number): void => {
      low = Math.min(low, value);
      high = Math.max(high, value);
      if (line === 0 && high - low > travelMm[axis]) line = at;
    };
    for (const op of ops) {
      if (!isMotion(op)) continue;
      meet(op.to[k]!, op.line);
      if (op.op !== 'arc') continue;
      // The bulge of an arc goes beyond its ends, hardly ever beyond what is known.
      if (staysWithin(op, k, low, high)) continue;
      const [lowest, highest] = arcReach(op, k);
      meet(lowest, op.line);
      meet(highest, op.line);
    }
    const span = high - low;
    if (line === 0) return;
    findings.push({
      line,
      code: 'travel',
      text: `the program spans ${span.toFixed(1)} mm in ${axis.toUpperCase()}; the machine travels ${travelMm[axis]} mm`,
      value: span,
    });
  });
  return findings;
}

/** Would a full circle about the arc's centre lie between two bounds on an axis? */
function staysWithin(
  op: Extract<CanonicalOp, { op: 'arc' }>,
  axis: number,
  low: number,
  high: number,
): boolean {
  const [first, second] = op.plane === 'xy' ? [0, 1] : op.plane === 'xz' ? [0, 2] : [1, 2];
  if (axis !== first && axis !== second) return false;
  const [c0, c1] = op.center;
  const radius = norm2(op.from[first!]! - c0, op.from[second!]! - c1);
  const centre = axis === first ? c0 : c1;
  return centre - radius >= low && centre + radius <= high;
}

/** Least and greatest coordinate of an arc on one axis. */
function arcReach(
  op: Extract<CanonicalOp, { op: 'arc' }>,
  axis: number,
): readonly [number, number] {
  const axes = op.plane === 'xy' ? [0, 1] : op.plane === 'xz' ? [0, 2] : [1, 2];
  const place = axes.indexOf(axis);
  const ends: [number, number] = [
    Math.min(op.from[axis]!, op.to[axis]!),
    Math.max(op.from[axis]!, op.to[axis]!),
  ];
  if (place < 0) return ends;
  const [first, second] = axes as [number, number];
  const [c0, c1] = op.center;
  const angleOf = (p: readonly number[]): number => Math.atan2(p[second]! - c1, p[first]! - c0);
  const radius = norm2(op.from[first]! - c0, op.from[second]! - c1);
  // In the XZ plane G3 turns from Z to X: against the angle counted from X.
  const forward = op.ccw === (op.plane !== 'xz');
  const start = angleOf(op.from);
  let sweep = (angleOf(op.to) - start) * (forward ? 1 : -1);
  while (sweep <= 1e-12) sweep += 2 * Math.PI;
  const passes = (angle: number): boolean => {
    const turned = ((angle - start) * (forward ? 1 : -1)) % (2 * Math.PI);
    return (turned < 0 ? turned + 2 * Math.PI : turned) <= sweep;
  };
  const centre = place === 0 ? c0 : c1;
  if (passes(place === 0 ? 0 : Math.PI / 2)) ends[1] = Math.max(ends[1], centre + radius);
  if (passes(place === 0 ? Math.PI : -Math.PI / 2)) ends[0] = Math.min(ends[0], centre - radius);
  return ends;
}
