import { lstatSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach } from 'vitest';

const made: string[] = [];

/** A new empty folder that is removed after the test. */
export function scratchFolder(): string {
  const path = mkdtempSync(join(tmpdir(), 'gullet-test-'));
  made.push(path);
  return path;
}

/** Every entry below a folder, hidden ones too, folders with a slash at the end. Sorted. */
export function tree(path: string): string[] {
  return readdirSync(path, { recursive: true })
    .map((entry) => String(entry))
    .map((entry) => (lstatSync(join(path, entry)).isDirectory() ? `${entry}/` : entry))
    .sort();
}

afterEach(() => {
  for (const path of made.splice(0)) rmSync(path, { recursive: true, force: true });
});
