/**
 * A folder of results, swapped in whole. Of the folder: its lock, one file, reading what a person named,
 * signals, moving where another holds a file open, the page's files and their server.
 */
import { createHash, randomBytes } from 'node:crypto';
import {
  chmodSync,
  closeSync,
  existsSync,
  fsyncSync,
  lstatSync,
  mkdirSync,
  openSync,
  readFileSync,
  readdirSync,
  realpathSync,
  renameSync,
  rmSync,
  rmdirSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { basename, dirname, isAbsolute, join, relative, resolve, sep } from 'node:path';
import { plural, showPath } from '../../text/show.js';
import { PathError, UserError } from '../command.js';
import { DISK, type Disk, isHeld, patiently } from './disk.js';
import { takeLock } from './folder-lock.js';
import { aboutPath, errorCode } from './read-text.js';
import { signalsHeard, uninterrupted } from './signals.js';

/** Lists what a run wrote, with checksums, so that the next run knows its own files. */
const MARKER = '.gullet-files.json';

export type OutputFiles = Readonly<Record<string, string | Uint8Array>>;

interface Target {
  /** As the person gave it. */
  readonly shown: string;
  readonly path: string;
  readonly parent: string;
  readonly name: string;
  readonly token: string;
  readonly force: boolean;
}

/**
 * An output folder for one run: looked at before the work starts, written at its end as a whole or
 * not at all.
 *
 *     out/                    1. files go to out/.gullet-part.tmp-TOKEN, each flushed to disk
 *       part/                 2. out/part is renamed to out/.gullet-part.old-TOKEN
 *       .gullet-part.lock     3. the new folder is renamed to out/part
 *                             4. files of other origin (with --force) move over; the old one goes
 *
 * The lock is held while this is done, and no longer: a run that is ended at work leaves nothing.
 * Ctrl-C and the like wait until it is done. A run that is killed in the middle leaves a hidden
 * folder behind; the next run into the same folder clears it away, and if it was killed between 2
 * and 3, brings the old folder back first.
 *
 * @param work  gets a function that writes the files and returns their names, sorted; called once
 *   or not at all
 * @throws      UserError in one line for anything about the folder that a person can put right
 */
export async function withOutputFolder<T>(
  dir: string,
  cwd: string,
  force: boolean | undefined,
  work: (commit: (files: OutputFiles) => readonly string[]) => Promise<T>,
  disk: Disk = DISK,
): Promise<T> {
  const guard = <R>(action: () => R): R => aboutPath(dir, action);
  const target = guard(() => findTarget(dir, cwd, force === true));
  const locked = (action: () => void): void => {
    uninterrupted(() => {
      const made = guard(() => mkdirSync(target.parent, { recursive: true }));
      try {
        const lockPath = join(target.parent, `.gullet-${target.name}.lock`);
        const release = guard(() => takeLock(lockPath, target.token, showPath(dir)));
        try {
          guard(() => clearLeftovers(target, disk));
          guard(() => refuseForeign(target));
          guard(action);
        } finally {
          guard(release);
        }
      } finally {
        if (made !== undefined) removeEmpty(target.parent, made);
      }
    });
  };
  // What cannot be written into is told before the work, which may take minutes.
  locked(() => {});
  await signalsHeard();
  return await work((files) => {
    locked(() => replaceFolder(target, files, disk));
    return Object.keys(files).sort();
  });
}

/** Tells a person what was written. */
export function wroteLine(out: string, names: readonly string[]): string {
  return `Wrote ${plural(names.length, 'file')} to ${out}: ${names.join(', ')}`;
}

function findTarget(shown: string, cwd: string, force: boolean): Target {
  if (shown.trim() === '' || shown.includes('\0')) {
    throw new UserError(`--out: "${showPath(shown)}" is not a folder name; give one`);
  }
  let path = resolve(cwd, shown);
  if (lstatSync(path, { throwIfNoEntry: false })?.isSymbolicLink() === true) {
    if (!existsSync(path)) {
      throw new UserError(`${showPath(shown)}: is a link that leads nowhere; remove it`);
    }
    path = realpathSync(path);
  }
  if (statSync(path, { throwIfNoEntry: false })?.isDirectory() === false) {
    throw new UserError(`${showPath(shown)}: is a file; give a folder for --out`);
  }
  // The folder itself may be gone for a moment while another run replaces it; its parent is not.
  if (existsSync(dirname(path))) path = join(realpathSync(dirname(path)), basename(path));
  const toCwd = relative(path, realpathSync(cwd));
  if (toCwd !== '..' && !toCwd.startsWith(`..${sep}`) && !isAbsolute(toCwd)) {
    const fix = 'give a folder of its own, such as --out out/part';
    throw new UserError(`${showPath(shown)}: is the folder you are in, or holds it; ${fix}`);
  }
  const token = randomBytes(6).toString('hex');
  return { shown, path, parent: dirname(path), name: basename(path), token, force };
}

/** Removes folders that were made for the output, from the innermost up, while they are empty. */
function removeEmpty(from: string, upTo: string): void {
  for (let path = from; path.length >= upTo.length; path = dirname(path)) {
    try {
      rmdirSync(path);
    } catch {
      return;
    }
  }
}

/** Entries of a folder that no run of this tool wrote, or that were changed since. */
function foreignEntries(path: string): readonly string[] {
  if (!existsSync(path)) return [];
  const own = readMarker(path);
  return readdirSync(path).filter((entry) => {
    if (entry === MARKER && own !== null) return false;
    const sum = own?.get(entry);
    const file = join(path, entry);
    return sum === undefined || !lstatSync(file).isFile() || sha256(readFileSync(file)) !== sum;
  });
}

function readMarker(path: string): ReadonlyMap<string, string> | null {
  try {
    const data = JSON.parse(readFileSync(join(path, MARKER), 'utf8')) as { sha256: object };
    return new Map(Object.entries(data.sha256));
  } catch {
    return null;
  }
}

function sha256(contents: string | Uint8Array): string {
  return createHash('sha256').update(contents).digest('hex');
}

function refuseForeign(target: Target): void {
  if (target.force) return;
  const [first, ...more] = foreignEntries(target.path);
  if (first === undefined) return;
  const changed = readMarker(target.path)?.has(first) === true;
  const what = changed ? 'changed since gullet wrote it' : 'not written by gullet';
  const rest = more.length > 0 ? ` (and ${more.length} more)` : '';
  throw new UserError(
    `${showPath(target.shown)}: holds ${showPath(first)}${rest}, ${what}; ` +
      `give another folder, or --force to write there all the same`,
  );
}

function replaceFolder(target: Target, files: OutputFiles, disk: Disk): void {
  const { path, parent, name, token } = target;
  const fresh = join(parent, `.gullet-${name}.tmp-${token}`);
  const old = join(parent, `.gullet-${name}.old-${token}`);
  const move = (from: string, to: string): void => patiently(disk, () => disk.rename(from, to));
  try {
    mkdirSync(fresh);
    writeAll(fresh, files);
    const before = statSync(path, { throwIfNoEntry: false });
    if (before !== undefined) {
      chmodSync(fresh, before.mode & 0o7777);
      move(path, old);
    }
    try {
      move(fresh, path);
    } catch (error) {
      if (before !== undefined) move(old, path);
      throw error;
    }
    flush(parent);
    if (before !== undefined) retire(old, path, disk);
  } catch (error) {
    rmSync(fresh, { recursive: true, force: true });
    if (!isHeld(disk, error)) throw error;
    const rule = 'holds a file that another program has open; what was there is as it was';
    throw new PathError(target.shown, rule, 'close it and run again, or give another --out');
  }
}

function writeAll(folder: string, files: OutputFiles): void {
  const sums: Record<string, string> = {};
  for (const [file, contents] of Object.entries(files)) {
    if (!/^[a-z0-9][a-z0-9._-]{0,99}$/.test(file)) {
      throw new Error(`output file name "${file}" is not plain`);
    }
    writeFlushed(join(folder, file), contents);
    sums[file] = sha256(contents);
  }
  writeFlushed(join(folder, MARKER), `${JSON.stringify({ sha256: sums }, null, 2)}\n`);
  flush(folder);
}

/** Writes a file that is not there yet, through to the disk. */
export function writeFlushed(path: string, contents: string | Uint8Array): void {
  writeFileSync(path, contents, { flag: 'wx', flush: true });
}

/** Makes renames in a folder last; some systems cannot flush a folder, and then there is no way. */
function flush(folder: string): void {
  try {
    const file = openSync(folder, 'r');
    try {
      fsyncSync(file);
    } finally {
      closeSync(file);
    }
  } catch (error) {
    if (!['EPERM', 'EISDIR', 'EINVAL', 'EACCES'].includes(errorCode(error) ?? '')) throw error;
  }
}

/**
 * Empties the folder that was replaced: what others put there moves to the new one, the rest goes.
 * Files of a name that this run wrote anew are replaced: that is what --force asked for. What another
 * program holds open stays hidden until the next run.
 */
function retire(old: string, path: string, disk: Disk): void {
  try {
    for (const entry of foreignEntries(old)) {
      if (existsSync(join(path, entry))) continue;
      patiently(disk, () => disk.rename(join(old, entry), join(path, entry)));
    }
    patiently(disk, () => disk.remove(old));
  } catch (error) {
    if (!isHeld(disk, error)) throw error;
  }
}

/** Clears away what killed runs left beside the target. Only under the lock. */
function clearLeftovers(target: Target, disk: Disk): void {
  const ours = (kind: string) => {
    const prefix = `.gullet-${target.name}.${kind}-`;
    return readdirSync(target.parent)
      .filter((e) => e.startsWith(prefix) && /^[0-9a-f]{12}$/.test(e.slice(prefix.length)))
      .map((e) => join(target.parent, e));
  };
  for (const path of ours('tmp')) rmSync(path, { recursive: true, force: true });
  for (const path of ours('lock')) rmSync(path, { force: true });
  for (const old of ours('old')) {
    if (existsSync(target.path)) retire(old, target.path, disk);
    else renameSync(old, target.path);
  }
}
