/** Text of a job on its way into a comment. */
import { describe, expect, it } from 'vitest';
import {
  commentLines,
  MAX_LINE,
  messageLines,
  PARENTHESES,
  plainText,
  SEMICOLON,
} from '../../src/text/program-text.js';

const one = (text: string): string => commentLines(text, PARENTHESES).join('|');

describe('plainText', () => {
  it('keeps letters without their accents, digits and . , - _ = : /', () => {
    expect(plainText('Fördérrad Ñ 12')).toBe('Forderrad N 12');
    expect(plainText('a.b,c-d_e=f:g/h')).toBe('a.b,c-d_e=f:g/h');
    expect(plainText('\ufb01ne')).toBe('fine');
    expect(plainText('\u0430')).toBe('');
  });

  it('puts a single space for whatever else there is, and none at the ends', () => {
    expect(plainText('a (b) c')).toBe('a b c');
    expect(plainText('06C (35), form')).toBe('06C 35, form');
    expect(plainText('a\r\n\tb')).toBe('a b');
    expect(plainText(' !a! ')).toBe('a');
    expect(plainText('a ) ( b')).toBe('a b');
    expect(plainText('')).toBe('');
    expect(plainText('()')).toBe('');
  });

  it('keeps 400 characters', () => {
    expect(plainText('x'.repeat(1000))).toBe('x'.repeat(400));
    expect(plainText(`${'x'.repeat(399)} y`)).toBe('x'.repeat(399));
    expect(plainText('!'.repeat(1_000_000))).toBe('');
    expect(plainText(` ${'x'.repeat(500)}`)).toBe('x'.repeat(400));
    // Of a text without end only the first 1600 are looked at.
    expect(plainText(`${'!'.repeat(1599)}ab`)).toBe('a');
    expect(plainText(`${'!'.repeat(1600)}ab`)).toBe('');
  });
});

describe('commentLines', () => {
  it('stand in the marks of the class, none where there is no text', () => {
    expect(commentLines('left gap', PARENTHESES)).toEqual(['(left gap)']);
    expect(commentLines('left gap', SEMICOLON)).toEqual(['; left gap']);
    for (const text of ['', ' ', '()', ';']) expect(commentLines(text, PARENTHESES)).toEqual([]);
  });

  it('wrap at spaces, within 70 characters whatever comes before', () => {
    const words = Array.from({ length: 40 }, (_, i) => `word${i}`).join(' ');
    const lines = commentLines(words, PARENTHESES);
    expect(lines.length).toBeGreaterThan(3);
    for (const line of lines) expect(line.length).toBeLessThanOrEqual(MAX_LINE);
    expect(lines.map((line) => line.slice(1, -1)).join(' ')).toBe(plainText(words));
    // 66 characters fit beside the marks and the two that may come before; a word without spaces
    // is cut there, and so is one whose only space comes too early.
    expect(one('x'.repeat(66))).toBe(`(${'x'.repeat(66)})`);
    expect(one('x'.repeat(67))).toBe(`(${'x'.repeat(66)})|(x)`);
    expect(one(`${'y'.repeat(60)} ${'x'.repeat(30)}`)).toBe(
      `(${'y'.repeat(60)})|(${'x'.repeat(30)})`,
    );
    // What fits stays whole, spaces and all; a word is cut only where it is longer than a line.
    expect(one(`${'y'.repeat(60)} ${'x'.repeat(5)}`)).toBe(`(${'y'.repeat(60)} xxxxx)`);
    expect(one(`${'y'.repeat(22)} ${'x'.repeat(50)}`)).toBe(
      `(${'y'.repeat(22)})|(${'x'.repeat(50)})`,
    );
    expect(one(`${'y'.repeat(23)} ${'x'.repeat(50)}`)).toBe(
      `(${'y'.repeat(23)})|(${'x'.repeat(50)})`,
    );
    expect(one(`y ${'x'.repeat(80)}`)).toBe(`(y)|(${'x'.repeat(66)})|(${'x'.repeat(14)})`);
  });

  it('keep apart what a control or a check would act on', () => {
    for (const text of [
      'MSG, x', 'm s g, x', 'msgx', 'DEBUG, x', 'print this', 'LOGOPEN, f', 'probeclose', 'abort',
      'py, x', 'axis, hide', 'anything, x', 'job 12 lines 5', 'end of job 12', 'Job x',
    ]) expect(one(text), text).toBe(`(- ${text})`); // prettier-ignore
    for (const text of ['a long remark, with a comma', 'jobs', 'end of it', '12, x']) {
      expect(one(text), text).toBe(`(${text})`);
    }
    // Also at the head of a line that was wrapped.
    expect(one(`${'x'.repeat(60)} ${'MSG,press it'}`)).toContain('|(- MSG,press it)');
  });
});

describe('messageLines', () => {
  it('are operator messages, each within 70 characters', () => {
    expect(messageLines('turn it over')).toEqual(['(MSG, turn it over)']);
    const lines = messageLines('word '.repeat(60));
    for (const line of lines) {
      expect(line).toMatch(/^\(MSG, word.*\)$/);
      expect(line.length).toBeLessThanOrEqual(MAX_LINE);
    }
    expect(messageLines('x) G0 Z-5 (')).toEqual(['(MSG, x G0 Z-5)']);
    expect(messageLines('')).toEqual(['(MSG, stop)']);
  });
});
