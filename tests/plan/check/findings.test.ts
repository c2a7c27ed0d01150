import { describe, expect, it } from 'vitest';
import { CheckFindings, worstOf } from '../../../src/plan/check/findings.js';

const gather = (...lines: readonly (readonly [number, 'error' | 'warning' | 'note', string])[]) => {
  const findings = new CheckFindings();
  for (const [line, severity, code] of lines)
    findings.add(line, severity, code, `${code} at ${line}`);
  return findings;
};

const shown = (findings: CheckFindings): string[] =>
  findings.list().map((f) => `${f.severity} ${f.code} ${f.line}`);

describe('CheckFindings', () => {
  it('lists the worst kinds first, then kinds by their first line, each kind by line', () => {
    const list = gather(
      [1, 'note', 'a'],
      [9, 'warning', 'b'],
      [8, 'error', 'c'],
      [3, 'error', 'd'],
      [5, 'error', 'c'],
      [7, 'warning', 'b'],
      [2, 'warning', 'c'],
    );
    expect(shown(list)).toEqual([
      'error d 3',
      'error c 5',
      'error c 8',
      'warning c 2',
      'warning b 7',
      'warning b 9',
      'note a 1',
    ]);
  });

  it('keeps ten of a kind, the first that were added, and counts the others', () => {
    const many = (n: number) =>
      gather(...Array.from({ length: n }, (_, i) => [100 - i, 'error', 'x'] as const));
    expect(many(10).list()).toHaveLength(10);
    const eleven = many(11).list();
    expect(eleven.map((f) => f.line)).toEqual([91, 92, 93, 94, 95, 96, 97, 98, 99, 100, 0]);
    expect(eleven.at(-1)).toMatchObject({
      more: 1,
      severity: 'error',
      code: 'x',
      text: 'and 1 more like this',
    });
    expect(many(13).list().at(-1)).toMatchObject({ more: 3, text: 'and 3 more like these' });
  });

  it('hands on figure and limit', () => {
    const findings = new CheckFindings();
    findings.add(4, 'error', 'force', 'too much', 5, 3);
    findings.add(6, 'note', 'talk', 'so it is');
    expect(findings.list()).toEqual([
      { line: 4, severity: 'error', code: 'force', text: 'too much', value: 5, limit: 3 },
      { line: 6, severity: 'note', code: 'talk', text: 'so it is', value: null, limit: null },
    ]);
  });
});

describe('worstOf', () => {
  it('is the worst there is, or none', () => {
    const worst = (...kinds: ('error' | 'warning' | 'note')[]) =>
      worstOf(gather(...kinds.map((kind, i) => [i, kind, 'x'] as const)).list());
    expect(worst()).toBe('none');
    expect(worst('note')).toBe('note');
    expect(worst('note', 'warning')).toBe('warning');
    expect(worst('note', 'error', 'warning')).toBe('error');
  });
});
