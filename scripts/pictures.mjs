// Makes the README's pictures from what the built tool writes for an example: the dry run, the warning
// sheet, a tooth with its chain. Needs `npm run build` and a Chromium.
import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import process from 'node:process';
import { setTimeout as wait } from 'node:timers/promises';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';
import { SWITCHES, findChromium } from '../tests/preview/browser/places.mjs';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const to = join(root, 'examples', 'pictures');
const MOST_BYTES = 200_000;

const out = mkdtempSync(join(tmpdir(), 'gullet-pictures-'));
const browser = await chromium.launch({ executablePath: findChromium(), args: [...SWITCHES] });
try {
  const job = join(root, 'examples', 'nursery-barrow.yaml');
  execFileSync(process.execPath, [join(root, 'bin', 'gullet.mjs'), 'plan', job, '--out', out], {
    stdio: 'ignore',
  });
  mkdirSync(to, { recursive: true });
  await dryRun();
  await sheet();
  process.stdout.write(`Wrote page.jpg, chain.jpg and sheet.jpg to ${to}\n`);
} finally {
  await browser.close();
  rmSync(out, { recursive: true, force: true });
}

async function dryRun() {
  const page = await open('preview.html', 1440, 900);
  await page.waitForSelector('body[data-ready]');
  // In the middle of roughing, in a cut.
  const strip = page.locator('#strip');
  const { width, height } = await strip.boundingBox();
  await strip.click({ position: { x: 0.43 * width, y: height / 2 } });
  await page.mouse.move(0, 0);
  await save(page, 'page.jpg');
  await strip.press('End');
  for (const thing of ['cutter', 'holder', 'axes', 'table', 'hold-down', 'outline']) {
    await page.uncheck(`#thing-${thing}`);
  }
  await page.check('#thing-chain');
  await page.getByLabel('nothing', { exact: true }).check();
  await page.getByLabel('none', { exact: true }).check();
  await page.locator('#scene').press('Shift+ArrowDown');
  await page.locator('#scene').blur();
  await save(page.locator('#stage-box'), 'chain.jpg');
}

/** The first page of the sheet, laid out as on paper. */
async function sheet() {
  const page = await open('warning-sheet.html', 727, 1040);
  await page.emulateMedia({ media: 'print' });
  await page.addStyleTag({ content: 'body { padding: 12px !important } .flow { height: 640px }' });
  await save(page, 'sheet.jpg');
}

async function open(file, width, height) {
  const page = await browser.newPage({ viewport: { width, height }, colorScheme: 'light' });
  await page.goto(pathToFileURL(join(out, file)).href);
  return page;
}

/** A picture of a page or a part of it, once two in a row are equal. */
async function save(shown, name) {
  const take = () => shown.screenshot({ type: 'jpeg', quality: 74 });
  let now = await take();
  for (let last = null; last === null || !now.equals(last); now = await take()) {
    last = now;
    await wait(400);
  }
  if (now.length > MOST_BYTES) throw new Error(`${name} has ${now.length} bytes`);
  writeFileSync(join(to, name), now);
}
