// Builds dist: the Node command and its types (tsc), and the browser bundles of the preview.
import { execFileSync } from 'node:child_process';
import {
  cpSync,
  existsSync,
  mkdirSync,
  readdirSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const target = join(root, 'dist');
// Built beside the old one and swapped in whole, so that a command never meets half a build.
const dist = join(root, `dist.tmp-${process.pid}`);
const require = createRequire(import.meta.url);
const tsc = join(dirname(require.resolve('@typescript/native/package.json')), 'bin', 'tsc');

rmSync(dist, { recursive: true, force: true });
mkdirSync(dist, { recursive: true });
// Types are checked by `npm run typecheck`; to check them here, too, would take as long again.
const args = ['-p', join(root, 'tsconfig.json'), '--outDir', dist, '--noCheck'];
execFileSync(process.execPath, [tsc, ...args], { stdio: 'inherit' });
for (const entry of readdirSync(join(root, 'src'), { recursive: true })) {
  if (/\.(html|css|csv|txt)$/.test(entry)) cpSync(join(root, 'src', entry), join(dist, entry));
}
const bundle = join(root, 'scripts', 'bundle-preview.mjs');
if (existsSync(bundle)) await (await import(pathToFileURL(bundle).href)).bundlePreview(dist);
writeFileSync(join(dist, '.built'), '');
const old = `${dist}-old`;
if (existsSync(target)) move(target, old);
try {
  move(dist, target);
} catch (error) {
  if (existsSync(old)) move(old, target);
  throw error;
}
rmSync(old, { recursive: true, force: true, maxRetries: 10 });

/** Where a folder cannot be renamed while a file in it is open, it is tried again for a second. */
function move(from, to) {
  for (let left = 10; ; left--) {
    try {
      return renameSync(from, to);
    } catch (error) {
      if (left === 0 || !['EBUSY', 'EPERM', 'EACCES'].includes(error.code)) throw error;
      Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 100);
    }
  }
}
