/** The bench page from a file, with the network off: from a chain in hand to what goes to the machine. */
import { mkdtempSync, readFileSync, readdirSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Page } from 'playwright-core';
import { unzipSync } from 'three/addons/libs/fflate.module.js';
import { afterAll, expect, it } from 'vitest';
import { withPreview } from '../../../src/cli/io/preview-file.js';
import { unpackPage } from '../../../src/preview/data/pack.js';
import { planJob } from '../../../src/plan/plan.js';
import { run } from '../../cli/run.js';
import { seriousFaults } from './axe.js';
import { nightly } from '../../cam/oracle/runs.js';
import { OUTPUT, bundled, describeInBrowser, open } from './chromium.js';

/** Columns of the dry run that the replay has worked out. */
const LOADS = ['engagementRad', 'driveXN', 'driveYN', 'resultantN', 'powerW', 'chipMm'];

const folder = mkdtempSync(join(tmpdir(), 'gullet-bench-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const answered = (page: Page) =>
  page.waitForFunction(
    () => document.body.dataset['planning'] === undefined && document.body.dataset['ready'] !== '0',
    null,
    { timeout: 60_000 },
  );

async function set(page: Page, key: string, value: string): Promise<void> {
  const field = page.locator(`#field-${key.replaceAll('.', '-')}`);
  if ((await field.evaluate((e) => e.tagName)) === 'SELECT') await field.selectOption(value);
  else {
    await field.fill(value);
    await field.press('Tab');
  }
}

/** Readings of a 420 chain and a small thin wheel for it, by the fields of the views. */
async function fillIn(page: Page): Promise<void> {
  const readings = {
    span: '127.3 mm',
    pitches: '10',
    'roller-diameter': '7.75 mm',
    'inner-width': '6.3 mm',
  };
  for (const [key, value] of Object.entries(readings)) await page.fill(`#reading-of-${key}`, value);
  await page.click('#take-chain');
  await page.click('#way-part');
  await set(page, 'bore.diameter', '10 mm');
  await set(page, 'sprocket.thickness', '1 mm');
  await set(page, 'sprocket.teeth', '9');
  await answered(page);
}

describeInBrowser('the bench page from a file with the network off', () => {
  it('goes from chain readings to the very files of the command line', async () => {
    const dist = await bundled();
    const path = join(dist, 'gullet.html');
    expect(statSync(path).size).toBeLessThan(1.5e6);
    const url = pathToFileURL(path).href;
    const { page, faults, close } = await open(url, url, { offline: true });
    expect(await page.textContent('#verdict')).toContain('No plan');
    await fillIn(page);
    expect(await page.textContent('#verdict')).toContain('Checked');
    await page.click('#way-bench');
    const [download] = await Promise.all([
      page.waitForEvent('download', { timeout: 60_000 }),
      page.click('#save-all'),
    ]);
    await download.saveAs(join(folder, 'all.zip'));
    expect(await seriousFaults(page)).toEqual([]);
    await page.screenshot({ path: join(OUTPUT, 'bench-sheet.png') });
    // It is still there when the page is opened again.
    await page.reload();
    await page.waitForSelector('body[data-ready]');
    expect(await page.inputValue('#reading-of-span')).toBe('127.3 mm');
    await page.click('#way-part');
    expect(await page.inputValue('#field-bore-diameter')).toBe('10 mm');
    expect(faults).toEqual([]);
    await close();

    const saved = unzipSync(new Uint8Array(readFileSync(join(folder, 'all.zip'))));
    writeFileSync(join(folder, 'job.yaml'), saved['job.yaml']!);
    const template = readFileSync(join(dist, 'preview', 'built', 'offline.html'), 'utf8');
    const plan = await run(folder, ['plan', 'job.yaml', '--out', 'again'], {
      planJob: (job) => withPreview(planJob(job), template),
    });
    expect(plan.err).toBe('');
    const names = readdirSync(join(folder, 'again')).filter((name) => !name.startsWith('.'));
    expect(Object.keys(saved).sort()).toEqual([...names, 'job.yaml'].sort());
    // Sines of a browser and of Node differ in their last bit: loads of grazing cuts in the dry run do, too.
    const dryRun = (page: string) => unpackPage(/id="gullet-data"[^>]*>([^<]*)</.exec(page)![1]!);
    const own = dryRun(Buffer.from(saved['preview.html']!).toString());
    const other = dryRun(readFileSync(join(folder, 'again', 'preview.html'), 'utf8'));
    expect(own.figures).toEqual(other.figures);
    expect(own.lines).toEqual(other.lines);
    for (const [name, column] of Object.entries(own.track)) {
      const same = other.track[name as 'x'] as ArrayLike<number>;
      const off = Array.from(column as ArrayLike<number>).filter((v, i) => v !== same[i]);
      expect(off.length, name).toBeLessThan(LOADS.includes(name) ? 0.01 * same.length : 1);
    }
    for (const name of names.filter((name) => name !== 'preview.html')) {
      const same = Buffer.from(saved[name]!).equals(readFileSync(join(folder, 'again', name)));
      expect(same, name).toBe(true);
    }
  });

  nightly('has no faults that axe finds, at three widths, light and dark', async () => {
    const url = pathToFileURL(join(await bundled(), 'gullet.html')).href;
    for (const width of [1440, 1024, 390]) {
      for (const dark of [false, true]) {
        const { page, close } = await open(url, url, { width, height: 900, dark, offline: true });
        await fillIn(page);
        for (const view of ['chain', 'drive', 'part', 'machine', 'plan', 'run', 'bench', 'after']) {
          await page.click(`#way-${view}`);
          expect(await seriousFaults(page), `${view} ${width} ${dark}`).toEqual([]);
        }
        await close();
      }
    }
  });
});
