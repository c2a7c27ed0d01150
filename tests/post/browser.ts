import { existsSync } from 'node:fs';
import { type Browser, chromium } from 'playwright-core';

/** Chromium on this machine, or null: tests that need one are skipped without it. */
export const CHROMIUM =
  [
    process.env['CHROMIUM_PATH'],
    '/usr/bin/chromium',
    '/usr/bin/chromium-browser',
    '/usr/bin/google-chrome',
  ].find((path) => path !== undefined && existsSync(path)) ?? null;

export function openBrowser(): Promise<Browser> {
  return chromium.launch({ executablePath: CHROMIUM as string, args: ['--no-sandbox'] });
}
