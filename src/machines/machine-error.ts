/** What is wrong with a machine file. */

export interface MachineFileFault {
  readonly file: string;
  /** Dotted path of the figure: "stiffnessNPerMm.x"; null where the file as a whole is at fault. */
  readonly path: string | null;
  /** The value as written, short and on one line; null where there is none. */
  readonly value: string | null;
  /** What is wrong, as the second part of a sentence: "is below 10 N/mm". */
  readonly rule: string;
  /** What to do about it. */
  readonly fix: string;
}

/** A machine file that cannot be used. The message is one line for the first fault. */
export class MachineFileError extends Error {
  readonly file: string;
  readonly path: string | null;
  readonly value: string | null;
  readonly rule: string;
  readonly fix: string;
  /** Every fault found, in the order of the figures; the first is this error's own. */
  readonly faults: readonly MachineFileFault[];
  constructor(faults: readonly MachineFileFault[]) {
    const first = faults[0];
    if (first === undefined) throw new RangeError('MachineFileError: no faults');
    const path = first.path === null ? '' : `${first.path}: `;
    const value = first.value === null ? '' : `${first.value} `;
    super(`${first.file}: ${path}${value}${first.rule}; ${first.fix}`);
    this.name = 'MachineFileError';
    this.file = first.file;
    this.path = first.path;
    this.value = first.value;
    this.rule = first.rule;
    this.fix = first.fix;
    this.faults = faults;
  }
}
