/** Panels: what is shown and how it is coloured, moments to go to, and the sheet for the printer. */
import { type Paint, PAINTS, legendOf, type Rgb, cssColour } from '../data/paint.js';
import type { Moment } from '../data/moments.js';
import type { PageData } from '../data/page-data.js';
import { THINGS, type Thing } from '../scene/dry-run.js';
import { PATH_EXTENTS, type PathExtent } from '../scene/path-lines.js';
import { button, checkbox, choices, make } from './dom.js';
import { hatchesOf } from './strip.js';

export interface ShowState {
  paint: Paint | 'nothing';
  patterned: boolean;
  path: PathExtent;
  readonly things: Map<Thing, boolean>;
}

const HIDDEN_FIRST: readonly Thing[] = ['part', 'chain', 'keep-out'];

export function firstShow(): ShowState {
  const patterned = window.matchMedia('(prefers-contrast: more), (forced-colors: active)').matches;
  return {
    paint: 'what binds',
    patterned,
    path: 'this level',
    things: new Map(THINGS.map((t) => [t, !HIDDEN_FIRST.includes(t)])),
  };
}

export function showPanel(state: ShowState, onChange: () => void): HTMLElement {
  const set = (change: () => void) => {
    change();
    onChange();
  };
  const paints = [...PAINTS, 'nothing'] as const;
  const things = make('fieldset', { class: 'things' }, make('legend', {}, 'In the scene'));
  for (const thing of THINGS) {
    const show = (on: boolean) => set(() => state.things.set(thing, on));
    things.append(checkbox(thing, state.things.get(thing)!, show, `thing-${thing}`));
  }
  return make(
    'div',
    { class: 'show' },
    choices('Colour by', 'paint', paints, state.paint, (v) => set(() => (state.paint = v))),
    checkbox('Patterns as well as colours', state.patterned, (on) =>
      set(() => (state.patterned = on)),
    ),
    choices('Path', 'path', PATH_EXTENTS, state.path, (v) => set(() => (state.path = v))),
    things,
  );
}

/** Bands from low to high with their bounds; without colour the patterns and figures remain. */
export function legend(
  state: ShowState,
  data: PageData,
  colours: readonly Rgb[],
): HTMLElement | null {
  if (state.paint === 'nothing') return null;
  const { title, labels } = legendOf(state.paint, data);
  const list = make('ol', { class: 'bands' });
  colours.forEach((colour, band) => {
    const swatch = make('canvas', { width: 36, height: 14, 'aria-hidden': 'true' });
    const pen = swatch.getContext('2d') as CanvasRenderingContext2D;
    pen.fillStyle = cssColour(colour);
    pen.fillRect(0, 0, 36, 14);
    if (state.patterned) {
      pen.fillStyle = hatchesOf(pen, colours)[band]!;
      pen.fillRect(0, 0, 36, 14);
      dashes(pen, cssColour(colour), band);
    }
    list.append(make('li', {}, swatch, make('span', {}, labels[band]!)));
  });
  return make('div', {}, make('p', { class: 'legend-title' }, title), list);
}

/** How the path is dashed in a band, beside the pattern of its walls: as the scene draws it. */
function dashes(pen: CanvasRenderingContext2D, colour: string, band: number): void {
  const on = 2 + 2 * band;
  pen.clearRect(20, 0, 16, 14);
  pen.strokeStyle = colour;
  pen.lineWidth = 2;
  pen.setLineDash([on, 12 - on]);
  pen.beginPath();
  pen.moveTo(21, 7);
  pen.lineTo(36, 7);
  pen.stroke();
}

/** Buttons that go to the peaks, the worst of each section, each warning and each stop. */
const GROUPS = [
  ['peak', 'Peaks'],
  ['load', 'Worst of each section'],
  ['warning', 'Warnings'],
  ['stop', 'Stops'],
] as const;

export function momentsPanel(
  moments: readonly Moment[],
  go: (moment: Moment) => void,
): HTMLElement[] {
  return GROUPS.flatMap(([kind, heading]) => {
    const own = moments.filter((m) => m.kind === kind).map((m) => make('li', {}, item(m, go)));
    const body = own.length > 0 ? make('ol', { class: 'moments' }, ...own) : make('p', {}, 'None.');
    return [make('h3', {}, heading), body];
  });
}

function item(moment: Moment, go: (moment: Moment) => void): HTMLElement {
  const detail = moment.detail === '' ? [] : [make('span', { class: 'detail' }, moment.detail)];
  if (moment.entry === null) {
    const note = make('span', { class: 'detail' }, 'Concerns the whole job.');
    return make('p', { class: 'moment' }, moment.title, note);
  }
  const attributes = { class: 'moment', 'data-kind': moment.kind, 'data-entry': moment.entry };
  const element = button('', () => go(moment), attributes);
  element.append(make('span', {}, moment.title), ...detail);
  return element;
}

/**
 * The warning sheet, for printing: hidden on the screen, and the only thing on paper. It keeps a
 * style of its own in a shadow tree, so that neither page disturbs the other.
 */
export function putSheet(host: HTMLElement, sheetHtml: string): void {
  const shadow = host.shadowRoot ?? host.attachShadow({ mode: 'open' });
  // The policy of the page allows no style element but its own, so rules go in as style sheets.
  const rules: string[] = [];
  const markup = sheetHtml.replace(/<style[^>]*>([^]*?)<\/style>/g, (_, text: string) => {
    rules.push(text);
    return '';
  });
  const sheet = new DOMParser().parseFromString(markup, 'text/html');
  shadow.adoptedStyleSheets = rules.map((text) => {
    const own = new CSSStyleSheet();
    own.replaceSync(text);
    return own;
  });
  // The size of the paper counts for the whole document only.
  const paper = new CSSStyleSheet();
  paper.replaceSync(rules.flatMap((text) => text.match(/@page[^{]*\{[^}]*\}/g) ?? []).join('\n'));
  document.adoptedStyleSheets = [paper];
  // Elements named html and body are kept, so that the sheet's own rules find them.
  const page = document.importNode(sheet.documentElement, true);
  for (const head of page.querySelectorAll('head, script, link, meta')) head.remove();
  // Here it is a part of a page; its drawings, wider than a phone, are scrolled by keys, too.
  for (const main of page.querySelectorAll('main')) main.replaceWith(...main.childNodes);
  for (const part of page.querySelectorAll('.scroll')) part.setAttribute('tabindex', '0');
  shadow.replaceChildren(page);
}
