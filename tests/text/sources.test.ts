import { describe, expect, it } from 'vitest';
import { cite, listSources } from '../../src/text/sources.js';
import { run } from '../cli/run.js';
import { scratchFolder } from '../cli/scratch.js';
import { THIN, plannedNames, examplePlan, exampleText } from '../planned.js';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';

/** Makers, people and pages, gathered by reading the sources of the data, not from the list. */
const NAMES =
  /Carr Lane|Roehm|Schunk|\b3M\b|Mott\b|Shigley|Tsubaki|Diamond|FB Chain|Ramsey|Ruland|Handy|Harman|Bearing Service|karting|scribd|amesweb|\.(com|co\.uk|jp|tech|info)\b|https?:/i;

describe('sources', () => {
  it('a name gives way to a plain word with its number', () => {
    expect(cite('Carr Lane, Clamping force calculations: steel on steel, oiled')).toBe(
      'tables of a maker of fixtures [1]: steel on steel, oiled',
    );
    // The longer of two names that begin alike, and two in one text.
    expect(cite("Shigley's Mechanical Engineering Design, eq. 17-32; Tsubaki selection text")).toBe(
      'a textbook of machine design [5], eq. 17-32; selection rules of a maker of chains [7]',
    );
    expect(cite('ISO 606:2015 5.7, from memory')).toBe('ISO 606:2015 5.7, from memory');
  });

  it('numbers count from 1, each with what it stands for', () => {
    const rows = listSources();
    expect(rows.map(({ number }) => number)).toEqual(rows.map((_, i) => i + 1));
    for (const { full, plain } of rows) {
      expect(full).not.toBe('');
      expect(plain).not.toMatch(NAMES);
    }
  });

  it('no name stands in what drive explains, and every number leads somewhere', async () => {
    const cwd = scratchFolder();
    const last = listSources().length;
    for (const name of plannedNames()) {
      writeFileSync(join(cwd, 'job.yaml'), exampleText(name));
      const { out } = await run(cwd, ['drive', 'job.yaml', '--explain']);
      expect(out.match(NAMES), name).toBeNull();
      const numbers = [...out.matchAll(/ \[(\d+)\]/g)].map(([, n]) => Number(n));
      expect(numbers.length).toBeGreaterThan(5);
      for (const n of numbers) expect(n >= 1 && n <= last).toBe(true);
    }
  });

  it('nor in the sheet', () => {
    const { files } = examplePlan('nursery-barrow', THIN);
    const words = (files['warning-sheet.html'] as string)
      .replace(/<(style|svg)[^]*?<\/\1>/g, '')
      .replace(/<[^>]+>/g, ' ')
      .replace(/\s+/g, ' ');
    expect(words.match(NAMES)).toBeNull();
    expect(words).toMatch(
      /foam tape is rated for about 1\.7 kPa \(data of a maker of tape \[3\]\)/,
    );
  });
});
