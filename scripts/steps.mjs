// Runs the steps of a script of package.json one after the other, without a shell, so that they run
// the same on every system: node scripts/steps.mjs NAME [more words for the last step]
import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = dirname(dirname(fileURLToPath(import.meta.url)));

/** A command of a package, as a file that Node can run. */
function command(name, bin = name) {
  const folder = join(root, 'node_modules', name);
  const { bin: bins } = JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8'));
  return join(folder, typeof bins === 'string' ? bins : bins[bin]);
}

const EXAMPLE = ['bin/gullet.mjs', 'plan', 'examples/nursery-barrow.yaml'];
// The compiler in machine code: a fifth of the time of the one that typedoc and the floors ask.
const TSC = '@typescript/native';
const typecheck = () => [command(TSC, 'tsc'), '-p', 'tests/tsconfig.json', '--checkers', '1'];
const build = () => ['scripts/build.mjs'];
const lint = [
  () => [command('oxlint'), '--format', 'unix', '.'],
  () => [command('oxfmt'), '--check', '.'],
  () => [
    ...[command('dependency-cruiser', 'depcruise'), 'src', '--config', '.dependency-cruiser.mjs'],
    ...['--output-type', 'err'],
  ],
  () => [command('knip'), '--include', 'files,exports'],
];
const STEPS = {
  start: [
    () => ['scripts/ensure-installed.mjs', '--build'],
    () => [...EXAMPLE, '--out', 'out/nursery-barrow'],
  ],
  test: [typecheck, ...lint, build, () => [command('vitest'), 'run']],
  prepack: [typecheck, build],
  typecheck: [typecheck],
  lint,
};

// Each step runs a few seconds: what they are for says vitest.config.ts.
const FLAGS = JSON.parse(readFileSync(join(root, 'scripts', 'node-flags.json'), 'utf8'));

const [name, ...more] = process.argv.slice(2);
const steps = STEPS[name];
if (!steps) throw new Error(`no steps "${name}"; there are ${Object.keys(STEPS).join(', ')}`);
for (const [i, step] of steps.entries()) {
  const words = [...step(), ...(i === steps.length - 1 ? more : [])];
  if (!existsSync(join(root, words[0])) && !existsSync(words[0])) {
    throw new Error(`${words[0]} is not there; run npm ci`);
  }
  const { status, signal } = spawnSync(process.execPath, [...FLAGS, ...words], {
    cwd: root,
    stdio: 'inherit',
  });
  if (signal) process.kill(process.pid, signal);
  if (status !== 0) process.exit(status ?? 1);
}
