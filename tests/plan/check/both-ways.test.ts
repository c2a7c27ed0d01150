/** Two reports of one program, with its marked lines run and skipped, as one. */
import { describe, expect, it } from 'vitest';
import {
  CheckFindings,
  type CheckReport,
  bothWays,
  worstOf,
} from '../../../src/plan/check/findings.js';

function report(measured: number, add: (findings: CheckFindings) => void): CheckReport {
  const findings = new CheckFindings();
  add(findings);
  const list = findings.list();
  return { findings: list, measured: { lines: measured }, worst: worstOf(list) };
}
const clean = report(1, () => {});
const warned = report(2, (f) => f.add(4, 'warning', 'chip', 'a thick chip'));
const wrong = report(3, (f) => f.add(9, 'error', 'plunge', 'goes down'));
const worse = report(4, (f) => {
  f.add(9, 'error', 'plunge', 'goes down');
  f.add(12, 'error', 'gouge', 'into the part', 0.1);
});
const told = ({ findings }: CheckReport) =>
  findings.map((f) => `${f.line} ${f.severity} ${f.code}: ${f.text.split(';')[0]}`);
const MARKED =
  '7 warning marked-lines: lines marked by a slash are run or skipped by a switch on the control';

describe('marked lines', () => {
  it('the switch itself is told, where nothing else is', () => {
    const both = bothWays(7, clean, clean);
    expect(told(both)).toEqual([MARKED]);
    expect(both).toMatchObject({ worst: 'warning', measured: { lines: 1 } });
    expect(both.findings[0]!.text).toContain('the figures are those with them run');
    expect(both.findings[0]).toMatchObject({ value: null, limit: null });
  });

  it('what comes up one way only says which; figures are those of the worse', () => {
    const skipped = bothWays(7, warned, wrong);
    expect(told(skipped)).toEqual([
      '9 error plunge: with the marked lines skipped: goes down',
      MARKED,
      '4 warning chip: with the marked lines run: a thick chip',
    ]);
    expect(skipped).toMatchObject({ worst: 'error', measured: { lines: 3 } });
    expect(skipped.findings[1]!.text).toContain('the figures are those with them skipped');
    // Warnings do not count for that.
    expect(bothWays(7, clean, warned).measured).toEqual({ lines: 1 });
  });

  it('what comes up both ways is told once, as it is', () => {
    expect(told(bothWays(7, worse, wrong))).toEqual([
      '9 error plunge: goes down',
      '12 error gouge: with the marked lines run: into the part',
      MARKED,
    ]);
    // One on another line is another.
    const moved = report(5, (f) => f.add(10, 'error', 'plunge', 'goes down'));
    expect(told(bothWays(7, wrong, moved)).slice(0, 2)).toEqual([
      '9 error plunge: with the marked lines run: goes down',
      '10 error plunge: with the marked lines skipped: goes down',
    ]);
  });
});
