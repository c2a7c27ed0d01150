/** Handing files to the person: one by one, or all in one archive. */
import { strToU8, zipSync } from 'three/addons/libs/fflate.module.js';

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
