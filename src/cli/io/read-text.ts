import { closeSync, constants, fstatSync, openSync, readSync } from 'node:fs';
import { resolve } from 'node:path';
import { PathError } from '../command.js';
import { aboutPath } from './fs-fault.js';

/**
 * Text of a file that a person named.
 * @param path      as given, used in messages
 * @param cwd       folder that a relative path starts from
 * @param maxBytes  larger files are refused before they are read
 * @param keepMark  a byte order mark stays in the text: a control would be sent it
 * @throws          PathError when it is missing, a folder, a device, unreadable, too large or not UTF-8
 */
export function readTextFile(
  path: string,
  cwd: string,
  maxBytes: number,
  keepMark = false,
): string {
  const bytes = aboutPath(path, () => readBytes(path, cwd, maxBytes));
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: keepMark }).decode(bytes);
  } catch {
    throw new PathError(path, 'is not text in UTF-8', 'save it as UTF-8');
  }
}

function readBytes(path: string, cwd: string, maxBytes: number): Buffer {
  if (path.includes('\0')) {
    throw new PathError(path, 'is not a file name', 'check the name');
  }
  // Without O_NONBLOCK, opening a named pipe that nobody writes to would wait for ever.
  const flags = constants.O_RDONLY | (constants.O_NONBLOCK ?? 0);
  const file = openSync(resolve(cwd, path), flags);
  try {
    const stat = fstatSync(file);
    if (stat.isDirectory()) throw new PathError(path, 'is a folder', 'give a file');
    if (!stat.isFile()) {
      throw new PathError(path, 'is not a plain file', 'give a file on disk');
    }
    const buffer = Buffer.alloc(Math.min(stat.size, maxBytes) + 1);
    let length = 0;
    for (let n = 1; n > 0 && length < buffer.length; length += n) {
      n = readSync(file, buffer, length, buffer.length - length, null);
    }
    if (length > maxBytes) {
      const rule = `is over the limit of ${maxBytes} bytes`;
      throw new PathError(path, rule, 'is this the right file?');
    }
    return buffer.subarray(0, length);
  } finally {
    closeSync(file);
  }
}
