import { posix, win32 } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { safeBaseName, safeName } from '../../src/text/file-name.js';

describe('names that every system takes', () => {
  it.each([
    ['examples/nursery-barrow.yaml', 'nursery-barrow'],
    ['C:\\Jobs\\Pinion 12.yaml', 'pinion-12'],
    ['c:pinion.yaml', 'pinion'],
    ['\\\\shed\\jobs\\rad.v2.yml', 'rad.v2'],
    ['Zahnkranz für Bärbel.yaml', 'zahnkranz-fur-barbel'],
    ['.hidden', 'hidden'],
    ['ab:c*d?e"f<g>h|i.yaml', 'ab-c-d-e-f-g-h-i'],
    ['trailing. . .yaml', 'trailing'],
    ['-', ''],
    ['звезда.yaml', ''],
  ])('%s -> %s', (path, name) => {
    expect(safeBaseName(path)).toBe(name);
  });

  // Microsoft, Naming Files, Paths, and Namespaces: reserved also with an ending.
  it.each(['CON', 'prn.yaml', 'aux.old.yaml', 'Nul', 'com1.yml', 'LPT9'])(
    '%s, a device somewhere, gets another name',
    (path) => {
      expect(safeBaseName(path)).toMatch(/^job-(con|prn|aux\.old|nul|com1|lpt9)$/);
    },
  );

  it('property: plain, short, the same again, and whole as a name on either system', () => {
    // Any code points but halves of a pair.
    const point = fc.integer({ min: 0, max: 0x10ffff }).filter((p) => p < 0xd800 || p > 0xdfff);
    const any = fc.array(point).map((points) => String.fromCodePoint(...points));
    const text = fc.oneof(any, fc.string());
    fc.assert(
      fc.property(text, (given) => {
        const name = safeName(given);
        expect(name).toMatch(/^([a-z0-9]([a-z0-9._-]*[a-z0-9])?)?$/);
        expect(name.length).toBeLessThanOrEqual(44);
        if (!name.startsWith('job-')) expect(safeName(name)).toBe(name);
        for (const path of [win32, posix]) {
          expect(path.basename(name)).toBe(name);
          expect(path.isAbsolute(name)).toBe(false);
        }
      }),
    );
  });

  it('property: the base name is that of the system the path is of', () => {
    const part = fc.stringMatching(/^[a-z0-9]{1,8}( [a-z0-9]{1,8})?$/);
    fc.assert(
      fc.property(fc.array(part, { minLength: 1, maxLength: 4 }), fc.boolean(), (parts, drive) => {
        const windows = (drive ? 'D:\\' : '') + parts.join('\\') + '.yaml';
        expect(safeBaseName(windows)).toBe(safeName(win32.basename(windows, '.yaml')));
        const unix = (drive ? '/' : '') + parts.join('/') + '.yaml';
        expect(safeBaseName(unix)).toBe(safeName(posix.basename(unix, '.yaml')));
      }),
    );
  });
});
