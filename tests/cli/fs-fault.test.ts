import { chmodSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { PathError } from '../../src/cli/command.js';
import { fsFault } from '../../src/cli/io/fs-fault.js';
import { readTextFile } from '../../src/cli/io/read-text.js';
import { scratchFolder } from './scratch.js';

describe('fsFault', () => {
  it('turns what a person can put right into one line, and leaves the rest alone', () => {
    const fault = (code: string) =>
      fsFault(Object.assign(new Error('x'), { code, syscall: 'open' }), 'out/part');
    expect((fault('EROFS') as Error).message).toBe(
      'out/part: is on a disk that is read-only; choose another place',
    );
    expect(fault('EACCES')).toBeInstanceOf(PathError);
    expect((fault('EWHATEVER') as Error).message).toContain('cannot be used (EWHATEVER)');
    const bug = new TypeError('x is not a function');
    expect(fsFault(bug, 'out/part')).toBe(bug);
    expect(fsFault(Object.assign(new Error('x'), { code: 'ERR_BUG' }), 'a')).not.toBeInstanceOf(
      PathError,
    );
  });

  it('tells of a file that may not be read', (context) => {
    if (process.getuid?.() === 0) context.skip('permissions do not stop an administrator');
    const cwd = scratchFolder();
    writeFileSync(join(cwd, 'job.yaml'), '');
    chmodSync(join(cwd, 'job.yaml'), 0);
    expect(() => readTextFile('job.yaml', cwd, 100)).toThrow(
      'job.yaml: may not be used by this account',
    );
  });
});
