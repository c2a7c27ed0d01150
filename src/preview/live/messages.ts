/** What the live page and its worker say to each other. */
import type { JobInput } from '../../text/yaml-text.js';
import type { FileText } from '../../job/load.js';
import type { PageData } from '../data/page-data.js';

/** The job as the server hands it out. */
export interface LiveJob {
  /** Name of the job file as the person gave it, for messages. */
  readonly file: string;
  readonly text: string;
  /** Machine files that the job names, by the name it uses. */
  readonly machineFiles: Readonly<Record<string, FileText>>;
}

export interface Request {
  readonly id: number;
  /** `plan` is for looking at; `files` are all that `plan` on the command line would write. */
  readonly want: 'plan' | 'files';
  readonly input: JobInput;
  readonly file: string;
  readonly machineFiles: LiveJob['machineFiles'];
}

/** One fault, with the key of the field it stands beside; null for the job as a whole. */
export interface Fault {
  readonly key: string | null;
  readonly message: string;
}

/** A plan as it comes from the worker; the arrays of its track are handed over, not copied. */
export interface PlanShown extends Omit<PageData, 'lines'> {
  /** Text of the program; null where it is that of the first look before. */
  readonly program: string | null;
  /** What was filled in, by key. */
  readonly defaults: Readonly<Record<string, string>>;
}

/** What the worker says on the way to an answer. */
export type Notice =
  | {
      readonly id: number;
      readonly kind: 'progress';
      readonly stage: string;
      readonly share: number;
    }
  /** A first look: its full replay is still to come, and may refuse it. */
  | { readonly id: number; readonly kind: 'look'; readonly plan: PlanShown };

/** How a request ends. */
export type Answer =
  /** A plan that has passed its full replay. */
  | { readonly id: number; readonly kind: 'plan'; readonly plan: PlanShown }
  | {
      readonly id: number;
      readonly kind: 'files';
      readonly files: Readonly<Record<string, string | Uint8Array>>;
    }
  | { readonly id: number; readonly kind: 'faults'; readonly faults: readonly Fault[] }
  | { readonly id: number; readonly kind: 'refused'; readonly fault: Fault }
  | { readonly id: number; readonly kind: 'bug'; readonly message: string };

export type FromWorker = Notice | Answer;
