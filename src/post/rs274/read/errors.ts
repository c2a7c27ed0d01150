/** Short names of what can be wrong with a program; one rule each, see rules.ts. */
export type ErrorClass =
  | 'bad-character'
  | 'bad-number'
  | 'line-number-range'
  | 'line-number-digits'
  | 'line-number-format'
  | 'line-too-long'
  | 'nested-comment'
  | 'unclosed-comment'
  | 'missing-program-end'
  | 'syntax'
  | 'arithmetic'
  | 'parameter-range'
  | 'not-integer'
  | 'unknown-code'
  | 'modal-group-conflict'
  | 'axis-conflict'
  | 'too-many-m'
  | 'repeated-word'
  | 'missing-word'
  | 'unused-word'
  | 'negative-value'
  | 'value-range'
  | 'axis-missing'
  | 'axis-without-command'
  | 'feed-missing'
  | 'feed-mode'
  | 'spindle-state'
  | 'g53-mode'
  | 'probe'
  | 'cutter-comp'
  | 'arc-format'
  | 'arc-plane'
  | 'arc-radius'
  | 'arc-radius-mismatch'
  | 'arc-same-point'
  | 'limit';

/** One fault of a program, with the place, the rule it breaks and what to do about it. */
export interface ProgramError {
  /** 1-based line of the text. */
  readonly line: number;
  /** 1-based column of the line. */
  readonly column: number;
  readonly errorClass: ErrorClass;
  /** What was found, with its value. */
  readonly message: string;
  /** The rule, with its section in NISTIR 6556. */
  readonly rule: string;
  readonly fix: string;
}

/** Thrown inside the reader and turned into a ProgramError where the line is known. */
export class ReaderFault extends Error {
  readonly errorClass: ErrorClass;
  /** Index of the offending character from the start of the line, 0-based. */
  readonly at: number;
  readonly fix: string | null;

  constructor(errorClass: ErrorClass, message: string, at: number, fix: string | null = null) {
    super(message);
    this.name = 'ReaderFault';
    this.errorClass = errorClass;
    this.at = at;
    this.fix = fix;
  }
}

/** One line for a person: place, what, rule, fix. */
export function formatProgramError(error: ProgramError): string {
  return (
    `line ${error.line}, column ${error.column}: ${error.message} ` +
    `(${error.rule}). Fix: ${error.fix}`
  );
}
