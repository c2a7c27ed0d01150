// Runs `npm ci` when node_modules is missing or older than the lock file, so that `npm start`
// and `npm test` work on a fresh checkout. With --build it also builds when dist is missing or stale.
import { execFileSync, execSync } from 'node:child_process';
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
  const words = ['ci', '--no-fund', '--no-audit'];
  // npm says where it is to what it runs; outside of it, it is found by its name.
  const npm = process.env['npm_execpath'];
  const options = { cwd: root, stdio: ['ignore', 2, 2] };
  if (npm && /npm-cli\.c?js$/.test(npm)) execFileSync(process.execPath, [npm, ...words], options);
  else execSync(`npm ${words.join(' ')}`, options);
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
    execFileSync(process.execPath, [join('scripts', 'build.mjs')], {
      cwd: root,
      stdio: ['ignore', 2, 2],
    });
  }
}
