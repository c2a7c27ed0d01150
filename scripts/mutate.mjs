// Mutation run, one area after the other:
//   npm run mutate                      every area
//   npm run mutate -- writer force      some of them
//   npm run mutate -- writer:src/post/rs274/write/format.ts    one file of an area
//   npm run mutate -- front:src/cam/stock/stock-front.ts:10-99  some lines of it
//   npm run mutate -- --sample 200 --seed 7 reader   as many mutants of each area, drawn at random
// Each area names the files that are changed and the tests that must notice. Static mutants (code
// that runs once, when a module loads) are left out: each would cost a run of every test.
// Writes reports/mutation/AREA.json (Stryker's report) and prints score and survivors by file; of a
// sample the 95 % interval of the share that all would have, by Wilson.
import { spawnSync } from 'node:child_process';
import {
  existsSync,
  mkdirSync,
  readFileSync,
  readdirSync,
  renameSync,
  writeFileSync,
} from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { NOT_DRAWN } from './mutate-sample.mjs';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const post = (...names) => names.map((name) => `tests/post/${name}`);

/** Area -> files to change, tests that must notice. */
const AREAS = {
  writer: [
    ['src/post/rs274/writer.ts', 'src/post/rs274/write/*.ts', 'src/post/rs274/envelope.ts'],
    post('writer*.test.ts', 'envelope.test.ts', 'feed-word.test.ts'),
  ],
  reader: [
    ['src/post/rs274/reader.ts', 'src/post/rs274/read/*.ts', '!src/post/rs274/read/errors.ts'],
    post('reader*.test.ts', 'cases.test.ts', 'nist-programs.test.ts', 'cross-check.test.ts'),
  ],
  capability: [
    ['src/post/control/*.ts'],
    post('capability*.test.ts', 'controllers.test.ts', 'writer.test.ts'),
  ],
  force: [
    ['force', 'chip', 'teeth', 'engagement'].map((name) => `src/machines/load/${name}.ts`),
    ['kienzle', 'chip', 'force', 'engagement'].map((name) => `tests/machines/${name}*.test.ts`),
  ],
  feed: [
    [
      'src/machines/load/feed.ts',
      ...['limits', 'thrust', 'spindle', 'wall-shift'].map((n) => `src/machines/bear/${n}.ts`),
    ],
    ['feed', 'removal', 'thrust', 'spindle', 'deflection', 'wall-shift'].map(
      (name) => `tests/machines/${name}*.test.ts`,
    ),
  ],
  // Less timing-programs, which takes seconds each.
  feeds: [
    ['feed-runs', 'timing', 'planar'].map((name) => `src/cam/${name}.ts`),
    ['feed-runs', 'timing', 'planar'].map((name) => `tests/cam/${name}.test.ts`),
  ],
  front: [['src/cam/stock/stock-front.ts'], ['tests/cam/stock-front*.test.ts']],
  // The parts by their own tests: whole replays take seconds each.
  'replay-parts': [
    ['replay/*', 'slabs', 'slices', 'path-piece'].map((name) => `src/cam/stock/${name}.ts`),
    ['replay-*', 'path-piece*', 'tool-body*'].map((name) => `tests/cam/${name}.test.ts`),
  ],
  replay: [['src/cam/stock/replay.ts'], ['tests/cam/replay*.test.ts']],
  accept: [['src/plan/accept.ts'], ['tests/plan/accept*.test.ts']],
  // The parts by their own tests: whole programs take seconds each.
  'check-parts': [
    ['src/plan/check/*.ts', '!src/plan/check/check.ts'],
    [
      ...['findings', 'frame', 'air', 'around', 'loads', 'setup', 'both-ways', 'edge'],
      ...['other-job', 'rounding', 'spindle-wait', 'climb'],
    ].map((name) => `tests/plan/check/${name}.test.ts`),
  ],
  check: [
    ['src/plan/check/check.ts', 'src/cli/check.ts'],
    [
      ...['check', 'setup', 'other-job', 'rounding'].map((n) => `tests/plan/check/${n}.test.ts`),
      'tests/cli/check-*.test.ts',
    ],
  ],
};

const { values: options, positionals: asked } = parseArgs({
  allowPositionals: true,
  options: { sample: { type: 'string' }, seed: { type: 'string', default: '1' } },
});
for (const word of asked.length > 0 ? asked : Object.keys(AREAS)) {
  const [, name, only] = /^([^:]*):?(.*)$/.exec(word);
  const area = AREAS[name];
  if (!area) {
    console.error(`no area ${name}; there are ${Object.keys(AREAS).join(', ')}`);
    process.exitCode = 2;
    break;
  }
  run(name, only ? [only] : area[0], area[1]);
}

