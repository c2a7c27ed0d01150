/**
 * The one road to a program: it is written, read again by a reader that knows nothing of the writer,
 * replayed on the stock that it starts from, and accepted or refused. Teeth, bore and
 * restart go this way and no other.
 */
import { ReplayLimit, type Replay, replaySteps } from '../cam/stock/replay.js';
import { toEnd } from '../cam/stock/replay/budget.js';
import { Refusal } from '../model/refusal.js';
import { sectionsOf } from '../model/section.js';
import { stockLines } from '../model/stock.js';
import type { Pt3, Toolpath } from '../model/toolpath.js';
import type { Controller } from '../model/op.js';
import type { Program, Progress } from '../post/plan.js';
import { type ReadResult, readProgram } from '../post/rs274/reader.js';
import { MACHINE_TOP_MM, writeProgram } from '../post/rs274/writer.js';
import { type AcceptLimits, acceptReplay } from './accept.js';
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
  readonly replay: Replay;
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
export function prove(...program: Parameters<typeof proveSteps>): Proof {
  return toEnd(proveSteps(...program));
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
    homed: start.setup.machine.homed === true,
    notes: [...words.before, ...stockLines(start.stock), ...words.after],
  });
  yield null;
  onProgress({ stage: 'reading back', done: 3, of: PLAN_STAGES });
  const read = readProgram(written.text, { controller, workOriginMm: topOver(toolpath) });
  refuseFaults(read, words.what);
  const sections = sectionsOf(written.text);
  const program: Program = { ...written, ops: read.ops, startsFrom: start.stock, sections };
  yield null;
  const replayed = function* (stepMm?: number): Generator<null, Proof, void> {
    const full = stepMm === undefined;
    const report = yield* replayWithin(
      replaySteps(program.ops, start.setup, {
        ...(full ? {} : { stepMm }),
        onProgress: (done, of) => {
          if (!full) return;
          onProgress({ stage: 'replay', done: 4 + done / Math.max(1, of), of: PLAN_STAGES });
        },
      }),
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

/** Work zero in the machine where the top of travel is no higher than the program's ways across: the
 *  least that a homed machine must have. */
function topOver({ start }: Toolpath): Pt3 {
  return [0, 0, MACHINE_TOP_MM - start[2]];
}

/**
 * @throws Refusal 'program-too-long' where the program is over a limit of the reader
 * @throws Error where it does not read back at all, which is a fault of this tool
 */
export function refuseFaults(read: ReadResult, what: string): void {
  const fault = read.errors[0];
  if (!fault) return;
  if (fault.errorClass === 'limit') {
    throw new Refusal('program-too-long', `the ${what} has ${fault.message}`);
  }
  throw new Error(`the ${what} does not read back: line ${fault.line}: ${fault.message}`);
}

/** @throws Refusal 'replay-limit' where a replay asks for more work than its limit */
export function* replayWithin<T>(steps: Iterator<void, T, void>): Generator<null, T, void> {
  try {
    for (;;) {
      const step = steps.next();
      if (step.done === true) return step.value;
      yield null;
    }
  } catch (error) {
    if (!(error instanceof ReplayLimit)) throw error;
    throw new Refusal('replay-limit', error.message, null, error.limit);
  }
}
