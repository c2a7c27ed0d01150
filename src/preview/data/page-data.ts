/**
 * What the page shows of one planned job: all of it plain data, made from the plan alone. This
 * folder holds that data (`track.ts` is the program), its way into a page and back (`pack.ts`), and
 * what is worked out from it; nothing here draws.
 */
import { headingOf } from '../../model/section.js';
import type { Plan } from '../../post/plan.js';
import { holdingPlan } from '../../post/sheet/holding-plan.js';
import { reachOf } from '../../post/sheet/reach.js';
import { warningSheet } from '../../post/sheet/sheet.js';
import { KIND, type Track, trackBefore, trackOf } from './track.js';

/** A stretch of the program under one heading, or one stop. */
export interface Section {
  readonly name: string;
  /** Entry of the track at which it starts. */
  readonly first: number;
}

/** Figures of the plan, all of it plain data. */
export type PageFigures = ReturnType<typeof figuresOf>;

export interface PageData {
  readonly figures: PageFigures;
  readonly track: Track;
  /** What was cut before the program begins; null for a whole program. */
  readonly before: Track | null;
  /** The program, line by line. */
  readonly lines: readonly string[];
}

export function pageDataOf(planned: Plan): PageData {
  const lines = programLines(planned.program.text);
  return { ...pageFiguresOf(planned, warningSheet), lines };
}

/** The program as the page shows it, line by line. */
export function programLines(text: string): string[] {
  return text.trimEnd().split('\n');
}

/**
 * All of the page's data but the program's text.
 * @param sheet  makes the page that is printed
 */
export function pageFiguresOf(
  planned: Plan,
  sheet: (planned: Plan) => string,
): Omit<PageData, 'lines'> {
  const track = trackOf(planned);
  return { figures: figuresOf(planned, track, sheet), track, before: trackBefore(planned) };
}

function figuresOf(planned: Plan, track: Track, sheet: (planned: Plan) => string) {
  const { job, summary, cam, jobDigest, profile } = planned;
  const reach = reachOf(planned);
  return {
    job: without(job, 'controller'),
    jobDigest,
    summary: without(summary, 'sprocket'),
    profile,
    process: without(cam.process, 'feed', 'conditions', 'way'),
    finish: cam.finish,
    blank: cam.blank,
    reach,
    holding: holdingPlan(planned, reach),
    sections: placesOf(planned, track, 'section'),
    /** Where the program waits for a person, and what for. */
    stops: placesOf(planned, track, 'stop'),
    /** The warning sheet as a page of its own, for printing. */
    sheetHtml: sheet(planned),
  };
}

function without<T extends object, K extends keyof T>(value: T, ...keys: K[]): Omit<T, K> {
  const copy = { ...value };
  for (const key of keys) delete copy[key];
  return copy;
}

/** Headings or stops of the toolpath, with the entry of the track that they come before or are. */
function placesOf({ cam, program }: Plan, track: Track, kind: 'section' | 'stop'): Section[] {
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
