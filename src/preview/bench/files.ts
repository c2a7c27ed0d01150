/** Files that leave the page, one by one or as one archive, and files that come in. */
import { strToU8, zipSync } from 'three/addons/libs/fflate.module.js';
import type { Files } from '../live/messages.js';
import { make } from '../page/dom.js';

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
