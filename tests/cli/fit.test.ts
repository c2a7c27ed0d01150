import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fitText } from '../../src/say/fit.js';
import { textTable } from '../../src/say/format.js';
import { run } from './run.js';
import { scratchFolder } from './scratch.js';

const longest = (text: string): number => Math.max(...text.split('\n').map((l) => l.length));

describe('text made to fit', () => {
  const word = fc.stringMatching(/^[a-z0-9.,]{1,12}$/);
  const cell = fc.oneof(
    fc.integer({ min: 0, max: 99999 }),
    fc.array(word, { minLength: 1, maxLength: 9 }).map((words) => words.join(' ')),
  );

  it('property: no line is longer, every word is there, and what fits is as it was', () => {
    const tables = fc.integer({ min: 1, max: 8 }).chain((n) => {
      const row = fc.array(cell, { minLength: n, maxLength: n });
      return fc.record({
        heading: fc.array(word, { minLength: n, maxLength: n }),
        rows: fc.array(row, { minLength: 1, maxLength: 5 }),
        columns: fc.integer({ min: 40, max: 120 }),
      });
    });
    fc.assert(
      fc.property(tables, ({ heading, rows, columns }) => {
        const text = `before it ${'and so on '.repeat(12)}\n\n${textTable(heading, rows)}\n\nafter`;
        const fitted = fitText(text, columns);
        expect(longest(fitted)).toBeLessThanOrEqual(columns);
        // The first column is told again with each block; the others once.
        const words = (said: string): Map<string, number> => {
          const count = new Map<string, number>();
          for (const w of said.split(/[\s-]+/)) count.set(w, (count.get(w) ?? 0) + 1);
          return count;
        };
        const got = words(fitted);
        for (const [w, n] of words(text)) expect(got.get(w) ?? 0, w).toBeGreaterThanOrEqual(n);
        const wide = longest(text);
        expect(fitText(text, wide)).toBe(text);
      }),
      { numRuns: 60 },
    );
  });

  it('a wide table in blocks, each with its first column', () => {
    const table = textTable(
      ['chain', 'pitch mm', 'roller mm', 'width mm', 'note'],
      [
        ['420', 12.7, 7.77, 6.35, 'a'],
        ['08B', 12.7, 8.51, 7.75, 'from memory, no source'],
      ],
    );
    expect(fitText(table, 40)).toBe(
      [
        'chain  pitch mm  roller mm  width mm',
        '-----  --------  ---------  --------',
        '420        12.7       7.77      6.35',
        '08B        12.7       8.51      7.75',
        '',
        'chain  note',
        '-----  ----------------------',
        '420    a',
        '08B    from memory, no source',
      ].join('\n'),
    );
  });
});

describe('on a narrow terminal', () => {
  const cwd = scratchFolder();
  const at = (columns: number, ...argv: string[]) => run(cwd, argv, {}, false, columns);

  it.each([40, 60, 79])('help and tables keep to %d columns', async (columns) => {
    const commands = ['plan', 'preview', 'identify', 'drive', 'check', 'inspect', 'retune', 'list'];
    const asked = [['--help'], ...commands.map((name) => [name, '--help'])];
    const tables = ['machines', 'materials', 'chains', 'cutters', 'controllers'];
    for (const argv of [...asked, ...tables.map((name) => ['list', name])]) {
      const { exit, out } = await at(columns, ...argv);
      expect(exit, argv.join(' ')).toBe(0);
      expect(longest(out), argv.join(' ')).toBeLessThanOrEqual(columns);
    }
  });

  it('a pipe gets lines as they are', async () => {
    const { out } = await run(cwd, ['list', 'chains']);
    expect(longest(out)).toBeGreaterThan(79);
  });
});
