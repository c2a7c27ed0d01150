import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { findController, listControllers } from '../../src/post/control/controllers.js';
import { plainDigest, sumLines, verifyEnvelope } from '../../src/post/rs274/envelope.js';
import { writeProgram } from '../../src/post/rs274/writer.js';
import { SAMPLE_HEADER, sampleToolpath } from './sample-toolpath.js';
import { runs } from '../cam/oracle/runs.js';

const write = (jobDigest: string, controller = 'small-stream'): string =>
  writeProgram(sampleToolpath(), findController(controller), { ...SAMPLE_HEADER, jobDigest }).text;

describe('sumLines', () => {
  it('is FNV-1a: published vectors', () => {
    // http://www.isthe.com/chongo/tech/comp/fnv/ test vectors, 32 bits: "\n" after the text is ours,
    // so the vectors "foobar" 0xbf9cf968 and "a" 0xe40c292c are continued by one step.
    const step = (hash: number): string =>
      (Math.imul(hash ^ 10, 0x01000193) >>> 0).toString(16).padStart(8, '0');
    expect(sumLines(['foobar'])).toBe(step(0xbf9cf968));
    expect(sumLines(['a'])).toBe(step(0xe40c292c));
    expect(sumLines([])).toBe('811c9dc5');
  });
});

describe('verifyEnvelope', () => {
  it('accepts every class, other line ends, trailing blanks', () => {
    for (const { id } of listControllers()) {
      const text = write('3f2a91c4', id);
      expect(verifyEnvelope(text).status).toBe('ok');
      expect(verifyEnvelope(text.replaceAll('\n', '\r\n')).status).toBe('ok');
      expect(verifyEnvelope(text.replaceAll('\n', ' \n') + '\n\n').status).toBe('ok');
      expect(verifyEnvelope(`${text} \n\t\n`).status).toBe('ok');
      expect(verifyEnvelope(text, '3F2A91C4')).toMatchObject({
        status: 'ok',
        message: `complete: job 3f2a91c4, ${text.trimEnd().split('\n').length} lines`,
      });
    }
  });

  it('says when a program carries nothing', () => {
    expect(verifyEnvelope('G21\nM2\n').status).toBe('absent');
    expect(verifyEnvelope('').status).toBe('absent');
  });

  it('notices a copy cut at any line, at either end', () => {
    const lines = write('3f2a91c4').trimEnd().split('\n');
    for (let keep = 1; keep < lines.length; keep++) {
      expect(verifyEnvelope(lines.slice(0, keep).join('\n')).status, `first ${keep}`).toBe(
        'truncated',
      );
    }
    for (let drop = 1; drop < lines.length - 2; drop++) {
      expect(verifyEnvelope(lines.slice(drop).join('\n')).status, `without ${drop}`).toBe(
        'truncated',
      );
    }
  });

  it('notices any line lost, doubled, swapped or changed', () => {
    const lines = write('3f2a91c4').trimEnd().split('\n');
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: lines.length - 3 }),
        fc.constantFrom('lose', 'double', 'swap', 'digit'),
        (i, how) => {
          const copy = [...lines];
          if (how === 'lose') copy.splice(i, 1);
          else if (how === 'double') copy.splice(i, 0, copy[i]!);
          else if (how === 'swap') [copy[i], copy[i + 1]] = [copy[i + 1]!, copy[i]!];
          else copy[i] = copy[i]!.replace(/\d/, (d) => String((Number(d) + 1) % 10));
          if (copy.join() === lines.join()) return;
          expect(verifyEnvelope(copy.join('\n')).status).not.toBe('ok');
        },
      ),
      { numRuns: runs(500) },
    );
  });

  it('notices two programs mixed up, and the program of another job', () => {
    const a = write('aaaa1111').trimEnd().split('\n');
    const b = write('bbbb2222').trimEnd().split('\n');
    expect(verifyEnvelope([...a.slice(0, 40), ...b.slice(40)].join('\n')).status).toBe('mixed');
    expect(verifyEnvelope(a.join('\n'), 'bbbb2222')).toMatchObject({ status: 'other-job' });
  });

  it('says which: cut, altered or mixed, and by how many lines', () => {
    const lines = write('3f2a91c4').trimEnd().split('\n');
    const n = lines.length;
    const end = n - 2;
    const told = (change: (copy: string[]) => void, digest?: string): [string, string] => {
      const copy = [...lines];
      change(copy);
      const { status, message } = verifyEnvelope(copy.join('\n'), digest);
      return [status, message];
    };
    expect(told(() => {})).toEqual(['ok', `complete: job 3f2a91c4, ${n} lines`]);
    const missing = (side: string, found: number) => [
      'truncated',
      `the ${side} of the program is missing: ${found} lines of ${n}`,
    ];
    expect(told((copy) => copy.splice(0, 1))).toEqual(missing('beginning', n - 1));
    expect(told((copy) => copy.splice(end, 1))).toEqual(missing('end', n - 1));
    expect(told((copy) => copy.splice(9, 2))).toEqual([
      'truncated',
      `lines are missing: ${n - 2} lines of ${n}`,
    ]);
    expect(told((copy) => copy.splice(9, 0, 'G0 X1', 'G0 X2', 'G0 X3'))).toEqual([
      'altered',
      `lines have been added: ${n + 3} lines, ${n} written`,
    ]);
    const changed = ['altered', 'lines have been changed or moved since the program was written'];
    expect(told((copy) => (copy[9] = 'G0 X1'))).toEqual(changed);
    // The lines that speak of the program have their own places: first, and before the end code.
    expect(told((copy) => copy.splice(0, 2, copy[1]!, copy[0]!))).toEqual(changed);
    expect(told((copy) => copy.splice(end - 1, 2, copy[end]!, copy[end - 1]!))).toEqual(changed);
    // The first is the program's own: one more, of another job, in the middle is a changed line.
    const foreign = write('bbbb2222').split('\n')[0]!;
    expect(told((copy) => (copy[9] = foreign))).toEqual(changed);
    expect(told((copy) => copy.splice(9, 0, foreign))).toEqual([
      'altered',
      `lines have been added: ${n + 1} lines, ${n} written`,
    ]);
    // Each of the three figures that top and end share.
    for (const [figure, other] of [
      [/job [0-9a-z]+/, 'job 0000'],
      [/lines \d+/, 'lines 1'],
      [/sum [0-9a-f]+/, 'sum 00000000'],
    ] as const) {
      const mixed = told((copy) => (copy[end] = copy[end]!.replace(figure, other)));
      const message = 'the top and the end of the program belong to different programs';
      expect(mixed, other).toEqual(['mixed', message]);
    }
    expect(told(() => {}, 'beef')).toEqual([
      'other-job',
      'the program is of job 3f2a91c4, not of beef',
    ]);
    expect(verifyEnvelope('(a remark)\nM2\n')).toMatchObject({
      status: 'absent',
      message: 'the program carries no job digest and line count',
      sum: null,
    });
    expect(verifyEnvelope(lines.slice(0, 5).join('\n'))).toMatchObject({
      status: 'truncated',
      message: `the end of the program is missing: 5 lines of ${n}`,
    });
  });

  it('keeps of a digest what can stand in a comment', () => {
    expect(plainDigest('3F2A-91c4) G0 X1')).toBe('3f2a91c4g0x1');
    expect(plainDigest('()')).toBe('none');
    expect(plainDigest('a'.repeat(99))).toHaveLength(16);
  });
});
