/** Places that really cannot be read or written: an account without rights, a disk mounted read-only. */
import { execFileSync, spawnSync } from 'node:child_process';
import { chmodSync, closeSync, existsSync, mkdirSync, openSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { build } from 'rolldown';
import { describe, expect, it } from 'vitest';
import { withOutputFolder } from '../../src/cli/io/output-folder.js';
import { ensureBuilt } from '../built.js';
import { scratchFolder, tree } from './scratch.js';

/** Account and group of nobody. */
const NOBODY = 65534;

describe('as an account without rights', () => {
  it('a file, and a folder to write into, that are not its own', async (context) => {
    if (process.getuid?.() !== 0) context.skip('only an administrator can become another account');
    const cwd = scratchFolder();
    const file = join(cwd, 'code.mjs');
    const entry = join(cwd, 'entry.ts');
    const from = (name: string): string => JSON.stringify(resolve('src/cli/io', name));
    writeFileSync(
      entry,
      `import { readTextFile } from ${from('read-text.ts')};
       import { withOutputFolder } from ${from('output-folder.ts')};
       const told = async (work) => {
         try { await work(); console.log('no complaint'); } catch (e) { console.log(e.message); }
       };
       await told(() => readTextFile('job.yaml', process.cwd(), 100));
       await told(() => withOutputFolder('part', process.cwd(), false, (commit) => commit({ 'a.txt': 'x' })));`,
    );
    await build({ input: entry, platform: 'node', output: { file, format: 'esm' } });
    writeFileSync(join(cwd, 'job.yaml'), 'title: x\n');
    chmodSync(join(cwd, 'job.yaml'), 0o600);
    chmodSync(cwd, 0o755);
    const before = tree(cwd);
    const options = { cwd, uid: NOBODY, gid: NOBODY, encoding: 'utf8' } as const;
    try {
      execFileSync(process.execPath, ['-e', ''], options);
    } catch {
      context.skip('this Node may not be run by another account');
    }
    const out = execFileSync(process.execPath, [file], options);
    const lines = out.trimEnd().split('\n');
    expect(lines).toHaveLength(2);
    expect(lines[0]).toMatch(/^job\.yaml: may not be used by this account; /);
    expect(lines[1]).toMatch(/^part: may not be used by this account; /);
    expect(tree(cwd)).toEqual(before);
  });
});

describe('on a disk mounted read-only', () => {
  it('nothing is written and one line says why', async (context) => {
    const cwd = scratchFolder();
    const disk = join(cwd, 'disk');
    mkdirSync(disk);
    try {
      execFileSync('mount', ['-t', 'tmpfs', '-o', 'ro,size=64k', 'tmpfs', disk], {
        stdio: 'ignore',
      });
    } catch {
      context.skip('a disk can only be mounted by an administrator');
    }
    try {
      await expect(
        withOutputFolder('part', disk, false, async (commit) => commit({ 'a.txt': 'x' })),
      ).rejects.toThrow('part: is on a disk that is read-only; choose another place');
      expect(tree(disk)).toEqual([]);
    } finally {
      execFileSync('umount', [disk]);
    }
  });
});

describe('where nothing can be said', () => {
  it.skipIf(!existsSync('/dev/full'))('one line says why, and the exit status is 2', () => {
    ensureBuilt();
    const full = openSync('/dev/full', 'w');
    try {
      const { status, stderr } = spawnSync(
        process.execPath,
        [resolve('bin/gullet.mjs'), 'list', 'chains'],
        { stdio: ['ignore', full, 'pipe'], encoding: 'utf8' },
      );
      expect(stderr).toBe(
        'standard output: does not fit: the disk is full; make room or choose another place\n',
      );
      expect(status).toBe(2);
    } finally {
      closeSync(full);
    }
  });
});
