import { chmodSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { PathError } from '../../src/cli/command.js';
import { aboutPath, readTextFile } from '../../src/cli/io/read-text.js';
import { scratchFolder } from './scratch.js';

describe('an error of the file system', () => {
  it('turns what a person can put right into one line, and leaves the rest alone', () => {
    const thrown = (error: Error) => () =>
      aboutPath('out/part', () => {
        throw error;
      });
    const fault = (code: string) =>
      thrown(Object.assign(new Error('x'), { code, syscall: 'open' }));
    expect(fault('EROFS')).toThrow(
      'out/part: is on a disk that is read-only; choose another place',
    );
    expect(fault('EACCES')).toThrow(PathError);
    expect(fault('EWHATEVER')).toThrow('cannot be used (EWHATEVER)');
    const bug = new TypeError('x is not a function');
    expect(thrown(bug)).toThrow(bug);
    const own = Object.assign(new Error('x'), { code: 'ERR_BUG' });
    expect(thrown(own)).toThrow(own);
    expect(thrown(own)).not.toThrow(PathError);
  });

  it('says that it does not read standard input', () => {
    expect(() => readTextFile('-', '/', 100)).toThrow(
      '-: stands for standard input, which is not read here; save it as a file and give its name',
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
