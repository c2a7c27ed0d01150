/** The offline page in a real browser. Pictures go to tests/output/preview for people to look at. */
import { LONG, nightly } from '../../cam/oracle/runs.js';
import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, expect, it } from 'vitest';
import { momentsOf } from '../../../src/preview/data/moments.js';
import { pageDataOf } from '../../../src/preview/data/page-data.js';
import { pageHtml } from '../../../src/preview/data/pack.js';
import { signedArea } from '../../../src/profile/geometry/loop.js';
import { THIN, examplePlan } from '../../planned.js';
import { axeFaults } from './axe.js';
import {
  type Opened,
  type OpenOptions,
  OUTPUT,
  bundled,
  describeInBrowser,
  open,
  picture,
  still,
} from './chromium.js';
import { silhouette, stockAlone } from './silhouette.js';

const thin = () => examplePlan('nursery-barrow', THIN);
const folder = mkdtempSync(join(tmpdir(), 'gullet-page-'));
const file = join(folder, 'preview.html');
const url = pathToFileURL(file).href;
let opened: Opened | null = null;
let kept: Opened | null = null;

afterAll(() => rmSync(folder, { recursive: true, force: true }));

async function openPage(options: OpenOptions = {}): Promise<Page> {
  opened = await open(url, url, options);
  return opened.page;
}

/** One page for several tests, each of which leaves media and size as it found them. */
async function samePage(): Promise<Page> {
  kept ??= await open(url, url);
  return kept.page;
}

const line = async (page: Page) => Number(await page.textContent('.program .now .line-number'));
const seconds = async (page: Page) => Number(await page.getAttribute('#strip', 'aria-valuenow'));

