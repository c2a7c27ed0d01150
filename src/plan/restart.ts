/**
 * A program that goes on where another was stopped: planned from what is known to be right, judged
 * by replaying what was cut wrong, and refused where the part is scrap.
 */
import { Refusal } from '../model/refusal.js';
import { datumVisit } from '../cam/datum.js';
import { replay } from '../cam/stock/replay.js';
import { loadsFrom } from '../cam/stock/replay/report.js';
import { shiftedGouges, type ToothGouge } from '../cam/stock/shifted-gouge.js';
import {
  type Entry,
  FIRST_LEVEL_SHARE,
  entriesBefore,
  headingBefore,
  restartToolpath,
} from '../cam/restart.js';
import { motionTimes } from '../cam/timing.js';
import { readProgram } from '../post/rs274/reader.js';
import { warningSheet } from '../post/sheet/sheet.js';
import type { CanonicalOp } from '../model/op.js';
import { type WrittenProgram, writeProgram } from '../post/rs274/writer.js';
import { ACCEPTANCE } from './accept.js';
import type { PlannedJob, Progress } from '../post/plan.js';
import { refuseFaults, replayWithin } from './read-back.js';
import { replaySetup } from './replay-setup.js';
import { stableJson } from '../text/stable-json.js';
import { type Stretch, findStretch, programRun } from './retune/run.js';

export interface RestartRequest {
  /** The last place up to which everything is right. */
  readonly resumeAt: Stretch;
  /** Where the run was stopped; null: it ran to the end. */
  readonly stoppedAt: Stretch | null;
  /** Where the cutter ran less where the program had it, from the place on. mm */
  readonly offsetMm: readonly [x: number, y: number];
}

export interface Restart {
  readonly summary: RestartSummary;
  readonly files: Readonly<Record<string, string>>;
}

/** What plan.json says of a restart. Units are in the names. */
export interface RestartSummary {
  readonly jobDigest: string;
  /** Line of the stopped program at which this one takes up, and the section there. */
  readonly fromLine: number;
  readonly section: string;
  readonly askedLine: number;
  readonly stoppedLine: number;
  readonly offsetMm: { readonly x: number; readonly y: number };
  /** Deepest cut of the shifted run inside the outline, within tolerance. */
  readonly gougeMm: number;
  readonly toleranceMm: number;
  readonly firstLevelDepthShare: number;
  readonly peakForceN: { readonly x: number; readonly y: number };
  readonly firstLevelPeakForceN: { readonly x: number; readonly y: number };
  readonly peakEngagementDeg: number;
  readonly totalMin: number;
  readonly leftoverMm: number;
}

/** Lines of the restart are told from those of the stopped program by this. */
const RESTART_LINES = 10_000_000;
/** Entries that are tried before giving up. */
const MOST_ENTRIES = 40;

/**
 * @throws Refusal 'restart-scrap' where what is cut makes the part scrap; 'restart-nothing-left'
 *   and 'restart-no-entry' where there is no program to write
 */
