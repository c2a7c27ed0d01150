/**
 * Replays any program against a job's part, machine and limits, and says what it found.
 *
 * Of the folder: a file for each kind of danger (loads, edge, around the part, frame, rounding, climb).
 */
import { Refusal, unlessRefused } from '../../model/refusal.js';
import { type Aimed, aimOf } from '../../cam/aim.js';
import { blankSize } from '../../cam/sequence.js';
import { stockOf, unreadStock } from '../../model/stock.js';
import { type Replay, ReplayLimit, type ReplaySetup, replay } from '../../cam/stock/replay.js';
import { travelFindings } from '../../cam/stock/replay/report.js';
import { capabilityFindings } from '../../post/control/capability.js';
import { foreignCode } from '../../post/control/foreign-codes.js';
import { verifyEnvelope } from '../../post/rs274/envelope.js';
import { type ReadResult, readProgram } from '../../post/rs274/reader.js';
import { degFromRad } from '../../maths/angle.js';
import { ACCEPTANCE } from '../accept.js';
import { aroundFindings } from './around.js';
import { type TimeShares, paceFindings, timeShares } from './air.js';
import { edgeFindings, edgeLifeFindings, restFindings } from './edge.js';
import { climbFindings } from './climb.js';
import {
  CheckFindings,
  type CheckReport,
  type ReplayFigures,
  bothWays,
  worstOf,
} from './findings.js';
import { UNKNOWN_ORIGIN_MM, UNKNOWN_START_MM, inJobFrame } from './frame.js';
import { type CutLimits, limitsOf } from '../../machines/bear/limits.js';
import { loadFindings } from './loads.js';
import { differenceFindings, otherWheel } from './other-job.js';
import { roundingFindings } from './rounding.js';
import { spindleWaitFindings } from './spindle-wait.js';
import { type CheckSetup, blankStart, declaredStart, setupFor } from '../start.js';
import { digestOf, planParts } from '../plan.js';
import { wheelOf } from '../../profile/wheel/sprocket.js';
import { percent, showText } from '../../text/show.js';
import type { Progress } from '../../post/plan.js';
import type { Job } from '../../model/job.js';
import type { CanonicalOp } from '../../model/op.js';
import { MM_PER_INCH } from '../../text/units.js';

export type { CheckFinding, CheckReport, CheckSeverity } from './findings.js';

/** RS274/NGC 3.5.3.2: 0.0002 inch, where the program is in inches. mm */
const INCH_ARC_LIMIT_MM = 0.0002 * MM_PER_INCH;

export interface CheckOptions {
  /** Height over the face that a rapid keeps. mm */
  readonly rapidOverFaceMm?: number;
  /** The job as it was when the program was planned; left out: as it is. */
  readonly then?: Job;
}

/**
 * Checks a program, from here or by other means, against a job. The blank is as the job gives it,
 * uncut, unless the program says what it starts from; the control is the job's. Arcs are read by the
 * rule of most open controls, so that a program which runs on them is checked to its end; where the
 * standard would refuse, it says so. Where a switch of the control skips lines marked by a slash,
 * both ways are judged and the worse is reported.
 * @throws Refusal for a job that can have no outline or no blank
 */
export function checkProgram(
  text: string,
  job: Job,
  onProgress: (p: Progress) => void = () => {},
  options: CheckOptions = {},
): CheckReport {
  const part = aimed(job);
  const once = (skipsMarked: boolean) =>
    checkOnce(text, job, part, skipsMarked, onProgress, options);
  const marked = job.controller.blockDelete === 'yes' ? /^[ \t]*\//m.exec(text) : null;
  if (!marked) return once(false);
  const line = text.slice(0, marked.index).split(/\r\n|\r|\n/).length;
  return bothWays(line, once(false), once(true));
}

