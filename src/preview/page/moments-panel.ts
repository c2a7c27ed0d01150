/** Buttons that go to the peaks, the ten highest loads, each warning and each stop. */
import type { Moment } from '../data/moments.js';
import { make } from './dom.js';

const GROUPS = [
  ['peak', 'Peaks'],
  ['load', 'Ten highest loads'],
  ['warning', 'Warnings'],
  ['stop', 'Stops'],
] as const;

export function momentsPanel(
  moments: readonly Moment[],
  go: (moment: Moment) => void,
): DocumentFragment {
  const fragment = document.createDocumentFragment();
  for (const [kind, heading] of GROUPS) {
    const own = moments.filter((m) => m.kind === kind);
    const list = make('ol', { class: 'moments' });
    for (const moment of own) list.append(make('li', {}, item(moment, go)));
    const body = own.length > 0 ? list : make('p', {}, 'None.');
    fragment.append(make('h3', {}, heading), body);
  }
  return fragment;
}

function item(moment: Moment, go: (moment: Moment) => void): HTMLElement {
  const detail = moment.detail === '' ? [] : [make('span', { class: 'detail' }, moment.detail)];
  if (moment.entry === null) {
    const note = make('span', { class: 'detail' }, 'Concerns the whole job.');
    return make('p', { class: 'moment' }, moment.title, note);
  }
  const element = make(
    'button',
    { type: 'button', class: 'moment', 'data-kind': moment.kind, 'data-entry': moment.entry },
    make('span', {}, moment.title),
    ...detail,
  );
  element.addEventListener('click', () => go(moment));
  return element;
}
