/** Moving and removing where another program may hold a file open for a moment. */
import { renameSync, rmSync } from 'node:fs';
import { errorCode } from './read-text.js';

/** What is done to a disk, so that a test can stand in for one. */
export interface Disk {
  readonly rename: (from: string, to: string) => void;
  /** A folder or a file with all that is in it. */
  readonly remove: (path: string) => void;
  /** Codes that mean "held by another program just now". */
  readonly heldCodes: readonly string[];
  readonly pauseMs: (ms: number) => void;
}

/** Where an open file bars its folder from being moved, that is told as a lack of rights, too. */
const HELD = process.platform === 'win32' ? ['EBUSY', 'EPERM', 'EACCES', 'ENOTEMPTY'] : ['EBUSY'];

export const DISK: Disk = {
  rename: renameSync,
  remove: (path) => rmSync(path, { recursive: true, force: true }),
  heldCodes: HELD,
  pauseMs: (ms) => void Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, ms),
};

/** Waits between tries. ms: together a second, which is longer than an indexer or a virus scanner
 *  looks at a small file. Common practice, no source. */
const WAITS_MS = [10, 30, 60, 100, 200, 300, 300];

/** Does it, and again after a wait while another program holds what it is about. */
export function patiently<T>(disk: Disk, action: () => T): T {
  for (const waitMs of WAITS_MS) {
    try {
      return action();
    } catch (error) {
      if (!isHeld(disk, error)) throw error;
      disk.pauseMs(waitMs);
    }
  }
  return action();
}

export function isHeld({ heldCodes }: Disk, error: unknown): boolean {
  return heldCodes.includes(errorCode(error) ?? '');
}
