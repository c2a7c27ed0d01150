/** What comes of a plan: a few figures beside those of the plan before it, and its files. */
import { strToU8, zipSync } from 'three/addons/libs/fflate.module.js';
import type { PageData } from '../data/page-data.js';
import { make, clock, smallLength } from '../page/dom.js';

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

export type Files = Readonly<Record<string, string | Uint8Array>>;

const KINDS: Readonly<Record<string, string>> = {
  html: 'text/html',
  json: 'application/json',
  svg: 'image/svg+xml',
  zip: 'application/zip',
};

/** Offers a file for saving. */
export function save(name: string, contents: string | Uint8Array): void {
  const kind = KINDS[name.slice(name.lastIndexOf('.') + 1)] ?? 'application/octet-stream';
  const bytes = typeof contents === 'string' ? strToU8(contents) : contents;
  const url = URL.createObjectURL(new Blob([bytes as Uint8Array<ArrayBuffer>], { type: kind }));
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}

/** One archive of all files; the date in it is fixed, so that equal files make equal archives. */
export function archive(files: Files): Uint8Array {
  const entries = Object.entries(files).sort(([a], [b]) => (a < b ? -1 : 1));
  const parts = entries.map(([name, contents]) => [
    name,
    typeof contents === 'string' ? strToU8(contents) : contents,
  ]);
  return zipSync(Object.fromEntries(parts) as Record<string, Uint8Array>, {
    level: 6,
    mtime: new Date(1980, 0, 1),
  });
}
