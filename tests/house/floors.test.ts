/** The rule of the floors can fail: a small house that breaks it is complained of, a sound one not. */
import { spawnSync } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import { scratchFolder } from '../cli/scratch.js';

const CRUISER = resolve('node_modules/dependency-cruiser/bin/dependency-cruise.mjs');

/** What the linter's command says of a house of these files. */
function judge(files: Readonly<Record<string, string>>): { status: number | null; out: string } {
  const house = scratchFolder();
  writeFileSync(join(house, 'tsconfig.json'), '{}');
  for (const [name, text] of Object.entries(files)) {
    mkdirSync(dirname(join(house, 'src', name)), { recursive: true });
    writeFileSync(join(house, 'src', name), text);
  }
  const config = resolve('.dependency-cruiser.mjs');
  const args = [CRUISER, 'src', '--config', config, '--output-type', 'err'];
  const { status, stdout } = spawnSync(process.execPath, args, { cwd: house, encoding: 'utf8' });
  return { status, out: stdout };
}

describe('floors of the house', () => {
  it('an import that looks up, a circle of types alone and a missing file are faults; looking down is none', () => {
    const { status, out } = judge({
      'model/wheel.ts': "export { cut } from '../cam/cut.js';\n",
      'cam/cut.ts': 'export const cut = 1;\n',
      'text/a.ts': "import type { B } from './b.js';\nexport type A = B | 1;\n",
      'text/b.ts': "import type { A } from './a.js';\nexport type B = A | 2;\n",
      'post/write.ts': "export { gone } from './gone.js';\n",
      // A folder in a folder is a floor of its own: standard is below tooth.
      'profile/tooth/form.ts': 'export const form = 1;\n',
      'profile/standard/limits.ts': "export { form } from '../tooth/form.js';\n",
      // Down, from room to room and from folder to folder.
      'plan/prove.ts': "export { cut } from '../cam/cut.js';\n",
      'profile/tooth/tip.ts': "export { pitch } from '../standard/pitch.js';\n",
      'profile/standard/pitch.ts': 'export const pitch = 1;\n',
    });
    expect(status).not.toBe(0);
    expect(out).toMatch(/error model looks up: src\/model\/wheel\.ts → src\/cam\/cut\.ts/);
    expect(out).toMatch(/error circle: src\/text\/[ab]\.ts/);
    expect(out).toMatch(/error no-such-file: src\/post\/write\.ts/);
    expect(out).toMatch(/error profile\/standard looks up: src\/profile\/standard\/limits\.ts/);
    // These and no others. That a sound house passes, `npm run lint` shows.
    expect(out).toContain('x 4 dependency violations');
    expect(out).not.toMatch(/src\/plan|tip\.ts/);
  });
});
