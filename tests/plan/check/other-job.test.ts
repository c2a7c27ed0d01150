/** Programs of another wheel are told from a circle with gaps made here, before any replay. */
import { describe, expect, it } from 'vitest';
import { checkProgram } from '../../../src/plan/check/check.js';
import { differenceFindings, gapsRound, otherWheel } from '../../../src/plan/check/other-job.js';
import { exampleJob, found } from './ops.js';
import type { CanonicalOp } from '../../../src/model/op.js';
import { feed } from './ops.js';

const JOB = exampleJob('nursery-barrow');

/** A closed path of chords with so many waves, 3 mm deep, about a circle of 26 mm. */
function wavy(waves: number, z = -1, part = 1): CanonicalOp[] {
  const at = (k: number): readonly [number, number, number] => {
    const a = (2 * Math.PI * k) / 720;
    const r = 26 + 3 * Math.cos(waves * a);
    return [r * Math.cos(a), r * Math.sin(a), z];
  };
  const count = Math.round(720 * part);
  return Array.from({ length: count }, (_, k) => feed(10 + k, at(k), at(k + 1)));
}

describe('gaps that a path goes round', () => {
  it('are counted at the deepest level, where it goes all round', () => {
    for (const n of [9, 12, 13, 14, 60]) expect(gapsRound(wavy(n))?.count, `${n}`).toBe(n);
    expect(gapsRound([...wavy(12, -0.5), ...wavy(13, -2)])?.count).toBe(13);
    expect(gapsRound(wavy(12, 1))).toBe(null);
    expect(gapsRound(wavy(12, -1, 0.5))).toBe(null);
    expect(gapsRound(wavy(0))).toBe(null);
    expect(gapsRound([])).toBe(null);
  });

  it('one gap left out is no other wheel', () => {
    const straight = wavy(12).filter((_, k) => k < 30 || k >= 90);
    const bridge = feed(5, straight[29]!.op === 'feed' ? straight[29]!.to : [0, 0, 0], [26 * Math.cos(Math.PI / 4), 26 * Math.sin(Math.PI / 4), -1]); // prettier-ignore
    expect(gapsRound([...straight, bridge])).toBe(null);
  });
});

describe('a program of another wheel', () => {
  const program = (waves: number) =>
    `G21 G90 G17 G94 G54\nG0 Z5\nM3 S10000\nG4 P3\nF900\n${wavy(waves)
      .map((op) =>
        'to' in op ? `G1 X${op.to[0].toFixed(4)} Y${op.to[1].toFixed(4)} Z${op.to[2]}` : '',
      )
      .join('\n')}\nG0 Z5\nM5\nM2\n`;
  const other = (waves: number) =>
    checkProgram(program(waves), JOB).findings.filter(({ code }) => code === 'other-wheel');

  it('is one whose gaps are counted and are not those of the job', () => {
    const told = (ops: readonly CanonicalOp[]) => {
      let other = false;
      const list = found((findings) => (other = otherWheel(findings, ops, JOB, 28)));
      expect(list.map(({ code }) => code)).toEqual(other ? ['other-wheel'] : []);
      return other;
    };
    expect([wavy(12), wavy(13), wavy(0), []].map(told)).toEqual([false, true, false, false]);
    // Twice the gaps nearer to the axis than 28 mm: this wheel, gone round twice. Twice as large it is
    // another, and one of as many teeth is none.
    const twice = (ops: readonly CanonicalOp[]) =>
      ops.map((op) =>
        op.op === 'feed'
          ? feed(op.line, [2 * op.from[0], 2 * op.from[1], -1], [2 * op.to[0], 2 * op.to[1], -1])
          : op,
      );
    const [same, more] = [wavy(12), wavy(24)];
    expect([more, twice(more), twice(same)].map(told)).toEqual([false, true, false]);
  });

  it('is named with both tooth counts and not replayed', () => {
    expect(other(13)).toMatchObject([{ line: 0, severity: 'error', value: 13, limit: 12 }]);
    expect(other(13)[0]!.text).toMatch(
      /goes round a wheel of 13 teeth, the job's has 12: check it/,
    );
    expect(checkProgram(program(13), JOB).measured).not.toHaveProperty('removedMm3');
  });
});

describe('what the head of a program says of itself', () => {
  const differs = (...lines: string[]) =>
    found((findings) => differenceFindings(findings, lines.join('\n'), JOB)).map((f) => f.text);
  const own = [
    '(title: Nursery barrow pinion, 12 teeth)',
    '(machine screw-gantry-light)',
    '(cutter 3 mm 3 flutes carbide, stick-out 12 mm)',
    '(material 42CrMo4-annealed)',
  ];

  it('is compared word by word with the job', () => {
    expect(differs(...own)).toEqual([]);
    expect(differs(...own.map((line) => line.replace('(', '; ').replace(')', '')))).toEqual([]);
    expect(differs(...own.slice(0, 3), '(material POM-C)')).toEqual([
      `the program's material is "POM-C", the job's is "42CrMo4-annealed"`,
    ]);
    expect(
      differs('(title: Another)', own[1]!, '(cutter 2 mm 2 flutes hss, stick-out 8 mm)'),
    ).toEqual([
      `the program's title is "Another", the job's is "Nursery barrow pinion, 12 teeth"`,
      `the program's cutter is "2 mm 2 flutes hss, stick-out 8 mm", the job's is "3 mm 3 flutes carbide, stick-out 12 mm"`,
    ]);
    // Bore and restart say so behind the job's own title.
    const title = own[0]!.slice(0, -1);
    expect(differs(`${title} - bore)`, `${title}, restart)`)).toEqual([]);
    expect(differs(`${title}, restart)`)).toEqual([]);
    expect(differs(`${title} - boring)`)).toHaveLength(1);
    // What it does not say is not held against it.
    expect(differs('G21', 'M2')).toEqual([]);
  });
});
