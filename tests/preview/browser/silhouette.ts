import { PNG } from 'pngjs';
import type { Page } from 'playwright-core';
import { still } from './chromium.js';

/** Shows the stock alone, from above, in one colour, and nothing over it. */
export async function stockAlone(page: Page): Promise<void> {
  for (const thing of ['edges', 'outline', 'cutter', 'hold-down', 'axes', 'table']) {
    await page.uncheck(`#thing-${thing}`);
  }
  await page.check('#show input[value="none"]');
  await page.check('#show input[value="nothing"]');
  await page.click('button[data-look="above"]');
  await page.evaluate(() => {
    for (const cover of document.querySelectorAll<HTMLElement>(
      '.looks, .scale-bar, .legend, .marks',
    )) {
      cover.style.visibility = 'hidden';
    }
  });
}

export interface Silhouette {
  /** Area that is not ground, each pixel by how far its colour is from the ground's. mm2 */
  readonly areaMm2: number;
  readonly png: Buffer;
}

/** Measures the area of the stock in the picture of the scene. */
export async function silhouette(page: Page): Promise<Silhouette> {
  const png = await still(page);
  const { data, width, height } = PNG.sync.read(png);
  const perMm = Number(await page.getAttribute('#scale-bar', 'data-pixels-per-mm'));
  // A frame of 1 px round the scene is not part of it.
  const at = (x: number, y: number, c: number) => data[4 * (y * width + x) + c] as number;
  const ground = [0, 1, 2].map((c) => at(4, 4, c));
  const far = (x: number, y: number) => Math.hypot(...ground.map((g, c) => at(x, y, c) - g));
  let most = 0;
  const counts = new Map<number, number>();
  for (let y = 2; y < height - 2; y++) {
    for (let x = 2; x < width - 2; x++) {
      const d = Math.round(far(x, y));
      counts.set(d, (counts.get(d) ?? 0) + 1);
    }
  }
  // The face of the stock is the commonest colour that is not ground.
  let face = 0;
  for (const [d, n] of counts) {
    if (d > 12 && n > most) {
      most = n;
      face = d;
    }
  }
  let pixels = 0;
  for (const [d, n] of counts) pixels += n * Math.min(1, d / face);
  return { areaMm2: pixels / perMm ** 2, png };
}
