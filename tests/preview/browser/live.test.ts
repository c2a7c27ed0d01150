/** The live page in a real browser, served by the server of the command. */
import { LONG, nightly } from '../../cam/oracle/runs.js';
import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import type { Server } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Download, Page } from 'playwright-core';
import { strFromU8, unzipSync } from 'three/addons/libs/fflate.module.js';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { pageFor } from '../../../src/cli/io/preview-file.js';
import { servePage } from '../../../src/cli/io/preview-server.js';
import { checkProgram } from '../../../src/plan/check/check.js';
import { readJob } from '../../../src/job/load.js';
import { planJob, planParts } from '../../../src/plan/plan.js';
import { readJobInput } from '../../../src/text/yaml-text.js';
import { jobFileText, withText } from '../../../src/preview/live/job-edit.js';
import { exampleText } from '../../planned.js';
import { SEVEN_TEETH } from '../../seven-teeth.js';
import { run } from '../../cli/run.js';
import { axeFaults } from './axe.js';
import { goRound, listElements, press, tabTo, type } from './by-keys.js';
import { type Opened, bundled, describeInBrowser, open, picture, still } from './chromium.js';
import { KEEPS_NOTHING, KEPT_NOWHERE } from './keeps-nothing.js';
import { CHECKED, READINGS } from './wheel.js';

/** Thin, for each value that is set asks for a plan or two; with a hub that six teeth have no room for. */
const JOB = `# Pinion of the spreader.
${SEVEN_TEETH.replace('thickness: 2 mm', 'thickness: 1 mm')}hub: { diameter: 14 mm, length: 5 mm }
drive: { power: 100 W, speed: 300 rpm, other-teeth: 20, centre-distance: 300 mm }
accept: { fit: six teeth are asked for below }
`;
const folder = mkdtempSync(join(tmpdir(), 'gullet-live-'));
let server: Server;
let url = '';
let opened: Opened | null = null;
let kept: Opened | null = null;

afterAll(() => rmSync(folder, { recursive: true, force: true }));

async function openPage(options = {}): Promise<Page> {
  opened = await open(url, url, options);
  return opened.page;
}

/** One page for several tests, to open which costs three plans: of a browser that keeps nothing for it,
 *  with the job's own teeth as a rule. */
async function samePage(teeth = '7'): Promise<Page> {
  kept ??= await open(url, url, { before: KEEPS_NOTHING.none });
  const { page } = kept;
  if ((await page.inputValue('#field-sprocket-teeth')) !== teeth) {
    await set(page, 'sprocket.teeth', teeth);
  }
  return page;
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
    ...{ timeout: 60_000, polling: 50 },
  });
}

/** Rows of the table of figures: name, now, and the other plan where there is one. */
const figures = (page: Page): Promise<string[][]> =>
  page.$$eval('#outcome tr', (rows) =>
    rows.map((row) => [...row.children].map((cell) => cell.textContent)),
  );
const nowOf = (table: string[][]) => new Map(table.map(([name, now]) => [name, now]));

const text = async (page: Page, selector: string) => (await page.textContent(selector)) ?? '';
const faultAt = (page: Page, key: string) => text(page, `#field-${key.replace('.', '-')}-fault`);

async function saved(download: Download): Promise<Buffer> {
  const path = join(folder, `${Date.now()}-${download.suggestedFilename()}`);
  await download.saveAs(path);
  return readFileSync(path);
}

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

/** At night with a worker of the tests: the check of 13 teeth never ends, that of 14 refuses, others are as
 *  they are. */
function servedToTests(): void {
  beforeAll(async () => {
    const built = await bundled(LONG ? 'tests/preview/browser/odd-worker.ts' : undefined);
    const page = readFileSync(join(built, 'gullet.html'), 'utf8');
    const own = pageFor({ file: 'pinion.yaml', text: JOB, machineFiles: {} }, page);
    const served = await servePage(own, 0);
    server = served.server;
    url = `http://127.0.0.1:${served.port}/`;
  });
  afterAll(async () => {
    await kept?.close();
    server?.closeAllConnections();
    server?.close();
  });
  afterEach(async () => {
    const faults = [...(opened?.faults ?? []), ...(kept?.faults ?? [])];
    await opened?.close();
    opened = null;
    expect(faults).toEqual([]);
  });
}

servedToTests();

