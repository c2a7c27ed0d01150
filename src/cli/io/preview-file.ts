/** The pages that the build has made for the browser, as the commands hand them out. */
import { existsSync, readFileSync } from 'node:fs';
import type { PlanResult } from '../../plan/plan.js';
import { pageDataOf } from '../../preview/data/page-data.js';
import { pageHtml } from '../../preview/data/pack.js';
import type { LiveJob } from '../../preview/live/messages.js';
import type { Served } from './preview-server.js';

/** Adds the offline page to the files of a plan. */
export function withPreview(result: PlanResult): PlanResult {
  const html = pageHtml(pageDataOf(result.planned), builtText('offline.html'));
  return { ...result, files: { ...result.files, 'preview.html': html } };
}

/**
 * A file that the build has made for the browser; the kernel cannot read it, so the command does.
 * @throws Error where the project has not been built
 */
function builtText(name: string): string {
  // From dist/cli as built, or from src/cli in a test.
  const places = ['../preview/built/', '../../../dist/preview/built/'];
  const found = places.map((place) => new URL(place + name, import.meta.url)).find(existsSync);
  if (!found) throw new Error(`the page ${name} is not built; run: npm run build`);
  return readFileSync(found, 'utf8');
}

/**
 * All that the live page asks its server for, by path.
 * @param read  gets a file that the build has made for the browser
 */
export function pagesFor(
  job: LiveJob,
  read: (name: string) => string = builtText,
): ReadonlyMap<string, Served> {
  const built = (name: string, type: string): Served => ({ type, contents: read(name) });
  return new Map([
    ['/', built('live.html', 'text/html')],
    ['/page.css', built('page.css', 'text/css')],
    ['/live.js', built('live.js', 'text/javascript')],
    ['/worker.js', built('worker.js', 'text/javascript')],
    ['/offline.html', built('offline.html', 'text/html')],
    ['/job.json', { type: 'application/json', contents: JSON.stringify(job) }],
  ]);
}
