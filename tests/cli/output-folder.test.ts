import { execFileSync, spawn } from 'node:child_process';
import { once } from 'node:events';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  readdirSync,
  renameSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { hostname, tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { build } from 'rolldown';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { UserError } from '../../src/cli/command.js';
import { DISK, type Disk } from '../../src/cli/io/disk.js';
import { type OutputFiles, withOutputFolder } from '../../src/cli/io/output-folder.js';
import { LONG } from '../cam/oracle/runs.js';
import { scratchFolder, tree } from './scratch.js';

/** Where a folder keeps the list of what was written there. */
const MARKER = '.gullet-files.json';

// The other processes of these tests run the same source, as one file that Node can load.
const bundleFolder = mkdtempSync(join(tmpdir(), 'gullet-bundle-'));
const bundle = join(bundleFolder, 'output-folder.mjs');
beforeAll(async () => {
  const output = { file: bundle, format: 'esm' } as const;
  await build({ input: resolve('src/cli/io/output-folder.ts'), platform: 'node', output });
});
afterAll(() => rmSync(bundleFolder, { recursive: true }));

const FILES: OutputFiles = { 'program.ngc': 'G21\n', 'sprocket.stl': new Uint8Array([1, 2, 3]) };

const NAMES = ['part/program.ngc', 'part/sprocket.stl'];

function write(cwd: string, dir: string, files: OutputFiles = FILES, force = false) {
  return withOutputFolder(dir, cwd, force, async (commit) => commit(files));
}

async function complaint(work: Promise<unknown>): Promise<string> {
  const error = await work.then(
    () => null,
    (e: unknown) => e,
  );
  expect(error).toBeInstanceOf(UserError);
  const { message } = error as UserError;
  expect(message).not.toContain('\n');
  return message;
}

describe('withOutputFolder', () => {
  it('writes every file and nothing else beside the folder', async () => {
    const cwd = scratchFolder();
    await write(cwd, 'out/part');
    expect(tree(cwd)).toEqual([
      'out/',
      'out/part/',
      `out/part/${MARKER}`,
      'out/part/program.ngc',
      'out/part/sprocket.stl',
    ]);
    expect(readFileSync(join(cwd, 'out/part/program.ngc'), 'utf8')).toBe('G21\n');
    expect([...readFileSync(join(cwd, 'out/part/sprocket.stl'))]).toEqual([1, 2, 3]);
  });

  it('replaces an earlier result as a whole', async () => {
    const cwd = scratchFolder();
    await write(cwd, 'part');
    await write(cwd, 'part', { 'plan.json': '{}' });
    expect(tree(cwd)).toEqual(['part/', `part/${MARKER}`, 'part/plan.json']);
  });

  it('writes into an empty folder and through a link to one', async () => {
    const cwd = scratchFolder();
    mkdirSync(join(cwd, 'real'));
    symlinkSync('real', join(cwd, 'link'));
    await write(cwd, 'link');
    expect(readFileSync(join(cwd, 'real', 'program.ngc'), 'utf8')).toBe('G21\n');
    expect(existsSync(join(cwd, 'link', 'program.ngc'))).toBe(true);
  });

  it('leaves no trace when the work fails, and the earlier result as it was', async () => {
    const cwd = scratchFolder();
    const fail = () =>
      withOutputFolder('a/b/part', cwd, false, async () => {
        throw new Error('no plan');
      });
    await expect(fail()).rejects.toThrow('no plan');
    expect(tree(cwd)).toEqual([]);
    await write(cwd, 'a/b/part');
    const before = tree(cwd);
    await expect(fail()).rejects.toThrow('no plan');
    expect(tree(cwd)).toEqual(before);
  });

  it('refuses file names that could leave the folder', async () => {
    const cwd = scratchFolder();
    for (const name of ['../x', 'a/b', '.hidden', 'A B', '']) {
      await expect(write(cwd, 'part', { 'a.txt': '', [name]: 'x' })).rejects.toThrow('not plain');
    }
    expect(tree(cwd)).toEqual([]);
  });

  it('refuses a folder that holds a file of other origin', async () => {
    const cwd = scratchFolder();
    mkdirSync(join(cwd, 'part'));
    writeFileSync(join(cwd, 'part', 'holiday.jpg'), 'x');
    const text = await complaint(write(cwd, 'part'));
    expect(text).toMatch(/^part: holds holiday.jpg, not written by gullet; .*--force/);
    expect(tree(cwd)).toEqual(['part/', 'part/holiday.jpg']);
  });

  it('refuses to lose a file that was changed by hand since', async () => {
    const cwd = scratchFolder();
    await write(cwd, 'part');
    writeFileSync(join(cwd, 'part', 'program.ngc'), 'G21\n(checked by hand)\n');
    expect(await complaint(write(cwd, 'part'))).toContain(
      'part: holds program.ngc, changed since gullet wrote it',
    );
  });

  it('does not take a damaged list for leave to delete', async () => {
    const cwd = scratchFolder();
    await write(cwd, 'part');
    for (const bad of ['', 'null', '{"sha256": 7}', '{"sha256": {"program.ngc": "00"}}']) {
      writeFileSync(join(cwd, 'part', MARKER), bad);
      expect(await complaint(write(cwd, 'part')), bad).toContain('--force');
    }
  });

  it('with force keeps files of other names', async () => {
    const cwd = scratchFolder();
    mkdirSync(join(cwd, 'part', 'photos'), { recursive: true });
    writeFileSync(join(cwd, 'part', 'photos', 'worn.jpg'), 'x');
    writeFileSync(join(cwd, 'part', 'program.ngc'), 'old');
    await write(cwd, 'part', FILES, true);
    expect(readFileSync(join(cwd, 'part', 'photos', 'worn.jpg'), 'utf8')).toBe('x');
    expect(readFileSync(join(cwd, 'part', 'program.ngc'), 'utf8')).toBe('G21\n');
    expect(tree(cwd).filter((entry) => entry.startsWith('.gullet'))).toEqual([]);
  });

  it('refuses a file, the folder one is in, and a folder above it', async () => {
    const cwd = scratchFolder();
    writeFileSync(join(cwd, 'file'), '');
    symlinkSync('nowhere', join(cwd, 'dangling'));
    expect(await complaint(write(cwd, 'file'))).toContain('file: is a file');
    expect(await complaint(write(cwd, 'file/part'))).toMatch(/^file\/part: .*folder/);
    expect(await complaint(write(cwd, '.'))).toContain('the folder you are in');
    expect(await complaint(write(cwd, '..'))).toContain('the folder you are in, or holds it');
    expect(await complaint(write(cwd, '/'))).toContain('the folder you are in, or holds it');
    expect(await complaint(write(cwd, ' '))).toContain('is not a folder name');
    expect(await complaint(write(cwd, 'a\0b'))).toContain('is not a folder name');
    expect(await complaint(write(cwd, 'dangling'))).toContain('a link that leads nowhere');
    expect(await complaint(write(cwd, 'x'.repeat(300)))).toContain('too long a name');
    expect(tree(cwd).filter((e) => e.startsWith('.gullet'))).toEqual([]);
  });

  it.skipIf(!existsSync('/proc/self'))('says when nothing can be written there', async () => {
    // As root, permission bits do not stop anybody; /proc does.
    expect(await complaint(write(scratchFolder(), '/proc/self/part'))).toMatch(
      /^\/proc\/self\/part: /,
    );
  });

  it('says when the disk is full, and leaves nothing', async (context) => {
    const cwd = scratchFolder();
    const disk = join(cwd, 'disk');
    mkdirSync(disk);
    try {
      execFileSync('mount', ['-t', 'tmpfs', '-o', 'size=256k', 'tmpfs', disk], { stdio: 'ignore' });
    } catch {
      context.skip('a small disk can only be mounted by an administrator');
    }
    try {
      await write(disk, 'part');
      const big = { 'program.ngc': 'G1\n'.repeat(1000), 'sprocket.stl': new Uint8Array(400_000) };
      expect(await complaint(write(disk, 'part', big))).toContain('part: does not fit');
      expect(tree(disk)).toEqual([
        'part/',
        `part/${MARKER}`,
        'part/program.ngc',
        'part/sprocket.stl',
      ]);
      expect(readFileSync(join(disk, 'part', 'program.ngc'), 'utf8')).toBe('G21\n');
    } finally {
      execFileSync('umount', [disk]);
    }
  });
});

describe('two runs into one folder', () => {
  it('leaves what the last one wrote, whole', async () => {
    const cwd = scratchFolder();
    await withOutputFolder('part', cwd, false, async (commit) => {
      await write(cwd, 'part', { 'other.txt': 'x' });
      commit(FILES);
    });
    expect(tree(cwd)).toEqual(['part/', `part/${MARKER}`, ...NAMES]);
  });

  it('holds nothing while it works: a run that is ended then has left nothing', async () => {
    const cwd = scratchFolder();
    await withOutputFolder('out/part', cwd, false, async () => expect(tree(cwd)).toEqual([]));
    expect(tree(cwd)).toEqual([]);
  });

  it('lets runs into neighbouring folders go on', async () => {
    const cwd = scratchFolder();
    await withOutputFolder('a', cwd, false, async (commit) => {
      await write(cwd, 'b');
      commit(FILES);
    });
    expect(tree(cwd)).toContain('a/program.ngc');
    expect(tree(cwd)).toContain('b/program.ngc');
  });

  it('never mixes the files of many processes', { timeout: 60_000 }, async () => {
    const cwd = scratchFolder();
    const [many, ms] = LONG ? [6, '2000'] : [3, '800'];
    const runs = Array.from({ length: many }, (_, i) => child(cwd, 'repeat', String(i), ms));
    const counts = await Promise.all(runs.map((run) => run.output));
    for (const count of counts) expect(count).toMatch(/^\d+$/);
    const wrote = counts.map(Number).reduce((a, b) => a + b, 0);
    expect(wrote).toBeGreaterThan(0);
    expect(tree(cwd)).toHaveLength(2 + 8);
    const texts = Array.from({ length: 8 }, (_, i) =>
      readFileSync(join(cwd, 'part', `file-${i}.txt`), 'utf8'),
    );
    expect(new Set(texts).size).toBe(1);
  });
});

describe('a run that is told to end while it writes', () => {
  // Windows has no signals to send.
  it
    .skipIf(process.platform === 'win32')
    .each(LONG ? (['SIGINT', 'SIGTERM', 'SIGHUP'] as const) : (['SIGTERM'] as const))(
    'by %s ends by it, with all of its files there and nothing else',
    async (signal) => {
      const cwd = scratchFolder();
      const run = child(cwd, 'slow', '0', '400');
      await until(() => tree(cwd).some((e) => /\.tmp-[0-9a-f]{12}\/file-3\.txt$/.test(e)));
      run.process.kill(signal);
      const [, by] = (await once(run.process, 'exit')) as [number | null, string | null];
      expect(by).toBe(signal);
      expect(readdirSync(cwd)).toEqual(['part']);
      expect(readdirSync(join(cwd, 'part'))).toHaveLength(400 + 1);
    },
  );
});

describe('a run that is told to end while it works', () => {
  it.skipIf(process.platform === 'win32')('ends at once and has left nothing', async () => {
    const cwd = scratchFolder();
    const run = child(cwd, 'busy', '0');
    await once(run.process.stdout, 'data');
    run.process.kill('SIGINT');
    const [, by] = (await once(run.process, 'exit')) as [number | null, string | null];
    expect(by).toBe('SIGINT');
    expect(await run.output).toBe('at work\n');
    expect(tree(cwd)).toEqual([]);
  });
});

describe('a file that another program has open', () => {
  const held = (code: string): Error => Object.assign(new Error(code), { code, syscall: 'rename' });
  /** Fails at moves that `fails` names, as a system does where open files bar them. */
  const diskWith = (fails: (from: string, to: string, tried: number) => string | null) => {
    const waits: number[] = [];
    let tried = 0;
    const disk: Disk = {
      ...DISK,
      heldCodes: ['EBUSY', 'EPERM', 'EACCES', 'ENOTEMPTY'],
      pauseMs: (ms) => void waits.push(ms),
      rename(from, to) {
        const code = fails(from, to, ++tried);
        if (code !== null) throw held(code);
        DISK.rename(from, to);
      },
    };
    return { disk, waits };
  };
  const again = (cwd: string, disk: Disk) =>
    withOutputFolder('part', cwd, false, async (commit) => commit({ 'new.txt': 'x' }), disk);

  it.each(['EBUSY', 'EPERM', 'EACCES'])('for a moment, %s: is tried again', async (code) => {
    const cwd = scratchFolder();
    await write(cwd, 'part');
    const { disk, waits } = diskWith((_, __, tried) => (tried <= 3 ? code : null));
    await again(cwd, disk);
    expect(waits).toHaveLength(3);
    expect(tree(cwd)).toEqual(['part/', `part/${MARKER}`, 'part/new.txt']);
  });

  it.each([
    ['the old folder', (from: string) => /part$/.test(from)],
    ['the new folder', (from: string) => /\.tmp-/.test(from)],
  ])('for good, %s: one line, and what was there is as it was', async (_, which) => {
    const cwd = scratchFolder();
    await write(cwd, 'part');
    const { disk, waits } = diskWith((from) => (which(from) ? 'EPERM' : null));
    const text = await complaint(again(cwd, disk));
    expect(text).toBe(
      'part: holds a file that another program has open; what was there is as it was; close it and run again, or give another --out',
    );
    // A second in all, not for ever.
    expect(waits.reduce((a, b) => a + b)).toBeLessThanOrEqual(1000);
    expect(tree(cwd)).toEqual(['part/', `part/${MARKER}`, ...NAMES]);
  });

  it('in the folder that was replaced: stays hidden and goes at the next run', async () => {
    const cwd = scratchFolder();
    await write(cwd, 'part');
    const disk: Disk = {
      ...diskWith(() => null).disk,
      remove: () => {
        throw held('EBUSY');
      },
    };
    await again(cwd, disk);
    expect(tree(cwd)).toContain('part/new.txt');
    expect(readdirSync(cwd)).toHaveLength(2);
    await again(cwd, DISK);
    expect(readdirSync(cwd)).toEqual(['part']);
  });
});

describe('a run that is killed', () => {
  it('in the middle of writing leaves the earlier result whole, and is cleared up', async () => {
    const cwd = scratchFolder();
    await write(cwd, 'part');
    const run = child(cwd, 'slow', '0');
    // Wait until some of its files are on disk.
    await until(() => tree(cwd).some((e) => /\.tmp-[0-9a-f]{12}\/file-3\.txt$/.test(e)));
    run.process.kill('SIGKILL');
    await once(run.process, 'exit');
    expect(readFileSync(join(cwd, 'part', 'program.ngc'), 'utf8')).toBe('G21\n');
    expect(tree(cwd)).toContain('.gullet-part.lock');

    await write(cwd, 'part', { 'plan.json': '{}' });
    expect(tree(cwd)).toEqual(['part/', `part/${MARKER}`, 'part/plan.json']);
  });

  it('between the two renames has its earlier result brought back', async () => {
    const cwd = scratchFolder();
    await write(cwd, 'part');
    writeFileSync(join(cwd, 'part', 'notes.txt'), 'mine');
    renameSync(join(cwd, 'part'), join(cwd, '.gullet-part.old-0123456789ab'));
    const text = await complaint(write(cwd, 'part'));
    expect(text).toContain('holds notes.txt');
    expect(readFileSync(join(cwd, 'part', 'notes.txt'), 'utf8')).toBe('mine');
    expect(readFileSync(join(cwd, 'part', 'program.ngc'), 'utf8')).toBe('G21\n');
  });

  it('after the second rename loses no file of other origin', async () => {
    const cwd = scratchFolder();
    await write(cwd, 'part');
    mkdirSync(join(cwd, '.gullet-part.old-0123456789ab'));
    writeFileSync(join(cwd, '.gullet-part.old-0123456789ab', 'notes.txt'), 'mine');
    await complaint(write(cwd, 'part'));
    expect(readFileSync(join(cwd, 'part', 'notes.txt'), 'utf8')).toBe('mine');
    rmSync(join(cwd, 'part', 'notes.txt'));
    await write(cwd, 'part');
  });

  it('leaves a lock that is taken over, even if its number runs as something else now', async () => {
    const cwd = scratchFolder();
    const dead = spawn(process.execPath, ['-e', '']);
    await once(dead, 'exit');
    const lock = join(cwd, '.gullet-part.lock');
    const holder = { host: hostname(), token: 'a'.repeat(12) };
    writeFileSync(lock, JSON.stringify({ ...holder, pid: dead.pid, started: null }));
    await write(cwd, 'part');
    writeFileSync(lock, JSON.stringify({ ...holder, pid: process.pid, started: '1' }));
    await write(cwd, 'part');
    if (existsSync('/proc/self')) {
      writeFileSync(lock, JSON.stringify({ ...holder, pid: process.ppid, started: '1' }));
      await write(cwd, 'part');
    }
    expect(existsSync(lock)).toBe(false);
  });

  it('does not take over the lock of a run on another computer, or one just being written', async () => {
    const cwd = scratchFolder();
    const lock = join(cwd, '.gullet-part.lock');
    const elsewhere = { host: 'some-other-host', token: 'a'.repeat(12), pid: 1, started: null };
    for (const text of [JSON.stringify(elsewhere), '']) {
      writeFileSync(lock, text);
      expect(await complaint(write(cwd, 'part'))).toContain('is writing there');
      expect(readFileSync(lock, 'utf8')).toBe(text);
    }
  });
});

/** Writes from another process: `slow` thousands of files once, `repeat` eight files for so many ms. */
function child(cwd: string, mode: 'slow' | 'repeat' | 'busy', mark: string, count = '5000') {
  const process_ = spawn(
    process.execPath,
    [resolve('tests/cli/writer.mjs'), bundle, mode, mark, count],
    {
      cwd,
    },
  );
  let text = '';
  process_.stdout.on('data', (data) => (text += String(data)));
  process_.stderr.on('data', (data) => (text += String(data)));
  return { process: process_, output: once(process_, 'close').then(() => text) };
}

async function until(done: () => boolean): Promise<void> {
  for (let i = 0; i < 1000; i++) {
    try {
      if (done()) return;
    } catch {
      // The tree changed while it was being listed.
    }
    await new Promise((r) => setTimeout(r, 10));
  }
  throw new Error('did not happen within 10 s');
}
