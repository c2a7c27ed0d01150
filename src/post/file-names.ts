/** What the files of a plan are called: those with a program bear the job's name. */
import type { Job } from '../model/job.js';

/** Ending of programs: that of no one control alone. */
const PROGRAM_ENDING = '.nc';

/** The program files of a job. */
export function programFiles({ name }: Pick<Job, 'name'>) {
  return {
    teeth: `${name}-teeth${PROGRAM_ENDING}`,
    bore: `${name}-bore${PROGRAM_ENDING}`,
    restart: `${name}-restart${PROGRAM_ENDING}`,
  } as const;
}