/** Files that a pattern names; `*` may stand in the last part only. */
function matching(pattern) {
  const folder = dirname(pattern);
  const [before, after] = pattern.slice(folder.length + 1).split('*');
  return readdirSync(join(root, folder))
    .filter((file) =>
      after === undefined ? file === before : file.startsWith(before) && file.endsWith(after),
    )
    .map((file) => `${folder}/${file}`);
}

function run(name, mutate, tests) {
  const found = tests.flatMap(matching);
  if (found.length === 0) return console.error(`${name}: no tests ${tests.join(', ')}`);
  const bin = join(root, 'node_modules', '@stryker-mutator', 'core', 'bin', 'stryker.js');
  const args = [bin, 'run', '--mutate', mutate.join(','), '--logLevel', 'warn'];
  if (options.sample !== undefined) {
    const plugins = `@stryker-mutator/*,${join(root, 'scripts', 'mutate-sample.mjs')}`;
    args.push('--checkers', 'sample', '--plugins', plugins, '--concurrency', '1');
    // On a busy machine a test that takes long is no test that runs for ever.
    args.push('--timeoutMS', '30000');
  }
  const started = Date.now();
  const { status } = spawnSync(process.execPath, args, {
    cwd: root,
    stdio: ['ignore', 2, 2],
    env: {
      GULLET_RUNS: '0.1',
      GULLET_FUZZ_RUNS: '200',
      ...process.env,
      GULLET_MUTATE_TESTS: found.join(','),
      GULLET_MUTATE_SAMPLE: options.sample,
      GULLET_MUTATE_SEED: options.seed,
    },
  });
  const last = join(root, 'reports', 'mutation', 'last.json');
  if (status !== 0 || !existsSync(last)) {
    console.error(`${name}: the run failed`);
    process.exitCode = 1;
    return;
  }
  const report = JSON.parse(readFileSync(last, 'utf8'));
  mkdirSync(dirname(last), { recursive: true });
  renameSync(last, join(dirname(last), `${name}.json`));
  const minutes = ((Date.now() - started) / 60_000).toFixed(1);
  const lines = [`${name}: ${found.length} test files, ${minutes} min`];
  for (const [file, { mutants, source }] of Object.entries(report.files)) {
    if (counts(mutants).all > 0) lines.push(...fileLines(file, mutants, source));
  }
  lines.push(wholeLine(Object.values(report.files).flatMap(({ mutants }) => mutants)));
  console.log(lines.join('\n'));
  writeFileSync(join(dirname(last), `${name}.txt`), `${lines.join('\n')}\n`);
}

function counts(mutants) {
  const count = (...states) => mutants.filter((m) => states.includes(m.status)).length;
  const slow = count('Timeout');
  const killed = count('Killed') + slow;
  const alive = mutants.filter((m) => m.status === 'Survived' || m.status === 'NoCoverage');
  return { slow, killed, alive, all: killed + alive.length };
}

/** Of the whole area; of a sample with the 95 % interval (Wilson, "Probable inference", 1927). */
function wholeLine(mutants) {
  const { killed, all } = counts(mutants);
  const left = mutants.filter((m) => m.statusReason === NOT_DRAWN).length;
  const whole = `  ${killed} of ${all} killed in all`;
  if (left === 0) return whole;
  const z = 1.96;
  const share = killed / all;
  const middle = share + (z * z) / (2 * all);
  const reach = z * Math.sqrt((share * (1 - share)) / all + (z * z) / (4 * all * all));
  const [low, high] = [middle - reach, middle + reach].map((v) =>
    ((100 * v) / (1 + (z * z) / all)).toFixed(0),
  );
  return `${whole}, drawn from ${all + left} by seed ${options.seed}: ${low} to ${high} % of them`;
}

/** Score of a file, and each mutant that no test noticed. */
function fileLines(file, mutants, source) {
  const { slow, killed, alive, all } = counts(mutants);
  const share = all > 0 ? ((100 * killed) / all).toFixed(1) : '-';
  const text = source.split('\n');
  const shown = alive.map((m) => {
    const { start, end } = m.location;
    const line = text[start.line - 1];
    const was =
      start.line === end.line
        ? line.slice(start.column - 1, end.column - 1)
        : `${line.slice(start.column - 1)} ...`;
    const now = (m.replacement ?? '').replace(/\s+/g, ' ').slice(0, 80);
    const mark = m.status === 'NoCoverage' ? ' (no test runs it)' : '';
    return `    ${start.line}:${start.column} ${was.trim().slice(0, 80)} => ${now}${mark}`;
  });
  const hung = slow > 0 ? `  (${slow} by running for ever)` : '';
  return [`  ${share.padStart(5)} %  ${killed} of ${all}  ${file}${hung}`, ...shown];
}
