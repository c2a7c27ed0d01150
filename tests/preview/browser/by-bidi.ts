/**
 * A Chromium or a Firefox by puppeteer, for what has to hold in both. The Firefox is one as people
 * have it, driven over WebDriver BiDi; it draws by Mesa on an X server without a screen.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { readFileSync, readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import type { Readable } from 'node:stream';
import puppeteer, { type Page } from 'puppeteer-core';
import { CHROMIUM } from './chromium.js';
import { SWITCHES, findFirefox, findXvfb } from './places.mjs';

const FIREFOX = findFirefox();
const XVFB = findXvfb();

export type Kind = 'chrome' | 'firefox';

/** What a browser lacks on this machine; null for nothing. */
export function missing(kind: Kind): string | null {
  if (kind === 'chrome') return CHROMIUM === null ? 'NO CHROMIUM FOUND (set CHROMIUM)' : null;
  if (FIREFOX === null) return 'NO FIREFOX FOUND (set FIREFOX to its path)';
  return XVFB === null ? 'NO XVFB FOUND (the package xvfb)' : null;
}

const [WIDTH, HEIGHT] = [1440, 900];

async function screen(): Promise<{ display: string; server: ChildProcess }> {
  const size = `${WIDTH}x${HEIGHT}x24`;
  const args = ['-displayfd', '3', '-nolisten', 'tcp', '-screen', '0', size];
  const server = spawn(XVFB!, args, { stdio: ['ignore', 'ignore', 'ignore', 'pipe'] });
  const display = await new Promise<string>((resolve, reject) => {
    (server.stdio[3] as Readable).once('data', (number: Buffer) =>
      resolve(`:${number.toString().trim()}`),
    );
    server.once('exit', (code) => reject(new Error(`Xvfb ended with ${code}`)));
  });
  return { display, server };
}

export interface Driven {
  readonly page: Page;
  /** Errors on the console or thrown, and what was asked for but files. */
  readonly faults: string[];
  /** Waits for the one file that the page has saved. */
  readonly saved: (name: string) => Promise<Buffer>;
  readonly close: () => Promise<void>;
}

/**
 * Opens a page with the network off.
 * @param folder    where files are saved
 * @param switches  of a Chromium, in place of those that draw in software
 */
export async function drive(
  kind: Kind,
  url: string,
  folder: string,
  switches: readonly string[] = SWITCHES,
): Promise<Driven> {
  const x = kind === 'firefox' ? await screen() : null;
  const browser = await puppeteer.launch({
    browser: kind,
    executablePath: (kind === 'firefox' ? FIREFOX : CHROMIUM)!,
    headless: kind === 'chrome',
    defaultViewport: null,
    env: { ...process.env, ...(x && { DISPLAY: x.display, LIBGL_ALWAYS_SOFTWARE: '1' }) },
    args:
      kind === 'firefox'
        ? ['--width', String(WIDTH), '--height', String(HEIGHT)]
        : [...switches, '--no-sandbox', `--window-size=${WIDTH},${HEIGHT}`],
    downloadBehavior: { policy: 'allow', downloadPath: folder },
    extraPrefsFirefox: {
      // A Firefox takes the folder by its own settings; 2 is one that is named.
      ...{ 'browser.download.folderList': 2, 'browser.download.dir': folder },
      // No process is made ready for a page that is never opened.
      ...{ 'dom.ipc.processPrelaunch.enabled': false, 'dom.ipc.processCount': 1 },
    },
  });
  const page = await browser.newPage();
  const faults: string[] = [];
  page.on('console', (m) => m.type() === 'error' && faults.push(`console: ${m.text()}`));
  page.on('pageerror', (error) => faults.push(`thrown: ${String(error)}`));
  page.on('request', (r) => {
    if (!/^(?:file|data|blob):/.test(r.url())) faults.push(`asked for ${r.url()}`);
  });
  await page.setOfflineMode(true);
  await page.goto(url);
  await page.waitForSelector('body[data-ready]', { timeout: 60_000 });
  const saved = async (name: string): Promise<Buffer> => {
    // Until a file is whole, another stands beside it, and its own name is empty or not there.
    const whole = () =>
      readdirSync(folder).join() === name && statSync(join(folder, name)).size > 0;
    while (!whole()) await new Promise((r) => setTimeout(r, 50));
    return readFileSync(join(folder, name));
  };
  const close = async () => {
    await browser.close();
    x?.server.kill();
  };
  return { page, faults, saved, close };
}
