/** What the live page and its worker say to each other. */
import type { JobInput } from '../../job/input.js';
import type { FileText } from '../../job/machine.js';
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

export type Answer =
  | {
      readonly id: number;
      readonly kind: 'plan';
      readonly data: PageData;
      /** What was filled in, by key. */
      readonly defaults: Readonly<Record<string, string>>;
      readonly planMs: number;
    }
  | {
      readonly id: number;
      readonly kind: 'files';
      readonly data: PageData;
      readonly files: Readonly<Record<string, string | Uint8Array>>;
    }
  | { readonly id: number; readonly kind: 'faults'; readonly faults: readonly Fault[] }
  | { readonly id: number; readonly kind: 'refused'; readonly fault: Fault }
  | { readonly id: number; readonly kind: 'bug'; readonly message: string }
  | {
      readonly id: number;
      readonly kind: 'progress';
      readonly stage: string;
      readonly share: number;
    };
