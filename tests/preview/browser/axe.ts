/** axe-core (Deque), rules of WCAG 2.2 A and AA and its best practices. */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';

const SOURCE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

/** All findings, one line each. */
export async function axeFaults(page: Page): Promise<string[]> {
  await page.evaluate(SOURCE);
  return page.evaluate(async () => {
    interface Finding {
      id: string;
      nodes: { target: unknown[]; failureSummary?: string }[];
    }
    const { axe } = globalThis as unknown as {
      axe: { run: (root: Document) => Promise<{ violations: Finding[] }> };
    };
    const { violations } = await axe.run(document);
    return violations.flatMap((v) =>
      v.nodes.map((n) => `${v.id} at ${String(n.target)}: ${n.failureSummary ?? ''}`),
    );
  });
}
