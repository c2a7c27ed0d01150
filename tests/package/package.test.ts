/**
 * The package as `npm pack` makes it, in a folder of its own: as a command, as an import, with
 * types. Its dependencies are those installed here, so that no network is needed.
 */
import { execFileSync, spawnSync } from 'node:child_process';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  readdirSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { ensureBuilt } from '../built.js';
import { SEVEN_TEETH } from '../seven-teeth.js';

const require = createRequire(import.meta.url);
const here = mkdtempSync(join(tmpdir(), 'gullet-package-'));
afterAll(() => rmSync(here, { recursive: true, force: true }));

interface Manifest {
  readonly bin: Readonly<Record<string, string>>;
  readonly dependencies: Readonly<Record<string, string>>;
}

/** npm runs the tests as a rule and says where it is; on Windows it is no program of its own. */
function npm(args: readonly string[], cwd: string): string {
  const own = process.env['npm_execpath'];
  const script = own && /npm-cli\.c?js$/.test(own) ? own : null;
  const options = { cwd, encoding: 'utf8', stdio: 'pipe' } as const;
  if (script) return execFileSync(process.execPath, [script, ...args], options);
  return execFileSync('npm', [...args], { ...options, shell: process.platform === 'win32' });
}

function node(...args: string[]): { status: number | null; stdout: string; stderr: string } {
  return spawnSync(process.execPath, args, { cwd: here, encoding: 'utf8' });
}

/** The example of README's "Use it from a program". */
function readmeProgram(): string {
  const blocks = [...readFileSync('README.md', 'utf8').matchAll(/^```js\n([^]*?)^```$/gm)];
  expect(blocks).toHaveLength(1);
  return blocks[0]![1]!;
}

beforeAll(() => {
  ensureBuilt();
  // Types and build have had their turn: no scripts of the package.
  npm(['pack', '--ignore-scripts', '--pack-destination', here], resolve('.'));
  const [tarball] = readdirSync(here).filter((name) => name.endsWith('.tgz'));
  const modules = join(here, 'node_modules');
  mkdirSync(join(modules, '.bin'), { recursive: true });
  execFileSync('tar', ['-xzf', tarball!], { cwd: here });
  symlinkSync(join(here, 'package'), join(modules, 'gullet'), 'junction');
  const manifest = JSON.parse(readFileSync('package.json', 'utf8')) as Manifest;
  for (const name of Object.keys(manifest.dependencies)) {
    mkdirSync(dirname(join(here, 'package', 'node_modules', name)), { recursive: true });
    const link = join(here, 'package', 'node_modules', name);
    symlinkSync(resolve('node_modules', name), link, 'junction');
  }
  symlinkSync(join('..', 'gullet', manifest.bin['gullet']!), join(modules, '.bin', 'gullet'));
  writeFileSync(join(here, 'package.json'), '{ "name": "barrow-shop", "type": "module" }\n');
}, 240_000);

describe('the package', () => {
  it('holds what runs and its types, and nothing of the tests', () => {
    const files = readdirSync(join(here, 'package'), { recursive: true })
      .map((name) => String(name).replaceAll('\\', '/'))
      .filter((name) => !name.startsWith('node_modules'));
    for (const file of ['dist/index.js', 'dist/index.d.ts', 'bin/gullet.mjs', 'README.md']) {
      expect(files).toContain(file);
    }
    expect(files).toContain('dist/preview/built/offline.html');
    expect(files.filter((f) => /^(tests|src|scripts)\b|\.map$|\.test\./.test(f))).toEqual([]);
  });

  it('runs as a command', () => {
    const command = join(here, 'node_modules', '.bin', 'gullet');
    const machines = execFileSync(command, ['list', 'machines'], { cwd: here, encoding: 'utf8' });
    expect(machines).toContain('screw-gantry-light');
  });

  it('is imported as README shows, and says what is wrong by JobError and Refusal', () => {
    mkdirSync(join(here, 'examples'));
    const example = 'examples/nursery-barrow.yaml';
    writeFileSync(join(here, example), SEVEN_TEETH);
    writeFileSync(join(here, 'use.mjs'), readmeProgram());
    writeFileSync(
      join(here, 'wrong.mjs'),
      `import './use.mjs';
       import { JobError, Refusal, plan, readJob } from 'gullet';
       import { readFileSync } from 'node:fs';
       const good = readFileSync('${example}', 'utf8');
       const of = (text) => {
         try { plan(readJob(text, { file: 'b.yaml' })); return 'planned'; }
         catch (e) {
           if (e instanceof JobError) return [e.file, e.key, e.value].join(' ');
           if (e instanceof Refusal) return [e.code, e.key].join(' ');
           throw e;
         }
       };
       console.log(of(good.replace(/teeth: \\d+/, 'teeth: 3')));
       console.log(of(good.replace('machine: screw-gantry-light', 'machine: mine.yaml')));
       console.log(of(good.replace(/cutter: \\{ diameter: 3 mm/, 'cutter: { diameter: 12 mm')));`,
    );
    const { status, stdout, stderr } = node('wrong.mjs');
    expect(stderr).toBe('');
    expect(status).toBe(0);
    expect(stdout).toMatch(/^\d+ min at the machine\n/);
    expect(stdout.split('\n').slice(-4)).toEqual([
      expect.stringMatching(/^b\.yaml sprocket\.teeth 3$/),
      expect.stringMatching(/^b\.yaml machine mine\.yaml$/),
      // A seat for a 6 mm roller takes no 12 mm cutter.
      expect.stringMatching(/^cutter-too-large cutter\.diameter$/),
      '',
    ]);
    expect(readFileSync(join(here, 'part/nursery-barrow-teeth.nc'), 'utf8')).toMatch(/^M(2|30)\b/m);
    expect(existsSync(join(here, 'part/warning-sheet.html'))).toBe(true);
  });

  it('comes with types that hold', () => {
    writeFileSync(
      join(here, 'typed.ts'),
      `import { type Identification, check, identify, plan, readJob, retune, tables } from 'gullet';
       const job = readJob('', { machineFile: (path: string) => (path === 'a' ? 'id: a' : null) });
       const minutes: number = plan(job, { onProgress: ({ done, of }) => void (done / of) })
         .summary.predicted.totalMin;
       const worst: 'none' | 'note' | 'warning' | 'error' = check('M2', job).worst;
       const found: Identification = identify({
         span: { valueMm: 128.2, sdMm: null }, pitches: 10, figures: {},
       });
       const text: string = retune(job, { outcome: 'finished', date: '2026-05-03' }).logText;
       const again: number = plan(job, { logText: text }).summary.predicted.finishProbability;
       const id: string = tables.machines()[0]!.id;
       // @ts-expect-error: a job is read, not written by hand
       plan({ teeth: 12 });
       export { again, found, id, minutes, text, worst };
      `,
    );
    const tsc = join(dirname(require.resolve('@typescript/native/package.json')), 'bin/tsc');
    const compilerOptions = { noEmit: true, strict: true, module: 'nodenext', types: [] };
    const settings = { compilerOptions, files: ['typed.ts'] };
    writeFileSync(join(here, 'tsconfig.json'), JSON.stringify(settings));
    const { stdout, status } = node(tsc);
    expect(stdout).toBe('');
    expect(status).toBe(0);
  });
});
