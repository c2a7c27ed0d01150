import { type JobError, jobErrorFrom } from '../text/fault.js';
import { type JobInput, type Places, readJobInput } from '../text/input.js';
import type { JobResolvers } from './machine.js';
import { resolveJob } from './resolve.js';
import type { Job } from '../model/job.js';

export interface LoadedJob {
  /** The job as written; empty when the text could not be read. */
  readonly input: JobInput;
  readonly places: Places;
  /** null when there is an error; `error.errors` holds all. */
  readonly job: Job | null;
  readonly error: JobError | null;
}

/**
 * Text of a job file to the job as written and the job as it is planned.
 * @param fileName   for messages
 * @param resolvers  how to get at files that the job names
 */
export function loadJobText(text: string, fileName: string, resolvers: JobResolvers): LoadedJob {
  const { input, places, faults } = readJobInput(text, fileName);
  if (faults.length > 0) return { input, places, job: null, error: jobErrorFrom(faults) };
  return { input, places, ...resolveJob(input, resolvers, { file: fileName, places }) };
}

/**
 * As {@link loadJobText}, for a caller that wants the job or nothing.
 * @throws JobError for the first fault, with all of them in `errors`
 */
export function parseJob(text: string, fileName: string, resolvers: JobResolvers): Job {
  const { job, error } = loadJobText(text, fileName, resolvers);
  if (error !== null) throw error;
  return job as Job;
}
