/**
 * Dangers that nobody listed when `check` was written, each named by its code; and changes of the same
 * program that mean no harm, none of them refused.
 */
import { describe, expect, it } from 'vitest';
import { checkProgram } from '../../../src/plan/check/check.js';
import { LONG } from '../../cam/oracle/runs.js';
import { DANGERS, type Edit, HARMLESS, jobFor } from './dangers.js';
import { smallProgram } from './mutants.js';

/** A ninth of them in `npm test`, all of them at night. */
const share = (edits: readonly Edit[]): readonly Edit[] =>
  edits.filter((_, i) => LONG || i % 9 === 0);

/** "severity code" of all that is found. */
function told(edit: Edit): string[] {
  const text = `${edit.edit(smallProgram().lines).join('\n')}\n`;
  const { findings } = checkProgram(text, jobFor(edit));
  return [...new Set(findings.map(({ severity, code }) => `${severity} ${code}`))];
}

let untouched: readonly string[] | undefined;

describe('a program that would do harm', () => {
  it.each(share(DANGERS))('is named: $what', (edit) => {
    const found = told(edit);
    const names = edit.named!.split('|');
    expect(
      names.some((name) => found.includes(name)),
      found.join(', '),
    ).toBe(true);
    // What names it is no property of the program as it is.
    untouched ??= told({ what: '', edit: (lines) => lines });
    expect(names.filter((name) => untouched!.includes(name))).toEqual([]);
  });
});

describe('a program that does none', () => {
  it.each(share(HARMLESS))('is not refused: $what', (edit) => {
    expect(told(edit).filter((found) => found.startsWith('error'))).toEqual([]);
  });
});