describeInBrowser('the live page', () => {
  nightly('plans in its worker and shows the job as a form', async () => {
    const page = await openPage();
    expect(await page.inputValue('#field-sprocket-teeth')).toBe('7');
    expect(await page.inputValue('#field-machine')).toBe('screw-gantry-light');
    expect(await page.getAttribute('#field-sprocket-flank-relief', 'placeholder')).toBe('0 mm');
    expect(await text(page, '#plan-state')).toMatch(/^Planned and checked in [\d.]+ s\.$/);
    await picture(page, 'live-light');
  });

  it('changes program and outline with the tooth count: the old ones stay until a first look, in words, of which nothing can be saved or printed; then the check puts its plan in', async () => {
    const page = await samePage();
    await page.click('button[data-look="above"]');
    await page.focus('#strip');
    await page.keyboard.press('End');
    const before = await still(page);
    const program = await text(page, '#lines');
    await expectExports(page, true);
    const was = await ready(page);
    expect(await sheetText(page)).toContain('Spindle');
    await holdPlans(page);
    await page.fill('#field-sprocket-teeth', '8');
    await page.press('#field-sprocket-teeth', 'Tab');
    // While the worker is at it, the page is as it was and can be used.
    expect(await page.getAttribute('body', 'data-planning')).toBe('true');
    expect(await text(page, '#facts')).toContain('7 teeth');
    expect(await text(page, '#lines')).toBe(program);

    await expect.poll(() => text(page, '#facts'), { timeout: 60_000 }).toContain('8 teeth');
    expect(await ready(page)).toBeNull();
    expect(await page.getAttribute('body', 'data-look')).not.toBe(was);
    expect(await page.getAttribute('body', 'data-planning')).toBe('true');
    expect(await page.isVisible('#look-mark')).toBe(true);
    expect(await text(page, '#look-mark')).toBe(LOOK);
    // The state is a live region, so it is announced.
    expect(await page.getAttribute('#plan-state', 'role')).toBe('status');
    expect(await text(page, '#plan-state')).toMatch(
      /^First look in [\d.]+ s\. The full check is still running; nothing can be saved before it ends\.$/,
    );
    expect(await text(page, '#outcome thead')).toBe('First lookBefore');
    await expectExports(page, false);
    expect(await sheetText(page)).toContain('not checked yet');
    // It can be looked at all the same.
    await page.focus('#strip');
    await page.keyboard.press('Home');
    await page.click('#level-on');
    expect(await text(page, '#dial-caption')).toContain('of the rim');
    expect(await axeFaults(page)).toEqual([]);
    await picture(page, 'live-first-look');
    await page.focus('#strip');
    await page.keyboard.press('End');

    await letPlansGo(page);
    await page.waitForSelector(CHECKED);
    expect(await text(page, '#facts')).toContain('8 teeth');
    expect(await text(page, '#lines')).not.toBe(program);
    expect(await text(page, '#outcome')).toMatch(/Tip diameter[\d.]+ mm[\d.]+ mm/);
    // The same share of the time is on show: the end, so the finished wheel.
    expect((await still(page)).equals(before)).toBe(false);
    await picture(page, 'live-8-teeth');
  });

  it('holds the next plans against one that is kept, or each against the one before', async () => {
    // Both plans are at hand: seven teeth before, eight now.
    const page = await samePage('8');
    const of8 = nowOf(await figures(page));
    await page.click('#keep-to-compare');
    await page.click('#undo');
    await page.waitForSelector(CHECKED);
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      page.click('text=Save the job'),
    ]);
    const of7 = plannedAlone((await saved(download)).toString('utf8'));
    const table = await figures(page);
    expect(table[0]).toEqual(['', 'Now', 'Kept']);
    for (const [name, is] of Object.entries(of7)) {
      const was = of8.get(name);
      expect(table).toContainEqual([name, is, is === was ? 'same' : was]);
    }
    expect(table.every((row) => row.every((cell, k) => k === 0 || cell !== ''))).toBe(true);
    const differences = () => page.locator('.differences li').allTextContents();
    expect(await differences()).toEqual(['sprocket.teeth 8 → 7']);
    // Eight again, held against those that were kept; then against the seven before.
    await page.click('#redo');
    await page.waitForSelector(CHECKED);
    expect(new Set((await figures(page)).map(([, , was]) => was))).toEqual(
      new Set(['Kept', 'same']),
    );
    expect(await differences()).toEqual([]);
    await page.click('#keep-to-compare');
    const again = await figures(page);
    expect(again[0]).toEqual(['', 'Now', 'Before']);
    for (const [name, was] of Object.entries(of7)) {
      const is = of8.get(name)!;
      expect(again).toContainEqual([name, is, is === was ? 'same' : was]);
    }
    expect(await differences()).toEqual(['sprocket.teeth 7 → 8']);
  });

  it('says that the browser keeps nothing; by keys alone Tab meets every place of a view, and it is seen, to the saved files', async () => {
    const page = await samePage('8');
    await expect.poll(() => text(page, '.kept')).toBe(KEPT_NOWHERE);
    await page.evaluate(listElements);
    await press(page, '#way-chain');
    for (const [key, is] of Object.entries(READINGS)) await type(page, `#reading-of-${key}`, is);
    // What the workers answer has come; by day a form and the run, which has most places.
    const views = Object.entries({
      ...(LONG && { chain: '#take-chain' }),
      part: '.part-drawing',
      ...(LONG && { drive: '.figure-table', machine: '#desk', plan: 'text=Without it' }),
      ...(LONG && { bench: '#desk', after: '#desk' }),
      run: '#scene[data-frames]',
    });
    for (const [view, whole] of views) {
      await press(page, `#way-${view}`);
      expect(await page.getAttribute(`#way-${view}`, 'aria-current')).toBe('page');
      await page.waitForSelector(whole);
      await goRound(page, view);
    }
    await tabTo(page, '#save-all');
    const [download] = await Promise.all([
      page.waitForEvent('download', { timeout: 60_000 }),
      page.keyboard.press('Enter'),
    ]);
    const files = unzipSync(new Uint8Array(await saved(download)));
    expect(Object.keys(files)).toContain('pinion-teeth.nc');
    expect(strFromU8(files['pinion.yaml']!)).toContain('teeth: 8');
  });

  nightly('follows a slider while it is moved', async () => {
    const page = await openPage();
    await page.focus('input[aria-label="Teeth, slider"]');
    for (let k = 0; k < 3; k++) await page.keyboard.press('ArrowRight');
    await expect.poll(() => text(page, '#facts'), { timeout: 60_000 }).toContain('10 teeth');
    expect(await page.inputValue('#field-sprocket-teeth')).toBe('10');
  });

  it('says what the command line says about bad values, beside the field', async () => {
    const page = await samePage();
    for (const [key, value] of [
      ['sprocket.teeth', '5'],
      ['cutter.diameter', '3'],
    ] as const) {
      await set(page, key, value);
      const input = readJobInput(JOB, '').input;
      const bad = jobFileText(JOB, input, withText(input, key, value));
      writeFileSync(join(folder, 'pinion.yaml'), bad);
      const { exit, err } = await run(folder, ['plan', 'pinion.yaml'], { planJob });
      expect(exit).toBe(2);
      const own = err.trim().replace(/^(pinion\.yaml):\d+:/, '$1:');
      expect(own).toContain(await faultAt(page, key));
      expect(await faultAt(page, key)).toContain(value);
      expect(await page.getAttribute(`#field-${key.replace('.', '-')}`, 'aria-invalid')).toBe(
        'true',
      );
      expect(await text(page, '#facts')).toContain('7 teeth');
      await set(
        page,
        key,
        key === 'sprocket.teeth' ? '7' : key === 'cutter.diameter' ? '3 mm' : '',
      );
      expect(await faultAt(page, key)).toBe('');
    }
  });

  nightly('says why a plan is refused, and keeps the one before', async () => {
    const page = await openPage();
    await set(page, 'sprocket.teeth', '6');
    // It speaks of the hub, which has no field here, so it stands at the top.
    expect(await text(page, '#status')).toMatch(/^refused: the hub of 14 mm/);
    expect(await text(page, '#facts')).toContain('7 teeth');
    await picture(page, 'live-refused');
  });

  it('marks the field of what is refused, whichever it is', async () => {
    const page = await samePage();
    for (const [key, value, marked] of [
      ['sprocket.flank-relief', '0.1 mm', 'sprocket.flank-relief'],
      ['sprocket.tip-rounding', '3 mm', 'sprocket.tip-rounding'],
      // What is too large for the limit is the cutter.
      ['limits.max-engagement', '20 deg', 'cutter.diameter'],
    ] as const) {
      const was = await page.inputValue(`#field-${key.replace('.', '-')}`);
      await set(page, key, value);
      expect(await faultAt(page, marked), key).toMatch(/^refused: /);
      const own = `#field-${marked.replace('.', '-')}`;
      expect(await page.getAttribute(own, 'aria-invalid'), key).toBe('true');
      expect(await page.locator('[aria-invalid]').count(), key).toBe(1);
      await set(page, key, was);
      expect(await faultAt(page, marked), key).toBe('');
    }
  });

  // By day the bench page hands out its files, byte for byte those of the command line.
  nightly(
    'hands out all files, and the program passes gullet check with the job file',
    async () => {
      const page = await samePage();
      await page.emulateMedia({ colorScheme: 'dark' });
      await set(page, 'sprocket.teeth', '16');
      const [download] = await Promise.all([
        page.waitForEvent('download', { timeout: 60_000 }),
        page.click('#save-all'),
      ]);
      const files = unzipSync(new Uint8Array(await saved(download)));
      expect(Object.keys(files).sort()).toEqual([
        'outline.dxf',
        'pinion-teeth.nc',
        'pinion.yaml',
        'plan.json',
        'preview.html',
        'sprocket.stl',
        'template.svg',
        'warning-sheet.html',
      ]);
      for (const [name, bytes] of Object.entries(files)) writeFileSync(join(folder, name), bytes);
      const job = strFromU8(files['pinion.yaml']!);
      expect(job).toContain('teeth: 16');
      expect(job).toContain('# Pinion of the spreader.');
      const { exit, out } = await run(
        folder,
        ['check', 'pinion-teeth.nc', '--job', 'pinion.yaml'],
        { checkProgram },
      );
      expect(out).not.toContain(': error:');
      expect(exit).toBe(0);
      // The command line makes the same program of the same job file.
      const plan = await run(folder, ['plan', 'pinion.yaml', '--out', 'again'], {
        planJob,
      });
      expect(plan.exit).toBe(0);
      expect(readFileSync(join(folder, 'again', 'pinion-teeth.nc'), 'utf8')).toBe(
        strFromU8(files['pinion-teeth.nc']!),
      );
      expect(await axeFaults(page)).toEqual([]);
      await picture(page, 'live-dark');
      await page.emulateMedia({ colorScheme: 'light' });
    },
  );

  nightly('hands out single files', async () => {
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
    expect(plan.sprocket.teeth).toBe(7);
  });
});

