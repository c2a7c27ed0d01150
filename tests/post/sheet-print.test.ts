import { LONG } from '../cam/oracle/runs.js';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Plan } from '../../src/post/plan.js';
import { warningSheet } from '../../src/post/sheet/sheet.js';
import type { SheetOptions } from '../../src/post/sheet/sheet.js';
import { CHROMIUM, browser as openBrowser } from '../preview/browser/chromium.js';
import { datumPlan } from '../planned.js';
import { EXAMPLES, plannedExample } from './planned-examples.js';

/** Printed in every run; the others at night. */
const PRINTED = LONG ? EXAMPLES : ['mist-pump-18t-06b', 'nursery-barrow'];

const LONG_TITLE = 'Wheel of the m\u00e4chtig long potting line \u2013 '.repeat(6).slice(0, 200);
const HOSTILE = `</title></style></script><img src=x onerror=alert(1)>"'\`<svg onload=alert(2)>&lt; \u4e2d\u00e9`;

function withTitle(planned: Plan, title: string): Plan {
  return { ...planned, job: { ...planned.job, title } };
}

function withWarnings(planned: Plan, count: number): Plan {
  const text =
    'finishing is predicted to leave more on the flanks than the tolerance asked for: a stick-out of 8 mm would leave 0.021 mm; a machine twice as stiff would leave 0.030 mm';
  const warnings = Array.from({ length: count }, (_, i) => ({
    code: `warning-${i}`,
    text: `number ${i}, ${text}`,
    value: null,
    limit: null,
  }));
  return { ...planned, summary: { ...planned.summary, warnings } };
}

/** Every string of a value replaced, keys and shape kept. */
function poison<T>(value: T, text: string): T {
  if (typeof value === 'string') return text as T;
  if (Array.isArray(value)) return value.map((v) => poison(v, text)) as T;
  return value;
}

