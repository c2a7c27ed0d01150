/** The pages that the build has made for the browser, as the commands hand them out. */
import { existsSync, readFileSync } from 'node:fs';
import type { PlanResult } from '../../plan/plan.js';
import { pageDataOf } from '../../preview/data/page-data.js';
import { pageHtml } from '../../preview/data/pack.js';
import type { LiveJob } from '../../preview/live/messages.js';

/**
 * Adds the offline page to the files of a plan.
 * @param template  the page as built
 */
export function withPreview(
  result: PlanResult,
  template = builtText('preview/built/offline.html'),
): PlanResult {
  const html = pageHtml(pageDataOf(result.planned), template);
  return { ...result, files: { ...result.files, 'preview.html': html } };
}

/**
 * A file that the build has made for the browser; the kernel cannot read it, so the command does.
 * @throws Error where the project has not been built
 */
function builtText(name: string): string {
  // From dist/cli as built, or from src/cli in a test.
  const places = ['../', '../../../dist/'];
  const found = places.map((place) => new URL(place + name, import.meta.url)).find(existsSync);
  if (!found) throw new Error(`the page ${name} is not built; run: npm run build`);
  return readFileSync(found, 'utf8');
}

/** Where the bench page takes the job that it is handed out with; scripts/bundle-preview.mjs leaves it. */
const JOB_PLACE = '@@GULLET-JOB@@';

/** The bench page as the build has made it: one file that needs nothing else. */
export function benchPage(): string {
  return builtText('gullet.html');
}

/**
 * The bench page with a job open.
 * @param page  the page as built
 */
export function pageFor(job: LiveJob, page = benchPage()): string {
  const [before, after, ...more] = page.split(JOB_PLACE);
  if (after === undefined || more.length > 0) {
    throw new Error('the bench page does not have one place for the job');
  }
  // Inside a script element only "<" could end it; JSON may write it otherwise.
  const data = JSON.stringify(job).replaceAll('<', '\\u003c');
  return before + data + after;
}
