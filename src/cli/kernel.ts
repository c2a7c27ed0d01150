import type { Job, PlanSummary } from '../job/types.js';
import type { Progress } from './progress.js';

/** A finding of `check`, at a line of the program. */
export interface CheckFinding {
  readonly line: number;
  readonly severity: 'note' | 'warning' | 'error';
  readonly code: string;
  readonly text: string;
}

export interface CheckReport {
  readonly findings: readonly CheckFinding[];
  /** Figures measured in the replay; units are in the names. */
  readonly measured: Readonly<Record<string, unknown>>;
  readonly worst: CheckFinding['severity'] | 'none';
}

export interface PlannedFiles {
  readonly summary: PlanSummary;
  readonly files: Readonly<Record<string, string | Uint8Array>>;
}

/** The planning side as the commands use it; tests of the commands pass a quick one. */
export interface Kernel {
  readonly planJob: (job: Job, onProgress?: (p: Progress) => void) => PlannedFiles;
  readonly checkProgram: (text: string, job: Job) => CheckReport;
}
