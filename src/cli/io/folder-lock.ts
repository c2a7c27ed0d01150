import { readFileSync, renameSync, statSync, unlinkSync, writeFileSync } from 'node:fs';
import { hostname } from 'node:os';
import { UserError } from '../command.js';
import { errorCode } from './read-text.js';

/** A lock left on another host cannot be asked whether its process lives; it counts this long. */
const FOREIGN_LOCK_MS = 24 * 3600 * 1000;
/** A lock without readable contents is one being written, or one whose writer was killed. */
const UNREADABLE_LOCK_MS = 10 * 1000;
const ATTEMPTS = 5;

interface Holder {
  readonly pid: number;
  readonly host: string;
  /** Start of the process in clock ticks since boot, where the system tells; else null. */
  readonly started: string | null;
  readonly token: string;
}

/** Tokens of locks that this process holds now. */
const held = new Set<string>();

/**
 * Takes the lock file at `path`. A lock whose process is gone is taken over.
 * @param token  unique to this run; hexadecimal
 * @param what   what is locked, for the message
 * @returns      a function that gives the lock back
 * @throws       UserError when another run holds it; errors of the file system
 */
export function takeLock(path: string, token: string, what: string): () => void {
  const { pid } = process;
  const own: Holder = { pid, host: hostname(), started: processStart(pid), token };
  for (let attempt = 0; attempt < ATTEMPTS; attempt++) {
    try {
      writeFileSync(path, JSON.stringify(own), { flag: 'wx' });
      held.add(token);
      return () => {
        held.delete(token);
        const holder = readHolder(path);
        if (holder !== 'gone' && holder?.token === token) unlinkSync(path);
      };
    } catch (error) {
      if (errorCode(error) !== 'EEXIST') throw error;
    }
    const other = readHolder(path);
    if (other === 'gone') continue;
    if (!isStale(other, path)) {
      const who = other === null ? 'another run' : `another run (process ${other.pid})`;
      throw new UserError(
        `${what}: ${who} is writing there; wait for it, or give another --out (lock: ${path})`,
      );
    }
    removeStale(path, other, token);
  }
  throw new UserError(`${what}: other runs keep writing there; give another --out (lock: ${path})`);
}

/** @returns null when it cannot be read as a lock, 'gone' when it is no longer there */
function readHolder(path: string): Holder | null | 'gone' {
  let text: string;
  try {
    text = readFileSync(path, 'utf8');
  } catch (error) {
    if (errorCode(error) === 'ENOENT') return 'gone';
    throw error;
  }
  try {
    const data = JSON.parse(text) as Holder;
    const ok = Number.isSafeInteger(data.pid) && data.pid > 0 && typeof data.token === 'string';
    return ok ? data : null;
  } catch {
    return null;
  }
}

function isStale(holder: Holder | null, path: string): boolean {
  // The age of a file is a matter between two clocks of this system, not of the job.
  const ageMs = () => Date.now() - (statSync(path, { throwIfNoEntry: false })?.mtimeMs ?? 0);
  if (holder === null) return ageMs() > UNREADABLE_LOCK_MS;
  if (holder.host !== hostname()) return ageMs() > FOREIGN_LOCK_MS;
  if (holder.pid === process.pid) return !held.has(holder.token);
  if (!isAlive(holder.pid)) return true;
  // Same number, other process: the number has been used again since.
  return holder.started !== null && holder.started !== processStart(holder.pid);
}

/**
 * Moves a stale lock away. Two runs can find the same stale lock; the slower one would move the
 * faster one's new lock, so what was moved is looked at and put back if it is not the stale one.
 */
function removeStale(path: string, stale: Holder | null, token: string): void {
  const aside = `${path}-${token}`;
  try {
    renameSync(path, aside);
  } catch (error) {
    if (errorCode(error) === 'ENOENT') return;
    throw error;
  }
  const moved = readHolder(aside);
  if (moved !== null && moved !== 'gone' && moved.token !== stale?.token) {
    writeFileSync(path, JSON.stringify(moved), { flag: 'wx' });
  }
  unlinkSync(aside);
}

function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return errorCode(error) === 'EPERM';
  }
}

/** Field 22 of /proc/PID/stat (proc(5)), where there is one. */
function processStart(pid: number): string | null {
  try {
    const stat = readFileSync(`/proc/${pid}/stat`, 'utf8');
    // The second field is a name in parentheses that may itself hold spaces.
    return stat.slice(stat.lastIndexOf(')') + 2).split(' ')[19] ?? null;
  } catch {
    return null;
  }
}
