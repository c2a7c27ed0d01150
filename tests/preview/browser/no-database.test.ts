/** The bench page from a file where the browser keeps nothing for it. By day the live page is in such a
 *  browser. */
import { readFileSync } from 'node:fs';
import { strFromU8, unzipSync } from 'three/addons/libs/fflate.module.js';
import { expect } from 'vitest';
import { nightly } from '../../cam/oracle/runs.js';
import { press, tabTo, type } from './by-keys.js';
import { describeInBrowser, open } from './chromium.js';
import { KEEPS_NOTHING, KEPT_NOWHERE } from './keeps-nothing.js';
import { CHECKED, READINGS, WHEEL, benchUrl, fieldOf } from './wheel.js';

describeInBrowser('the bench page in a browser that keeps nothing', () => {
  for (const [kind, before] of Object.entries(KEEPS_NOTHING)) {
    nightly(
      `says so where a database is ${kind}, and goes by keys alone from chain readings to saved files`,
      async () => {
        const url = await benchUrl();
        const { page, faults, close } = await open(url, url, { width: 1440, height: 900, before });
        for (const [key, text] of Object.entries(READINGS)) {
          await type(page, `#reading-of-${key}`, text);
        }
        await expect.poll(() => page.textContent('.kept'), { timeout: 10_000 }).toBe(KEPT_NOWHERE);
        await press(page, '#take-chain');
        await press(page, '#way-part');
        for (const [key, text] of Object.entries(WHEEL)) await type(page, fieldOf(key), text);
        await page.keyboard.press('Tab');
        await page.waitForSelector(CHECKED, { timeout: 120_000 });
        await press(page, '#way-bench');
        await tabTo(page, '#save-all');
        const [download] = await Promise.all([
          page.waitForEvent('download', { timeout: 60_000 }),
          page.keyboard.press('Enter'),
        ]);
        const files = unzipSync(new Uint8Array(readFileSync(await download.path())));
        expect(strFromU8(files['job.yaml']!)).toContain('teeth: 7');
        expect(Object.keys(files)).toContain('job-teeth.nc');
        expect(faults).toEqual([]);
        await close();
      },
    );
  }
});