const LOOK = 'First look, not checked yet: the full replay is running.';
const EXPORTS = ['#save-all', '#save-job', '#list-files', '#print'];

async function expectExports(page: Page, allowed: boolean): Promise<void> {
  for (const id of EXPORTS) expect(await page.isEnabled(id), id).toBe(allowed);
  expect(await page.locator('[data-file]').count()).toBe(0);
}

/** The plan on show is marked as one of a job before, and nothing of it can be saved or printed. */
async function expectOld(page: Page): Promise<void> {
  expect(await text(page, '#plan-state')).toContain('The plan on show is of the job before.');
  expect(await text(page, '#look-mark')).toMatch(/^Old plan/);
  expect(await text(page, '#verdict')).toContain('do not cut this');
  expect(await text(page, '#facts')).toContain('7 teeth');
  for (const id of EXPORTS.filter((id) => id !== '#save-job')) {
    expect(await page.isEnabled(id), id).toBe(false);
  }
}

/** Sets the teeth and waits for the first look at them. */
async function lookAt(page: Page, teeth: number): Promise<void> {
  await page.fill('#field-sprocket-teeth', String(teeth));
  await page.press('#field-sprocket-teeth', 'Tab');
  await expect.poll(() => text(page, '#facts'), { timeout: 60_000 }).toContain(`${teeth} teeth`);
}

