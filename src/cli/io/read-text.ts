/** Reading a file that a person named; errors of the file system as one line about a path. */
import { closeSync, constants, fstatSync, openSync, readSync } from 'node:fs';
import { resolve } from 'node:path';
import { PathError } from '../command.js';

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
  const bytes = readByteFile(path, cwd, maxBytes);
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: keepMark }).decode(bytes);
  } catch {
    throw new PathError(path, 'is not text in UTF-8', 'save it as UTF-8');
  }
}

/** Bytes of a file that a person named, as {@link readTextFile}. */
export function readByteFile(path: string, cwd: string, maxBytes: number): Buffer {
  return aboutPath(path, () => readBytes(path, cwd, maxBytes));
}

function readBytes(path: string, cwd: string, maxBytes: number): Buffer {
  if (path === '-') {
    const rule = 'stands for standard input, which is not read here';
    throw new PathError(path, rule, 'save it as a file and give its name');
  }
  checkName(path);
  // Without O_NONBLOCK, opening a named pipe that nobody writes to would wait for ever.
  const flags = constants.O_RDONLY | (constants.O_NONBLOCK ?? 0);
  const file = openSync(resolve(cwd, path), flags);
  try {
    const stat = fstatSync(file);
    if (stat.isDirectory()) throw new PathError(path, 'is a folder', 'give a file');
    if (!stat.isFile()) throw new PathError(path, 'is not a plain file', 'give a file on disk');
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

/** What went wrong with a path, and what to do, for each error code that a person can act on. */
const REASONS: Readonly<Record<string, readonly [rule: string, fix: string]>> = {
  ENOENT: ['is not there', 'check the name'],
  EACCES: ['may not be used by this account', 'check who owns it and its permissions'],
  EPERM: ['may not be used by this account', 'check who owns it and its permissions'],
  EROFS: ['is on a disk that is read-only', 'choose another place'],
  ENOSPC: ['does not fit: the disk is full', 'make room or choose another place'],
  EDQUOT: ['does not fit: the disk quota is used up', 'make room or choose another place'],
  EFBIG: ['is larger than this disk or account may hold', 'choose another place'],
  EISDIR: ['is a folder', 'give a file'],
  ENOTDIR: ['lies under something that is not a folder', 'check the path'],
  ENAMETOOLONG: ['has too long a name', 'shorten it'],
  ELOOP: ['is a link that leads back to itself', 'check the link'],
  EBUSY: ['is in use', 'close what uses it, or choose another place'],
  EXDEV: ['spans two disks', 'give a folder that is not a mount point'],
  EIO: ['cannot be read or written (disk error)', 'check the disk'],
  EMFILE: ['cannot be opened: too many files are open', 'close some'],
};

/** @throws PathError for what no system takes for a name */
export function checkName(path: string): void {
  if (path !== '' && !path.includes('\0')) return;
  throw new PathError(path || '""', 'is not a file name', 'check the name');
}

/** Code of an error of the system, such as ENOENT. */
export function errorCode(error: unknown): string | undefined {
  const code = (error as { code?: unknown } | null)?.code;
  return typeof code === 'string' ? code : undefined;
}

/** Runs `action`; an error of the file system becomes a line about `path`. */
export function aboutPath<T>(path: string, action: () => T): T {
  try {
    return action();
  } catch (error) {
    const code = errorCode(error);
    if (code === undefined || !(error instanceof Error) || !('syscall' in error)) throw error;
    const [rule, fix] = REASONS[code] ?? [`cannot be used (${code})`, 'check the path'];
    throw new PathError(path, rule, fix);
  }
}
