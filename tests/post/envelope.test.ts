import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { findController, listControllers } from '../../src/post/controllers.js';
import { plainDigest, sumLines, verifyEnvelope } from '../../src/post/envelope.js';
import { writeProgram } from '../../src/post/writer.js';
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
      expect(verifyEnvelope(text, '3F2A91C4')).toMatchObject({
        status: 'ok',
        jobDigest: '3f2a91c4',
        linesFound: text.trimEnd().split('\n').length,
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
      { numRuns: runs(500), seed: 5 },
    );
  });

  it('notices two programs mixed up, and the program of another job', () => {
    const a = write('aaaa1111').trimEnd().split('\n');
    const b = write('bbbb2222').trimEnd().split('\n');
    expect(verifyEnvelope([...a.slice(0, 40), ...b.slice(40)].join('\n')).status).toBe('mixed');
    expect(verifyEnvelope(a.join('\n'), 'bbbb2222')).toMatchObject({ status: 'other-job' });
  });

  it('keeps of a digest what can stand in a comment', () => {
    expect(plainDigest('3F2A-91c4) G0 X1')).toBe('3f2a91c4g0x1');
    expect(plainDigest('()')).toBe('none');
    expect(plainDigest('a'.repeat(99))).toHaveLength(16);
  });
});
