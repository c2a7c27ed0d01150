/** The plan in a few figures, beside those of the plan before it. */
import type { PageData } from '../data/page-data.js';
import { make } from '../page/dom.js';
import { clock, smallLength } from '../page/format.js';

function figuresOf({ figures }: PageData): readonly (readonly [string, string])[] {
  const { predicted, limits } = figures.summary;
  const force = (axis: 'x' | 'y') =>
    `${predicted.peakForceN[axis].toFixed(0)} of ${limits.allowedForceN[axis].toFixed(0)} N`;
  return [
    ['Time in all', clock(60 * predicted.totalMin)],
    ['Roughing', clock(60 * predicted.roughCutMin)],
    ['Peak X', force('x')],
    ['Peak Y', force('y')],
    ['Engagement', `${predicted.peakEngagementDeg.toFixed(1)}°`],
    ['Form error', smallLength(figures.finish.errorMm)],
    ['Tip diameter', `${figures.profile.tipDiameterMm.toFixed(2)} mm`],
    ['Warnings', String(figures.summary.warnings.length)],
  ];
}

/**
 * @param heading  of the figures of this plan: what they rest on
 * @param before   the plan before it, which has been checked; null where there is none
 */
export function outcome(data: PageData, heading: string, before: PageData | null): HTMLElement[] {
  const now = figuresOf(data);
  const old = before ? figuresOf(before) : null;
  const head = make(
    'tr',
    {},
    make('td'),
    make('th', { scope: 'col' }, heading),
    ...(old ? [make('th', { scope: 'col' }, 'Before')] : []),
  );
  const rows = now.map(([name, value], k) =>
    make(
      'tr',
      {},
      make('th', { scope: 'row' }, name),
      make('td', {}, value),
      ...(old
        ? [make('td', { class: 'soft' }, old[k]?.[1] === value ? 'same' : (old[k]?.[1] ?? ''))]
        : []),
    ),
  );
  return [
    make('caption', { class: 'visually-hidden' }, 'The plan in figures'),
    make('thead', {}, head),
    make('tbody', {}, ...rows),
  ];
}