export function planRestart(
  planned: PlannedJob,
  request: RestartRequest,
  onProgress: (p: Progress) => void = () => {},
): Restart {
  const { ops, job } = planned;
  const run = programRun(planned, null);
  const asked = findStretch(run, request.resumeAt);
  const stopped = request.stoppedAt === null ? null : findStretch(run, request.stoppedAt);
  const firstOp = asked.first;
  const lastOp = stopped ? stopped.last : ops.length - 1;
  if (lastOp < firstOp) {
    throw new Refusal(
      'restart-order',
      `the run stopped at line ${ops[lastOp]!.line}, before line ${ops[firstOp]!.line} where it is to go on: give the last place up to which everything is right as --resume-at`,
    );
  }
  const [dx, dy] = request.offsetMm;
  const wrong = dx !== 0 || dy !== 0 ? ops.slice(firstOp, lastOp + 1) : [];
  const gouges = shiftedGouges(
    wrong,
    request.offsetMm,
    planned.cam.field,
    job.cutter.diameterMm / 2,
    job.sprocket.teeth,
    ACCEPTANCE.gougeMm,
  );
  refuseScrap(planned, gouges, request.stoppedAt === null);

  const askedLine = ops[firstOp]!.line;
  const askedMove = moveAtLine(planned.program, askedLine);
  const entries = entriesBefore(planned.cam.toolpath, askedMove).slice(0, MOST_ENTRIES);
  const before: CanonicalOp[] = [
    ...ops.slice(0, firstOp),
    ...wrong.map((op) => shiftOp(op, dx, dy)),
  ];
  let trouble = 'the program has not begun to cut there: run it from the start';
  for (const [i, entry] of entries.entries()) {
    onProgress({ stage: 'restart', done: i, of: entries.length });
    const tried = tryEntry(planned, entry, before);
    if ('trouble' in tried) {
      trouble = tried.trouble;
      continue;
    }
    const summary: RestartSummary = {
      jobDigest: planned.jobDigest,
      fromLine: planned.program.moveLines[entry.move]!,
      section: headingBefore(planned.cam.toolpath.moves, entry.move),
      askedLine,
      stoppedLine: ops[lastOp]!.line,
      offsetMm: { x: dx, y: dy },
      gougeMm: gouges[0]?.depthMm ?? 0,
      toleranceMm: job.limits.toleranceMm,
      firstLevelDepthShare: FIRST_LEVEL_SHARE,
      ...tried.figures,
    };
    return { summary, files: restartFiles(tried.planned, summary) };
  }
  throw new Refusal('restart-no-entry', `no way into the work was found: ${trouble}`);
}

function refuseScrap(planned: PlannedJob, gouges: readonly ToothGouge[], toEnd: boolean): void {
  const tolerance = planned.job.limits.toleranceMm;
  const deep = gouges.filter((g) => g.depthMm > tolerance);
  const worst = deep[0];
  if (!worst) return;
  const others = deep.length > 1 ? `, and ${deep.length - 1} more teeth are over it` : '';
  const until = toEnd
    ? '; the run is taken to have gone to its end: if it was stopped before, say where with --stopped-at'
    : '';
  throw new Refusal(
    'restart-scrap',
    `the part is scrap: the tooth at ${worst.toothDeg.toFixed(0)} deg is cut ${worst.depthMm.toFixed(2)} mm too deep by line ${worst.line} at Z ${worst.zMm.toFixed(2)}, ${tolerance} mm are allowed${others}${until}`,
    worst.depthMm,
    tolerance,
  );
}

/** Last move that was written at or before a line. */
function moveAtLine(program: WrittenProgram, line: number): number {
  let move = 0;
  for (let i = 0; i < program.moveLines.length; i++) {
    if (program.moveLineCounts[i]! > 0 && program.moveLines[i]! <= line) move = i;
  }
  return move;
}

function shiftOp(op: CanonicalOp, dx: number, dy: number): CanonicalOp {
  if (!('from' in op)) return op;
  const from = [op.from[0] + dx, op.from[1] + dy, op.from[2]] as const;
  const to = [op.to[0] + dx, op.to[1] + dy, op.to[2]] as const;
  if (op.op !== 'arc') return { ...op, from, to };
  const center = op.plane === 'xy' ? ([op.center[0] + dx, op.center[1] + dy] as const) : op.center;
  return { ...op, from, to, center };
}

type Figures = Pick<
  RestartSummary,
  'peakForceN' | 'firstLevelPeakForceN' | 'peakEngagementDeg' | 'totalMin' | 'leftoverMm'
>;

