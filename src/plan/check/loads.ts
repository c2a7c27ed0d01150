/** Findings of a replay: loads over the limits, gouges, what is left. */
import type { ReplayReport } from '../../cam/stock/replay.js';
import { availablePowerW } from '../../machines/bear/spindle.js';
import type { CutLimits } from '../../machines/bear/limits.js';
import type { CanonicalOp } from '../../model/op.js';
import { ACCEPTANCE } from '../accept.js';
import type { Job } from '../../model/job.js';
import type { CheckFindings } from './findings.js';

/** Stepdown is judged with this to spare: depths are rounded to the output step. mm */
const STEPDOWN_SPARE_MM = 0.002;

const deg = (rad: number): number => (rad * 180) / Math.PI;

export function loadFindings(
  findings: CheckFindings,
  ops: readonly CanonicalOp[],
  report: ReplayReport,
  job: Job,
  limits: CutLimits,
): void {
  for (const found of report.findings) {
    // Travel is judged before the replay, axis by axis.
    if (found.code === 'travel') continue;
    findings.add(found.line, 'error', found.code, found.text, found.value);
  }
  /** Adds every operation over a limit, the worst first. */
  const over = (
    values: Float64Array,
    limit: number | ((index: number) => number),
    severity: 'error' | 'warning',
    code: string,
    text: (value: number, limit: number) => string,
    shown: { readonly value: (v: number) => number; readonly limit?: number },
  ): void => {
    const limitAt = typeof limit === 'number' ? () => limit : limit;
    const found: number[] = [];
    for (let i = 0; i < values.length; i++) if (values[i]! > limitAt(i)) found.push(i);
    found.sort((a, b) => values[b]! - values[a]! || a - b);
    for (const i of found) {
      const value = shown.value(values[i]!);
      const allowed = shown.limit ?? limitAt(i);
      findings.add(ops[i]!.line, severity, code, text(value, allowed), value, allowed);
    }
  };
  const same = (value: number): number => value;
  const { loads } = report;
  over(
    loads.engagementRad,
    ((limits.maxEngagementDeg + ACCEPTANCE.engagementOverDeg) * Math.PI) / 180,
    'error',
    'engagement',
    (value, limit) => `engaged over ${value.toFixed(0)} deg; the limit is ${limit} deg`,
    { value: deg, limit: limits.maxEngagementDeg },
  );
  for (const axis of ['x', 'y'] as const) {
    over(
      axis === 'x' ? loads.xN : loads.yN,
      limits.allowedForceN[axis],
      'error',
      'force',
      (value, limit) =>
        `needs ${value.toFixed(0)} N on ${axis.toUpperCase()}; ${limit.toFixed(0)} N are allowed`,
      { value: same },
    );
  }
  over(
    loads.powerW,
    (i) => powerAt(job, ops[i]!),
    'error',
    'power',
    (value, limit) => `needs ${value.toFixed(0)} W of the spindle, which has ${limit.toFixed(0)} W`,
    { value: same },
  );
  over(
    loads.chipMm,
    limits.chipCapMm * (1 + ACCEPTANCE.chipOverShare),
    'warning',
    'chip',
    (value, limit) =>
      `takes chips of ${(value * 1000).toFixed(1)} um; this cutter should get ${(limit * 1000).toFixed(1)} um at most`,
    { value: same, limit: limits.chipCapMm },
  );
  over(
    loads.axialMm,
    limits.maxStepdownMm + STEPDOWN_SPARE_MM,
    'warning',
    'stepdown',
    (value, limit) => `cuts ${value.toFixed(2)} mm deep at once; the limit is ${limit} mm`,
    { value: same, limit: limits.maxStepdownMm },
  );
  over(
    report.gougesMm,
    ACCEPTANCE.gougeMm,
    'error',
    'gouge',
    (value) => `cuts ${value.toFixed(3)} mm into the finished outline`,
    { value: same },
  );
  leftoverFinding(findings, report);
}

function leftoverFinding(findings: CheckFindings, report: ReplayReport): void {
  if (report.removedMm3 === 0 && report.findings.every((f) => f.code === 'travel')) {
    findings.add(0, 'warning', 'cuts-nothing', 'the program cuts nothing of this blank');
  } else if (report.leftoverMm > ACCEPTANCE.leftoverMm) {
    const known = Number.isFinite(report.leftoverMm);
    findings.add(
      0,
      'warning',
      'leftover',
      known
        ? `${report.leftoverMm.toFixed(3)} mm of stock is left on the outline`
        : 'part of the outline is never cut',
      known ? report.leftoverMm : null,
      ACCEPTANCE.leftoverMm,
    );
  }
}

/** Power that the spindle has at the speed of a move. W */
function powerAt(job: Job, op: CanonicalOp): number {
  const rpm = op.op === 'feed' || op.op === 'arc' ? op.spindleRpm : 0;
  return rpm > 0 ? availablePowerW(job.machine, rpm) : Infinity;
}
