import type { Controller } from '../../model/op.js';

/** Something about a program that the control class at hand takes otherwise than it was meant. */
export interface CapabilityFinding {
  /** 1-based line of the first place. */
  readonly line: number;
  /** How many lines have it. */
  readonly lines: number;
  readonly severity: 'danger' | 'warning' | 'note';
  /** Short name of the rule, the same for every place. */
  readonly rule: string;
  readonly message: string;
  readonly fix: string;
}

type Said<T, V extends string> = V | ((at: T, control: Controller) => V);

/** What is asked of a kind of place T, a line, a word, a move, the start or the end, and is said. */
interface Rule<T> {
  readonly severity: Said<T, CapabilityFinding['severity']>;
  readonly when: (at: T, control: Controller) => boolean;
  readonly says: Said<T, string>;
  readonly fix: Said<T, string>;
  /** Tells findings of one rule apart that are to be kept each; the rule alone when left out. */
  readonly key?: (at: T, control: Controller) => string;
}

/** By the short names of the rules. */
export type Rules<T> = Readonly<Record<string, Rule<T>>>;

/** Gathers findings; the same one on many lines is kept once, with its first line and a count. */
export class Findings {
  private readonly byKey = new Map<
    string,
    { -readonly [K in keyof CapabilityFinding]: CapabilityFinding[K] }
  >();
  private readonly lastLine = new Map<string, number>();

  private readonly control: Controller;

  constructor(control: Controller) {
    this.control = control;
  }

  /** Adds what the rules have to say of a place. */
  judge<T extends { readonly line: number }>(rules: Rules<T>, at: T): void {
    const { control } = this;
    const say = <V extends string>(said: Said<T, V>): V =>
      typeof said === 'string' ? said : said(at, control);
    for (const rule in rules) {
      const { when, severity, says, fix, key } = rules[rule]!;
      if (!when(at, control)) continue;
      const name = `${rule} ${key?.(at, control) ?? ''}`;
      const { line } = at;
      const known = this.byKey.get(name);
      if (known === undefined) {
        const said = { severity: say(severity), rule, message: say(says), fix: say(fix) };
        this.byKey.set(name, { line, lines: 1, ...said });
      } else if (this.lastLine.get(name) !== line) {
        known.lines++;
      }
      this.lastLine.set(name, line);
    }
  }

  /** Worst first, then by line. */
  list(): CapabilityFinding[] {
    const rank = { danger: 0, warning: 1, note: 2 };
    return [...this.byKey.values()].sort(
      (a, b) => rank[a.severity] - rank[b.severity] || a.line - b.line,
    );
  }
}
