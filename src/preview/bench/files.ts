/**
 * Files that leave the page, one by one or as one archive, and files that a person opens: a job, the
 * machine files that it names, and the log of a machine.
 */
import { strToU8, zipSync } from 'three/addons/libs/fflate.module.js';
import { LOG_ENDING } from '../../text/file-name.js';
import { JOB_FILE_LIMITS, readJobInput } from '../../text/yaml-text.js';
import type { Files } from '../live/messages.js';
import { make } from '../page/dom.js';
import type { Bench } from './bench.js';

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

interface FileEvent {
  readonly currentTarget: HTMLInputElement;
}

/** Opens what was chosen; a file with a sprocket in it is the job, any other is a machine. */
export async function openFiles(bench: Bench, { currentTarget: input }: FileEvent): Promise<void> {
  for (const file of input.files ?? []) await openFile(bench, file);
  input.value = '';
}

async function openFile(bench: Bench, file: File): Promise<void> {
  if (file.size > JOB_FILE_LIMITS.maxBytes) return bench.say(`${file.name}: is too large`);
  const text = await file.text();
  const { input, faults } = readJobInput(text, file.name);
  if (file.name.endsWith(LOG_ENDING)) return bench.addMachineFile(file.name, text);
  // A machine file may have what a job may not, such as lists.
  const isMachine = !('sprocket' in input) && /^\s*(?:"?basedOn|"?travelMm|"?id)"?\s*:/m.test(text);
  if (isMachine) return bench.addMachineFile(file.name, text);
  if (faults.length > 0 || 'sprocket' in input || 'chain' in input) {
    return bench.open({ file: file.name, text, machineFiles: {} });
  }
  bench.say(`${file.name}: is neither a job nor a machine; a job has a sprocket in it`);
}
