/** Replays any program against a job's part, machine and limits, and says what it found. */
import { makeDistanceField } from '../profile/distance-field.js';
import { blankSize } from '../cam/plan.js';
import { replay } from '../cam/replay.js';
import { capabilityFindings } from '../post/capability.js';
import { verifyEnvelope } from '../post/envelope.js';
import { readProgram } from '../post/reader.js';
import { allowedForceN } from '../machines/thrust.js';
import { ACCEPTANCE } from './accept.js';
import { digestOf, jobProfile } from './pipeline.js';
import { replaySetup } from './replay-setup.js';
import type { Job } from './types.js';

export type CheckSeverity = 'note' | 'warning' | 'error';

export interface CheckFinding {
  /** 1-based line of the program; 0 for the program as a whole. */
  readonly line: number;
  readonly severity: CheckSeverity;
  readonly code: string;
  readonly text: string;
}

export interface CheckReport {
  readonly findings: readonly CheckFinding[];
  /** Figures measured in the replay; units are in the names. */
  readonly measured: Readonly<Record<string, unknown>>;
  readonly worst: CheckSeverity | 'none';
}

/** Most findings of one kind that are listed; the rest are counted. */
const MOST_OF_A_KIND = 10;

export function checkProgram(text: string, job: Job): CheckReport {
  const findings: CheckFinding[] = [];
  const add = (line: number, severity: CheckSeverity, code: string, what: string): void => {
    findings.push({ line, severity, code, text: what });
  };
  const envelope = verifyEnvelope(text, digestOf(job));
  if (envelope.status !== 'ok') {
    const severity =
      envelope.status === 'absent' ? 'note' : envelope.status === 'other-job' ? 'warning' : 'error';
    add(0, severity, `copy-${envelope.status}`, envelope.message);
  }
  const read = readProgram(text, { controller: job.controller, onError: 'collect' });
  for (const error of read.errors) {
    add(error.line, 'error', `rs274-${error.errorClass}`, `${error.message}; ${error.fix}`);
  }
  for (const finding of capabilityFindings(text, job.controller)) {
    const severity = finding.severity === 'danger' ? 'error' : finding.severity;
    add(finding.line, severity, finding.rule, `${finding.message}; ${finding.fix}`);
  }
  const profile = jobProfile(job);
  const blank = blankSize(job, profile);
  const report = replay(
    read.ops,
    replaySetup(job, profile, blank, makeDistanceField(profile.outline)),
  );
  for (const finding of report.findings) {
    add(finding.line, 'error', finding.code, finding.text);
  }
  const deg = (rad: number): number => (rad * 180) / Math.PI;
  const limitDeg = job.limits.maxEngagementDeg ?? job.machine.limits.maxEngagementDeg;
  const fastest = job.machine.maxFeedMmPerMin;
  const allowed = {
    x: allowedForceN(job.machine, 'x', fastest),
    y: allowedForceN(job.machine, 'y', fastest),
  };
  // Every line over a limit, worst first.
  const over = (values: Float64Array, limit: number): number[] =>
    [...values.keys()].filter((i) => values[i]! > limit).sort((a, b) => values[b]! - values[a]!);
  for (const i of over(
    report.loads.engagementRad,
    ((limitDeg + ACCEPTANCE.engagementOverDeg) * Math.PI) / 180,
  )) {
    const at = deg(report.loads.engagementRad[i]!);
    add(
      read.ops[i]!.line,
      'error',
      'engagement',
      `engaged over ${at.toFixed(0)} deg; the limit is ${limitDeg} deg`,
    );
  }
  for (const axis of ['x', 'y'] as const) {
    const values = axis === 'x' ? report.loads.xN : report.loads.yN;
    for (const i of over(values, allowed[axis])) {
      add(
        read.ops[i]!.line,
        'error',
        'force',
        `needs ${values[i]!.toFixed(0)} N on ${axis.toUpperCase()}; ${allowed[axis].toFixed(0)} N are allowed`,
      );
    }
  }
  if (report.gougeMm.value > ACCEPTANCE.gougeMm) {
    add(
      report.gougeMm.line,
      'error',
      'gouge',
      `cuts ${report.gougeMm.value.toFixed(3)} mm into the finished outline`,
    );
  }
  if (report.leftoverMm > ACCEPTANCE.leftoverMm) {
    const left = Number.isFinite(report.leftoverMm)
      ? `${report.leftoverMm.toFixed(3)} mm of stock is left on the outline`
      : 'part of the outline is never cut';
    add(0, 'warning', 'leftover', left);
  }
  const listed = capEach(findings);
  return {
    findings: listed,
    measured: {
      lines: read.lineCount,
      peakEngagementDeg: deg(report.peakEngagementRad.value),
      peakEngagementLine: report.peakEngagementRad.line,
      maxEngagementDeg: limitDeg,
      peakForceN: { x: report.peakForceN.x.value, y: report.peakForceN.y.value },
      peakForceLine: { x: report.peakForceN.x.line, y: report.peakForceN.y.line },
      allowedForceN: allowed,
      peakChipMm: report.peakChipMm.value,
      peakPowerW: report.peakPowerW.value,
      peakAxialDepthMm: report.peakAxialMm.value,
      gougeMm: report.gougeMm.value,
      leftoverMm: Number.isFinite(report.leftoverMm) ? report.leftoverMm : null,
      arcRadiusErrorMm: report.worstArcRadiusErrorMm.value,
      removedMm3: report.removedMm3,
    },
    worst: worstOf(listed),
  };
}

/** Keeps the first of each kind and says how many more there are. */
function capEach(findings: readonly CheckFinding[]): CheckFinding[] {
  const seen = new Map<string, number>();
  const kept: CheckFinding[] = [];
  for (const finding of findings) {
    const n = (seen.get(finding.code) ?? 0) + 1;
    seen.set(finding.code, n);
    if (n <= MOST_OF_A_KIND) kept.push(finding);
  }
  for (const [code, n] of seen) {
    if (n > MOST_OF_A_KIND) {
      const like = findings.find((f) => f.code === code)!;
      kept.push({
        line: 0,
        severity: like.severity,
        code,
        text: `and ${n - MOST_OF_A_KIND} more lines like these`,
      });
    }
  }
  return kept;
}

function worstOf(findings: readonly CheckFinding[]): CheckSeverity | 'none' {
  if (findings.some((f) => f.severity === 'error')) return 'error';
  if (findings.some((f) => f.severity === 'warning')) return 'warning';
  return findings.length > 0 ? 'note' : 'none';
}
