/** How long a replay may go on: work in steps run to its end, and a limit for programs made to be
 *  costly, or broken. */
import type { ReplayFinding } from './report.js';

/** A replay stopped because the program asks for more work than the limit. */
export class ReplayLimit extends Error {
  override readonly name = 'ReplayLimit';
  readonly limit: number;
  /** Where in the program that was, and what had been found by then; null before it begins. */
  reached: { readonly line: number; readonly findings: readonly ReplayFinding[] } | null = null;
  constructor(what: string, limit: number) {
    super(`the program has more than ${limit} ${what}, the limit of the replay`);
    this.limit = limit;
  }
}

/**
 * Places looked at and pieces of path laid down. A wheel of 60 teeth takes 0.4 million; a million
 * takes 5 to 10 s.
 */
const MAX_WORK = 8_000_000;

/** Counts work done. @throws ReplayLimit when there is too much */
export class Budget {
  spent = 0;
  private readonly most: number;

  constructor(most: number = MAX_WORK) {
    this.most = most;
  }

  spend(steps: number): void {
    this.spent += steps;
    if (this.spent > this.most) throw new ReplayLimit('places to look at', this.most);
  }
}

/** Runs work that is done in steps to its end. @returns what it comes to */
export function toEnd<T>(steps: Iterator<unknown, T, void>): T {
  for (;;) {
    const step = steps.next();
    if (step.done === true) return step.value;
  }
}
