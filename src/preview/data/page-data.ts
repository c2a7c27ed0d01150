/**
 * What the page shows of one planned job: all of it plain data, made from the plan alone. This
 * folder holds that data (`track.ts` is the program), its way into a page and back (`pack.ts`), and what is worked out from it; nothing here draws.
 */
import { headingOf } from '../../model/section.js';
import type { FinishPlan } from '../../cam/finish.js';
import type { BlankSize } from '../../cam/sequence.js';
import type { RoughProcess } from '../../cam/process.js';
import type { PlannedJob } from '../../post/plan.js';
import type { Job, PlanSummary } from '../../model/job.js';
import { type HoldingPlan, holdingPlan } from '../../post/sheet/holding-plan.js';
import { HOLD_CLEARANCE_MM, type Reach, reachOf } from '../../post/sheet/reach.js';
import { warningSheet } from '../../post/sheet/sheet.js';
import type { SprocketProfile } from '../../profile/wheel/sprocket.js';
import { KIND, type Track, trackBefore, trackOf } from './track.js';

/** A stretch of the program under one heading, or one stop. */
export interface Section {
  readonly name: string;
  /** Entry of the track at which it starts. */
  readonly first: number;
}

/** Figures of the plan, all of it plain data. */
export interface PageFigures {
  readonly job: Omit<Job, 'controller'> & { readonly controllerId: string };
  readonly jobDigest: string;
  readonly summary: Omit<PlanSummary, 'sprocket'> & {
    readonly sprocket: Omit<PlanSummary['sprocket'], 'outline'>;
  };
  readonly profile: SprocketProfile;
  readonly process: Omit<RoughProcess, 'feed' | 'conditions'>;
  readonly finish: FinishPlan;
  readonly blank: BlankSize;
  readonly clearanceZMm: number;
  readonly reach: Reach;
  readonly holding: HoldingPlan;
  /** Nothing that stands up may be nearer to the axis than this. */
  readonly keepOutDiameterMm: number;
  readonly sections: readonly Section[];
  /** Where the program waits for a person, and what for. */
  readonly stops: readonly Section[];
  /** The warning sheet as a page of its own, for printing. */
  readonly sheetHtml: string;
}

export interface PageData {
  readonly figures: PageFigures;
  readonly track: Track;
  /** What was cut before the program begins; null for a whole program. */
  readonly before: Track | null;
  /** The program, line by line. */
  readonly lines: readonly string[];
}

export function pageDataOf(planned: PlannedJob): PageData {
  return { ...pageFiguresOf(planned), lines: programLines(planned.program.text) };
}

/** The program as the page shows it, line by line. */
export function programLines(text: string): string[] {
  return text.trimEnd().split('\n');
}

/**
 * All of the page's data but the program's text.
 * @param sheet  makes the page that is printed; the warning sheet
 */
export function pageFiguresOf(
  planned: PlannedJob,
  sheet: (planned: PlannedJob) => string = warningSheet,
): Omit<PageData, 'lines'> {
  const { job, summary, cam } = planned;
  const track = trackOf(planned);
  const reach = reachOf(planned);
  return {
    figures: {
      job: { ...without(job, 'controller'), controllerId: job.controller.id },
      jobDigest: planned.jobDigest,
      summary: { ...summary, sprocket: without(summary.sprocket, 'outline') },
      profile: planned.profile,
      process: without(cam.process, 'feed', 'conditions'),
      finish: cam.finish,
      blank: cam.blank,
      clearanceZMm: cam.toolpath.clearanceZMm,
      reach,
      holding: holdingPlan(planned, reach),
      keepOutDiameterMm: Math.ceil(2 * (reach.sweptRadiusMm + HOLD_CLEARANCE_MM)),
      sections: placesOf(planned, track, 'section'),
      stops: placesOf(planned, track, 'stop'),
      sheetHtml: sheet(planned),
    },
    track,
    before: trackBefore(planned),
  };
}

function without<T extends object, K extends keyof T>(value: T, ...keys: K[]): Omit<T, K> {
  const copy = { ...value };
  for (const key of keys) delete copy[key];
  return copy;
}

/** Headings or stops of the toolpath, with the entry of the track that they come before or are. */
function placesOf({ cam, program }: PlannedJob, track: Track, kind: 'section' | 'stop'): Section[] {
  const places: Section[] = [];
  let entry = 0;
  cam.toolpath.moves.forEach((move, m) => {
    if (move.kind !== kind) return;
    const line = program.moveLines[m] as number;
    while (entry + 1 < track.line.length && track.line[entry]! < line) entry++;
    if (kind === 'stop')
      while (track.kind[entry] !== KIND.stop && entry + 1 < track.kind.length) entry++;
    const name = move.kind === 'section' ? headingOf(move.head) : move.message;
    places.push({ name, first: entry });
  });
  return places;
}
