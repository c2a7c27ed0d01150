import { existsSync, readFileSync } from 'node:fs';
import type { PlanResult } from '../../plan/plan.js';
import { pageDataOf } from '../../preview/data/page-data.js';
import { pageHtml } from '../../preview/data/page-html.js';

/** Adds the offline page to the files of a plan. */
export function withPreview(result: PlanResult): PlanResult {
  const html = pageHtml(pageDataOf(result.planned), builtText('offline.html'));
  return { ...result, files: { ...result.files, 'preview.html': html } };
}

/**
 * A file that the build has made for the browser; the kernel cannot read it, so the command does.
 * @throws Error where the project has not been built
 */
export function builtText(name: string): string {
  // From dist/cli as built, or from src/cli in a test.
  const places = ['../preview/built/', '../../../dist/preview/built/'];
  const found = places.map((place) => new URL(place + name, import.meta.url)).find(existsSync);
  if (!found) throw new Error(`the page ${name} is not built; run: npm run build`);
  return readFileSync(found, 'utf8');
}