/** Writes the program from one entry, reads it back and replays it on what is left of the stock. */
function tryEntry(
  planned: PlannedJob,
  entry: Entry,
  before: readonly CanonicalOp[],
): { planned: PlannedJob; figures: Figures } | { trouble: string } {
  const { job, cam, profile } = planned;
  const clear = cam.toolpath.clearanceZMm;
  const settings = cam.datum ? datumVisit(cam.datum, null, clear) : [];
  const parts = restartToolpath(cam.toolpath, entry, cam.process.plungeFeedMmPerMin, settings);
  const line = planned.program.moveLines[entry.move]!;
  const program = writeProgram(parts.toolpath, job.controller, {
    title: `${job.title}, restart`,
    jobDigest: planned.jobDigest,
    homed: false,
    notes: [
      `goes on from line ${line} of the program of this job`,
      'the rest of the first level is cut in two steps of half its depth',
      'zero: set again on the axis of the sprocket and the top face before this runs',
      'read the warning sheet before starting',
    ],
  });
  const read = readProgram(program.text, { controller: job.controller });
  refuseFaults(read, 'restart');
  const later = read.ops.map((op) => ({ ...op, line: op.line + RESTART_LINES }));
  const setup = replaySetup(job, profile, cam.blank, cam.field);
  const report = replayWithin(() => replay([...before, ...later], setup));
  const finding = report.findings.find((f) => f.line >= RESTART_LINES);
  if (finding) return { trouble: finding.text };
  const { loads } = report;
  const easedLine =
    parts.easedUntil < parts.toolpath.moves.length
      ? program.moveLines[parts.easedUntil]!
      : Infinity;
  const peak = (values: Float64Array, below = Infinity): number => {
    let best = 0;
    read.ops.forEach((op, i) => {
      if (op.line < below) best = Math.max(best, values[before.length + i]!);
    });
    return best;
  };
  const { allowedForceN, maxEngagementDeg } = cam.process;
  const timed = motionTimes(parts.toolpath.start, parts.toolpath.moves, job.machine);
  const figures: Figures = {
    peakForceN: { x: peak(loads.xN), y: peak(loads.yN) },
    firstLevelPeakForceN: { x: peak(loads.xN, easedLine), y: peak(loads.yN, easedLine) },
    peakEngagementDeg: (peak(loads.engagementRad) * 180) / Math.PI,
    totalMin: timed.totalS / 60,
    leftoverMm: report.leftoverMm,
  };
  if (figures.peakForceN.x > allowedForceN.x || figures.peakForceN.y > allowedForceN.y) {
    return { trouble: `the force would pass what is allowed` };
  }
  if (figures.peakEngagementDeg > maxEngagementDeg + ACCEPTANCE.engagementOverDeg) {
    return {
      trouble: `the cutter would be engaged over ${figures.peakEngagementDeg.toFixed(0)} deg`,
    };
  }
  if (!(figures.leftoverMm <= ACCEPTANCE.leftoverMm)) {
    return { trouble: `${figures.leftoverMm.toFixed(3)} mm would be left on the outline` };
  }
  const times = { ...cam.times, totalMin: figures.totalMin };
  return {
    figures,
    planned: {
      ...planned,
      job: { ...job, title: `${job.title}, restart` },
      cam: { ...cam, toolpath: parts.toolpath, secondsOf: timed.secondsOf, times },
      program,
      ops: read.ops,
      replay: { ...report, loads: loadsFrom(report.loads, before.length) },
      summary: {
        ...planned.summary,
        predicted: {
          ...planned.summary.predicted,
          totalMin: figures.totalMin,
          peakForceN: figures.peakForceN,
          peakEngagementDeg: figures.peakEngagementDeg,
        },
      },
    },
  };
}

/** The program, what it rests on, and the sheet for it. */
function restartFiles(planned: PlannedJob, restart: RestartSummary): Record<string, string> {
  return {
    'program.ngc': planned.program.text,
    'plan.json': `${stableJson({ ...planned.summary, title: planned.job.title, restart }, 2)}\n`,
    'warning-sheet.html': warningSheet(planned),
  };
}
