/** The benchmark of the pages is run by hand; what it takes from the rest has to be there all the same. */
import { readFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { expect, it } from 'vitest';
import { emptyTrack } from '../../src/preview/data/track.js';

const text = readFileSync('tests/bench/preview.bench.mjs', 'utf8');

it('the benchmark of the pages takes what the modules have', async () => {
  const taken = [...text.matchAll(/const \{ ([^}]+) \} = await load\('([^']+)\.js'\)/g)];
  expect(taken.length).toBeGreaterThan(5);
  for (const [, names, path] of taken) {
    const file = pathToFileURL(join('src', `${path}.ts`)).href;
    const found = (await import(/* @vite-ignore */ file)) as Record<string, unknown>;
    for (const name of names!.split(', ')) expect(found[name], `${name} of ${path}`).toBeDefined();
  }
});

it('the benchmark of the pages fills the columns that a track has', () => {
  const columns = [...text.matchAll(/track\.(\w+)\[i\] =/g)].map(([, name]) => name!);
  expect(columns.length).toBeGreaterThan(10);
  expect(Object.keys(emptyTrack(1, [0, 0, 0]))).toEqual(expect.arrayContaining(columns));
});

it('the benchmark of the pages presses what the pages have', () => {
  const preview = 'src/preview';
  const files = readdirSync(preview, { recursive: true, encoding: 'utf8' });
  const sources = files.filter((name) => /\.(html|tsx?)$/.test(name));
  const pages = sources.map((name) => readFileSync(join(preview, name), 'utf8')).join('\n');
  const ids = [...text.matchAll(/'#([a-z-]+)|getElementById\('([a-z-]+)'\)/g)];
  expect(ids.length).toBeGreaterThan(5);
  for (const [, selected, got] of ids) {
    const id = (selected ?? got)!;
    // Of a key of the job the id is made of its name.
    const made = id.startsWith('field-') ? 'field-${' : `${id}`;
    expect(
      pages.includes(`"${made}"`) || pages.includes(`'${made}'`) || pages.includes(`\`${made}`),
      id,
    ).toBe(true);
  }
});
