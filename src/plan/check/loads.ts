/** Findings of a replay: loads over the limits, gouges, what is left. */
import type { Replay } from '../../cam/stock/replay.js';
import { availablePowerW } from '../../machines/bear/spindle.js';
import type { CutLimits } from '../../machines/bear/limits.js';
import { degFromRad } from '../../maths/angle.js';
import { acos } from '../../maths/elementary.js';
import { OUTPUT_STEP_MM, SPARE_MM } from '../../maths/tolerance.js';
import { MM_PER_INCH } from '../../text/units.js';
import { type CanonicalOp, isFeedMove } from '../../model/op.js';
import { ACCEPTANCE, type LineMeasure, MEASURES } from '../accept.js';
import type { Job } from '../../model/job.js';
import type { CheckFindings } from './findings.js';

/** Places rounded otherwise to the output step, or arcs in chords of that sagitta, come out up to this
 *  higher in the corner of a cut. deg */
const CORNER_DEG = 2;
/** Last decimal place of places in inches, as they are mostly written. mm. Common practice, no source. */
const INCH_STEP_MM = 0.0001 * MM_PER_INCH;

/** Engagement over the limit by no more than this is a warning: a corner, and along the wall the skin
 *  that two paths leave between them when each is rounded to a step; it is no load. deg */
function unsureDeg(radiusMm: number, inInches: boolean): number {
  const skinMm = inInches ? INCH_STEP_MM : OUTPUT_STEP_MM;
  return CORNER_DEG + degFromRad(acos(1 - skinMm / radiusMm));
}

// What a check judges besides what a plan is refused by.

const POWER: LineMeasure = {
  code: 'power',
  severity: 'error',
  each: (report) => report.loads.powerW,
  finding: (w, limit) => `needs ${w.toFixed(0)} W of the spindle, which has ${limit.toFixed(0)} W`,
};
const STEPDOWN: LineMeasure = {
  code: 'stepdown',
  severity: 'warning',
  each: (report) => report.loads.axialMm,
  most: (limit) => limit + SPARE_MM,
  finding: (mm, limit) => `cuts ${mm.toFixed(2)} mm deep at once; the limit is ${limit} mm`,
};

export function loadFindings(
  findings: CheckFindings,
  ops: readonly CanonicalOp[],
  report: Replay,
  job: Job,
  limits: CutLimits,
  inInches = false,
): void {
  for (const found of report.findings) {
    // Travel is judged before the replay, axis by axis.
    if (found.code === 'travel') continue;
    findings.add(found.line, 'error', found.code, found.text, found.value);
  }
  /** Adds every operation over its limit, the worst first; up to `unsure` over it as a warning. */
  const over = (measure: LineMeasure, limitAt: (op: CanonicalOp) => number, unsure = 0): void => {
    const values = measure.each(report);
    const inUnit = measure.inUnit ?? ((value: number) => value);
    const found: { readonly line: number; readonly value: number; readonly limit: number }[] = [];
    ops.forEach((op, i) => {
      const [value, limit] = [inUnit(values[i]!), limitAt(op)];
      if (value > (measure.most?.(limit) ?? limit)) found.push({ line: op.line, value, limit });
    });
    found.sort((a, b) => b.value - a.value);
    for (const { line, value, limit } of found) {
      const text = measure.finding(value, limit);
      const severity = value > limit + unsure ? measure.severity : 'warning';
      findings.add(line, severity, measure.code, text, value, limit);
    }
  };
  const { engagement, cutter, x, y, chip, gouge } = MEASURES;
  over(engagement, () => engagement.limit(limits), unsureDeg(job.cutter.diameterMm / 2, inInches));
  for (const measure of [cutter, x, y]) over(measure, () => measure.limit(limits));
  over(POWER, (op) => powerAt(job, op));
  over(chip, () => chip.limit(limits));
  over(STEPDOWN, () => limits.maxStepdownMm);
  over(gouge, () => gouge.limit(limits));
  leftoverFinding(findings, report);
}

function leftoverFinding(findings: CheckFindings, report: Replay): void {
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
  const rpm = isFeedMove(op) ? op.spindleRpm : 0;
  return rpm > 0 ? availablePowerW(job.machine, rpm) : Infinity;
}
