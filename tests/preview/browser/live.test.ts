/** The live page in a real browser, served by the server of the command. */
import { spawn } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import type { Server } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Download, Page } from 'playwright-core';
import { strFromU8, unzipSync } from 'three/addons/libs/fflate.module.js';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { pagesFor } from '../../../src/cli/preview.js';
import { servePages } from '../../../src/cli/preview-server.js';
import { checkProgram, planJob } from '../../../src/job/pipeline.js';
import { readJobInput } from '../../../src/job/input.js';
import { jobFileText, withText } from '../../../src/preview/live/job-edit.js';
import { run } from '../../cli/run.js';
import { seriousFaults } from './axe.js';
import { type Opened, OUTPUT, bundled, describeInBrowser, open, still } from './chromium.js';

const JOB = readFileSync('examples/nursery-barrow.yaml', 'utf8');
const folder = mkdtempSync(join(tmpdir(), 'gullet-live-'));
let server: Server;
let url = '';
let opened: Opened | null = null;

afterAll(() => rmSync(folder, { recursive: true, force: true }));

async function openPage(options = {}): Promise<Page> {
  opened = await open(url, url, options);
  return opened.page;
}

/** Puts a value into a field and waits until the page has answered. */
async function set(page: Page, key: string, value: string): Promise<void> {
  const field = page.locator(`#field-${key.replace('.', '-')}`);
  if ((await field.evaluate((e) => e.tagName)) === 'SELECT') await field.selectOption(value);
  else {
    await field.fill(value);
    await field.press('Tab');
  }
  await page.waitForFunction(() => document.body.dataset['planning'] === undefined, null, {
    timeout: 60_000,
  });
}

const text = async (page: Page, selector: string) => (await page.textContent(selector)) ?? '';
const faultAt = (page: Page, key: string) => text(page, `#field-${key.replace('.', '-')}-fault`);

async function saved(download: Download): Promise<Buffer> {
  const path = join(folder, `${Date.now()}-${download.suggestedFilename()}`);
  await download.saveAs(path);
  return readFileSync(path);
}

