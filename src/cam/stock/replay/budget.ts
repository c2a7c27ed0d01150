/** Keeps a replay from working for ever on a program made to be costly, or broken. */

/** A replay stopped because the program asks for more work than the limit. */
export class ReplayLimit extends Error {
  readonly what: string;
  readonly limit: number;
  constructor(what: string, limit: number) {
    super(`the program has more than ${limit} ${what}, the limit of the replay`);
    this.name = 'ReplayLimit';
    this.what = what;
    this.limit = limit;
  }
}

/** Different depths at which a program may travel level. A plan has 400 at most. */
export const MAX_DEPTHS = 1000;
/** Depths between them at which slanted moves end; more are thinned out. */
export const MAX_SLANT_DEPTHS = 100;
/**
 * Places looked at and pieces of path laid down. A wheel of 60 teeth takes 0.4 million; a million
 * takes 5 to 10 s.
 */
export const MAX_WORK = 8_000_000;

/** Counts work done. @throws ReplayLimit when there is too much */
export class Budget {
  private done = 0;
  private readonly most: number;

  constructor(most: number = MAX_WORK) {
    this.most = most;
  }

  spend(steps: number): void {
    this.done += steps;
    if (this.done > this.most) throw new ReplayLimit('places to look at', this.most);
  }

  get spent(): number {
    return this.done;
  }
}
