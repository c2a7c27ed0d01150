/** The bench page from a file, with the network off: from a chain in hand to what goes to the machine. */
import {
  mkdirSync,
  mkdtempSync,
  readFileSync,
  readdirSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { unzipSync } from 'three/addons/libs/fflate.module.js';
import { afterAll, expect, it, onTestFinished } from 'vitest';
import { withPreview } from '../../../src/cli/io/preview-file.js';
import { planJob } from '../../../src/plan/plan.js';
import { LONG, nightly } from '../../cam/oracle/runs.js';
import { run } from '../../cli/run.js';
import { axeFaults } from './axe.js';
import { type Driven, drive, missing } from './by-bidi.js';
import { OUTPUT, bundled, describeInBrowser, open } from './chromium.js';
import { CHECKED, READINGS, WHEEL, benchUrl, fieldOf } from './wheel.js';

const folder = mkdtempSync(join(tmpdir(), 'gullet-bench-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Opens the page again: what was read from the chain is still there. */
async function openAgain(page: Driven['page']): Promise<void> {
  await page.waitForSelector('body[data-kept="true"]:not([data-keeping])');
  await page.reload();
  await page.waitForSelector('body[data-ready]');
  for (const [key, text] of Object.entries(READINGS)) {
    await page.waitForFunction(
      (id, value) => document.querySelector<HTMLInputElement>(id)?.value === value,
      {},
      `#reading-of-${key}`,
      text,
    );
  }
}

/** From the readings to a checked plan, by the keyboard alone. */
async function goThere(page: Driven['page']): Promise<void> {
  const press = async (id: string) => {
    await page.waitForSelector(`${id}:not(:disabled)`);
    await page.focus(id);
    await page.keyboard.press('Enter');
  };
  const type = async (id: string, text: string) => {
    await page.focus(id);
    await page.keyboard.down('Control');
    await page.keyboard.press('a');
    await page.keyboard.up('Control');
    await page.keyboard.type(text);
    await page.keyboard.press('Tab');
  };
  for (const [key, text] of Object.entries(READINGS)) await type(`#reading-of-${key}`, text);
  await page.waitForSelector('#take-chain');
  // By day before there is a job, which would be planned again.
  if (!LONG) await openAgain(page);
  await press('#take-chain');
  await press('#way-part');
  for (const [key, text] of Object.entries(WHEEL)) await type(fieldOf(key), text);
  await page.waitForFunction(
    () => document.body.dataset['planning'] === undefined && document.body.dataset['ready'] !== '0',
    { timeout: 120_000 },
  );
  await press('#way-run');
  await page.waitForSelector('#dial-caption:not(:empty)');
}

const textOf = (page: Driven['page'], id: string) => page.$eval(id, (e) => e.textContent);

/** What the command line makes of a job file that the page has saved. */
async function commandLine(job: Uint8Array): Promise<string> {
  writeFileSync(join(folder, 'job.yaml'), job);
  const template = join(await bundled(), 'preview', 'built', 'offline.html');
  const plan = await run(folder, ['plan', 'job.yaml', '--out', 'again', '--force'], {
    planJob: (job) => withPreview(planJob(job), readFileSync(template, 'utf8')),
  });
  expect(plan.err).toBe('');
  return join(folder, 'again');
}

// One journey takes some seven seconds of work, and Chromium goes through the live page besides.
const KINDS =
  LONG || missing('firefox') !== null ? (['chrome', 'firefox'] as const) : (['firefox'] as const);

for (const kind of KINDS) {
  describeInBrowser(
    `the bench page from a file with the network off, in ${kind}`,
    () => {
      it('goes from chain readings to the very files of the command line', async () => {
        const down = join(folder, kind);
        mkdirSync(down);
        const { page, faults, saved, close } = await drive(kind, await benchUrl(), down);
        onTestFinished(close);
        expect(await textOf(page, '#verdict')).toContain('No plan');
        await goThere(page);
        expect(await textOf(page, '#verdict')).toContain('Checked');
        await page.waitForSelector('#scene[data-frames]');
        if (LONG) await page.screenshot({ path: join(OUTPUT, `bench-run-${kind}.png`) });
        await page.click('#way-bench');
        await page.click('#save-all');
        const files = unzipSync(new Uint8Array(await saved('job.zip')));
        if (LONG) await openAgain(page);
        expect(faults).toEqual([]);

        const again = await commandLine(files['job.yaml']!);
        const names = readdirSync(again).filter((name) => !name.startsWith('.'));
        expect(Object.keys(files).sort()).toEqual([...names, 'job.yaml'].sort());
        for (const name of names) {
          expect(Buffer.from(files[name]!).equals(readFileSync(join(again, name))), name).toBe(
            true,
          );
        }
      });
    },
    missing(kind),
  );
}

describeInBrowser('the bench page', () => {
  it('is one file of at most 1.5 MB', async () => {
    expect(statSync(join(await bundled(), 'gullet.html')).size).toBeLessThan(1.5e6);
  });

  nightly('has no faults that axe finds, at three widths, light and dark', async () => {
    const url = await benchUrl();
    for (const width of [1440, 1024, 390]) {
      for (const dark of [false, true]) {
        const { page, close } = await open(url, url, { width, height: 900, dark, offline: true });
        for (const [key, text] of Object.entries(READINGS)) {
          await page.fill(`#reading-of-${key}`, text);
        }
        await page.click('#take-chain');
        await page.click('#way-part');
        for (const [key, text] of Object.entries(WHEEL)) await page.fill(fieldOf(key), text);
        await page.press(fieldOf('sprocket.teeth'), 'Tab');
        await page.waitForSelector(CHECKED);
        for (const view of ['chain', 'drive', 'part', 'machine', 'plan', 'run', 'bench', 'after']) {
          await page.click(`#way-${view}`);
          expect(await axeFaults(page), `${view} ${width} ${dark}`).toEqual([]);
        }
        await close();
      }
    }
  });
});