function checkOnce(
  text: string,
  job: Job,
  part: Part,
  skipsMarked: boolean,
  onProgress: (p: Progress) => void,
  options: CheckOptions,
): CheckReport {
  const findings = new CheckFindings();
  copyFindings(findings, text, job, options.then ?? job);
  const read = readProgram(text, {
    controller: job.controller,
    onError: 'collect',
    arcRule: 'relaxed',
    blockDelete: skipsMarked,
    startMm: UNKNOWN_START_MM,
    workOriginMm: UNKNOWN_ORIGIN_MM,
  });
  const { diameterMm, centringErrorMm } = part.blank;
  const workRadiusMm = (diameterMm + job.cutter.diameterMm) / 2 + centringErrorMm;
  readFindings(findings, read, text, job, workRadiusMm);
  const { ops, reach } = inJobFrame(read, findings, job.machine.travelMm);
  for (const found of travelFindings(reach, job.machine.travelMm)) {
    findings.add(found.line, 'error', found.code, found.text, found.value);
  }
  const setup = setupFor(job, part, ops);
  if (setup.withinMm !== null) {
    findings.add(
      0,
      'note',
      'bore-program',
      `taken for the program of the bore: below the face it stays within ${setup.withinMm.toFixed(2)} mm of the axis`,
    );
  }
  aroundFindings(findings, ops, job, setup, options.rapidOverFaceMm);
  spindleWaitFindings(findings, ops, job.machine);
  roundingFindings(findings, ops, job.limits.toleranceMm);
  const nothing = () => finish(findings, { lines: read.lineCount });
  if (setup.target === 'teeth' && otherWheel(findings, ops, job, diameterMm / 2)) {
    return nothing();
  }
  const started = startedFrom(findings, text, options.then ?? job, setup.replay);
  if (started === null) return nothing();
  const report = replayed(findings, ops, started, onProgress);
  if (report === null) return nothing();
  const limits = limitsOf(job);
  loadFindings(findings, ops, report, job, limits, read.unitsSeen.includes('inch'));
  edgeFindings(findings, ops, report.loads, job, limits);
  edgeLifeFindings(findings, ops, report.loads, job);
  restFindings(findings, ops, started, job.cutter.diameterMm / 2);
  climbFindings(findings, ops, report.loads, started, job.cutter.diameterMm / 2);
  const shares = timeShares(ops, report.loads, job.machine);
  paceFindings(findings, ops, job.machine, shares);
  return finish(findings, measuredIn(read, report, limits, setup, shares));
}

/** The replay; null, with what was found until then, where it asks for too much work. */
function replayed(
  findings: CheckFindings,
  ops: readonly CanonicalOp[],
  started: ReplaySetup,
  onProgress: (p: Progress) => void,
): Replay | null {
  try {
    return replay(ops, started, {
      // Judged by its own findings, axis by axis.
      travelOps: [],
      onProgress: (done, of) => onProgress({ stage: 'replay', done, of }),
    });
  } catch (error) {
    if (!(error instanceof ReplayLimit)) throw error;
    const { reached, limit, message } = error;
    for (const found of reached?.findings ?? []) {
      findings.add(found.line, 'error', found.code, found.text, found.value);
    }
    const text = reached
      ? `the replay stops here: ${message}; nothing after this line is judged, nor any load: split the program`
      : `${message}; split it`;
    findings.add(reached?.line ?? 0, 'error', 'limit', text, null, limit);
    return null;
  }
}

type Part = Pick<Aimed, 'cut' | 'blank'>;

/** Parts of jobs that programs were checked against: the cut is not chosen again for each program. */
const parts = new WeakMap<Job, Part>();

/** What a program of the job is held against. A job that this tool would not plan is taken as drawn:
 *  a program by other means may be for it all the same. */
function aimed(job: Job): Part {
  let part = parts.get(job);
  if (!part) parts.set(job, (part = partOf(job)));
  return part;
}

function partOf(job: Job): Part {
  const drawn = wheelOf(job);
  return unlessRefused(() => aimOf(job, drawn)) ?? { cut: drawn, blank: blankSize(job, drawn) };
}

/** The stock that the text says it starts from; null, with a finding, where that is not known. */
function startedFrom(
  findings: CheckFindings,
  text: string,
  job: Job,
  blank: ReplaySetup,
): ReplaySetup | null {
  const unread = unreadStock(text);
  if (unread !== null) {
    const said = showText(unread, 80);
    findings.add(
      0,
      'error',
      'stock-unknown',
      `the remark "${said}" cannot be read; it is not replayed`,
    );
    return null;
  }
  const stock = stockOf(text);
  if (stock?.kind !== 'left') return blank;
  try {
    const { profile, cam, program } = planParts(job);
    const from = blankStart(job, profile, cam.blank, cam.field);
    return declaredStart(from, program, stock).setup;
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    findings.add(0, 'error', 'stock-unknown', `${error.message}; it is not replayed`);
    return null;
  }
}

function finish(findings: CheckFindings, measured: CheckReport['measured']): CheckReport {
  const listed = findings.list();
  return { findings: listed, measured, worst: worstOf(listed) };
}

/** What the program says about itself, against what it is and the job it should be of. */
function copyFindings(findings: CheckFindings, text: string, job: Job, then: Job): void {
  const { status, message } = verifyEnvelope(text, digestOf(then));
  if (status === 'ok') return basisFindings(findings, job, then);
  const severity = status === 'absent' ? 'note' : status === 'other-job' ? 'warning' : 'error';
  const { learnt } = job.machine;
  const changed = learnt && status === 'other-job' ? `, or ${learnt.file} was changed since` : '';
  findings.add(0, severity, `copy-${status}`, message + changed);
  if (status !== 'absent') differenceFindings(findings, text, job);
}

