/** What the live page and its worker say to each other. */
import type { JobInput } from '../../text/yaml-text.js';
import type { FileText } from '../../job/load.js';
import type { Retuning } from '../../index.js';
import type { Tapped } from '../../machines/learn/tap-machine.js';
import type { FigureSection } from '../../model/figure.js';
import type { Explanation } from '../../cam/explain.js';
import type { PageData } from '../data/page-data.js';

/** The job as the server hands it out. */
export interface LiveJob {
  /** Name of the job file as the person gave it, for messages. */
  readonly file: string;
  readonly text: string;
  /** Machine files that the job names and the log of its machine, by the name it uses. */
  readonly machineFiles: Readonly<Record<string, FileText>>;
}

/** What is asked for of a job. */
export interface JobWork {
  /**
   * `plan` is for looking at; `files` are all that `plan` on the command line would write; `figures`
   * are of the part and its drive; `explain` is what holds the cut back.
   */
  readonly want: 'plan' | 'files' | 'figures' | 'explain';
  readonly input: JobInput;
  readonly file: string;
  readonly machineFiles: LiveJob['machineFiles'];
}

/** Measurements of a chain, as typed, by the key that `identify` has for them. */
export interface ChainWork {
  readonly want: 'chain';
  readonly readings: Readonly<Record<string, string>>;
}

interface OfJob extends Omit<JobWork, 'want'> {
  /** The day, as 2026-05-03. */
  readonly date: string;
}

/** What a person tells of a run, by the options that `retune` has for it; the answer is what it taught. */
export interface LearnWork extends OfJob {
  readonly want: 'learn';
  readonly told: Readonly<Record<string, string>>;
  /** The log of runs so far; null where there is none. */
  readonly logText: string | null;
}

/** A recording of taps. */
export interface TapWork extends OfJob {
  readonly want: 'tap';
  /** The WAV file. */
  readonly bytes: Uint8Array;
  readonly where: Tapped;
  /** Direction of the taps; null for a cutter, which is the job's. */
  readonly axis: 'x' | 'y' | null;
}

/** A pull test: the text of its file. */
export interface PullWork extends OfJob {
  readonly want: 'pull';
  readonly text: string;
}

/** Readings of the finished part, as typed, by the key that `inspect` has for them. */
export interface InspectWork extends OfJob {
  readonly want: 'inspect';
  readonly readings: Readonly<Record<string, string>>;
}

export type Work = JobWork | ChainWork | LearnWork | TapWork | PullWork | InspectWork;
export type Request = Work & { readonly id: number };

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

/** The part as a drawing, and its figures. Lengths mm; paths as in SVG, Y down. */
export interface PartFigures {
  readonly teeth: number;
  readonly outline: string;
  readonly bore: string;
  readonly tipDiameterMm: number;
  readonly rootDiameterMm: number;
  readonly pitchDiameterMm: number;
  readonly thicknessMm: number;
  readonly blankDiameterMm: number;
  readonly hubDiameterMm: number | null;
  readonly rollerDiameterMm: number;
  /** Wear of the chain in use, as a fraction. */
  readonly elongation: number;
  readonly sections: readonly FigureSection[];
}

/** A chain as it was found. */
export interface ChainFound {
  readonly rows: readonly { name: string; probability: number; wear: string }[];
  readonly otherProbability: number;
  readonly sentences: readonly string[];
  /** Keys of a job that name the chain; null where that is too doubtful. */
  readonly named: { readonly designation: string; readonly elongation: string } | null;
  /** Readings that a job can take as the chain itself. */
  readonly measured: Readonly<Record<string, string>>;
}

/** What was measured of the machine, in lines, and the machine with it as a file. */
export interface Measured {
  readonly lines: readonly string[];
  readonly name: string;
  readonly fileText: string;
}

/** A finished part against its limits. */
export interface Inspected {
  readonly good: boolean;
  readonly outcome: string;
  readonly rows: readonly {
    readonly what: string;
    readonly measured: string;
    readonly verdict: string;
    readonly rescue: string;
  }[];
  readonly sections: readonly FigureSection[];
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
  | Message<'figures', { readonly part: PartFigures }>
  | Message<'explain', { readonly explained: Explanation }>
  | Message<'chain', { readonly found: ChainFound }>
  | Message<'learned', { readonly learned: Retuning }>
  | Message<'measured', { readonly measured: Measured }>
  | Message<'inspected', { readonly inspected: Inspected }>
  | Message<'faults', { readonly faults: readonly Fault[] }>
  | Message<'refused', { readonly fault: Fault }>
  | Message<'bug', { readonly message: string }>;

export type FromWorker = Notice | Answer;
