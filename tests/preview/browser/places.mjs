/** Where browsers are, and how tests and benchmark start a Chromium. */
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
  // The page behind the address bar, loaded in every window, takes 0.8 CPU-s. The list stands in place of
  // the driver's own, of which the rest asks the network or holds back the first picture.
  '--disable-features=WebUIOmniboxAimPopup,AimEnabled,NetworkTimeServiceQuerying,OptimizationHints,PaintHolding,PreconnectToSearch',
]);

const there = (places) => places.find((path) => path !== undefined && existsSync(path)) ?? null;

/** @returns {string | null} */
export function findChromium() {
  return there([
    process.env.CHROMIUM,
    process.env.CHROMIUM_PATH,
    '/usr/bin/chromium',
    '/usr/bin/chromium-browser',
    '/usr/bin/google-chrome',
    '/snap/bin/chromium',
    '/Applications/Chromium.app/Contents/MacOS/Chromium',
  ]);
}

/** @returns {string | null} */
export function findFirefox() {
  return there([process.env.FIREFOX, '/usr/bin/firefox-esr', '/usr/bin/firefox']);
}

/** The X server without a screen, which a Firefox needs to draw with Mesa. @returns {string | null} */
export function findXvfb() {
  return there(['/usr/bin/Xvfb']);
}
