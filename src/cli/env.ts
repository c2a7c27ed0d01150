import type { checkProgram } from '../plan/check/check.js';
import type { PlanResult, planJob } from '../plan/plan.js';

/** The planning side as the commands use it; tests of the commands pass a quick one. */
export interface Kernel {
  readonly planJob: (...args: Parameters<typeof planJob>) => Omit<PlanResult, 'planned'>;
  readonly checkProgram: typeof checkProgram;
}

/** What a command may touch of the world around it; tests pass their own. */
export interface Env {
  /** Adds text to standard output. */
  readonly out: (text: string) => void;
  /** Adds text to standard error. */
  readonly err: (text: string) => void;
  /** Whether standard error is a terminal that can rewrite a line. */
  readonly errIsTerminal: boolean;
  /** Whether standard output is a terminal, whose width text is made to fit. */
  readonly outIsTerminal: boolean;
  /** Characters across, for help and tables. */
  readonly columns: number;
  /** Folder that relative paths start from. */
  readonly cwd: string;
  /** Milliseconds; only differences are used. */
  readonly now: () => number;
  /** Date of today where this runs, YYYY-MM-DD. */
  readonly today: () => string;
  readonly version: string;
  /** Asks a person at a terminal; left out where there is none. */
  readonly ask?: (question: string) => Promise<string>;
  /** The planning side; loaded only by commands that plan. */
  readonly loadKernel: () => Promise<Kernel>;
}
