/** The worker's work: a job as edited to its plan or its files, with the same kernel as the CLI. */
import { Refusal } from '../../model/refusal.js';
import { JobError, faultWords } from '../../text/fault.js';
import { keptPlan, planJob, planSteps } from '../../plan/plan.js';
import type { Plan, Progress } from '../../post/plan.js';
import { resolveJob } from '../../job/load.js';
import { retune } from '../../index.js';
import { explainJob } from '../../cam/explain.js';
import { warningSheet } from '../../post/sheet/sheet.js';
import { pageFiguresOf } from '../data/page-data.js';
import { ReadingFault, chainFound, partFigures } from './figures.js';
import { inspectFound, pullFound, runTold, tapFound } from './measured.js';
import type { Answer, Fault, Notice, PlanShown, Request } from './messages.js';

/** Distance between places at which the replay of a first look takes the load: four of the full one's
 *  steps. mm */
const LOOK_STEP_MM = 0.32;

const NOT_AT_HAND = {
  problem: 'is not at hand on this page',
  fix: 'open it together with the job file',
} as const;

/** What is added to the log of a machine, or to its file, rests on the machine without its log. */
const OF_PROFILE: readonly Request['want'][] = ['learn', 'tap', 'pull'];

/** What the worker works with; a test may put something of its own in place of either. */
export const KERNEL = { keptPlan, planSteps, planJob } as const;
export type Kernel = typeof KERNEL;

/**
 * Answers a request in short steps, for a worker that looks for a newer request in between. Yields
 * null after a step, or the first look; returns the answer.
 * @param progress  called now and then
 */
export function* answer(
  request: Request,
  progress: (p: Progress) => void = () => {},
  kernel: Kernel = KERNEL,
): Generator<Notice | null, Answer, void> {
  const { id } = request;
  try {
    if (request.want === 'chain') return { id, kind: 'chain', found: chainFound(request) };
    const { want, input, file, machineFiles } = request;
    const machineFile = (path: string) => machineFiles[path] ?? { file: path, ...NOT_AT_HAND };
    const evidenceLog = (path: string) => machineFiles[path] ?? null;
    const resolvers = OF_PROFILE.includes(want) ? { machineFile } : { machineFile, evidenceLog };
    const resolved = resolveJob(input, resolvers, { file, places: new Map() });
    if (resolved.error) return { id, kind: 'faults', faults: faultsOf(resolved.error, file) };
    const { job } = resolved;
    if (want === 'figures') return { id, kind: 'figures', part: partFigures(job) };
    if (want === 'explain') return { id, kind: 'explain', explained: explainJob(job) };
    if (request.want === 'learn') {
      const { logText } = request;
      const learned = retune(job, runTold(request), { logText, onProgress: progress });
      return { id, kind: 'learned', learned };
    }
    if (request.want === 'tap') return { id, kind: 'measured', measured: tapFound(job, request) };
    if (request.want === 'pull') return { id, kind: 'measured', measured: pullFound(job, request) };
    if (request.want === 'inspect') {
      return { id, kind: 'inspected', inspected: inspectFound(job, request) };
    }
    if (want === 'files') return { id, kind: 'files', files: kernel.planJob(job, progress).files };
    const known = kernel.keptPlan(job);
    if (known) return { id, kind: 'plan', plan: planShown(known, known.program.text) };
    const steps = kernel.planSteps(job, { onProgress: progress, lookStepMm: LOOK_STEP_MM });
    let looked = false;
    for (;;) {
      const step = steps.next();
      if (step.done === true) {
        const program = looked ? null : step.value.program.text;
        return { id, kind: 'plan', plan: planShown(step.value, program) };
      }
      if (step.value !== null) looked = true;
      yield (
        step.value && {
          id,
          kind: 'look',
          plan: planShown(step.value, step.value.program.text, false),
        }
      );
    }
  } catch (error) {
    return failed(request, error);
  }
}

/** What is said of a request that came to nothing. */
function failed(request: Request, error: unknown): Answer {
  const { id } = request;
  if (error instanceof JobError) {
    const faults = faultsOf(error, 'file' in request ? request.file : null);
    return { id, kind: 'faults', faults };
  }
  if (error instanceof ReadingFault) {
    return { id, kind: 'faults', faults: [{ key: error.key, message: error.message }] };
  }
  if (error instanceof Refusal) {
    const key = error.code === 'no-such-place' ? 'at' : error.key;
    return { id, kind: 'refused', fault: { key, message: `refused: ${error.message}` } };
  }
  return { id, kind: 'bug', message: error instanceof Error ? error.message : String(error) };
}

/** @param full  it has passed its full replay; the sheet that is printed is of such a plan only */
function planShown(planned: Plan, program: string | null, full = true): PlanShown {
  const { job, cam } = planned;
  const defaults = {
    'limits.max-engagement': `${cam.process.maxEngagementDeg} deg`,
    'limits.max-stepdown': `${cam.process.maxStepdownMm} mm`,
    'limits.spindle-speed': `${cam.process.spindleRpm} rpm`,
    ...Object.fromEntries((job.defaults ?? []).map((d) => [d.key, d.taken])),
  };
  return { ...pageFiguresOf(planned, full ? warningSheet : () => LOOK_SHEET), program, defaults };
}

const LOOK_SHEET = '<p>A first look, not checked yet: print again when the check has ended.</p>';

/** What is wrong in the job's own file stands beside the field that its key names. */
function faultsOf(error: JobError, jobFile: string | null): Fault[] {
  return error.errors.map((fault) => {
    const own = fault.key !== null && fault.file === jobFile;
    return { key: fault.key, message: own ? faultWords(fault) : fault.message };
  });
}
