/** What a plan's own replay may find at most; a program that fails it is not written. */
import { Refusal, type RefusalCode } from '../model/refusal.js';
import type { ReplayReport } from '../cam/stock/replay.js';

export const ACCEPTANCE = {
  /** Over the engagement limit: rounding of positions to the output step. deg */
  engagementOverDeg: 1,
  /** Over the chip cap, as a share: where a short move's heading was rounded. */
  chipOverShare: 0.05,
  gougeMm: 0.005,
  leftoverMm: 0.01,
  arcRadiusErrorMm: 0.002,
} as const;

/** The part of a refusal's code after `replay-`. */
type ReplayFault = RefusalCode extends infer C
  ? C extends `replay-${infer F}`
    ? F
    : never
  : never;

export interface AcceptLimits {
  readonly maxEngagementDeg: number;
  readonly allowedForceN: { readonly x: number; readonly y: number };
  readonly chipCapMm: number;
}

const deg = (rad: number): number => (rad * 180) / Math.PI;

/** @throws Refusal with the first thing found wanting */
export function acceptReplay(
  report: ReplayReport,
  limits: AcceptLimits,
  what: string = 'program',
): void {
  const refuse = (
    code: ReplayFault,
    text: string,
    value: number | null,
    limit: number | null,
  ): never => {
    throw new Refusal(`replay-${code}`, `the ${what} failed its own replay: ${text}`, value, limit);
  };
  const finding = report.findings[0];
  if (finding?.code === 'travel') {
    throw new Refusal('travel', finding.text, finding.value, null);
  }
  if (finding) refuse(finding.code, `line ${finding.line}: ${finding.text}`, finding.value, null);
  const over = (code: ReplayFault, value: number, limit: number, text: string): void => {
    if (!(value <= limit)) refuse(code, text, value, limit);
  };
  const peak = deg(report.peakEngagementRad.value);
  over(
    'engagement',
    peak,
    limits.maxEngagementDeg + ACCEPTANCE.engagementOverDeg,
    `line ${report.peakEngagementRad.line} is engaged over ${peak.toFixed(1)} deg`,
  );
  for (const axis of ['x', 'y'] as const) {
    const force = report.peakForceN[axis];
    over(
      'force',
      force.value,
      limits.allowedForceN[axis],
      `line ${force.line} needs ${force.value.toFixed(0)} N on ${axis.toUpperCase()}`,
    );
  }
  const chip = report.peakChipMm;
  over(
    'chip',
    chip.value,
    limits.chipCapMm * (1 + ACCEPTANCE.chipOverShare),
    `the chip in line ${chip.line} is ${(chip.value * 1000).toFixed(1)} um thick`,
  );
  over(
    'gouge',
    report.gougeMm.value,
    ACCEPTANCE.gougeMm,
    `line ${report.gougeMm.line} cuts ${report.gougeMm.value.toFixed(4)} mm into the outline`,
  );
  over(
    'leftover',
    report.leftoverMm,
    ACCEPTANCE.leftoverMm,
    `${report.leftoverMm.toFixed(4)} mm is left on the outline`,
  );
  const arc = report.worstArcRadiusErrorMm;
  over(
    'arc',
    arc.value,
    ACCEPTANCE.arcRadiusErrorMm,
    `the arc in line ${arc.line} has radii that differ by ${arc.value.toFixed(4)} mm`,
  );
}
