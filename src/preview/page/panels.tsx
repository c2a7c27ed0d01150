/** Panels: what is shown and how it is coloured, moments to go to, and the sheet for the printer. */
import { Fragment } from 'preact';
import { type Paint, PAINTS, legendOf, type Rgb, cssColour } from '../data/paint.js';
import type { Moment } from '../data/moments.js';
import type { PageData } from '../data/page-data.js';
import { THINGS, type Thing } from '../scene/dry-run.js';
import { PATH_EXTENTS, type PathExtent } from '../scene/path-lines.js';
import { Checkbox, Choices } from './controls.js';
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

/** @param props.state  is changed in place */
export function ShowPanel(props: { readonly state: ShowState; readonly onChange: () => void }) {
  const { state, onChange } = props;
  const set = (part: Partial<ShowState>) => {
    Object.assign(state, part);
    onChange();
  };
  const paints = [...PAINTS, 'nothing'] as const;
  const { paint, patterned, path, things } = state;
  const thing = (name: Thing) => {
    const show = (on: boolean) => set({ things: things.set(name, on) });
    const is = { key: name, id: `thing-${name}`, label: name, checked: things.get(name)! };
    return <Checkbox {...is} set={show} />;
  };
  const paintBy = { legend: 'Colour by', name: 'paint', values: paints, chosen: paint };
  const pathOf = { legend: 'Path', name: 'path', values: PATH_EXTENTS, chosen: path };
  const label = 'Patterns as well as colours';
  return (
    <div class="show">
      <Choices {...paintBy} choose={(v) => set({ paint: v })} />
      <Checkbox label={label} checked={patterned} set={(on) => set({ patterned: on })} />
      <Choices {...pathOf} choose={(v) => set({ path: v })} />
      <fieldset class="things">
        <legend>In the scene</legend>
        {THINGS.map(thing)}
      </fieldset>
    </div>
  );
}

interface LegendProps extends Pick<ShowState, 'paint' | 'patterned'> {
  readonly data: PageData;
  readonly colours: readonly Rgb[];
}

/** Bands from low to high with their bounds; without colour the patterns and figures remain. */
export function Legend({ paint, data, ...swatch }: LegendProps) {
  if (paint === 'nothing') return null;
  const { title, labels } = legendOf(paint, data);
  return (
    <div>
      <p class="legend-title">{title}</p>
      <ol class="bands">
        {labels.map((label, band) => (
          <li key={band}>
            <Swatch {...swatch} band={band} />
            <span>{label}</span>
          </li>
        ))}
      </ol>
    </div>
  );
}

/** Colour of a band, and where wanted the pattern of its walls with the dashes of its path. */
function Swatch(props: Pick<LegendProps, 'colours' | 'patterned'> & { readonly band: number }) {
  const { colours, band, patterned } = props;
  const draw = (canvas: HTMLCanvasElement | null): void => {
    const pen = canvas?.getContext('2d');
    if (!pen) return;
    pen.fillStyle = cssColour(colours[band]!);
    pen.fillRect(0, 0, 36, 14);
    if (!patterned) return;
    pen.fillStyle = hatchesOf(pen, colours)[band]!;
    pen.fillRect(0, 0, 36, 14);
    dashes(pen, cssColour(colours[band]!), band);
  };
  return <canvas ref={draw} width={36} height={14} aria-hidden="true" />;
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

type Go = (moment: Moment) => void;

export function Moments(props: { readonly moments: readonly Moment[]; readonly go: Go }) {
  return GROUPS.map(([kind, heading]) => {
    const own = props.moments.filter((m) => m.kind === kind);
    const items = own.map((moment, k) => <li key={k}>{item(moment, props.go)}</li>);
    return (
      <Fragment key={kind}>
        <h3>{heading}</h3>
        {own.length > 0 ? <ol class="moments">{items}</ol> : <p>None.</p>}
      </Fragment>
    );
  });
}

function item(moment: Moment, go: Go) {
  const { kind, entry, title, detail } = moment;
  const note = (text: string) => <span class="detail">{text}</span>;
  if (entry === null) {
    return (
      <p class="moment">
        {title}
        {note('Concerns the whole job.')}
      </p>
    );
  }
  const attributes = { class: 'moment', 'data-kind': kind, 'data-entry': entry };
  return (
    <button type="button" {...attributes} onClick={() => go(moment)}>
      <span>{title}</span>
      {detail !== '' && note(detail)}
    </button>
  );
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
