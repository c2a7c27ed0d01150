/**
 * A program that goes on where another was stopped: planned from what is known to be right, judged
 * by replaying what was cut wrong, and refused where the part is scrap.
 */
import { planOdds } from './odds.js';
import { datumVisit } from '../cam/datum.js';
import {
  type Entry,
  FIRST_LEVEL_SHARE,
  entriesBefore,
  levelBefore,
  restartCam,
} from '../cam/restart.js';
import { type ToothGouge, shiftedGouges } from '../cam/stock/shifted-gouge.js';
import { Refusal } from '../model/refusal.js';
import { headingOf } from '../model/section.js';
import type { Plan, Progress, RestartFacts } from '../post/plan.js';
import type { WrittenProgram } from '../post/rs274/writer.js';
import { ACCEPTANCE } from './accept.js';
import { SHEET_WORD, planWords } from './head-words.js';
import { prove } from './prove.js';
import { type Stretch, findStretch, programRun } from './retune/run.js';
import { type Start, blankStart, leftStart } from './start.js';
import { coreRadiusMm, smallerWheel } from '../profile/inspect/salvage.js';
import { judgeDrive } from './drive-faults.js';
import { summarize } from './summary.js';

export interface RestartRequest {
  /** The last place up to which everything is right. */
  readonly resumeAt: Stretch;
  /** Where the run was stopped; null: it ran to the end. */
  readonly stoppedAt: Stretch | null;
  /** Where the cutter ran less where the program had it, from the place on. mm */
  readonly offsetMm: readonly [x: number, y: number];
}

/** Entries that are tried before giving up. */
const MOST_ENTRIES = 40;

/**
 * @param planned  the plan whose program was stopped
 * @returns a plan of its own, proved on the stock that the stopped run left
 * @throws Refusal 'restart-scrap' where what is cut makes the part scrap; 'restart-nothing-left'
 *   and 'restart-no-entry' where there is no program to write
 */
export function planRestart(
  planned: Plan,
  request: RestartRequest,
  onProgress: (p: Progress) => void = () => {},
): Plan {
  const { job, cam } = planned;
  const { ops } = planned.program;
  const { askedLine, stoppedLine } = linesOf(planned, request);
  const [dx, dy] = request.offsetMm;
  const off = dx !== 0 || dy !== 0 ? { xMm: dx, yMm: dy, toLine: stoppedLine } : null;
  const gouges = shiftedGouges(
    off ? ops.filter((op) => op.line >= askedLine && op.line <= stoppedLine) : [],
    request.offsetMm,
    cam.field,
    job.cutter.diameterMm / 2,
    job.sprocket.teeth,
    ACCEPTANCE.gougeMm,
  );
  refuseScrap(planned, gouges, request.stoppedAt === null);
  const blank = blankStart(job, planned.profile, cam.blank, cam.field);
  const start = leftStart(blank, planned.program, { toLine: askedLine - 1, off });
  const askedMove = moveAtLine(planned.program, askedLine);
  const facts = {
    askedLine,
    stoppedLine,
    offsetMm: { x: dx, y: dy },
    gougeMm: gouges[0]?.depthMm ?? 0,
    toleranceMm: job.limits.toleranceMm,
  };
  const entries = entriesBefore(cam.toolpath, askedMove).slice(0, MOST_ENTRIES);
  let trouble = 'the program has not begun to cut there: run it from the start';
  for (const [i, entry] of entries.entries()) {
    onProgress({ stage: 'restart', done: i, of: entries.length });
    try {
      return fromEntry(planned, entry, start, facts);
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      trouble = error.message;
    }
  }
  throw new Refusal('restart-no-entry', `no way into the work was found: ${trouble}`);
}

/** Lines of the stopped program: where it is to go on, and where it was stopped. */
function linesOf(planned: Plan, { resumeAt, stoppedAt }: RestartRequest) {
  const { ops } = planned.program;
  const run = programRun(planned, null);
  const askedLine = ops[findStretch(run, resumeAt).first]!.line;
  const stoppedLine =
    stoppedAt === null ? ops[ops.length - 1]!.line : ops[findStretch(run, stoppedAt).last]!.line;
  if (stoppedLine < askedLine) {
    throw new Refusal(
      'restart-order',
      `the run stopped at line ${stoppedLine}, before line ${askedLine} where it is to go on: give the last place up to which everything is right as --resume-at`,
    );
  }
  return { askedLine, stoppedLine };
}

