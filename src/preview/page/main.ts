/** Entry of the offline page: the data is in the page itself. */
import { unpackPage } from '../data/pack.js';
import { App } from './app.js';
import { byId, startPage } from './dom.js';
import { putFacts, putVerdict } from './head.js';
import { putSheet } from './panels.js';

void startPage(() => {
  const data = unpackPage(byId('gullet-data').textContent ?? '');
  new App(data);
  const { figures } = data;
  document.title = `${figures.job.title}: dry run`;
  putFacts(figures);
  putVerdict('checked', figures);
  putSheet(byId('sheet'), figures.sheetHtml);
  byId('print').addEventListener('click', () => window.print());
  document.body.dataset['ready'] = 'true';
});
