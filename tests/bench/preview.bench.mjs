// Figures of the pages on this machine: node tests/bench/preview.bench.mjs (after npm run build);
// with `openings`, `live` or `pages` behind it, of opening, changing or running alone.
// Beside each time stands the processor time of the page's own thread and of all its process with
// the workers in it: another load on the machine hardly touches these.
// Frames are counted in a headless Chromium that draws in software (SwiftShader), the worst case.
// Results go to tests/output/bench/preview.json and to standard output; nothing is judged here.
import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { cpus, loadavg, tmpdir, totalmem } from 'node:os';
import { join } from 'node:path';
import process from 'node:process';
import { pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';
import { SWITCHES, findChromium } from '../preview/browser/places.mjs';

const dist = new URL('../../dist/', import.meta.url);
const load = (path) => import(new URL(path, dist));
const { readJob } = await load('job/load.js');
const { planParts, planSteps } = await load('plan/plan.js');
const { pageDataOf } = await load('preview/data/page-data.js');
const { pageHtml } = await load('preview/data/pack.js');
const { emptyTrack, KIND, ROLES } = await load('preview/data/track.js');
const { benchPage, pageFor } = await load('cli/io/preview-file.js');
const { servePage } = await load('cli/io/preview-server.js');

const executablePath = findChromium();
if (!executablePath) throw new Error('no Chromium; set CHROMIUM to its path');

const POINTS = 1_000_000;
const LEVELS = 20;
const folder = mkdtempSync(join(tmpdir(), 'gullet-bench-'));
const template = readFileSync(new URL('preview/built/offline.html', dist), 'utf8');
const textOf = (name) =>
  readFileSync(new URL(`../../examples/${name}.yaml`, import.meta.url), 'utf8');
const jobText = textOf('nursery-barrow');
const jobOf = (text) => readJob(text, 'job.yaml', { machineFile: () => ({}) });
const planStart = performance.now();
const planned = planParts(jobOf(jobText));
const planMs = performance.now() - planStart;
const example = pageDataOf(planned);

/** The example's figures with a path of a million short lines: a rose cut level by level. */
function millionPoints() {
  const track = emptyTrack(POINTS, [30, 0, 5]);
  const perLevel = POINTS / LEVELS;
  const radius = example.figures.blank.diameterMm / 2;
  const depth = example.figures.profile.thicknessMm;
  for (let i = 0; i < POINTS; i++) {
    const k = i % perLevel;
    const level = Math.floor(i / perLevel);
    const turn = (2 * Math.PI * 60 * k) / perLevel;
    const r = radius * (1.05 - (0.35 * k) / perLevel) + 0.6 * Math.sin(37 * turn);
    track.kind[i] = KIND.line;
    track.role[i] = ROLES.indexOf('cut');
    track.line[i] = i + 1;
    // Up, over to the start, straight down, then along.
    track.x[i] = k === 0 && i > 0 ? track.x[i - 1] : k < 3 ? radius * 1.05 : r * Math.cos(turn);
    track.y[i] = k === 0 && i > 0 ? track.y[i - 1] : k < 3 ? 0 : r * Math.sin(turn);
    track.z[i] = k < 2 ? 5 : (-depth * (level + 1)) / LEVELS;
    track.feedMmPerMin[i] = 400;
    track.spindleRpm[i] = 10_000;
    track.engagementRad[i] = 0.5 + 0.4 * Math.sin(turn);
    track.driveXN[i] = 60 + 50 * Math.cos(turn);
    track.driveYN[i] = 60 + 50 * Math.sin(turn);
    track.resultantN[i] = 100;
    track.axialMm[i] = depth / LEVELS;
    track.seconds[i] = 0.01;
  }
  const sections = Array.from({ length: LEVELS }, (_, level) => ({
    name: `LEVEL ${level + 1}`,
    first: level * perLevel,
  }));
  const lines = Array.from({ length: POINTS }, (_, i) => `G1 X${(i % perLevel) / 1000}`);
  return { figures: { ...example.figures, sections, stops: [] }, track, lines };
}

/** A browser of its own, cold. @param until  selector of what is waited for */
async function open(url, until = 'body[data-ready]') {
  const browser = await chromium.launch({
    executablePath,
    args: [...SWITCHES, '--enable-precise-memory-info'],
  });
  const page = await browser.newPage({ viewport: { width: 1440, height: 900 } });
  const session = await page.context().newCDPSession(page);
  await session.send('Performance.enable', { timeDomain: 'threadTicks' });
  const whole = await browser.newBrowserCDPSession();
  const start = performance.now();
  await page.goto(url);
  await page.waitForSelector(until, { timeout: 180_000 });
  const opened = { ms: round(performance.now() - start), ...(await cpuOf(session, whole)) };
  await page.waitForTimeout(1500);
  return { page, opened, close: () => browser.close() };
}

/** Processor time since the page was asked for: its own thread's, and its process's with the workers. */
async function cpuOf(session, whole) {
  const { metrics } = await session.send('Performance.getMetrics');
  const { processInfo } = await whole.send('SystemInfo.getProcessInfo');
  const most = Math.max(...processInfo.filter((p) => p.type === 'renderer').map((p) => p.cpuTime));
  const thread = metrics.find(({ name }) => name === 'TaskDuration').value;
  return { pageCpuMs: round(1000 * thread), withWorkersCpuMs: round(1000 * most) };
}

/** Time between frames while something goes on. */
async function frames(page, ms = 5000) {
  const times = await page.evaluate(
    (span) =>
      new Promise((resolve) => {
        const list = [];
        const start = performance.now();
        const tick = (now) => {
          list.push(now);
          if (now - start < span) requestAnimationFrame(tick);
          else resolve(list);
        };
        requestAnimationFrame(tick);
      }),
    ms,
  );
  const gaps = times.slice(1).map((t, i) => t - times[i]);
  return { ...spread(gaps), perSecond: round((1000 * gaps.length) / (times.at(-1) - times[0])) };
}

function spread(values) {
  const sorted = [...values].sort((a, b) => a - b);
  const at = (share) =>
    round(sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))]);
  return { medianMs: at(0.5), p95Ms: at(0.95), maxMs: at(1) };
}

