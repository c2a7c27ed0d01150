/**
 * What the replay of a program may find at most. A plan's own program that finds more is not written
 * ({@link acceptReplay}); any program's check says so line by line (check/loads.ts).
 */
import type { Replay } from '../cam/stock/replay.js';
import type { CutLimits } from '../machines/bear/limits.js';
import { degFromRad } from '../maths/angle.js';
import { Refusal, type RefusalCode } from '../model/refusal.js';
import { um } from '../text/show.js';

export const ACCEPTANCE = {
  /** Over the engagement limit: rounding of positions to the output step. deg */
  engagementOverDeg: 1,
  /** Over the chip cap, as a share: where a short move's heading was rounded. */
  chipOverShare: 0.05,
  /** Over what the cutter bears, as a share: where a short move's heading was rounded. */
  forceOverShare: 0.02,
  gougeMm: 0.005,
  leftoverMm: 0.01,
  arcRadiusErrorMm: 0.002,
} as const;

/** The part of a refusal's code after `replay-`. */
type ReplayFault<C = RefusalCode> = C extends `replay-${infer F}` ? F : never;

export type AcceptLimits = Pick<
  CutLimits,
  'maxEngagementDeg' | 'cutterForceN' | 'driveForceN' | 'chipCapMm'
>;

/** A figure of every operation that is judged against a limit. */
export interface LineMeasure {
  readonly code: string;
  readonly severity: 'error' | 'warning';
  readonly each: (report: Replay) => Float64Array;
  /** The figure in the unit of its limit; as it is where nothing is said. */
  readonly inUnit?: (value: number) => number;
  /** What is let through, by the limit that is shown; no more where nothing is said. */
  readonly most?: (limit: number) => number;
  readonly finding: (value: number, limit: number) => string;
}

/** One that a plan's own program is refused by, too. */
interface Measure extends LineMeasure {
  readonly code: ReplayFault;
  readonly limit: (limits: AcceptLimits) => number;
  readonly worst: (report: Replay) => { readonly value: number; readonly line: number };
  readonly refusal: (value: number, line: number) => string;
}

const driveOf = (axis: 'x' | 'y'): Measure => ({
  code: 'drive',
  severity: 'error',
  each: ({ loads }) => (axis === 'x' ? loads.driveXN : loads.driveYN),
  worst: (report) => report.peakDriveN[axis],
  limit: (limits) => limits.driveForceN[axis],
  refusal: (force, line) =>
    `the cut of line ${line} asks ${force.toFixed(0)} N of the ${axis.toUpperCase()} drive`,
  finding: (force, limit) =>
    `asks ${force.toFixed(0)} N of the ${axis.toUpperCase()} drive, which is sure of ${limit.toFixed(0)} N for the cut: steps may be lost`,
});

export const MEASURES: Readonly<
  Record<'engagement' | 'cutter' | 'x' | 'y' | 'chip' | 'gouge', Measure>
> = {
  engagement: {
    code: 'engagement',
    severity: 'error',
    each: (report) => report.loads.engagementRad,
    worst: (report) => report.peakEngagementRad,
    inUnit: degFromRad,
    limit: (limits) => limits.maxEngagementDeg,
    most: (limit) => limit + ACCEPTANCE.engagementOverDeg,
    refusal: (deg, line) => `line ${line} is engaged over ${deg.toFixed(1)} deg`,
    finding: (deg, limit) => `engaged over ${deg.toFixed(0)} deg; the limit is ${limit} deg`,
  },
  cutter: {
    code: 'cutter',
    severity: 'error',
    each: (report) => report.loads.resultantN,
    worst: (report) => report.peakResultantN,
    limit: (limits) => limits.cutterForceN,
    most: (limit) => limit * (1 + ACCEPTANCE.forceOverShare),
    refusal: (force, line) => `a tooth pushes with ${force.toFixed(0)} N in line ${line}`,
    finding: (force, limit) =>
      `a tooth pushes with ${force.toFixed(0)} N; this cutter bears ${limit.toFixed(0)} N`,
  },
  x: driveOf('x'),
  y: driveOf('y'),
  chip: {
    code: 'chip',
    severity: 'warning',
    each: (report) => report.loads.chipMm,
    worst: (report) => report.peakChipMm,
    limit: (limits) => limits.chipCapMm,
    most: (limit) => limit * (1 + ACCEPTANCE.chipOverShare),
    refusal: (chip, line) => `the chip in line ${line} is ${um(chip)} thick`,
    finding: (chip, limit) =>
      `takes chips of ${um(chip)}; this cutter should get ${um(limit)} at most`,
  },
  gouge: {
    code: 'gouge',
    severity: 'error',
    each: (report) => report.gougesMm,
    worst: (report) => report.gougeMm,
    limit: () => ACCEPTANCE.gougeMm,
    refusal: (mm, line) => `line ${line} cuts ${mm.toFixed(4)} mm into the outline`,
    finding: (mm) => `cuts ${mm.toFixed(3)} mm into the finished outline`,
  },
};

/** @throws Refusal with the first thing found wanting */
export function acceptReplay(report: Replay, limits: AcceptLimits, what: string = 'program'): void {
  const refuse = (code: ReplayFault, text: string, value: number | null, limit: number | null) => {
    throw new Refusal(`replay-${code}`, `the ${what} failed its own replay: ${text}`, value, limit);
  };
  const finding = report.findings[0];
  if (finding?.code === 'travel') throw new Refusal('travel', finding.text, finding.value, null);
  if (finding) refuse(finding.code, `line ${finding.line}: ${finding.text}`, finding.value, null);
  const over = (code: ReplayFault, value: number, limit: number, text: string): void => {
    if (!(value <= limit)) refuse(code, text, value, limit);
  };
  for (const measure of Object.values(MEASURES)) {
    const { value, line } = measure.worst(report);
    const shown = measure.inUnit?.(value) ?? value;
    const limit = measure.limit(limits);
    over(measure.code, shown, measure.most?.(limit) ?? limit, measure.refusal(shown, line));
  }
  const left = report.leftoverMm;
  over('leftover', left, ACCEPTANCE.leftoverMm, `${left.toFixed(4)} mm is left on the outline`);
  const { value, line } = report.worstArcRadiusErrorMm;
  const arc = `the arc in line ${line} has radii that differ by ${value.toFixed(4)} mm`;
  over('arc', value, ACCEPTANCE.arcRadiusErrorMm, arc);
}
