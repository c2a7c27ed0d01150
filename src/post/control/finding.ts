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

/** Gathers findings; the same one on many lines is kept once, with its first line and a count. */
export class Findings {
  private readonly byKey = new Map<
    string,
    { -readonly [K in keyof CapabilityFinding]: CapabilityFinding[K] }
  >();
  private readonly lastLine = new Map<string, number>();

  /** @param key  tells findings of one rule apart; the rule alone when left out */
  add(
    severity: CapabilityFinding['severity'],
    rule: string,
    line: number,
    message: string,
    fix: string,
    key = '',
  ): void {
    const name = `${rule} ${key}`;
    const known = this.byKey.get(name);
    if (known === undefined) {
      this.byKey.set(name, { line, lines: 1, severity, rule, message, fix });
    } else if (this.lastLine.get(name) !== line) {
      known.lines++;
    }
    this.lastLine.set(name, line);
  }

  /** Worst first, then by line. */
  list(): CapabilityFinding[] {
    const rank = { danger: 0, warning: 1, note: 2 };
    return [...this.byKey.values()].sort(
      (a, b) => rank[a.severity] - rank[b.severity] || a.line - b.line,
    );
  }
}
