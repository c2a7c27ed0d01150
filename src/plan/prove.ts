/**
 * The one road to a program: it is written, read again by a reader that knows nothing of the writer,
 * replayed on the stock that it starts from, and accepted or refused. Teeth, bore, restart and
 * ladder go this way and no other.
 */
import { type ReplayReport, replaySteps } from '../cam/stock/replay.js';
import { toEnd } from '../cam/stock/replay/budget.js';
import { Refusal } from '../model/refusal.js';
import { sectionsOf } from '../model/section.js';
import { stockLines } from '../model/stock.js';
import type { Toolpath } from '../model/toolpath.js';
import type { Controller } from '../model/op.js';
import type { Program, Progress } from '../post/plan.js';
import { readProgram } from '../post/rs274/reader.js';
import { writeProgram } from '../post/rs274/writer.js';
import { type AcceptLimits, acceptReplay } from './accept.js';
import { refuseFaults, replayStepsWithin } from './read-back.js';
import type { Start } from './start.js';

/** What the head of a program says besides the stock it starts from. */
export interface ProgramWords {
  /** What the program is called in a refusal: "program", "bore program". */
  readonly what: string;
  readonly title: string;
  readonly jobDigest: string;
  /** Remarks before and after the line on the stock. */
  readonly before: readonly string[];
  readonly after: readonly string[];
}

export interface Proof {
  readonly program: Program;
  readonly replay: ReplayReport;
}

export interface ProveOptions {
  /** Asks for a first look: distance between places at which its replay takes the load. mm */
  readonly lookStepMm?: number;
  readonly onProgress?: (p: Progress) => void;
}

/** Stages of a plan, of which proving has the last three. */
export const PLAN_STAGES = 5;

/**
 * @throws Refusal with the first thing found wanting; Error where the text does not read back
 */
export function prove(
  toolpath: Toolpath,
  start: Start,
  limits: AcceptLimits,
  controller: Controller,
  words: ProgramWords,
): Proof {
  return toEnd(proveSteps(toolpath, start, limits, controller, words));
}

/**
 * {@link prove} in short steps. Yields null after a step, and once, where a first look is asked for,
 * what a coarser replay found: for looking at only. A program that fails the coarser replay is given
 * no first look; the full one then says why.
 */
export function* proveSteps(
  toolpath: Toolpath,
  start: Start,
  limits: AcceptLimits,
  controller: Controller,
  words: ProgramWords,
  { lookStepMm, onProgress = () => {} }: ProveOptions = {},
): Generator<Proof | null, Proof, void> {
  onProgress({ stage: 'program', done: 2, of: PLAN_STAGES });
  const written = writeProgram(toolpath, controller, {
    title: words.title,
    jobDigest: words.jobDigest,
    homed: false,
    notes: [...words.before, ...stockLines(start.stock), ...words.after],
  });
  yield null;
  onProgress({ stage: 'reading back', done: 3, of: PLAN_STAGES });
  const read = readProgram(written.text, { controller });
  refuseFaults(read, words.what);
  const sections = sectionsOf(written.text);
  const program: Program = { ...written, ops: read.ops, startsFrom: start.stock, sections };
  yield null;
  const replayed = function* (stepMm?: number): Generator<null, Proof, void> {
    const full = stepMm === undefined;
    const report = yield* paused(
      replayStepsWithin(
        replaySteps(program.ops, start.setup, {
          ...(full ? {} : { stepMm }),
          onProgress: (done, of) => {
            if (!full) return;
            onProgress({ stage: 'replay', done: 4 + done / Math.max(1, of), of: PLAN_STAGES });
          },
        }),
      ),
    );
    acceptReplay(report, limits, words.what);
    return { program, replay: report };
  };
  if (lookStepMm !== undefined) {
    try {
      yield yield* replayed(lookStepMm);
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
    }
  }
  return yield* replayed();
}

function* paused<T>(steps: Generator<void, T, void>): Generator<null, T, void> {
  for (;;) {
    const step = steps.next();
    if (step.done === true) return step.value;
    yield null;
  }
}
