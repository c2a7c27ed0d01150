import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import {
  CHAINS,
  type ChainFigureName,
  UnknownChainError,
  chainDoubts,
  findChain,
  isDoublePitch,
  knownFigureMm,
} from '../../src/profile/chain/chains.js';

/** A gathered table, one chain a row; its last column names the sources. */
function gatheredRows(file = 'chains.csv'): Map<string, string[]> {
  const text = readFileSync(new URL(`../oracles/${file}`, import.meta.url), 'utf8');
  const rows = new Map<string, string[]>();
  for (const row of text.trim().split(/\r?\n/).slice(1)) {
    const cells = [...row.matchAll(/("([^"]*)"|[^,]*)(,|$)/g)].map((m) => m[2] ?? m[1] ?? '');
    rows.set(cells[0] as string, cells);
  }
  return rows;
}

const COLUMNS: readonly ChainFigureName[] = [
  'pitchMm',
  'rollerDiameterMm',
  'innerWidthMm',
  'pinDiameterMm',
  'plateDepthMm',
  'minTensileN',
];
const RENAMED: Readonly<Record<string, string>> = { '415 (415F19)': '415F19' };

/** A cell of a gathered table in the figure's unit. */
function cellValue(cell: string, figure: ChainFigureName): number {
  const scale = figure === 'minTensileN' ? 1000 : 1;
  return Math.round(Number(cell) * scale * 1e6) / 1e6;
}

describe('chain table', () => {
  test('holds the gathered chains, value for value', () => {
    const rows = gatheredRows();
    expect(rows.size).toBe(36);
    let held = 0;
    for (const chain of CHAINS) {
      const row = rows.get(chain.designation);
      if (!row) continue;
      held++;
      COLUMNS.forEach((f, i) => {
        const cell = row[2 + i] as string;
        if (cell !== '')
          expect(chain[f].value, `${chain.designation} ${f}`).toBe(cellValue(cell, f));
      });
      expect(chain.source.length).toBeGreaterThan(20);
    }
    expect(held).toBe(36);
  });

  test('holds farm, double-pitch, heavy and small-vehicle chains, value for value', () => {
    const rows = gatheredRows('chains-more.csv');
    expect(rows.size).toBe(94);
    // A maker's copies of rows that are here from the standard, and bush chains without a bush diameter.
    const left = [...rows.keys()].filter((n) => n.endsWith('(maker)') || n.startsWith('GBB'));
    expect(left).toHaveLength(19);
    for (const [name, row] of rows) {
      // 083 is here from ISO 606, and 415B is one of its names.
      if (left.includes(name) || name === '083 (415B)') continue;
      const chain = findChain(
        RENAMED[name] ?? name.replace(/ \((Renold|bush|.*large roller)\)$/, ''),
      );
      COLUMNS.forEach((f, i) => {
        const cell = row[2 + i] as string;
        const expected = cell === '' ? null : cellValue(cell, f);
        // Of two catalogues the lower strength is kept: section 8 of the gathered notes.
        const own = name === '208B' && f === 'minTensileN' ? 18000 : expected;
        expect(chain[f].value, `${name} ${f}`).toBe(own);
      });
      const thickness = /plate thickness(?: inner\/outer)? ([\d.]+)/.exec(row[8] as string)?.[1];
      expect(chain.plateThicknessMm.value, name).toBe(
        thickness === undefined ? null : Number(thickness),
      );
    }
  });

  test('two rollers apart: the pitch is twice that of the base chain, and so are no others', () => {
    for (const chain of CHAINS.filter(isDoublePitch)) {
      // ISO 1275: 2 and the number of the base chain, whose pitch it is twice, roller and width alike.
      const base = /20[0-9][AB]|2[12][0-9][AB]/.exec(chain.designation)?.[0].slice(1);
      if (base === undefined) continue;
      const short = findChain(base);
      expect(knownFigureMm(chain, 'pitchMm')).toBeCloseTo(2 * knownFigureMm(short, 'pitchMm'), 9);
      expect(knownFigureMm(chain, 'rollerDiameterMm')).toBeCloseTo(
        knownFigureMm(short, 'rollerDiameterMm'),
        1,
      );
    }
    expect(CHAINS.filter(isDoublePitch).length).toBe(22);
    expect(isDoublePitch(findChain('16A'))).toBe(false);
  });

  test('identities and plausible ranges', () => {
    const agricultural = (family: string): boolean => /agricultural|elevator/.test(family);
    for (const chain of CHAINS) {
      // Farm and double-pitch chains have long plates: their ratios are not those below.
      if (isDoublePitch(chain) || agricultural(chain.family)) continue;
      const p = knownFigureMm(chain, 'pitchMm');
      const d1 = knownFigureMm(chain, 'rollerDiameterMm');
      const b1 = knownFigureMm(chain, 'innerWidthMm');
      // ASME B29.1: roller about 5/8 of the pitch; light and B series from 0.5 to 0.68.
      // A bush chain of B series plates has 0.46, motorcycle 532 0.70.
      expect(d1 / p, chain.designation).toBeGreaterThan(0.45);
      expect(d1 / p, chain.designation).toBeLessThan(0.71);
      expect(b1 / p).toBeGreaterThan(0.17);
      expect(b1 / p).toBeLessThan(0.71);
      const pin = chain.pinDiameterMm.value;
      if (pin !== null) {
        expect(pin).toBeGreaterThan(0.4 * d1);
        expect(pin).toBeLessThan(0.72 * d1);
      }
      const plate = chain.plateDepthMm.value;
      if (plate !== null) {
        expect(plate).toBeGreaterThan(d1);
        expect(plate).toBeLessThanOrEqual(1.02 * p);
      }
    }
  });

  test('pitch in mm is the inch size of the standard times 25.4', () => {
    // ASME B29.1: the last but one digit(s) of the number are the pitch in eighths of an inch.
    for (const [name, eighths] of [
      ['25', 2],
      ['35', 3],
      ['40', 4],
      ['41', 4],
      ['50', 5],
      ['60', 6],
      ['80', 8],
      ['100', 10],
    ] as const) {
      expect(knownFigureMm(findChain(name), 'pitchMm')).toBeCloseTo((eighths / 8) * 25.4, 9);
    }
    // ISO 606: the number of an A or B chain is its pitch in sixteenths of an inch.
    for (const chain of CHAINS) {
      const iso = chain.names.map((n) => /^(\d\d)[AB]$/.exec(n)?.[1]).find((n) => n);
      // 03B (5 mm), 04B (6 mm) and 05B (8 mm) are the metric exceptions.
      if (!iso || ['03B', '04B', '05B'].some((name) => chain.names.includes(name))) continue;
      expect(knownFigureMm(chain, 'pitchMm')).toBeCloseTo((Number(iso) / 16) * 25.4, 9);
    }
  });

  test('an H chain takes the sprocket of the plain chain', () => {
    for (const name of ['219', '415', '428']) {
      for (const f of ['pitchMm', 'rollerDiameterMm', 'innerWidthMm'] as const) {
        expect(findChain(`${name}H`)[f].value).toBe(findChain(name)[f].value);
      }
    }
  });

  test('every disagreement brackets, or ends at, the value used', () => {
    let count = 0;
    for (const chain of CHAINS) {
      for (const d of chain.disagreements) {
        const value = chain[d.field].value as number;
        expect(value).toBeGreaterThanOrEqual(d.low);
        expect(value).toBeLessThanOrEqual(d.high);
        count++;
      }
    }
    expect(count).toBeGreaterThan(25);
  });

  test('low-confidence figures are those the sources mark low', () => {
    const rows = gatheredRows();
    for (const chain of CHAINS) {
      const marked = rows.get(chain.designation)?.[8]?.includes('low confidence') ?? false;
      expect(chain.pitchMm.confidence === 'low', chain.designation).toBe(marked);
    }
  });
});

describe('findChain', () => {
  test.each([
    ['40', '08A (40)'],
    ['08A', '08A (40)'],
    ['08a (40)', '08A (40)'],
    ['#40', '08A (40)'],
    ['ANSI 40', '08A (40)'],
    ['No. 40', '08A (40)'],
    ['ANSI 41', '085 (41)'],
    ['iso 08b-1', '08B'],
    ['DIN 08B', '08B'],
    [' 428 h ', '428H'],
    ['219HTM', '219H'],
    ['1/2 x 1/8', '1/2x1/8 (081C)'],
    ['1/2" × 3/32"', '1/2x3/32 (082C)'],
    ['t8f', 'T8F'],
    ['chain 25', '04C (25)'],
    ['25H', '25H'],
  ])('%s', (asked, found) => {
    expect(findChain(asked).designation).toBe(found);
  });

  test('a designation finds itself', () => {
    for (const chain of CHAINS) expect(findChain(chain.designation)).toBe(chain);
  });

  test('unknown: near misses are offered', () => {
    const miss = (name: string): UnknownChainError => {
      try {
        findChain(name);
      } catch (e) {
        if (e instanceof UnknownChainError) return e;
      }
      throw new Error('found');
    };
    expect(miss('08C').suggestions).toContain('08B');
    expect(miss('421').suggestions).toContain('420');
    expect(miss('no such chain at all, whatever its maker may say').suggestions).toEqual([]);
    expect(miss('x'.repeat(5000)).message.length).toBeLessThan(200);
    expect(miss('').code).toBe('chain-unknown');
    expect(miss('08C').message).toContain('did you mean');
  });
});

describe('chainDoubts', () => {
  test('low confidence, memory, and sources that differ are told apart', () => {
    expect(chainDoubts(findChain('270H'))[0]).toMatch(/pitch, roller diameter.*not to be trusted/);
    expect(chainDoubts(findChain('25'))).toEqual([]);
    expect(chainDoubts(findChain('420'))).toEqual([
      'Chain 420: plate depth and tensile strength are from memory of the standard, not from a printed table; check on a chain.',
    ]);
    expect(chainDoubts(findChain('420'), ['pitchMm', 'rollerDiameterMm'])).toEqual([]);
    expect(chainDoubts(findChain('219'), ['rollerDiameterMm']).join()).toMatch(/4\.57 to 5\.08/);
  });
});
