// Runs `npm ci` when node_modules is missing or older than the lock file, so that `npm start`
// and `npm test` work on a fresh checkout. With --build it also builds when dist is missing or stale.
import { execSync } from 'node:child_process';
import { existsSync, readdirSync, statSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const mtime = (path) => (existsSync(path) ? statSync(path).mtimeMs : 0);
const newest = (dir) =>
  readdirSync(dir, { withFileTypes: true, recursive: true })
    .filter((entry) => entry.isFile())
    .reduce((max, entry) => Math.max(max, mtime(join(entry.parentPath, entry.name))), 0);

const installed = mtime(join(root, 'node_modules', '.package-lock.json'));
if (installed === 0 || installed < mtime(join(root, 'package-lock.json'))) {
  console.error('Installing the packages named in package-lock.json (npm ci) ...');
  execSync('npm ci --no-fund --no-audit', { cwd: root, stdio: ['ignore', 2, 2] });
}
if (process.argv.includes('--build')) {
  const built = mtime(join(root, 'dist', '.built'));
  const sources = Math.max(
    newest(join(root, 'src')),
    newest(join(root, 'scripts')),
    mtime(join(root, 'package-lock.json')),
    mtime(join(root, 'tsconfig.json')),
  );
  if (built < sources) {
    console.error('Building ...');
    execSync('node scripts/build.mjs', { cwd: root, stdio: ['ignore', 2, 2] });
  }
}
