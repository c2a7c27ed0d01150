// Bundles the benchmarks (TypeScript) into one module beside the sources and runs it.
import { spawnSync } from 'node:child_process';
import { mkdirSync, rmSync } from 'node:fs';
import { dirname, isAbsolute, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { rolldown } from 'rolldown';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const dir = join(root, `dist.tmp-bench-${process.pid}`);
// As deep as tests, so that the examples are found.
const file = join(dir, 'main.mjs');

mkdirSync(dirname(file), { recursive: true });
try {
  const build = await rolldown({
    input: join(root, 'tests', 'bench', 'main.ts'),
    platform: 'node',
    external: (id) => !id.startsWith('.') && !isAbsolute(id),
    logLevel: 'warn',
  });
  await build.write({ file, format: 'esm', codeSplitting: false });
  await build.close();
  const run = spawnSync(process.execPath, [file, ...process.argv.slice(2)], {
    cwd: root,
    stdio: 'inherit',
  });
  process.exitCode = run.status ?? 1;
} finally {
  rmSync(dir, { recursive: true, force: true });
}
