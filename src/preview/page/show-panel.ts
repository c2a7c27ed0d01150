/** What is shown and how it is coloured, with the legend of the scale. */
import { type Paint, PAINTS, legendOf, type Rgb, cssColour } from '../data/paint.js';
import type { PageData } from '../data/page-data.js';
import { THINGS, type Thing } from '../scene/dry-run.js';
import { PATH_EXTENTS, type PathExtent } from '../scene/path-lines.js';
import { checkbox, choices, make } from './dom.js';
import { drawHatch } from './hatches.js';

export interface ShowState {
  paint: Paint | 'nothing';
  patterned: boolean;
  path: PathExtent;
  readonly things: Map<Thing, boolean>;
}

const PAINT_NAMES: Record<Paint | 'nothing', string> = {
  force: 'force',
  engagement: 'engagement',
  feed: 'feed',
  level: 'level',
  nothing: 'nothing',
};

const HIDDEN_FIRST: readonly Thing[] = ['part', 'keep-out'];

export function firstShow(): ShowState {
  const patterned = window.matchMedia('(prefers-contrast: more), (forced-colors: active)').matches;
  return {
    paint: 'force',
    patterned,
    path: 'this level',
    things: new Map(THINGS.map((t) => [t, !HIDDEN_FIRST.includes(t)])),
  };
}

export function showPanel(state: ShowState, onChange: () => void): HTMLElement {
  const panel = make('div', { class: 'show' });
  const paints = [...PAINTS, 'nothing'] as const;
  panel.append(
    choices(
      'Colour by',
      'paint',
      paints,
      state.paint,
      (v) => ((state.paint = v), onChange()),
      (v) => PAINT_NAMES[v],
    ),
    checkbox('Patterns as well as colours', state.patterned, (on) => {
      state.patterned = on;
      onChange();
    }),
    choices('Path', 'path', PATH_EXTENTS, state.path, (v) => ((state.path = v), onChange())),
  );
  const things = make('fieldset', { class: 'things' }, make('legend', {}, 'In the scene'));
  for (const thing of THINGS) {
    things.append(
      checkbox(
        thing,
        state.things.get(thing) ?? true,
        (on) => {
          state.things.set(thing, on);
          onChange();
        },
        `thing-${thing}`,
      ),
    );
  }
  panel.append(things);
  return panel;
}

/** Bands from low to high with their bounds; without colour the patterns and figures remain. */
export function legend(
  state: ShowState,
  data: PageData,
  colours: readonly Rgb[],
): HTMLElement | null {
  if (state.paint === 'nothing') return null;
  const { title, marks, unit } = legendOf(state.paint, data);
  const list = make('ol', { class: 'bands' });
  colours.forEach((colour, band) => {
    const swatch = make('canvas', { width: 36, height: 14, 'aria-hidden': 'true' });
    const pen = swatch.getContext('2d') as CanvasRenderingContext2D;
    pen.fillStyle = cssColour(colour);
    pen.fillRect(0, 0, 36, 14);
    if (state.patterned) {
      for (let x = 0; x < 36; x += 8) {
        for (let y = 0; y < 14; y += 8) {
          pen.save();
          pen.translate(x, y);
          drawHatch(pen, band, colour);
          pen.restore();
        }
      }
    }
    const last = band === colours.length - 1;
    const text = `${marks[band]} to ${marks[band + 1]}${last ? ` ${unit}` : ''}`;
    list.append(make('li', {}, swatch, make('span', {}, text)));
  });
  return make('div', {}, make('p', { class: 'legend-title' }, title), list);
}
