import { printable, showPath, showText, showValue } from './show.js';

/** Place of a key or value in the text it came from; both count from 1. */
export interface Place {
  readonly line: number;
  readonly column: number;
}

export interface JobFault {
  /** Name of the file as the person gave it. */
  readonly file: string;
  /** null where no line can be named: a key that is missing, or a value set outside a file. */
  readonly place: Place | null;
  /** Dotted path, "sprocket.teeth"; null where the text as a whole is at fault. */
  readonly key: string | null;
  /** The value as written; null where there is none. */
  readonly value: string | null;
  /** What is wrong, as the second part of a sentence: "is below 6, the smallest ...". */
  readonly rule: string;
  /** What to do about it, as an order: "write a whole number from 6 to 150". */
  readonly fix: string;
}

/**
 * One fault in a job file. The message is one line:
 * `nursery.yaml:7: sprocket.teeth: 5 is below 6, the smallest tooth count; write ...`.
 * When a whole file is read, the first fault is thrown and `errors` holds all of them in the order
 * of the file.
 */
export class JobError extends Error {
  readonly file: string;
  readonly line: number | null;
  readonly column: number | null;
  readonly key: string | null;
  readonly value: string | null;
  readonly rule: string;
  readonly fix: string;
  readonly errors: readonly JobError[];

  constructor(fault: JobFault, all: (first: JobError) => readonly JobError[] = (e) => [e]) {
    super(faultLine(fault));
    this.name = 'JobError';
    this.file = fault.file;
    this.line = fault.place?.line ?? null;
    this.column = fault.place?.column ?? null;
    this.key = fault.key;
    this.value = fault.value;
    this.rule = fault.rule;
    this.fix = fault.fix;
    this.errors = all(this);
  }
}

/** The first fault as an error that carries all of them. `faults` must not be empty. */
export function jobErrorFrom(faults: readonly JobFault[]): JobError {
  const [first, ...rest] = faults;
  if (first === undefined) throw new RangeError('jobErrorFrom: no faults');
  return new JobError(first, (error) => [error, ...rest.map((fault) => new JobError(fault))]);
}

/** One line of text for a fault. */
function faultLine(fault: JobFault): string {
  const where = `${showPath(fault.file)}${fault.place ? `:${fault.place.line}` : ''}`;
  const key = fault.key === null ? '' : `${showText(fault.key, 120)}: `;
  return `${where}: ${key}${faultWords(fault)}`;
}

/** A fault in words, where file and key are plain from where it stands. */
export function faultWords({ value, rule, fix }: Pick<JobFault, 'value' | 'rule' | 'fix'>): string {
  // A rule may repeat another value of the job, with whatever a quantity lets through as space.
  return `${value === null ? '' : `${showValue(value)} `}${printable(`${rule}; ${fix}`)}`;
}
