/** Entry of the offline page: the data is in the page itself. */
import { unpackPage } from '../data/pack.js';
import { App } from './app.js';
import { byId, setText } from './dom.js';

function start(): void {
  try {
    new App(unpackPage(byId('gullet-data').textContent ?? ''));
    document.body.dataset['ready'] = 'true';
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    setText(byId('status'), `This page could not be shown: ${why}`);
    throw error;
  }
}

start();
