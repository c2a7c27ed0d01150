/** The bench page where the browser keeps nothing for it: by keys alone from chain to files, and two
 *  plans side by side. */
import { readFileSync } from 'node:fs';
import type { Page } from 'playwright-core';
import { strFromU8, unzipSync } from 'three/addons/libs/fflate.module.js';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { readJob } from '../../../src/job/load.js';
import { planParts } from '../../../src/plan/plan.js';
import { LONG, nightly } from '../../cam/oracle/runs.js';
import { goRound, listElements, press, tabTo, type } from './by-keys.js';
import { type Opened, describeInBrowser, open } from './chromium.js';
import { CHECKED, READINGS, WHEEL, benchUrl, fieldOf } from './wheel.js';

/** Ways in which a browser keeps nothing: it has no database, it refuses one, or it never answers. */
const KEEPS_NOTHING = {
  none: () => Object.defineProperty(globalThis, 'indexedDB', { value: undefined }),
  refused: () => {
    IDBFactory.prototype.open = () => {
      throw new DOMException('not allowed here', 'SecurityError');
    };
  },
  silent: () => {
    IDBFactory.prototype.open = () => ({}) as IDBOpenDBRequest;
  },
} as const;

const WORD = 'This browser keeps nothing for this page: save the job before you close it.';

async function openWithout(kind: keyof typeof KEEPS_NOTHING) {
  const url = await benchUrl();
  return open(url, url, { width: 1440, height: 900, before: KEEPS_NOTHING[kind] });
}

async function fill(page: Page, fields: Readonly<Record<string, string>>): Promise<void> {
  for (const [id, text] of Object.entries(fields)) {
    await page.fill(id, text);
    await page.press(id, 'Tab');
  }
}

const checked = (page: Page) => page.waitForSelector(CHECKED, { timeout: 120_000 });

async function saved(page: Page, ask: () => Promise<void>): Promise<Uint8Array> {
  const [download] = await Promise.all([page.waitForEvent('download', { timeout: 60_000 }), ask()]);
  return new Uint8Array(readFileSync(await download.path()));
}

/** Rows of the table of figures: name, now, and the other plan where there is one. */
const figures = (page: Page): Promise<string[][]> =>
  page.$$eval('#outcome tr', (rows) =>
    rows.map((row) => [...row.children].map((cell) => cell.textContent)),
  );

/** Time and tip diameter of a job file, planned by itself, as the table writes them. */
function plannedAlone(text: string): Record<string, string> {
  const plan = planParts(readJob(text, 'job.yaml', { machineFile: () => expect.fail('no file') }));
  const tenths = Math.round(600 * plan.summary.predicted.totalMin);
  const [minutes, seconds] = [Math.floor(tenths / 600), (tenths % 600) / 10];
  return {
    'Time in all': `${minutes}:${seconds.toFixed(1).padStart(4, '0')}`,
    'Tip diameter': `${plan.profile.tipDiameterMm.toFixed(2)} mm`,
    Warnings: String(plan.summary.warnings.length),
  };
}

describeInBrowser('the bench page in a browser that keeps nothing', () => {
  // One page for both: to open another and plan on it costs as much as the rest.
  let opened: Opened;
  beforeAll(async () => {
    opened = await openWithout('none');
  });
  afterAll(() => opened?.close());

  it('by keys alone goes from chain readings to saved files; in each view Tab meets every place, and it is seen', async () => {
    const { page, faults } = opened;
    await page.evaluate(listElements);
    for (const [key, text] of Object.entries(READINGS)) {
      await type(page, `#reading-of-${key}`, text);
    }
    await page.waitForSelector('#take-chain');
    await goRound(page, 'chain');
    await press(page, '#take-chain');
    await press(page, '#way-part');
    for (const [key, text] of Object.entries(WHEEL)) await type(page, fieldOf(key), text);
    await page.keyboard.press('Tab');
    await checked(page);
    // By day a form and the run, which has most places; the others at night.
    const views = LONG
      ? ['part', 'drive', 'machine', 'plan', 'run', 'bench', 'after']
      : ['part', 'run'];
    for (const view of views) {
      await press(page, `#way-${view}`);
      expect(await page.getAttribute(`#way-${view}`, 'aria-current')).toBe('page');
      if (view === 'plan') await page.waitForSelector('text=Without it', { timeout: 60_000 });
      if (view === 'run') await page.waitForSelector('#scene[data-frames]');
      await goRound(page, view);
    }
    await press(page, '#way-bench');
    await tabTo(page, '#save-all');
    const files = unzipSync(await saved(page, () => page.keyboard.press('Enter')));
    expect(Object.keys(files)).toContain('job-teeth.nc');
    expect(faults).toEqual([]);
  });

  it('says so, and all else is as ever: two plans side by side', async () => {
    const { page, faults } = opened;
    await expect.poll(() => page.textContent('.kept')).toBe(WORD);
    // One plan is kept to compare; the next two are held against it, not against each other.
    const jobs: string[] = [];
    const change = async (teeth: string): Promise<void> => {
      await page.click('#way-part');
      await fill(page, { [fieldOf('sprocket.teeth')]: teeth });
      await checked(page);
      await page.click('#way-plan');
    };
    const jobText = async () => strFromU8(await saved(page, () => page.click('text=Save the job')));
    jobs.push(await jobText());
    await page.click('#way-plan');
    expect((await figures(page))[0]).toEqual(['', 'Now']);
    await page.click('#keep-to-compare');
    await change('10');
    await change('11');
    jobs.push(await jobText());
    const [kept, now] = jobs.map(plannedAlone);
    const table = await figures(page);
    expect(table[0]).toEqual(['', 'Now', 'Kept']);
    for (const [name, is] of Object.entries(now!)) {
      const was = kept![name]!;
      expect(table).toContainEqual([name, is, is === was ? 'same' : was]);
    }
    expect(table.every((row) => row.every((cell, k) => k === 0 || cell !== ''))).toBe(true);
    expect(await page.locator('.differences li').allTextContents()).toEqual([
      'sprocket.teeth 9 → 11',
    ]);
    // Against the plan before again, which had ten teeth.
    await page.click('#keep-to-compare');
    expect((await figures(page))[0]).toEqual(['', 'Now', 'Before']);
    expect(await page.locator('.differences li').allTextContents()).toEqual([
      'sprocket.teeth 10 → 11',
    ]);

    await page.click('#undo');
    await page.click('#redo');
    await checked(page);
    await page.click('#way-bench');
    const files = unzipSync(await saved(page, () => page.click('#save-all')));
    expect(strFromU8(files['job.yaml']!)).toContain('teeth: 11');
    expect(Object.keys(files)).toContain('job-teeth.nc');
    expect(faults).toEqual([]);
  });

  for (const kind of ['refused', 'silent'] as const) {
    nightly(`opens and says so where a database is ${kind}`, async () => {
      const { page, faults, close } = await openWithout(kind);
      await fill(page, { '#reading-of-span': READINGS.span });
      await expect.poll(() => page.textContent('.kept'), { timeout: 10_000 }).toBe(WORD);
      expect(faults).toEqual([]);
      await close();
    });
  }
});
