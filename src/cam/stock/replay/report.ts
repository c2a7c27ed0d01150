/** What a replay is given and what it reports. */
import { norm2 } from '../../../maths/angle.js';
import type { CutConditions } from '../../../machines/load/force.js';
import type { CanonicalOp } from '../../../model/op.js';
import type { Machine } from '../../../model/machine.js';
import type { DistanceField } from '../../../profile/geometry/distance-field.js';
import type { BlankHole } from '../stock-front.js';
import { type ArcOp, arcPasses, isMotion, planeAxes } from './motion.js';

/** What is on the machine, as far as the replay needs to know. */
export interface ReplaySetup {
  readonly machine: Machine;
  /** Cutting conditions; speed and axial depth are taken from the program. */
  readonly conditions: Omit<CutConditions, 'spindleRpm' | 'axialDepthMm'>;
  /** Radius of the blank at its largest, centring error included. mm */
  readonly blankRadiusMm: number;
  readonly thicknessMm: number;
  readonly holes: readonly BlankHole[];
  /** What was cut before the program begins: it shapes the stock, and nothing is reported of it. */
  readonly before?: readonly CanonicalOp[];
  /** Signed distance to the finished outline, positive in air; null when there is none to keep. */
  readonly field: DistanceField | null;
  /** Points of the finished outline at which leftover is looked for: flat [x0, y0, ...]. */
  readonly outlinePoints: Float64Array;
}

export type FindingCode =
  | 'plunge'
  | 'ramp'
  | 'rapid-in-material'
  | 'spindle-stopped'
  | 'holder'
  | 'shank'
  | 'travel';

export interface ReplayFinding {
  readonly line: number;
  readonly code: FindingCode;
  readonly text: string;
  readonly value: number | null;
}

/** `xN`, `yN` and `resultantN` are peaks of teeth; `driveXN` and `driveYN` what the cut asks of the
 *  drives, friction and acceleration left out; `axialMm` is the thickness of material met. */
const LOADS = [
  ...(['engagementRad', 'xN', 'yN', 'resultantN', 'driveXN', 'driveYN'] as const),
  ...(['chipMm', 'axialMm', 'powerW'] as const),
] as const;

/** Measured at each operation of the program; index as in the list of operations. */
export type OpLoads = Readonly<Record<(typeof LOADS)[number], Float64Array>>;

export function eachLoad(of: (name: keyof OpLoads) => Float64Array): OpLoads {
  return Object.fromEntries(LOADS.map((name) => [name, of(name)])) as OpLoads;
}

export interface Measured<T = number> {
  readonly value: T;
  readonly line: number;
}

export interface Replay {
  readonly loads: OpLoads;
  readonly peakEngagementRad: Measured;
  readonly peakForceN: { readonly x: Measured; readonly y: Measured };
  readonly peakResultantN: Measured;
  readonly peakDriveN: { readonly x: Measured; readonly y: Measured };
  readonly peakChipMm: Measured;
  readonly peakPowerW: Measured;
  readonly peakAxialMm: Measured;
  /** Deepest cut into the finished outline. mm, 0 or more */
  readonly gougeMm: Measured;
  /** Deepest cut of each operation into the finished outline; index as in the operations. mm */
  readonly gougesMm: Float64Array;
  /** Most stock left on the finished outline. mm; Infinity where nothing ever came near */
  readonly leftoverMm: number;
  readonly leftoverAt: readonly [x: number, y: number] | null;
  readonly worstArcRadiusErrorMm: Measured;
  readonly removedMm3: number;
  readonly findings: readonly ReplayFinding[];
  /** Positions at which the stock was asked, repeats not counted. */
  readonly samples: number;
}

export interface ReplayOptions {
  /** Distance between samples along a cut. mm */
  readonly stepMm?: number;
  /** Most work, as counted by Budget; more is a ReplayLimit. */
  readonly maxWork?: number;
  /** Operations by which the travel of the machine is judged: those replayed, unless others are
   *  given; none where the caller has judged it. */
  readonly travelOps?: readonly CanonicalOp[];
  readonly onProgress?: (done: number, of: number) => void;
}

