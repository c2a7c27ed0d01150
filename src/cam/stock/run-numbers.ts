/**
 * Numbers for runs of entries: equal runs have the same number. A program repeats itself level by
 * level, so almost every run has been met before; runs are compared by their figures, and a hash of
 * them only says which are worth comparing.
 */
export interface RunRule {
  /** A hash with an entry's figures mixed in. Equal entries mix alike. */
  readonly mix: (hash: number, entry: number) => number;
  /** Are two entries equal? */
  readonly same: (a: number, b: number) => boolean;
  /** Do two runs that begin with these entries begin at one place? */
  readonly sameStart: (a: number, b: number) => boolean;
}

interface Run {
  readonly number: number;
  readonly first: number;
  readonly last: number;
}

export class RunNumbers {
  private readonly rule: RunRule;
  private readonly known = new Map<number, Run[]>();

  constructor(rule: RunRule) {
    this.rule = rule;
  }

  /**
   * @param first, last  entries of the run, both of them in it
   * @param register     called for a run that has not been met before; gives it its number
   */
  numberOf(first: number, last: number, register: () => number): number {
    let hash = last - first;
    for (let i = first; i <= last; i++) hash = this.rule.mix(hash, i);
    let alike = this.known.get(hash);
    if (!alike) this.known.set(hash, (alike = []));
    const met = alike.find((run) => this.equal(run, first, last));
    if (met) return met.number;
    const number = register();
    alike.push({ number, first, last });
    return number;
  }

  private equal(run: Run, first: number, last: number): boolean {
    const { same, sameStart } = this.rule;
    if (run.last - run.first !== last - first || !sameStart(run.first, first)) return false;
    for (let k = 0; k <= last - first; k++) if (!same(run.first + k, first + k)) return false;
    return true;
  }
}

const scratch = new Float64Array(1);
const bits = new Int32Array(scratch.buffer);

/** A hash with a number mixed in; 0 and -0 are one number. */
export function mixNumber(hash: number, value: number): number {
  scratch[0] = value + 0;
  const mixed = Math.imul(hash ^ bits[0]!, 0x85ebca6b);
  return Math.imul(mixed ^ (mixed >>> 15) ^ bits[1]!, 0xc2b2ae35) | 0;
}