const round = (v) => Math.round(10 * v) / 10;

async function turning(page) {
  await page.evaluate(() => {
    const scene = document.getElementById('scene');
    globalThis.turning = setInterval(() => {
      scene.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowLeft', bubbles: true }));
    }, 4);
  });
  const result = await frames(page);
  await page.evaluate(() => clearInterval(globalThis.turning));
  return {
    ...result,
    pathVertices: Number(await page.getAttribute('#scene', 'data-path-vertices')),
  };
}

/** From a pointer move on the strip to the frame in which the page has followed. */
async function dragging(page) {
  const box = await page.locator('#strip').boundingBox();
  await page.mouse.move(box.x + 100, box.y + 60);
  await page.mouse.down();
  const gaps = [];
  for (let k = 0; k < 60; k++) {
    const x = box.x + 100 + ((37 * k) % (box.width - 200));
    gaps.push(
      await page.evaluate(
        ([at, y]) =>
          new Promise((resolve) => {
            const strip = document.getElementById('strip');
            const drawn = document.getElementById('scene').dataset.frames;
            const start = performance.now();
            strip.dispatchEvent(
              new PointerEvent('pointermove', {
                clientX: at,
                clientY: y,
                pointerId: 1,
                bubbles: true,
              }),
            );
            const look = () => {
              if (document.getElementById('scene').dataset.frames !== drawn)
                resolve(performance.now() - start);
              else requestAnimationFrame(look);
            };
            requestAnimationFrame(look);
          }),
        [x, box.y + 60],
      ),
    );
  }
  await page.mouse.up();
  return spread(gaps);
}

async function measure(data, name) {
  const file = join(folder, `${name}.html`);
  const start = performance.now();
  writeFileSync(file, pageHtml(data, template));
  const packMs = round(performance.now() - start);
  const { page, opened, close } = await open(pathToFileURL(file).href);
  const result = { fileMB: round(statSync(file).size / 1e5) / 10, packMs, opened };
  await page.selectOption('#rate', '20');
  await page.click('#level-on');
  await page.click('#play');
  result.runTimes20 = await frames(page);
  await page.click('#play');
  result.dragLatency = await dragging(page);
  result.turnThisLevel = await turning(page);
  await page.check('#show input[value="all"]');
  await page.waitForTimeout(3000);
  result.turnWholePath = await turning(page);
  await page.click('button[data-look="above"]');
  for (let k = 0; k < 6; k++) await page.click('#zoom-in');
  await page.waitForTimeout(1500);
  result.turnWholePathClose = await turning(page);
  result.heapMB = round(await page.evaluate(() => performance.memory.usedJSHeapSize / 1e6));
  await close();
  return result;
}

/** Changes that are measured; each is one away from the example and back to it. */
const CHANGES = 9;

/** Cold openings that are measured, of which the middle one counts. */
const OPENINGS = 5;

/** What one awaits of a page that is opened cold, the middle of several. */
async function opening(url, until) {
  const all = [];
  for (let k = 0; k < OPENINGS; k++) {
    const { opened, close } = await open(url, until);
    await close();
    all.push(opened);
  }
  return all.sort((a, b) => a.ms - b.ms)[OPENINGS >> 1];
}