type Gathered = Pick<
  Replay,
  'loads' | 'gougesMm' | 'removedMm3' | 'findings' | 'samples' | 'leftoverMm' | 'leftoverAt'
>;

/** The report of a replay, from what was gathered along the way. */
export function reportOf(ops: readonly CanonicalOp[], gathered: Gathered): Replay {
  const { loads, gougesMm } = gathered;
  const peak = (values: Float64Array): Measured => {
    let at = -1;
    let value = 0;
    for (let i = 0; i < values.length; i++) if (values[i]! > value) value = values[(at = i)]!;
    return { value, line: at >= 0 ? ops[at]!.line : 0 };
  };
  const arcErrors = new Float64Array(ops.length);
  ops.forEach((op, i) => {
    if (op.op === 'arc') arcErrors[i] = op.radiusErrorMm;
  });
  return {
    ...gathered,
    peakEngagementRad: peak(loads.engagementRad),
    peakForceN: { x: peak(loads.xN), y: peak(loads.yN) },
    peakResultantN: peak(loads.resultantN),
    peakDriveN: { x: peak(loads.driveXN), y: peak(loads.driveYN) },
    peakChipMm: peak(loads.chipMm),
    peakPowerW: peak(loads.powerW),
    peakAxialMm: peak(loads.axialMm),
    gougeMm: peak(gougesMm),
    worstArcRadiusErrorMm: peak(arcErrors),
  };
}

/**
 * Axes on which the program spans more than the machine travels, with the line that does it. The
 * zero is part of the span: the sheet has it set over the work, so the machine has been there.
 * A coordinate that is not a number counts as not known and is left out.
 */
export function travelFindings(
  ops: readonly CanonicalOp[],
  travelMm: Readonly<Record<'x' | 'y' | 'z', number>>,
): ReplayFinding[] {
  const findings: ReplayFinding[] = [];
  for (const [k, axis] of (['x', 'y', 'z'] as const).entries()) {
    const most = travelMm[axis];
    let low = 0;
    let high = 0;
    let line = 0;
    for (const op of ops) {
      if (!isMotion(op)) continue;
      const to = op.to[k]!;
      // Comparisons, not Math.min: they leave out what is not a number.
      if (to < low) low = to;
      if (to > high) high = to;
      // The bulge of an arc goes beyond its ends, hardly ever beyond what is known.
      if (op.op === 'arc' && !circleWithin(op, k, low, high)) {
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
      text: `the program spans ${span.toFixed(1)} mm in ${axis.toUpperCase()}, its zero included: from ${low.toFixed(1)} to ${high.toFixed(1)}; the machine travels ${most} mm`,
      value: span,
    });
  }
  return findings;
}

/** Does the full circle of an arc lie between two bounds on an axis of its plane? */
function circleWithin(op: ArcOp, axis: number, low: number, high: number): boolean {
  const axes = planeAxes(op.plane);
  const first = axes[0];
  const second = axes[1];
  if (axis !== first && axis !== second) return false;
  const radius = norm2(op.from[first] - op.center[0], op.from[second] - op.center[1]);
  const centre = op.center[axis === first ? 0 : 1];
  return centre - radius >= low && centre + radius <= high;
}

/** Least and greatest coordinate of an arc on one axis, its bulge included. */
function arcReach(op: ArcOp, axis: number): readonly [number, number] {
  const [first, second] = planeAxes(op.plane);
  const low = Math.min(op.from[axis]!, op.to[axis]!);
  const high = Math.max(op.from[axis]!, op.to[axis]!);
  if (axis !== first && axis !== second) return [low, high];
  const [u, v] = axis === first ? [1, 0] : [0, 1];
  const centre = op.center[u === 1 ? 0 : 1];
  const radius = norm2(op.from[first] - op.center[0], op.from[second] - op.center[1]);
  return [
    arcPasses(op, -u, -v) ? Math.min(low, centre - radius) : low,
    arcPasses(op, u, v) ? Math.max(high, centre + radius) : high,
  ];
}
