/** A real browser for the tests of the pages. */
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { deflateSync } from 'node:zlib';
import { type Browser, type BrowserContext, type Page, chromium } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { ensureBuilt } from '../../built.js';
import { LONG } from '../../cam/oracle/runs.js';
import { SWITCHES, findChromium } from './places.mjs';

export const CHROMIUM = findChromium();

/** Pictures and figures for people to look at; not kept in the repository. */
export const OUTPUT = resolve('tests/output/preview');

/**
 * Tests that need a browser: skipped loudly without one, failed where one is asked for.
 * @param missing  what is not there, and how to get it
 */
export function describeInBrowser(
  name: string,
  tests: () => void,
  missing = CHROMIUM === null ? 'NO CHROMIUM FOUND (set CHROMIUM to its path)' : null,
): void {
  mkdirSync(OUTPUT, { recursive: true });
  if (missing === null) {
    describe(name, tests);
    return;
  }
  const message = `${missing}: "${name}" is not tested. GULLET_REQUIRE_BROWSER=1 makes this a failure.`;
  if (process.env['GULLET_REQUIRE_BROWSER'] === '1') {
    it(name, () => expect.fail(message));
    return;
  }
  process.stderr.write(`\n*** ${message} ***\n`);
  describe.skip(name, tests);
}

export interface OpenOptions {
  readonly width?: number;
  readonly height?: number;
  readonly dark?: boolean;
  readonly reducedMotion?: boolean;
  /** The network is off. */
  readonly offline?: boolean;
  /** Runs in the page before its own script. */
  readonly before?: () => void;
  /** A browser of its own, which draws nothing in three dimensions. */
  readonly noWebGl?: boolean;
}

/** A page, and what went wrong on it so far. */
export interface Opened {
  readonly page: Page;
  readonly context: BrowserContext;
  /** Errors on the console or thrown, and requests other than to `own`. */
  readonly faults: string[];
  readonly close: () => Promise<void>;
}

function launch(args: readonly string[] = SWITCHES): Promise<Browser> {
  return chromium.launch({ executablePath: CHROMIUM as string, args: [...args] });
}

let launched: Promise<Browser> | undefined;

/** The one browser of a worker; it ends with the worker. */
export function browser(): Promise<Browser> {
  return (launched ??= launch());
}

/**
 * Opens a page with an empty profile of its own.
 * @param own  addresses that the page may ask for begin with this
 */
export async function open(url: string, own: string, options: OpenOptions = {}): Promise<Opened> {
  const flat = options.noWebGl ? await launch(['--no-sandbox', '--disable-3d-apis']) : null;
  const context = await (flat ?? (await browser())).newContext({
    viewport: { width: options.width ?? 1024, height: options.height ?? 640 },
    colorScheme: options.dark ? 'dark' : 'light',
    reducedMotion: options.reducedMotion ? 'reduce' : 'no-preference',
    acceptDownloads: true,
    offline: options.offline ?? false,
  });
  if (options.before) await context.addInitScript(options.before);
  const page = await context.newPage();
  const faults: string[] = [];
  page.on('console', (message) => {
    if (message.type() === 'error') faults.push(`console: ${message.text()}`);
  });
  page.on('pageerror', (error) => faults.push(`thrown: ${error.message}`));
  context.on('request', (request) => {
    const asked = request.url();
    if (!asked.startsWith(own) && !/^(?:data|blob):/.test(asked)) faults.push(`asked for ${asked}`);
  });
  await page.goto(url);
  await page.waitForSelector('body[data-ready]', { timeout: 60_000 });
  return {
    page,
    context,
    faults,
    close: () => flat?.close() ?? context.close(),
  };
}

interface Bundler {
  readonly bundle: (entry: string) => Promise<string>;
}

const pages = new Map<string, Promise<string>>();

/**
 * The pages as the build has made them.
 * @param worker  a test's own in place of the worker of the bench page, by its path; once a worker
 *                process, into a folder that goes with it
 * @returns       the folder, `dist` or one like it
 */
export async function bundled(worker?: string): Promise<string> {
  ensureBuilt();
  if (worker === undefined) return resolve('dist');
  let folder = pages.get(worker);
  if (!folder) pages.set(worker, (folder = withWorker(worker)));
  return folder;
}

async function withWorker(worker: string): Promise<string> {
  const dist = mkdtempSync(join(tmpdir(), 'gullet-built-'));
  process.once('exit', () => rmSync(dist, { recursive: true, force: true }));
  const script = pathToFileURL(resolve('scripts/bundle-preview.mjs')).href;
  const code = await ((await import(script)) as Bundler).bundle(resolve(worker));
  const packed = deflateSync(code).toString('base64');
  const page = readFileSync('dist/gullet.html', 'utf8');
  const own = page.replace(/(<script id="gullet-worker"[^>]*>)[^<]*/, `$1${packed}`);
  if (own === page) throw new Error('dist/gullet.html has no place for a worker');
  writeFileSync(join(dist, 'gullet.html'), own);
  return dist;
}

/** A picture for people to look at, taken at night: to draw one takes half a second. */
export async function picture(page: Page, name: string, fullPage = false): Promise<void> {
  if (!LONG) return;
  await still(page);
  await page.screenshot({ path: join(OUTPUT, `${name}.png`), fullPage });
}

/** Waits until the scene stands still: two pictures of it are equal. */
export async function still(page: Page): Promise<Buffer> {
  let last: Buffer = Buffer.alloc(0);
  for (let k = 0; k < 40; k++) {
    await page.waitForTimeout(120);
    const now = await page.locator('#stage-box').screenshot();
    if (now.equals(last)) return now;
    last = now;
  }
  return last;
}