/** A served page with a job, while something is done with it. */
async function served(text, act) {
  const { server, port } = await servePage(
    pageFor({ file: 'job.yaml', text, machineFiles: {} }),
    0,
  );
  const result = await act(`http://127.0.0.1:${port}/`);
  server.closeAllConnections();
  server.close();
  return result;
}

/** From nothing to the page by itself, and to the first picture of the cut of two wheels. */
async function openings() {
  const FRAME = '#scene[data-frames]';
  const bench = join(folder, 'bench.html');
  writeFileSync(bench, benchPage());
  const sixty = textOf('barrow-axle-60t-415');
  const plan = join(folder, 'sixty.html');
  writeFileSync(plan, pageHtml(pageDataOf(planParts(jobOf(sixty))), template));
  return {
    benchPage: await opening(pathToFileURL(bench).href),
    firstFrame12: await served(jobText, (url) => opening(url, FRAME)),
    firstFrame60: await served(sixty, (url) => opening(url, FRAME)),
    firstFrame60OfPlan: await opening(pathToFileURL(plan).href, FRAME),
  };
}

/**
 * From a change in the form to the first look at the new plan, and to the plan with its full check:
 * times at which the page says so, noted by the page itself, and the frame after each.
 */
async function live(url) {
  const { page, opened, close } = await open(url);
  const change = (teeth) =>
    page.evaluate(
      (value) =>
        new Promise((resolve) => {
          const { body } = document;
          const field = document.getElementById('field-sprocket-teeth');
          const was = body.dataset.ready;
          const start = performance.now();
          const times = {};
          const note = (name) => {
            times[name] ??= performance.now() - start;
            requestAnimationFrame(() =>
              setTimeout(() => {
                times[`${name}Drawn`] ??= performance.now() - start;
                if (times.checkedDrawn !== undefined) resolve(times);
              }),
            );
          };
          const watch = new MutationObserver(() => {
            const { look, ready } = body.dataset;
            if (look !== undefined) note('look');
            if (look === undefined && ready !== undefined && ready !== was) {
              watch.disconnect();
              note('checked');
            }
          });
          watch.observe(body, { attributes: true });
          field.value = String(value);
          field.dispatchEvent(new Event('change', { bubbles: true }));
        }),
      teeth,
    );
  const all = [];
  for (let k = 0; k < CHANGES + 2; k++) {
    // Two others, for the plans made last are at hand.
    await change(13);
    await change(14 + (k % 2));
    const times = await change(12);
    // The first two warm the worker up.
    if (k >= 2) all.push(times);
    await page.waitForTimeout(200);
  }
  await close();
  const of = (name) => spread(all.map((times) => times[name] ?? Infinity));
  return {
    opened,
    changes: CHANGES,
    firstLook: of('look'),
    firstLookDrawn: of('lookDrawn'),
    checked: of('checked'),
    checkedDrawn: of('checkedDrawn'),
  };
}

/** Processor time of the stages in Node, warm: what another load on the machine hardly touches. */
function stageCpu() {
  const job = jobOf(jobText);
  const clock = () => {
    const { user, system } = process.cpuUsage();
    return (user + system) / 1000;
  };
  const lookMs = [];
  const checkedMs = [];
  for (let k = 0; k < 9; k++) {
    const start = clock();
    const steps = planSteps(job, { lookStepMm: 0.32 });
    for (let step = steps.next(); !step.done; step = steps.next()) {
      if (step.value) lookMs.push(clock() - start);
    }
    checkedMs.push(clock() - start);
  }
  return { toFirstLook: spread(lookMs.slice(2)), toChecked: spread(checkedMs.slice(2)) };
}

/** The pages of the example and of a million points. */
async function pages() {
  return {
    example: await measure(example, 'example'),
    millionPoints: await measure(millionPoints(), 'million'),
  };
}

const wants = (part) => process.argv.length < 3 || process.argv.includes(part);

const result = {
  commit: execFileSync('git', ['rev-parse', '--short', 'HEAD'], { encoding: 'utf8' }).trim(),
  machine: `${cpus().length} x ${cpus()[0].model}, ${Math.round(totalmem() / 2 ** 30)} GB`,
  loadAverageBefore: round(loadavg()[0]),
  node: process.version,
  planInNodeMs: round(planMs),
  cpuInNode: stageCpu(),
  ...(wants('openings') && { openings: await openings() }),
  ...(wants('live') && { live: await served(jobText, live) }),
  ...(wants('pages') && (await pages())),
  loadAverageAfter: round(loadavg()[0]),
};
rmSync(folder, { recursive: true, force: true });
mkdirSync('tests/output/bench', { recursive: true });
writeFileSync('tests/output/bench/preview.json', `${JSON.stringify(result, null, 2)}\n`);
process.stdout.write(`${JSON.stringify(result, null, 2)}\n`);