describeInBrowser('the offline page', () => {
  beforeAll(async () => {
    const built = await bundled();
    const template = readFileSync(join(built, 'preview', 'built', 'offline.html'), 'utf8');
    writeFileSync(file, pageHtml(pageDataOf(thin().planned), template));
  });

  afterEach(async () => {
    // Whatever a test did: nothing on the console, nothing asked for but the file itself.
    const faults = [...(opened?.faults ?? []), ...(kept?.faults.splice(0) ?? [])];
    await opened?.close();
    opened = null;
    expect(faults).toEqual([]);
  });

  afterAll(() => kept?.close());

  it('is one file under 3 MB', () => {
    expect(statSync(file).size).toBeLessThan(3e6);
  });

  it('shows the job, the program and the load strip from a file', async () => {
    const page = await samePage();
    expect(await page.textContent('h1')).toBe('Nursery barrow pinion, 12 teeth');
    expect(await page.title()).toContain('Nursery barrow pinion');
    const loads = momentsOf(pageDataOf(thin().planned)).filter(({ kind }) => kind === 'load');
    expect(await page.locator('#moments button[data-kind=load]').allTextContents()).toEqual(
      loads.map(({ title, detail }) => title + detail),
    );
    expect(await page.textContent('#verdict')).toMatch(/^Checked.*reaches its end.* s in all/);
    await picture(page, 'start-light');
  });

  it('has every control within reach of the keyboard, with focus to be seen', async () => {
    // Nothing has been clicked on yet: the first Tab goes to the first control.
    const page = await samePage();
    const seen = new Set<string>();
    for (let k = 0; k < 120; k++) {
      await page.keyboard.press('Tab');
      const focus = await page.evaluate(() => {
        const e = document.activeElement as HTMLElement;
        if (!e || e === document.body) return null;
        const { outlineStyle, outlineWidth } = getComputedStyle(e);
        return { name: e.id || e.textContent || e.tagName, outlineStyle, outlineWidth };
      });
      if (!focus) break;
      if (seen.has(focus.name)) continue;
      seen.add(focus.name);
      expect(focus.outlineStyle, focus.name).not.toBe('none');
      expect(Number.parseFloat(focus.outlineWidth), focus.name).toBeGreaterThanOrEqual(1);
    }
    for (const id of [
      'theme',
      'print',
      'play',
      'strip',
      'scene',
      'rate',
      'measure-wall',
      'compare',
    ]) {
      expect(seen).toContain(id);
    }
  });

  it('cannot reach any network: its own policy forbids it', async () => {
    let hits = 0;
    const server = createServer((_, response) => {
      hits++;
      response.setHeader('Access-Control-Allow-Origin', '*').end('here');
    });
    await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
    const { port } = server.address() as AddressInfo;
    const page = await samePage();
    const found = await page.evaluate(async (address) => {
      const blocked: string[] = [];
      document.addEventListener('securitypolicyviolation', (e) =>
        blocked.push(e.violatedDirective),
      );
      const fetched = await fetch(address).then(
        () => 'reached',
        () => 'refused',
      );
      const image = new Image();
      image.src = `${address}a.png`;
      await new Promise((done) => setTimeout(done, 300));
      return { fetched, blocked };
    }, `http://127.0.0.1:${port}/`);
    server.close();
    expect(found.fetched).toBe('refused');
    expect(found.blocked).toEqual(expect.arrayContaining(['connect-src', 'img-src']));
    expect(hits).toBe(0);
    // The refusals themselves are on the console, as they should be.
    kept!.faults.splice(0);
  });

  nightly('is scrubbed by keys on the strip: block, ten blocks, level, ends', async () => {
    const page = await openPage();
    await page.focus('#strip');
    await page.keyboard.press('PageDown');
    await page.keyboard.press('PageDown');
    const from = await line(page);
    await page.keyboard.press('ArrowRight');
    await page.keyboard.press('ArrowRight');
    const two = await line(page);
    expect(two).toBeGreaterThan(from);
    await page.keyboard.press('Shift+ArrowRight');
    expect(await line(page)).toBeGreaterThanOrEqual(two + 10);
    await page.keyboard.press('ArrowLeft');
    const text = await page.getAttribute('#strip', 'aria-valuetext');
    expect(text).toMatch(/line \d+, .*X [\d.]+ N, Y [\d.]+ N/);
    await page.keyboard.press('End');
    const total = Number(await page.getAttribute('#strip', 'aria-valuemax'));
    expect(await seconds(page)).toBeCloseTo(total, 1);
    expect(total / 60).toBeCloseTo(thin().summary.predicted.totalMin, 1);
    await page.keyboard.press('Home');
    expect(await seconds(page)).toBe(0);
  });

  nightly('is scrubbed by dragging on the strip', async () => {
    const page = await openPage();
    const box = (await page.locator('#strip').boundingBox())!;
    const total = Number(await page.getAttribute('#strip', 'aria-valuemax'));
    // The names of the lanes stand before them.
    const x = (share: number) => box.x + 62 + share * (box.width - 62);
    const at = async (share: number) => {
      await page.mouse.move(x(share), box.y + 60);
      await expect.poll(() => seconds(page)).toBeGreaterThan(total * (share - 0.01));
      expect(await seconds(page)).toBeLessThan(total * (share + 0.01));
    };
    await page.mouse.move(x(0.2), box.y + 60);
    await page.mouse.down();
    await at(0.3);
    await at(0.7);
    await at(0.5);
    await page.mouse.up();
    await picture(page, 'middle-light');
  });

  it('goes to the worst loads and shows the figures of plan.json', async () => {
    const page = await samePage();
    await page.emulateMedia({ colorScheme: 'dark' });
    const plan = JSON.parse(String(thin().files['plan.json'])) as {
      predicted: { peakEngagementDeg: number };
    };
    const { peakEngagementDeg } = plan.predicted;
    const { peakResultantN, peakDriveN } = thin().planned.replay;
    // The push of a tooth is told by the moment itself, what the drives are asked for by readings.
    const first = await page.textContent('button[data-kind=peak] >> nth=0');
    expect(first).toContain(`${peakResultantN.value.toFixed(1)} N of`);
    await page.click('button[data-kind=peak] >> nth=1');
    expect(await page.textContent('#reading-x')).toContain(`${peakDriveN.x.value.toFixed(1)} of`);
    await page.click('button[data-kind=peak] >> nth=2');
    expect(await page.textContent('#reading-y')).toContain(`${peakDriveN.y.value.toFixed(1)} of`);
    await page.click('button[data-kind=peak] >> nth=3');
    expect(await page.textContent('#reading-engagement')).toContain(peakEngagementDeg.toFixed(1));
    // The dial measures the rim anew at that moment.
    const dial = Number.parseFloat((await page.textContent('#dial-caption')) ?? '');
    expect(Math.abs(dial - peakEngagementDeg)).toBeLessThan(0.5);
    await page.click('button[data-kind=load] >> nth=0');
    expect(await page.textContent('#gap-caption')).toMatch(
      /mm deep, chip .* N push the tip .* drawn ×/,
    );
    await picture(page, 'worst-load-dark');
    await page.emulateMedia({ colorScheme: 'light' });
  });

  nightly('runs at a multiple of real time and holds', async () => {
    const page = await openPage();
    await page.selectOption('#rate', '20');
    await page.focus('#strip');
    await page.keyboard.press('PageDown');
    const from = await seconds(page);
    await page.keyboard.press('Space');
    await expect.poll(() => seconds(page), { timeout: 20_000 }).toBeGreaterThan(from + 5);
    await page.keyboard.press('Space');
    const held = await seconds(page);
    await page.waitForTimeout(300);
    expect(await seconds(page)).toBe(held);
    expect(await page.textContent('#play')).toBe('Run');
  });

  nightly('measures with the keys alone: two points, a wall, the whole outline', async () => {
    const page = await openPage();
    await page.focus('#strip');
    await page.keyboard.press('End');
    await page.keyboard.press('2');
    await page.keyboard.press('m');
    // From above the crosshair is over the bore at first; both points lie on the top face, between
    // the bore and the gap that is on either side.
    for (let k = 0; k < 3; k++) await page.keyboard.press('Shift+ArrowLeft');
    await page.keyboard.press('Enter');
    for (let k = 0; k < 6; k++) await page.keyboard.press('Shift+ArrowRight');
    await page.keyboard.press('Enter');
    const perMm = Number(await page.getAttribute('#scale-bar', 'data-pixels-per-mm'));
    const text = (await page.textContent('#measured')) ?? '';
    const distance = Number(/Distance([\d.]+) mm/.exec(text)?.[1]);
    expect(Math.abs(distance - 240 / perMm)).toBeLessThan(0.01);
    await page.keyboard.press('Escape');
    await page.keyboard.press('3');
    await page.keyboard.press('w');
    for (let k = 0; k < 40; k++) {
      await page.keyboard.press('Enter');
      if (((await page.textContent('#measured')) ?? '').includes('Form error')) break;
      await page.keyboard.press('ArrowUp');
    }
    const wall = (await page.textContent('#measured')) ?? '';
    expect(wall).toMatch(/Form error here[\d.]+ µm predicted/);
    expect(wall).toMatch(/Cut byline \d+/);
    await page.click('#compare');
    const compared = (await page.textContent('#compared')) ?? '';
    expect(Number(/Area(-?[\d.]+) %/.exec(compared)?.[1])).toBeLessThan(0.5);
    await page.click('#measure label:has-text("form error")');
    // As large as it may be within a radius of the cutter, 1.5 mm; the next factor is 50.
    const note = /drawn × (\d+): at most ([\d.]+) µm/.exec(
      (await page.textContent('#factor-note')) ?? '',
    );
    const [factor, mostMm] = [Number(note?.[1]), Number(note?.[2]) / 1000];
    expect(factor).toBe(20);
    expect(factor * mostMm).toBeLessThanOrEqual(1.5);
    expect(50 * mostMm).toBeGreaterThan(1.5);
    await page.keyboard.press('Escape');
    await page.click('button[data-look="corner"]');
    await picture(page, 'form-error');
  });

  it('has no fault for axe, light and dark, wide and narrow', async () => {
    const page = await samePage();
    const size = page.viewportSize()!;
    const narrow = { width: 390, height: 844 };
    const cases = [
      ['light', size],
      ['dark', size],
      ['light', narrow],
    ] as const;
    // By day the help, over the page; the dry run itself is looked at on the live page.
    for (const [colorScheme, viewport] of LONG ? cases : ([['dark', narrow]] as const)) {
      await page.emulateMedia({ colorScheme });
      await page.setViewportSize(viewport);
      if (LONG) expect(await axeFaults(page)).toEqual([]);
      await page.keyboard.press('?');
      expect(await axeFaults(page)).toEqual([]);
      await page.keyboard.press('Escape');
    }
    await page.emulateMedia({ colorScheme: 'light' });
    await page.setViewportSize(size);
  });

  nightly('fits a narrow screen without sideways scrolling', async () => {
    const page = await openPage({ width: 360, height: 740, dark: true });
    const wide = await page.evaluate(() => document.scrollingElement!.scrollWidth);
    expect(wide).toBeLessThanOrEqual(360);
    // The panels are shut until one asks for them.
    expect(await page.isVisible('button[data-kind=load] >> nth=0')).toBe(false);
    await page.click('summary:has-text("Moments")');
    await page.click('button[data-kind=load] >> nth=0');
    await picture(page, 'narrow-dark', true);
  });

  nightly('changes between light and dark by its button', async () => {
    const page = await openPage();
    const ground = () => page.evaluate(() => getComputedStyle(document.body).backgroundColor);
    const light = await ground();
    await page.click('#theme');
    expect(await ground()).not.toBe(light);
    expect(await page.textContent('#theme')).toBe('Light colours');
  });

  nightly('does not animate where motion is to be reduced', async () => {
    const page = await openPage({ reducedMotion: true });
    const moving = await page.evaluate(
      () =>
        [...document.querySelectorAll('*')].filter((e) => {
          const { transitionDuration, animationDuration } = getComputedStyle(e);
          return transitionDuration !== '0s' || animationDuration !== '0s';
        }).length,
    );
    expect(moving).toBe(0);
  });

  nightly('reads without colour: bands have figures, and patterns on demand', async () => {
    const page = await openPage();
    await page.check('#show label:has-text("force") input');
    await page.click('button[data-kind=load] >> nth=0');
    const plain = await page.locator('#strip').screenshot();
    await page.check('#show label:has-text("Patterns") input');
    const patterned = await page.locator('#strip').screenshot();
    expect(patterned.equals(plain)).toBe(false);
    const legend = await page.locator('#legend li').allTextContents();
    expect(legend).toEqual([
      '0 to 17',
      '17 to 33',
      '33 to 50',
      '50 to 67',
      '67 to 83',
      '83 to 100 %',
    ]);
    await picture(page, 'patterns');
  });

  it('prints the warning sheet and nothing else, as the sheet itself would', async () => {
    const page = await samePage();
    await page.emulateMedia({ media: 'print' });
    expect(await page.isVisible('main')).toBe(false);
    expect(await page.isVisible('#sheet')).toBe(true);
    const pagesOf = (pdf: Buffer) => pdf.toString('latin1').match(/\/Type \/Page\b(?!s)/g)?.length;
    const own = pagesOf(await page.pdf({ preferCSSPageSize: true }));
    const sheet = join(folder, 'warning-sheet.html');
    writeFileSync(sheet, thin().files['warning-sheet.html'] as string);
    const other = await kept!.context.newPage();
    await other.goto(pathToFileURL(sheet).href);
    expect(own).toBe(pagesOf(await other.pdf({ preferCSSPageSize: true })));
    await page.emulateMedia({ media: 'screen' });
    await other.close();
    kept!.faults.splice(0);
  });

  // The last on the page they share: it takes most of the picture away.
  it('draws the wheel flat where there is no WebGL 2, and serves as ever', async () => {
    const page = await openPage({ noWebGl: true });
    expect(await page.textContent('#scene-note')).toMatch(/drawn flat/);
    /** Share of the scene that has the colour of stock. */
    const stock = () =>
      page.locator('#scene').evaluate((e) => {
        const canvas = e as HTMLCanvasElement;
        const ink = getComputedStyle(document.documentElement).getPropertyValue('--stock').trim();
        const wanted = [1, 3, 5].map((k) => Number.parseInt(ink.slice(k, k + 2), 16));
        const { data } = canvas.getContext('2d')!.getImageData(0, 0, canvas.width, canvas.height);
        let met = 0;
        for (let i = 0; i < data.length; i += 4) {
          if (wanted.every((v, k) => Math.abs(v - data[i + k]!) < 2)) met++;
        }
        return (4 * met) / data.length;
      });
    await page.waitForSelector('#scene[data-frames]');
    const before = await stock();
    await page.focus('#strip');
    await page.keyboard.press('End');
    await expect.poll(stock).toBeLessThan(0.9 * before);
    const { profile, cam, job } = thin().planned;
    const bore = (Math.PI / 4) * job.bore.diameterMm ** 2;
    const blankMm = cam.blank.diameterMm + 2 * cam.blank.centringErrorMm;
    const share = (signedArea(profile.outline) - bore) / ((Math.PI / 4) * blankMm ** 2 - bore);
    expect((await stock()) / before).toBeCloseTo(share, 1);
    await page.click('button[data-kind=load] >> nth=0');
    expect(await page.textContent('#gap-caption')).toMatch(/deep/);
    await picture(page, 'flat');
  });

  it('cuts the blank down to the outline, in the picture', async () => {
    const page = await samePage();
    await stockAlone(page);
    await page.focus('#strip');
    await page.keyboard.press('Home');
    const { job, profile, cam } = thin().planned;
    const bore = (Math.PI / 4) * job.bore.diameterMm ** 2;
    const start = await silhouette(page);
    const blankMm = cam.blank.diameterMm + 2 * cam.blank.centringErrorMm;
    expect(Math.abs(start.areaMm2 / ((Math.PI / 4) * blankMm ** 2 - bore) - 1)).toBeLessThan(0.005);
    await page.focus('#strip');
    const half = (thin().summary.predicted.totalMin * 60) / 2;
    await page.evaluate(() => window.scrollTo(0, 0));
    const box = (await page.locator('#strip').boundingBox())!;
    // The names of the lanes stand before them.
    const lanes = box.width - 62;
    await page.mouse.click(box.x + 62 + lanes / 2, box.y + 60);
    expect(await seconds(page)).toBeCloseTo(half, -1);
    const middle = await still(page);
    await page.focus('#strip');
    await page.keyboard.press('End');
    const end = await silhouette(page);
    writeFileSync(join(OUTPUT, 'silhouette-start.png'), start.png);
    writeFileSync(join(OUTPUT, 'silhouette-middle.png'), middle);
    writeFileSync(join(OUTPUT, 'silhouette-end.png'), end.png);
    expect(middle.equals(start.png)).toBe(false);
    expect(middle.equals(end.png)).toBe(false);
    const share = end.areaMm2 / (signedArea(profile.outline) - bore) - 1;
    expect(Math.abs(share)).toBeLessThan(0.005);
  });
});