declare global {
  /** Checked plans that are held back; null where none are. */
  var held: (() => void)[] | null;
}

/** Holds back checked plans, so that a first look can be handled before. */
async function holdPlans(page: Page): Promise<void> {
  await page.evaluate(() => {
    const { onmessage } = Object.getOwnPropertyDescriptors(Worker.prototype);
    globalThis.held = [];
    Object.defineProperty(Worker.prototype, 'onmessage', {
      set(this: Worker, listener: ((event: MessageEvent) => void) | null) {
        onmessage!.set!.call(this, (event: MessageEvent<{ kind: string }>) => {
          if (event.data.kind === 'plan' && globalThis.held) {
            globalThis.held.push(() => listener?.call(this, event));
          } else listener?.call(this, event);
        });
      },
    });
  });
}

/** Waits for the plan that is held back, and holds back no more. */
async function letPlansGo(page: Page): Promise<void> {
  await page.waitForFunction(() => globalThis.held!.length === 1, null, { timeout: 60_000 });
  expect(await ready(page)).toBeNull();
  await page.evaluate(() => {
    const [go] = globalThis.held!;
    globalThis.held = null;
    go!();
  });
}

const ready = (page: Page) => page.getAttribute('body', 'data-ready');

describeInBrowser('a first look on the live page', () => {
  nightly('gives way to the job that comes next, whose check then ends', async () => {
    const page = await openPage();
    await lookAt(page, 13);
    await set(page, 'sprocket.teeth', '15');
    expect(await text(page, '#facts')).toContain('15 teeth');
    expect(await page.getAttribute('body', 'data-look')).toBeNull();
    expect(await ready(page)).not.toBeNull();
    expect(await page.isVisible('#look-mark')).toBe(false);
    expect(await text(page, '#plan-state')).toMatch(/^Planned and checked/);
    expect(await text(page, '#outcome thead')).toBe('NowBefore');
    await expectExports(page, true);
    // Its files are its own, made by the whole plan.
    const [download] = await Promise.all([page.waitForEvent('download'), page.click('#save-job')]);
    expect((await saved(download)).toString('utf8')).toContain('teeth: 15');
    // What was left off says nothing later.
    await page.waitForTimeout(500);
    expect(await text(page, '#facts')).toContain('15 teeth');
  });

  nightly('is taken back where the check refuses, with the words of the refusal', async () => {
    const page = await openPage();
    const was = await ready(page);
    await set(page, 'sprocket.teeth', '14');
    expect(await text(page, '#status')).toBe(
      'refused: the program failed its own replay: line 12 is engaged over 99.0 deg',
    );
    await expectOld(page);
    expect(await page.getAttribute('body', 'data-look')).toBeNull();
    expect(await ready(page)).toBe(was);
    await page.click('#put-back');
    await page.waitForFunction(() => document.body.dataset['planning'] === undefined, null, {
      timeout: 60_000,
    });
    expect(await page.inputValue('#field-sprocket-teeth')).toBe('7');
    await expectExports(page, true);
    const [download] = await Promise.all([page.waitForEvent('download'), page.click('#save-job')]);
    expect((await saved(download)).toString('utf8')).toContain('teeth: 7');
  });

  nightly('is taken back where the next job has a fault', async () => {
    const page = await openPage();
    await lookAt(page, 13);
    await set(page, 'sprocket.teeth', '5');
    expect(await faultAt(page, 'sprocket.teeth')).toContain('5');
    await expectOld(page);
  });

  nightly('keeps the place and the strip when the check puts its figures in', async () => {
    const page = await openPage();
    await holdPlans(page);
    await lookAt(page, 15);
    for (let k = 0; k < 3; k++) await page.click('#level-on');
    await page.click('#strip-closer');
    const seen = async () => ({
      clock: await text(page, '#clock'),
      lines: await text(page, '#lines'),
      now: await page.locator('#strip-now').evaluate((e) => e.style.transform),
    });
    const before = await seen();
    await letPlansGo(page);
    expect(await ready(page)).not.toBeNull();
    expect(await seen()).toEqual(before);
    expect(await text(page, '#plan-state')).toMatch(/^Planned and checked/);
    expect(await sheetText(page)).toContain('Spindle');
  });
});

/** Text of the sheet that would be printed. */
function sheetText(page: Page): Promise<string> {
  return page.locator('#sheet').evaluate((e) => e.shadowRoot?.textContent ?? '');
}

describe('gullet preview', () => {
  it('prints its address, serves it, and ends with Ctrl-C', async () => {
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
    const served = await (await fetch(address)).text();
    const data = /<script id="gullet-job" type="application\/json">([^<]*)</.exec(served)?.[1];
    const job = JSON.parse(data ?? '') as { text: string };
    expect(job.text).toBe(exampleText('nursery-barrow'));
    const ended = new Promise((resolve) => child.once('exit', resolve));
    child.kill('SIGINT');
    expect(await ended).toBe(0);
  });

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
