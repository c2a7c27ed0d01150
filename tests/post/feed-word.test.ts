import { describe, expect, it } from 'vitest';
import { feedWord, WriteError } from '../../src/post/rs274/write/page.js';

describe('feed word', () => {
  it('is in tenths, rounded down, and keeps a whole number of them', () => {
    expect(feedWord(0, 120.59)).toBe(' F120.5');
    expect(feedWord(0, 0.1)).toBe(' F0.1');
    // 3 x 0.1 in binary is a hair over, 10 x 0.7 a hair under: neither loses a tenth.
    expect(feedWord(0, 0.1 + 0.2)).toBe(' F0.3');
    expect(feedWord(0, 1.1 * 3)).toBe(' F3.3');
    expect(feedWord(0, 8.2 - 1.2)).toBe(' F7');
    expect(feedWord(0, 99999)).toBe(' F99999');
  });

  it('is refused where no control could follow it, with the move', () => {
    for (const feed of [0, -1, Number.NaN, Infinity, 99999.01]) {
      expect(() => feedWord(7, feed)).toThrow(WriteError);
      expect(() => feedWord(7, feed)).toThrow(/7.*not above 0 and up to 99999/s);
    }
    expect(() => feedWord(7, 0.0999)).toThrow(/below 0\.1 mm\/min/);
  });
});
