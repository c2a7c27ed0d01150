import { PathError } from '../command.js';

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

/** Error of the file system that names a path, as one line; anything else comes back unchanged. */
export function fsFault(error: unknown, path: string): unknown {
  const code = (error as { code?: unknown } | null)?.code;
  if (typeof code !== 'string' || !(error instanceof Error) || !('syscall' in error)) return error;
  const [rule, fix] = REASONS[code] ?? [`cannot be used (${code})`, 'check the path'];
  return new PathError(path, rule, fix);
}

/** Runs `action`; an error of the file system becomes a line about `path`. */
export function aboutPath<T>(path: string, action: () => T): T {
  try {
    return action();
  } catch (error) {
    throw fsFault(error, path);
  }
}
