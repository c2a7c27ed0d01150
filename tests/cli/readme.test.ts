/** What README shows is what the commands print, to the letter; `...` stands for lines left out. */
import { readFileSync, symlinkSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { Kernel } from '../../src/cli/env.js';
import { withPreview } from '../../src/cli/io/preview-file.js';
import { processEnv } from '../../src/cli/process-env.js';
import { LONG } from '../cam/oracle/runs.js';
import { examplePlan } from '../planned.js';
import { run } from './run.js';
import { scratchFolder } from './scratch.js';

interface Shown {
  readonly argv: readonly string[];
  readonly lines: readonly string[];
}

/** Blocks of README that begin with a command. */
function shownRuns(text: string): Shown[] {
  return [...text.matchAll(/^```console\n\$ npx gullet (.*)\n([^]*?)\n```$/gm)].map((m) => ({
    argv: [...m[1]!.matchAll(/"([^"]*)"|(\S+)/g)].map((w) => w[1] ?? w[2]!),
    lines: m[2]!.split('\n'),
  }));
}

/** Runs of neighbouring lines between the places where some were left out. */
function stretches(lines: readonly string[]): string[] {
  return lines
    .join('\n')
    .split(/^ *\.\.\.$/m)
    .map((part) => part.replace(/^\n+|\n+$/g, ''));
}

describe('README', () => {
  const shown = shownRuns(readFileSync('README.md', 'utf8'));

  it('shows what is printed', { timeout: 240_000 }, async () => {
    expect(shown.map(({ argv }) => argv[0])).toEqual([
      'plan',
      'identify',
      'drive',
      'tap',
      'check',
      'inspect',
      'inspect',
      'inspect',
      'retune',
    ]);
    const cwd = scratchFolder();
    symlinkSync(resolve('examples'), join(cwd, 'examples'));
    const kernel: Kernel = {
      ...(await processEnv().loadKernel()),
      planJob: ({ name }) => withPreview(examplePlan(name)),
    };
    for (const { argv, lines } of shown) {
      // It plans twice more: by night.
      if (!LONG && argv[0] === 'retune') continue;
      const { exit, out } = await run(cwd, argv, kernel);
      expect([0, 1], out).toContain(exit);
      let from = 0;
      for (const part of stretches(lines)) {
        const at = out.indexOf(part, from);
        expect(at, `${argv.join(' ')} prints:\n${out}\nwhich lacks:\n${part}`).toBeGreaterThan(-1);
        from = at + part.length;
      }
    }
  });

  it('is tested for real', () => {
    expect(stretches(['a', 'b', '  ...', 'c'])).toEqual(['a\nb', 'c']);
    const block = ['```console', '$ npx gullet list "two words" x', 'out', '', 'put', '```'];
    expect(shownRuns(block.join('\n'))).toEqual([
      { argv: ['list', 'two words', 'x'], lines: ['out', '', 'put'] },
    ]);
  });
});