describe.skipIf(CHROMIUM === null)('sheet in a browser', () => {
  let browser: Browser;
  let page: Page;
  const asked: string[] = [];
  beforeAll(async () => {
    browser = await openBrowser();
    page = await browser.newPage();
    page.on('request', (request) => asked.push(request.url()));
  });
  afterAll(() => page.close());

  /** Pages of the PDF, and whether anything stands out beside the paper. */
  async function print(planned: Plan, options?: SheetOptions): Promise<number> {
    await page.emulateMedia({ media: 'print' });
    // A4 less the margins of the sheet, 186 mm, in CSS px.
    await page.setViewportSize({ width: Math.floor((186 / 25.4) * 96), height: 1000 });
    await page.setContent(warningSheet(planned, options));
    const wide = await page.evaluate(
      () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
    );
    expect(wide).toBeLessThanOrEqual(0);
    const pdf = (await page.pdf({ preferCSSPageSize: true })).toString('latin1');
    // A4: 210 mm x 297 mm in points.
    const box = /\/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)/.exec(pdf)!;
    expect(Number(box[1])).toBeCloseTo((210 / 25.4) * 72, -0.3);
    expect(Number(box[2])).toBeCloseTo((297 / 25.4) * 72, -0.3);
    return pdf.match(/\/Type\s*\/Page\b/g)!.length;
  }

  it.each(PRINTED)('%s prints on two A4 pages', async (name) => {
    const planned = plannedExample(name);
    expect(await print(planned)).toBe(2);
    expect(await print(planned, { units: 'mm-and-inch', brazed: true })).toBe(2);
  });

  // By day those that most is said of.
  const checked = LONG ? (['indicators', 'probe'] as const) : (['probe'] as const);
  it.each(checked)('with datum checks by %s: two pages', async (kind) => {
    const machine = 'machine: screw-gantry-light';
    // At night with many of them.
    const plans = LONG
      ? [plannedExample('nursery-barrow', [machine, `${machine}\ncheck-every: 4 min`])]
      : [];
    for (const planned of [datumPlan(kind).planned, ...plans]) {
      // With less to say of lengths it has been printed above.
      expect(await print(planned, { units: 'mm-and-inch', brazed: true })).toBe(2);
      expect(await page.locator('#datum').count()).toBe(1);
    }
  });

  it.each(LONG ? [8, 14, 25, 60] : [60])(
    'long title and %i warnings: still two pages, none lost',
    async (count) => {
      for (const name of PRINTED) {
        const planned = withWarnings(withTitle(plannedExample(name), LONG_TITLE), count);
        expect(await print(planned, { brazed: true })).toBe(2);
        const said = await page.locator('#warnings').innerText();
        for (let i = 0; i < count; i++) {
          // In words, or at least by name.
          expect(said).toMatch(new RegExp(`number ${i},|warning-${i}\\b`, 'i'));
        }
      }
    },
  );

  it('print is never smaller than 6.4 points', () => {
    const html = warningSheet(withWarnings(plannedExample('nursery-barrow'), 60));
    const pt = Number(/font-size:([\d.]+)pt;line-height/.exec(html)![1]);
    expect(pt).toBeGreaterThanOrEqual(6.4);
  });

  it('asks for nothing outside itself, whatever the strings hold', async () => {
    const planned = plannedExample('potting-machine-15t-40');
    const { job } = planned;
    const bad: Plan = {
      ...withWarnings(planned, 3),
      jobDigest: HOSTILE,
      job: {
        ...job,
        title: HOSTILE,
        material: { ...job.material, title: HOSTILE, condition: HOSTILE, hazards: [HOSTILE] },
        machine: { ...job.machine, title: HOSTILE },
        controller: poison({ ...job.controller, title: HOSTILE, setUp: [HOSTILE] }, HOSTILE),
      },
      program: {
        ...planned.program,
        text: `${HOSTILE}\n`,
        ops: planned.program.ops.map((op) => (op.op === 'stop' ? { ...op, message: HOSTILE } : op)),
      },
    };
    asked.length = 0;
    const html = warningSheet(bad);
    await page.setContent(html);
    const seen = await page.evaluate(() => ({
      title: document.title,
      heading: document.querySelector('h1')!.textContent,
      elements: [...new Set([...document.querySelectorAll('*')].map((e) => e.localName))].sort(),
      handlers: [...document.querySelectorAll('*')].flatMap((e) =>
        e.getAttributeNames().filter((a) => /^on|href|src|^style$/.test(a)),
      ),
      policy: document.querySelector('meta[http-equiv]')!.getAttribute('content'),
      sections: document.querySelectorAll('section').length,
    }));
    expect(seen.title).toContain(HOSTILE);
    expect(seen.heading).toBe(HOSTILE);
    expect(seen.handlers).toEqual([]);
    for (const name of ['script', 'img', 'link', 'iframe', 'object', 'form', 'image', 'use', 'a']) {
      expect(seen.elements).not.toContain(name);
    }
    expect(seen.policy).toMatch(/^default-src 'none'/);
    expect(seen.policy).toContain("script-src 'none'");
    expect(seen.sections).toBe(16);
    expect(asked.filter((url) => !url.startsWith('about:'))).toEqual([]);
    expect(html).not.toMatch(/https?:|@import|url\((?!#)/);
  });

  it('reads on a phone: nothing wider than the screen but the section drawing', async () => {
    await page.emulateMedia({ media: 'screen' });
    await page.setViewportSize({ width: 360, height: 740 });
    for (const name of PRINTED) {
      await page.setContent(warningSheet(plannedExample(name)));
      const over = await page.evaluate(() => ({
        page: document.documentElement.scrollWidth - document.documentElement.clientWidth,
        small: [...document.querySelectorAll('p, li, td, th, h2, figcaption')].filter(
          (e) => parseFloat(getComputedStyle(e).fontSize) < 14,
        ).length,
      }));
      expect(over).toEqual({ page: 0, small: 0 });
    }
  });

  it('lettering stays inside its drawing', async () => {
    await page.emulateMedia({ media: 'screen' });
    await page.setViewportSize({ width: 1000, height: 800 });
    for (const name of PRINTED) {
      for (const units of ['mm', 'mm-and-inch'] as const) {
        await page.setContent(warningSheet(plannedExample(name), { units }));
        const out = await page.evaluate(() =>
          [...document.querySelectorAll('svg.drawing')].flatMap((svg) => {
            const frame = svg.getBoundingClientRect();
            return [...svg.querySelectorAll('text')]
              .filter((t) => {
                const b = t.getBoundingClientRect();
                return (
                  b.left < frame.left - 1 ||
                  b.right > frame.right + 1 ||
                  b.top < frame.top - 1 ||
                  b.bottom > frame.bottom + 2
                );
              })
              .map((t) => t.textContent);
          }),
        );
        expect(out, `${name} ${units}`).toEqual([]);
      }
    }
  });

  it('no faults in the accessibility tree (axe-core)', async () => {
    const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core'), 'utf8');
    const html = warningSheet(plannedExample('nursery-barrow'));
    // The sheet's own policy forbids scripts; the check has to bring one.
    await page.setContent(html.replace(/<meta\s+http-equiv[^>]*>/, ''));
    await page.evaluate(axe);
    const faults = await page.evaluate(async () => {
      const run = (
        globalThis as unknown as { axe: { run: () => Promise<{ violations: { id: string }[] }> } }
      ).axe;
      return (await run.run()).violations.map((v) => v.id);
    });
    expect(faults).toEqual([]);
  });
});
