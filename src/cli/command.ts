import type { Options, PositionalOptions } from 'yargs';
import { showPath } from '../text/show.js';
import type { Env } from './env.js';

/** What a command hands back; `main` prints it and sets the exit status. */
export interface CommandResult {
  /** 0 good; 1 refused by the plan's or the program's own checks; 2 bad input. */
  readonly exit: 0 | 1 | 2;
  /** For a person, without a line end at its end; not printed under --json or --quiet. */
  readonly text: string;
  /** The same for a program, printed under --json. */
  readonly json: unknown;
  /** One line for standard error, printed always. */
  readonly complaint?: string;
}

/** Options that every command has. */
export interface CommonArgs {
  readonly json: boolean;
  readonly quiet: boolean;
  readonly units: 'mm' | 'in' | 'both';
}

/**
 * One command. `options` and `positionals` are data, so that help, unknown-option hints and
 * parsing all read the same list.
 */
export interface Command<A extends CommonArgs = CommonArgs> {
  readonly name: string;
  /** As in "plan <job>": required in < >, optional in [ ]. */
  readonly usage: string;
  /** One line for the list of commands. */
  readonly summary: string;
  readonly positionals: Readonly<Record<string, PositionalOptions>>;
  readonly options: Readonly<Record<string, Options>>;
  readonly examples: readonly (readonly [line: string, what: string])[];
  run(args: A, env: Env): Promise<CommandResult> | CommandResult;
}

/** A person's mistake: one line, exit 2. */
export class UserError extends Error {
  override readonly name = 'UserError';
}

/** A mistake about one path: what is wrong with it and what to do. */
export class PathError extends UserError {
  readonly rule: string;
  readonly fix: string;
  constructor(path: string, rule: string, fix: string) {
    super(`${showPath(path)}: ${rule}; ${fix}`);
    this.rule = rule;
    this.fix = fix;
  }
}

/**
 * A RangeError "rule; fix" about what a file holds, as a mistake about the file.
 * @param fix  where the error names none
 * @returns any other error as it is
 */
export function asPathError(error: unknown, path: string, fix: string): unknown {
  if (!(error instanceof RangeError)) return error;
  const [rule, ownFix] = error.message.split('; ') as [string, string?];
  return new PathError(path, rule, ownFix ?? fix);
}

/** Types a command's arguments where it is defined and forgets them where commands are listed. */
export function command<A extends CommonArgs>(definition: Command<A>): Command {
  return definition;
}

/** Longer programs are refused before they are read: a day of cutting is about 20 MB. */
export const MAX_PROGRAM_BYTES = 64 * 1024 * 1024;

/** The job of a command. */
export const JOB = { type: 'string', describe: 'job file (YAML)' } as const;

export const FORCE = {
  type: 'boolean',
  describe: 'write even where the folder holds files of other origin',
} as const;

export const OVERWRITE = { type: 'boolean', describe: 'write over a file that is there' } as const;

/** An option that takes a text. */
export function textOption(describe: string, more: Options = {}): Options {
  return { type: 'string', requiresArg: true, describe, ...more };
}

/** An option that takes one word of a list. */
export function choiceOption(choices: readonly string[], describe: string): Options {
  return { choices, requiresArg: true, describe };
}
