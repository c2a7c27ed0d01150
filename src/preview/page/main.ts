/** Entry of the offline page: the data is in the page itself. */
import { unpackPage } from '../data/pack.js';
import { App } from './app.js';
import { byId, startPage } from './dom.js';

void startPage(() => {
  new App(unpackPage(byId('gullet-data').textContent ?? ''));
  byId('print').addEventListener('click', () => window.print());
  document.body.dataset['ready'] = 'true';
});
