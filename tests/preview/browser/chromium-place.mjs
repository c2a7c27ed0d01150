/** Where a Chromium is, and how tests and benchmark start it. */
import { existsSync } from 'node:fs';
import process from 'node:process';

/** Drawn in software, nothing asked of the network. */
export const SWITCHES = Object.freeze([
  '--no-sandbox',
  '--disable-gpu',
  '--use-gl=angle',
  '--use-angle=swiftshader',
  '--enable-unsafe-swiftshader',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
]);

/** @returns {string | null} */
export function findChromium() {
  const places = [
    process.env.CHROMIUM,
    process.env.CHROMIUM_PATH,
    '/usr/bin/chromium',
    '/usr/bin/chromium-browser',
    '/usr/bin/google-chrome',
    '/snap/bin/chromium',
    '/Applications/Chromium.app/Contents/MacOS/Chromium',
  ];
  return places.find((path) => path !== undefined && existsSync(path)) ?? null;
}