function refuseScrap(planned: Plan, gouges: readonly ToothGouge[], toEnd: boolean): void {
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
    `the part is scrap: the tooth at ${worst.toothDeg.toFixed(0)} deg is cut ${worst.depthMm.toFixed(2)} mm too deep by line ${worst.line} at Z ${worst.zMm.toFixed(2)}, ${tolerance} mm are allowed${others}${until}. ${salvage(planned, worst)}`,
    worst.depthMm,
    tolerance,
  );
}

/** What may still be made of it: the same blank for fewer teeth, or the tooth as it is. */
function salvage({ job, aim, cam }: Plan, { depthMm }: ToothGouge): string {
  const leftMm = aim.drawn.rootDiameterMm - 2 * (depthMm + cam.blank.centringErrorMm);
  const teeth = smallerWheel({ ...job.chain, ...job.sprocket }, leftMm, coreRadiusMm(job));
  const again = teeth === null ? '' : `the blank still holds a wheel of ${teeth} teeth; or `;
  return `Salvage: ${again}where only one level of ${cam.process.levelsMm.length} is cut, the rest of the tooth's width bears: deburr it and run it on a slow, smooth drive, measured over pins first (gullet inspect, which takes the --gouge, too)`;
}

/** Last move that was written at or before a line. */
function moveAtLine(program: WrittenProgram, line: number): number {
  let move = 0;
  for (let i = 0; i < program.moveLines.length; i++) {
    if (program.moveLineCounts[i]! > 0 && program.moveLines[i]! <= line) move = i;
  }
  return move;
}

/** The plan from one entry on. @throws Refusal where its program fails */
function fromEntry(
  planned: Plan,
  entry: Entry,
  start: Start,
  facts: Pick<RestartFacts, 'askedLine' | 'stoppedLine' | 'offsetMm' | 'gougeMm' | 'toleranceMm'>,
): Plan {
  const { jobDigest, profile, aim } = planned;
  const job = { ...planned.job, title: `${planned.job.title}, restart` };
  const { datum, toolpath } = planned.cam;
  const settings = datum ? datumVisit(datum, { kind: 'datum-setting' }, toolpath.clearanceZMm) : [];
  const { cam, easedUntil } = restartCam(planned.cam, entry, settings, job.machine);
  const fromLine = planned.program.moveLines[entry.move]!;
  const { program, replay } = prove(cam.toolpath, start, cam.process, job.controller, {
    what: 'restart',
    title: job.title,
    jobDigest,
    before: [
      ...planWords(job, cam.process),
      `goes on from line ${fromLine} of the program of this job`,
    ],
    after: [
      'the rest of the first level is cut in two steps of half its depth',
      'zero: set again on the axis of the sprocket and the top face before this runs',
      SHEET_WORD,
    ],
  });
  const easedLine =
    easedUntil < cam.toolpath.moves.length ? program.moveLines[easedUntil]! : Infinity;
  const peakOver = (values: Float64Array): number =>
    program.ops.reduce(
      (most, op, i) => (op.line < easedLine ? Math.max(most, values[i]!) : most),
      0,
    );
  const odds = planOdds(job, cam, replay, program.ops, planned.summary.predicted.worth);
  return {
    ...{ job, jobDigest, profile, aim, cam, program, replay },
    before: start.setup.before ?? [],
    summary: summarize(job, aim, cam, replay, odds, null, judgeDrive(job, aim.drawn)),
    bore: null,
    restart: {
      fromLine,
      section: headingOf(levelBefore(planned.cam.toolpath.moves, entry.move)!),
      firstLevelDepthShare: FIRST_LEVEL_SHARE,
      firstLevelPeakForceN: { x: peakOver(replay.loads.xN), y: peakOver(replay.loads.yN) },
      ...facts,
    },
  };
}
