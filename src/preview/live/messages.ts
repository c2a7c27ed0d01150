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

/** Files of a plan by name. */
export type Files = Readonly<Record<string, string | Uint8Array>>;

type Message<Kind extends string, Rest> = { readonly id: number; readonly kind: Kind } & Rest;

/** What the worker says on the way to an answer; the full replay of a look may refuse it yet. */
export type Notice =
  | Message<'progress', { readonly stage: string; readonly share: number }>
  | Message<'look', { readonly plan: PlanShown }>;

/** How a request ends: `plan` has passed its full replay. */
export type Answer =
  | Message<'plan', { readonly plan: PlanShown }>
  | Message<'files', { readonly files: Files }>
  | Message<'faults', { readonly faults: readonly Fault[] }>
  | Message<'refused', { readonly fault: Fault }>
  | Message<'bug', { readonly message: string }>;

export type FromWorker = Notice | Answer;
