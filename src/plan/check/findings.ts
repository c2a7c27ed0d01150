/** What a check of a program says, and in which order. */

export type CheckSeverity = 'note' | 'warning' | 'error';

export interface CheckFinding {
  /** 1-based line of the program; 0 for the program as a whole. */
  readonly line: number;
  readonly severity: CheckSeverity;
  readonly code: string;
  readonly text: string;
  /** Figure found and the limit it is over, in the unit of the text; null where there is none. */
  readonly value: number | null;
  readonly limit: number | null;
  /** How many lines of this kind there are in all, where not every one is listed. */
  readonly more?: number;
}

type XY = { readonly x: number; readonly y: number };

/** Figures of a replay, and the limits of the job beside them. Units are in the names. */
export interface ReplayFigures {
  readonly lines: number;
  readonly checkedFor: 'teeth' | 'bore';
  readonly peakEngagementDeg: number;
  readonly peakEngagementLine: number;
  readonly maxEngagementDeg: number;
  readonly peakForceN: XY;
  readonly peakForceLine: XY;
  readonly cutterForceN: number;
  readonly peakDriveN: XY;
  readonly driveForceN: XY;
  readonly peakChipMm: number;
  readonly peakPowerW: number;
  readonly peakAxialDepthMm: number;
  readonly gougeMm: number;
  readonly gougeLine: number;
  /** null where there is no wall to look at. */
  readonly leftoverMm: number | null;
  readonly arcRadiusErrorMm: number;
  readonly removedMm3: number;
  readonly feedCuttingMin: number;
  readonly feedInAirMin: number;
  readonly rapidMin: number;
}

export interface CheckReport {
  /** Worst kinds first, each kind by line; of each kind ten at most, the rest counted. */
  readonly findings: readonly CheckFinding[];
  /** Of the replay, where there was one. */
  readonly measured: ReplayFigures | { readonly lines: number };
  readonly worst: CheckSeverity | 'none';
}

/** Most findings of one kind that are listed; the rest are counted. */
const MOST_OF_A_KIND = 10;

const RANK: Readonly<Record<CheckSeverity, number>> = { error: 0, warning: 1, note: 2 };

/** Gathers findings of every check. */
export class CheckFindings {
  private readonly all: CheckFinding[] = [];

  add(
    line: number,
    severity: CheckSeverity,
    code: string,
    text: string,
    value: number | null = null,
    limit: number | null = null,
  ): void {
    this.all.push({ line, severity, code, text, value, limit });
  }

  /**
   * Worst kinds first, kinds by their first line, each kind by line. Of each kind the first of
   * those added are kept (checks add the worst first), the others counted.
   */
  list(): CheckFinding[] {
    const kinds = new Map<string, CheckFinding[]>();
    for (const finding of this.all) {
      const kind = `${finding.severity} ${finding.code}`;
      const known = kinds.get(kind);
      if (known) known.push(finding);
      else kinds.set(kind, [finding]);
    }
    const listed = [...kinds.values()].map((kind) => {
      const kept = kind.slice(0, MOST_OF_A_KIND).sort((a, b) => a.line - b.line);
      const over = kind.length - kept.length;
      const { severity, code } = kept[0]!;
      if (over === 0) return kept;
      const text = `and ${over} more like ${over === 1 ? 'this' : 'these'}`;
      const rest = { line: 0, severity, code, text, value: null, limit: null, more: over };
      return [...kept, rest];
    });
    listed.sort((a, b) => worstFirst(a[0]!, b[0]!) || a[0]!.line - b[0]!.line);
    return listed.flat();
  }
}

/** For sorting: errors first. */
function worstFirst(a: CheckFinding, b: CheckFinding): number {
  return RANK[a.severity] - RANK[b.severity];
}

export function worstOf(findings: readonly CheckFinding[]): CheckSeverity | 'none' {
  if (findings.some((f) => f.severity === 'error')) return 'error';
  if (findings.some((f) => f.severity === 'warning')) return 'warning';
  return findings.length > 0 ? 'note' : 'none';
}

/**
 * A program with lines that a switch of the control skips or runs, judged both ways. One report of two:
 * findings that come up one way only say which; the figures are those of the worse one.
 * @param line  the first marked line
 */
export function bothWays(line: number, run: CheckReport, skipped: CheckReport): CheckReport {
  const errors = ({ findings }: CheckReport): number =>
    findings.filter(({ severity }) => severity === 'error').length;
  const worse = errors(skipped) > errors(run) ? skipped : run;
  const keyOf = ({ line, severity, code, text }: CheckFinding): string =>
    [line, severity, code, text].join(' ');
  const only = (own: CheckReport, other: CheckReport, how: string): CheckFinding[] => {
    const known = new Set(other.findings.map(keyOf));
    return own.findings
      .filter((found) => !known.has(keyOf(found)))
      .map((found) => ({ ...found, text: `with the marked lines ${how}: ${found.text}` }));
  };
  const inBoth = new Set(skipped.findings.map(keyOf));
  const told: CheckFinding = {
    line,
    severity: 'warning',
    code: 'marked-lines',
    text: `lines marked by a slash are run or skipped by a switch on the control; both ways are judged here, and the figures are those with them ${worse === run ? 'run' : 'skipped'}: set the switch, or remove the slashes`,
    value: null,
    limit: null,
  };
  const findings = [
    told,
    ...run.findings.filter((found) => inBoth.has(keyOf(found))),
    ...only(run, skipped, 'run'),
    ...only(skipped, run, 'skipped'),
  ].sort(worstFirst);
  return { findings, measured: worse.measured, worst: worstOf(findings) };
}