/** What the program was planned with that a plan of today would not be. */
function basisFindings(findings: CheckFindings, job: Job, then: Job): void {
  const says = ({ riskShare, basis }: Job) => {
    const { servedLives = 0, runs = 0, pulls = 0 } = basis ?? {};
    return {
      risk: `a risk of ${percent(riskShare)}`,
      edge: servedLives > 0 ? `an edge that has served ${percent(servedLives)}` : 'a new edge',
      log: runs + pulls > 0 ? `a log of runs: ${runs}, pull tests: ${pulls}` : 'no log',
    };
  };
  const [was, now] = [says(then), says(job)];
  const differ = (['risk', 'edge', 'log'] as const).filter((key) => was[key] !== now[key]);
  if (differ.length === 0) return;
  const list = (of: typeof was) => differ.map((key) => of[key]).join(', ');
  const text = `planned with ${list(was)}; a plan of today would have ${list(now)}`;
  findings.add(0, 'note', 'planned-with', text);
}

/** Faults of the language, what the control would make of it, and arcs the standard refuses. */
function readFindings(
  findings: CheckFindings,
  read: ReadResult,
  text: string,
  job: Job,
  workRadiusMm: number,
): void {
  for (const error of read.errors) {
    // Told below, with what a control would do.
    if (error.errorClass === 'feed-missing') continue;
    if (error.errorClass === 'unknown-code' && foreignCode(error.message)) continue;
    findings.add(
      error.line,
      'error',
      `rs274-${error.errorClass}`,
      `${error.message} (column ${error.column}); ${error.fix}`,
    );
  }
  const skipped = read.errors[0];
  if (skipped && read.errors.some((error) => error.errorClass !== 'missing-program-end')) {
    findings.add(
      skipped.line,
      'note',
      'lines-skipped',
      'lines with errors are left out of the replay, so what is said of later lines may be wrong',
    );
  }
  for (const found of capabilityFindings(text, job.controller, read, workRadiusMm)) {
    const severity = found.severity === 'danger' ? 'error' : found.severity;
    const lines = found.lines > 1 ? ` (${found.lines} lines)` : '';
    findings.add(found.line, severity, found.rule, `${found.message}${lines}; ${found.fix}`);
  }
  let limit: number = ACCEPTANCE.arcRadiusErrorMm;
  for (const op of read.ops) {
    if (op.op === 'units') {
      limit = op.units === 'inch' ? INCH_ARC_LIMIT_MM : ACCEPTANCE.arcRadiusErrorMm;
    }
    if (op.op !== 'arc' || op.radiusErrorMm <= limit) continue;
    findings.add(
      op.line,
      'warning',
      'arc-radius',
      `the radii of the arc differ by ${op.radiusErrorMm.toFixed(4)} mm; many controls accept it, RS274/NGC 3.5.3.2 refuses more than ${limit} mm`,
      op.radiusErrorMm,
      limit,
    );
  }
}

function measuredIn(
  read: ReadResult,
  report: Replay,
  limits: CutLimits,
  setup: CheckSetup,
  shares: TimeShares,
): ReplayFigures {
  const { peakEngagementRad: peak, peakForceN } = report;
  return {
    checkedFor: setup.target,
    lines: read.lineCount,
    peakEngagementDeg: degFromRad(peak.value),
    peakEngagementLine: peak.line,
    maxEngagementDeg: limits.maxEngagementDeg,
    peakForceN: { x: peakForceN.x.value, y: peakForceN.y.value },
    peakForceLine: { x: peakForceN.x.line, y: peakForceN.y.line },
    cutterForceN: limits.cutterForceN,
    peakDriveN: { x: report.peakDriveN.x.value, y: report.peakDriveN.y.value },
    driveForceN: limits.driveForceN,
    peakChipMm: report.peakChipMm.value,
    peakPowerW: report.peakPowerW.value,
    peakAxialDepthMm: report.peakAxialMm.value,
    gougeMm: report.gougeMm.value,
    gougeLine: report.gougeMm.line,
    leftoverMm: Number.isFinite(report.leftoverMm) ? report.leftoverMm : null,
    arcRadiusErrorMm: report.worstArcRadiusErrorMm.value,
    removedMm3: report.removedMm3,
    feedCuttingMin: shares.cutMin,
    feedInAirMin: shares.airMin,
    rapidMin: shares.rapidMin,
  };
}