describeInBrowser('the live page', () => {
  beforeAll(async () => {
    const built = await bundled();
    const pages = pagesFor({ file: 'nursery-barrow.yaml', text: JOB, machineFiles: {} }, (name) =>
      readFileSync(join(built, name), 'utf8'),
    );
    const served = await servePages(pages, 0);
    server = served.server;
    url = `http://127.0.0.1:${served.port}/`;
  });
  afterAll(() => {
    server?.closeAllConnections();
    server?.close();
  });
  afterEach(async () => {
    const faults = opened?.faults ?? [];
    await opened?.close();
    opened = null;
    expect(faults).toEqual([]);
  });

  it('plans in its worker and shows the job as a form', async () => {
    const page = await openPage();
    expect(await page.inputValue('#field-sprocket-teeth')).toBe('12');
    expect(await page.inputValue('#field-machine')).toBe('screw-gantry-light');
    expect(await page.getAttribute('#field-sprocket-flank-relief', 'placeholder')).toBe('0 mm');
    expect(await text(page, '#plan-state')).toMatch(/^Planned in [\d.]+ s\.$/);
    await still(page);
    await page.screenshot({ path: join(OUTPUT, 'live-light.png') });
  });

  it('changes program and outline with the tooth count; the old ones stay until then', async () => {
    const page = await openPage();
    await page.click('button[data-look="above"]');
    await page.focus('#strip');
    await page.keyboard.press('End');
    const before = await still(page);
    const program = await text(page, '#lines');
    await page.fill('#field-sprocket-teeth', '15');
    await page.press('#field-sprocket-teeth', 'Tab');
    // While the worker is at it, the page is as it was and can be used.
    expect(await page.getAttribute('body', 'data-planning')).toBe('true');
    expect(await text(page, '#facts')).toContain('12 teeth');
    expect(await text(page, '#lines')).toBe(program);
    await page.waitForFunction(() => document.body.dataset['planning'] === undefined, null, {
      timeout: 60_000,
    });
    expect(await text(page, '#facts')).toContain('15 teeth');
    expect(await text(page, '#lines')).not.toBe(program);
    expect(await text(page, '#outcome')).toMatch(/Tip diameter[\d.]+ mm[\d.]+ mm/);
    // The same share of the time is on show: the end, so the finished wheel.
    expect((await still(page)).equals(before)).toBe(false);
    await page.screenshot({ path: join(OUTPUT, 'live-15-teeth.png') });
  });

  it('follows a slider while it is moved', async () => {
    const page = await openPage();
    await page.focus('input[aria-label="Teeth, slider"]');
    await page.keyboard.press('ArrowRight');
    await page.keyboard.press('ArrowRight');
    await expect.poll(() => text(page, '#facts'), { timeout: 60_000 }).toContain('14 teeth');
    expect(await page.inputValue('#field-sprocket-teeth')).toBe('14');
  });

  it('says what the command line says about bad values, beside the field', async () => {
    const page = await openPage();
    for (const [key, value] of [
      ['sprocket.teeth', '5'],
      ['cutter.diameter', '3'],
      ['limits.max-engagement', '300 deg'],
    ] as const) {
      await set(page, key, value);
      const input = readJobInput(JOB, '').input;
      const bad = jobFileText(JOB, input, withText(input, key, value));
      writeFileSync(join(folder, 'nursery-barrow.yaml'), bad);
      const { exit, err } = await run(folder, ['plan', 'nursery-barrow.yaml'], { planJob });
      expect(exit).toBe(2);
      const own = err.trim().replace(/^(nursery-barrow\.yaml):\d+:/, '$1:');
      expect(own).toContain(await faultAt(page, key));
      expect(await faultAt(page, key)).toContain(value);
      expect(await page.getAttribute(`#field-${key.replace('.', '-')}`, 'aria-invalid')).toBe(
        'true',
      );
      expect(await text(page, '#facts')).toContain('12 teeth');
      await set(
        page,
        key,
        key === 'sprocket.teeth' ? '12' : key === 'cutter.diameter' ? '3 mm' : '',
      );
      expect(await faultAt(page, key)).toBe('');
    }
  });

  it('says why a plan is refused, and keeps the one before', async () => {
    const page = await openPage();
    await set(page, 'sprocket.teeth', '8');
    expect(await faultAt(page, 'sprocket.teeth')).toMatch(/^refused: the hub of 26 mm/);
    expect(await text(page, '#facts')).toContain('12 teeth');
    await page.screenshot({ path: join(OUTPUT, 'live-refused.png') });
  });

  it('hands out all files, and the program passes gullet check with the job file', async () => {
    const page = await openPage({ dark: true });
    await set(page, 'sprocket.teeth', '13');
    const [download] = await Promise.all([
      page.waitForEvent('download', { timeout: 60_000 }),
      page.click('#save-all'),
    ]);
    const files = unzipSync(new Uint8Array(await saved(download)));
    expect(Object.keys(files).sort()).toEqual([
      'job.yaml',
      'outline.dxf',
      'plan.json',
      'preview.html',
      'program.ngc',
      'sprocket.stl',
      'template.svg',
      'warning-sheet.html',
    ]);
    for (const [name, bytes] of Object.entries(files)) writeFileSync(join(folder, name), bytes);
    const job = strFromU8(files['job.yaml']!);
    expect(job).toContain('teeth: 13');
    expect(job).toContain("# The tree nursery's electric barrow");
    const { exit, out } = await run(folder, ['check', 'program.ngc', '--job', 'job.yaml'], {
      checkProgram,
    });
    expect(out).not.toContain(': error:');
    expect(exit).toBe(0);
    // The command line makes the same program of the same job file.
    const plan = await run(folder, ['plan', 'job.yaml', '--out', 'again'], { planJob });
    expect(plan.exit).toBe(0);
    expect(readFileSync(join(folder, 'again', 'program.ngc'), 'utf8')).toBe(
      strFromU8(files['program.ngc']!),
    );
    expect(await seriousFaults(page)).toEqual([]);
    await page.screenshot({ path: join(OUTPUT, 'live-dark.png') });
  });

  it('hands out single files', async () => {
    const page = await openPage();
    await page.click('#list-files');
    await page.waitForSelector('[data-file]', { timeout: 60_000 });
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      page.click('[data-file="plan.json"]'),
    ]);
    const plan = JSON.parse((await saved(download)).toString('utf8')) as {
      sprocket: { teeth: number };
    };
    expect(plan.sprocket.teeth).toBe(12);
  });
});

describe('gullet preview', () => {
  it.skipIf(!existsSync('dist/preview/built/live.html'))(
    'prints its address, serves it, and ends with Ctrl-C',
    async () => {
      const child = spawn(
        process.execPath,
        ['bin/gullet.mjs', 'preview', 'examples/nursery-barrow.yaml'],
        { stdio: ['ignore', 'pipe', 'pipe'] },
      );
      const address = await new Promise<string>((resolve, reject) => {
        child.stdout.on('data', (chunk: Buffer) => {
          const found = /http:\/\/127\.0\.0\.1:\d+\//.exec(chunk.toString())?.[0];
          if (found) resolve(found);
        });
        child.on('exit', (code) => reject(new Error(`ended with ${code}`)));
      });
      expect(await (await fetch(address)).text()).toContain('<title>Dry run</title>');
      const job = (await (await fetch(`${address}job.json`)).json()) as { text: string };
      expect(job.text).toBe(JOB);
      const ended = new Promise((resolve) => child.once('exit', resolve));
      child.kill('SIGINT');
      expect(await ended).toBe(0);
    },
  );

  it('refuses a port that is none, and one that is taken, in one line', async () => {
    const bad = await run(process.cwd(), [
      'preview',
      'examples/nursery-barrow.yaml',
      '--port',
      '99999',
    ]);
    expect(bad).toMatchObject({ exit: 2 });
    expect(bad.err).toMatch(/^preview: --port "99999" is not a port; give 1 to 65535\n$/);
  });
});
