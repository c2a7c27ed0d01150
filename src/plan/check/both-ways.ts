/** A program with lines that a switch of the control skips or runs: judged both ways. */
import { type CheckFinding, type CheckReport, worstFirst, worstOf } from './findings.js';

/**
 * One report of two: findings that come up one way only say which; the figures are those of the
 * worse one.
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
