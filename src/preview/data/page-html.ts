/** The page for one job as one file that holds its data. */
import { packPage } from './pack.js';
import type { PageData } from './page-data.js';

/** Where the built page takes its data and its title; scripts/bundle-preview.mjs leaves them. */
const DATA_PLACE = '@@GULLET-DATA@@';
const TITLE_PLACE = '@@GULLET-TITLE@@';

/**
 * @param template  the built page, with one place for the title and, behind it, one for the data
 * @throws          Error when the template is not a built page
 */
export function pageHtml(data: PageData, template: string): string {
  const [before, rest, ...titles] = template.split(TITLE_PLACE);
  const [between, after, ...places] = rest?.split(DATA_PLACE) ?? [];
  if (after === undefined || titles.length + places.length > 0 || before!.includes(DATA_PLACE)) {
    throw new Error('the page template does not have one place for the title and one for the data');
  }
  return before + escapeHtml(data.figures.job.title) + between + packPage(data) + after;
}

function escapeHtml(text: string): string {
  return text.replace(/[&<>"']/g, (c) => `&#${c.charCodeAt(0)};`);
}
