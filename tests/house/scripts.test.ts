/** Scripts of the package run without a shell, which differs from system to system. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';

const { scripts } = JSON.parse(readFileSync('package.json', 'utf8')) as {
  scripts: Record<string, string>;
};

describe('scripts of the package', () => {
  it.each(Object.entries(scripts))('%s: one command, no sign that a shell acts on', (_, line) => {
    // cmd.exe acts on & | < > ^ % ", a POSIX shell also on ; $ ` ' * ? ( ) and a setting before it.
    expect(line).toMatch(/^[a-z]+( [\w./,:-]+)*$/);
  });

  it('what takes several steps names them to the one runner', () => {
    for (const name of ['start', 'test', 'prepack', 'lint']) {
      expect(scripts[name]).toBe(`node scripts/steps.mjs ${name}`);
    }
  });
});
