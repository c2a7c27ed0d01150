import type { CheckReport } from '../plan/check/check.js';
import type { Progress } from '../post/plan.js';
import type { SheetOptions } from '../post/sheet/format.js';
import type { Job, PlanSummary } from '../model/job.js';

/** The planning side as the commands use it; tests of the commands pass a quick one. */
export interface Kernel {
  readonly planJob: (
    job: Job,
    onProgress?: (p: Progress) => void,
    sheet?: SheetOptions,
  ) => {
    readonly summary: PlanSummary;
    readonly files: Readonly<Record<string, string | Uint8Array>>;
  };
  readonly checkProgram: (
    text: string,
    job: Job,
    onProgress?: (p: Progress) => void,
  ) => CheckReport;
}
