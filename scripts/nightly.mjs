// What takes too long for every change: npm run nightly [-- /path/to/node22 ...]
//   100,000 job files and twice 100,000 programs through reader and check, eighteen times as many
//   cases of every property (seed of the day), what GULLET_LONG adds, every example on each Node
//   binary given, byte for byte, and 200 mutants of every area.
import { spawnSync } from 'node:child_process';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const seed = String(Math.floor(Date.now() / 86_400_000));
const fuzz = ['job/hostile', 'post/reader-fuzz', 'plan/check/fuzz'].map(
  (t) => `tests/${t}.test.ts`,
);
const vitest = join(root, 'node_modules', 'vitest', 'vitest.mjs');

/** Work and the environment it needs. */
const steps = [
  [[vitest, 'run', ...fuzz], { GULLET_FUZZ_RUNS: '100000', GULLET_FUZZ_SEED: seed }],
  [[vitest, 'run'], { GULLET_RUNS: '3', GULLET_LONG: '1', GULLET_FUZZ_SEED: seed }],
  [[join(root, 'scripts', 'build.mjs')], {}],
  [[join(root, 'scripts', 'same-bytes.mjs'), ...process.argv.slice(2)], {}],
  [[join(root, 'scripts', 'mutate.mjs'), '--sample', '200', '--seed', seed], {}],
];
console.log(`seed ${seed}`);
for (const [args, env] of steps) {
  const options = { cwd: root, stdio: 'inherit', env: { ...process.env, ...env } };
  if (spawnSync(process.execPath, args, options).status !== 0) process.exitCode = 1;
}
