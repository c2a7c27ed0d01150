import type { Job } from '../../model/job.js';

export interface SheetOptions {
  /** Lengths in mm alone, or with inches behind. Default 'mm'. */
  readonly units?: 'mm' | 'mm-and-inch';
  /** Whether an insert is brazed into the bore. By default what the job suggests. */
  readonly brazed?: boolean;
}

/**
 * Whether the sheet must speak of brazing: where the job says so, or where it asks for a bore with
 * a flat from the lathe, which turns only round ones, so that the flat comes with an insert.
 */
export function isBrazed(job: Job, options: SheetOptions): boolean {
  if (options.brazed !== undefined) return options.brazed;
  const joint: unknown = (job as { readonly joint?: unknown }).joint;
  if (joint !== undefined && joint !== null) return /braze/.test(JSON.stringify(joint));
  return job.bore.madeBy === 'lathe' && job.bore.shape === 'd-flat';
}
