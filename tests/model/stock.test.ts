import { describe, expect, it } from 'vitest';
import { type Stock, stockLines, stockOf, unreadStock } from '../../src/model/stock.js';

const STOCKS: readonly Stock[] = [
  { kind: 'blank', diameterMm: 55.6, thicknessMm: 5.91 },
  { kind: 'pilot-hole', boreMm: 14, depthMm: 13.91, holeMm: 9.5 },
  { kind: 'left', sum: '0a1b2c3d', toLine: 15199, off: null },
  {
    kind: 'left',
    sum: '0a1b2c3d',
    toLine: 15199,
    off: { xMm: -1.5, yMm: 0.025, toLine: 20112 },
  },
];

describe('the stock that a program says it starts from', () => {
  it.each(STOCKS)('is read as it was written, under either kind of comment: $kind', (stock) => {
    for (const [open, close] of [
      ['(', ')'],
      ['; ', ''],
    ]) {
      const lines = stockLines(stock).map((line) => `${open}${line}${close}`);
      expect(stockOf([`${open}title: x${close}`, ...lines, 'G21', 'M2'].join('\n'))).toEqual(stock);
      for (const line of lines) expect(line.length).toBeLessThanOrEqual(70);
    }
  });

  it.each([
    'G21\nG0 X1\nM2',
    '(blank 55.60 mm)\nG21',
    '(stock: as left by program xyz up to line 3)',
    // As a word of a code line it is no remark of the head.
    'G0 X1 (blank 55.60 mm round, teeth up to 5.91 mm thick)',
  ])('is not known where the program does not say: %s', (text) => {
    expect(stockOf(text)).toBeNull();
  });

  it('is told where it says it in words that cannot be read, and not where it speaks of other stock', () => {
    for (const line of [
      'stock: as left by program xyz up to line 3',
      'stock: as left by program 0a1b2c3d up to line -5',
      'stock: then off by X nan Y 0.000 to line 9',
    ]) {
      expect(unreadStock(`(title: x)\n(${line})\nG21`)).toBe(line);
    }
    expect(unreadStock('(stock: 60 x 40 x 10 aluminium)\nG21')).toBeNull();
    for (const stock of STOCKS)
      expect(unreadStock(`(${stockLines(stock).join(')\n(')})`)).toBeNull();
  });
});
