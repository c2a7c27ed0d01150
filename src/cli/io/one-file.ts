/** Writing one file that a person named: whole or not at all, over another only where they say so. */
import { existsSync, rmSync, statSync } from 'node:fs';
import { resolve } from 'node:path';
import { PathError } from '../command.js';
import { DISK, patiently } from './disk.js';
import { writeFlushed } from './output-folder.js';
import { aboutPath, checkName } from './read-text.js';

/**
 * @param force  a plain file that is there is replaced
 * @returns      its full path
 * @throws       PathError
 */
export function writeOne(path: string, cwd: string, text: string, force: boolean): string {
  checkName(path);
  const target = resolve(cwd, path);
  aboutPath(path, () => {
    if (existsSync(target)) {
      if (!statSync(target).isFile()) {
        throw new PathError(path, 'is not a plain file', 'give the name of a file');
      }
      if (!force)
        throw new PathError(path, 'is there already', 'choose another name, or add --force');
    }
    replaceFile(target, text);
  });
  return target;
}

/** Writes a file beside its place and moves it there, over what is there. */
export function replaceFile(target: string, text: string): void {
  const part = `${target}.part-${process.pid}`;
  rmSync(part, { force: true });
  try {
    writeFlushed(part, text);
    patiently(DISK, () => DISK.rename(part, target));
  } finally {
    rmSync(part, { force: true });
  }
}
