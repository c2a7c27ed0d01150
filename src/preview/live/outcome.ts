/** What comes of a plan: a few figures beside those of the plan before it, and its files. */
import { strToU8, zipSync } from 'three/addons/libs/fflate.module.js';
import type { PageData } from '../data/page-data.js';
import type { Files } from './messages.js';
import { make, clock, smallLength } from '../page/dom.js';

function figuresOf({ figures }: PageData): readonly (readonly [string, string])[] {
  const { predicted, limits } = figures.summary;
  const drive = (axis: 'x' | 'y') =>
    `${predicted.driveDemandN[axis].toFixed(0)} of ${predicted.driveThrustN[axis].toFixed(0)} N`;
  const tooth = Math.max(predicted.peakForceN.x, predicted.peakForceN.y);
  return [
    ['Time in all', clock(60 * predicted.totalMin)],
    ['Roughing', clock(60 * predicted.roughCutMin)],
    ['Reaches its end', `${(100 * predicted.finishProbability).toFixed(1)} %`],
    ['Chatters', `${(100 * predicted.chatterProbability).toFixed(0)} %`],
    ['Tooth', `${tooth.toFixed(0)} of ${limits.peakForceN.toFixed(0)} N`],
    ['X drive', drive('x')],
    ['Y drive', drive('y')],
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
  const head = [heading, ...(old ? ['Before'] : [])].map((text) =>
    make('th', { scope: 'col' }, text),
  );
  const rows = now.map(([name, value], k) => {
    const was = old?.[k]![1];
    const cells = [make('th', { scope: 'row' }, name), make('td', {}, value)];
    if (was !== undefined) cells.push(make('td', { class: 'soft' }, was === value ? 'same' : was));
    return make('tr', {}, ...cells);
  });
  return [
    make('caption', { class: 'visually-hidden' }, 'The plan in figures'),
    make('thead', {}, make('tr', {}, make('td'), ...head)),
    make('tbody', {}, ...rows),
  ];
}

const KINDS: Readonly<Record<string, string>> = {
  html: 'text/html',
  json: 'application/json',
  svg: 'image/svg+xml',
  zip: 'application/zip',
};

/** Offers a file for saving. */
export function save(name: string, contents: string | Uint8Array): void {
  const kind = KINDS[name.slice(name.lastIndexOf('.') + 1)] ?? 'application/octet-stream';
  const bytes = bytesOf(contents) as Uint8Array<ArrayBuffer>;
  const url = URL.createObjectURL(new Blob([bytes], { type: kind }));
  const link = make('a', { href: url, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}

function bytesOf(contents: string | Uint8Array): Uint8Array {
  return typeof contents === 'string' ? strToU8(contents) : contents;
}

/** One archive of all files; the date in it is fixed, so that equal files make equal archives. */
export function archive(files: Files): Uint8Array {
  const names = Object.keys(files).sort();
  const parts = Object.fromEntries(names.map((name) => [name, bytesOf(files[name]!)]));
  return zipSync(parts, { level: 6, mtime: new Date(1980, 0, 1) });
}
