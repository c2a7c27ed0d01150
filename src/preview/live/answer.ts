/** The worker's work: a job as edited to its plan or its files, with the same kernel as the CLI. */
import { JobError } from '../../job/errors.js';
import { planJob, planParts } from '../../job/pipeline.js';
import type { Progress } from '../../job/planned.js';
import { resolveJob } from '../../job/resolve.js';
import { PlanRefused } from '../../job/types.js';
import { pageDataOf } from '../data/page-data.js';
import type { Answer, Fault, Request } from './messages.js';

/** Field that a refusal is about, by its code. */
const REFUSED_AT: Readonly<Record<string, string>> = {
  'cutter-too-large': 'cutter.diameter',
  'stick-out-too-short': 'cutter.stick-out',
  'flute-too-short': 'cutter.flute-length',
  'chip-rubs': 'cutter.diameter',
  'no-force': 'machine',
  'hub-in-the-way': 'sprocket.teeth',
  'program-too-long': 'cutter.diameter',
  'datum-shank': 'cutter.flute-length',
  'nut-meets-bolt': 'cutter.stick-out',
  travel: 'machine',
};

/**
 * @param now       milliseconds, for the time that planning took
 * @param progress  called now and then
 */
export function answer(
  request: Request,
  now: () => number,
  progress: (p: Progress) => void = () => {},
): Answer {
  const { id, want, input, file, machineFiles } = request;
  try {
    const resolved = resolveJob(
      input,
      {
        machineFile: (path) =>
          machineFiles[path] ?? {
            file: path,
            problem: 'is not at hand on this page',
            fix: 'name it in the job file and start the preview again',
          },
      },
      { file, places: new Map() },
    );
    if (resolved.error) return { id, kind: 'faults', faults: faultsOf(resolved.error) };
    const { job } = resolved;
    const start = now();
    if (want === 'files') {
      const { planned, files } = planJob(job, progress);
      return { id, kind: 'files', data: pageDataOf(planned), files };
    }
    const planned = planParts(job, progress);
    const planMs = now() - start;
    const { process } = planned.cam;
    const defaults = {
      'limits.max-engagement': `${process.maxEngagementDeg} deg`,
      'limits.max-stepdown': `${process.maxStepdownMm} mm`,
      'limits.spindle-speed': `${process.spindleRpm} rpm`,
      ...Object.fromEntries((job.defaults ?? []).map((d) => [d.key, d.taken])),
    };
    return { id, kind: 'plan', data: pageDataOf(planned), defaults, planMs };
  } catch (error) {
    if (error instanceof JobError) return { id, kind: 'faults', faults: faultsOf(error) };
    if (error instanceof PlanRefused) {
      const key = REFUSED_AT[error.code] ?? null;
      return { id, kind: 'refused', fault: { key, message: `refused: ${error.message}` } };
    }
    return { id, kind: 'bug', message: error instanceof Error ? error.message : String(error) };
  }
}

function faultsOf(error: JobError): Fault[] {
  return error.errors.map(({ key, message }) => ({ key, message }));
}
