import { Refusal } from '../../src/model/refusal.js';
import { mkdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';

import { MINIMAL } from '../job/job-text.js';
import type { Kernel } from '../../src/cli/env.js';
import { type Outcome, QUICK_KERNEL, run } from './run.js';
import { scratchFolder, tree } from './scratch.js';

const BARROW = readFileSync('examples/nursery-barrow.yaml', 'utf8');

function folderWith(files: Readonly<Record<string, string | Uint8Array>>): string {
  const cwd = scratchFolder();
  for (const [name, text] of Object.entries(files)) writeFileSync(join(cwd, name), text);
  return cwd;
}

/** A person's mistake: one line on standard error, nothing else, exit 2, nothing written. */
async function mistake(cwd: string, ...argv: string[]): Promise<string> {
  const before = tree(cwd);
  const { exit, out, err } = await run(cwd, argv);
  expect(exit, err).toBe(2);
  expect(out).toBe('');
  expect(err.endsWith('\n')).toBe(true);
  const line = err.slice(0, -1);
  expect(line).not.toMatch(/[\p{Cc}\p{Zl}\p{Zp}]/u);
  expect(tree(cwd)).toEqual(before);
  return line;
}

describe('gullet plan', () => {
  it('writes the files and prints a summary', async () => {
    const cwd = folderWith({ 'barrow.yaml': BARROW });
    const { exit, out, err } = await run(cwd, ['plan', 'barrow.yaml', '--out', 'results']);
    expect(err).toBe('');
    expect(exit).toBe(0);
    expect(out).toContain('Nursery barrow pinion, 12 teeth');
    expect(out).toContain('12 teeth for chain 420, form iso606-mid');
    expect(out).toContain(
      "a tooth pushes with 41 of 100 N; 25 min in the cut, 50 % of an edge's life",
    );
    expect(out).toContain('thrust      X 30 of 80 N, Y 31 of 81 N, for cutting and moving');
    expect(out).toContain('1 h 05 min: roughing 20 min');
    expect(out).toContain('  - Few teeth wear fast.');
    expect(out).toContain('  - limits.tolerance: 0.05 mm');
    expect(out).toContain('Wrote 2 files to results: plan.json, program.ngc');
    expect(readFileSync(join(cwd, 'results', 'program.ngc'), 'utf8')).toBe('G21\n');
  });

  it('has a folder of its own for each job when none is named', async () => {
    const cwd = folderWith({ 'barrow.yaml': BARROW });
    expect((await run(cwd, ['plan', 'barrow.yaml', '-q'])).out).toBe('');
    expect(tree(cwd)).toContain('out/barrow/program.ngc');
  });

  it('prints inches when asked', async () => {
    const cwd = folderWith({ 'barrow.yaml': BARROW });
    const asked: unknown[] = [];
    const planJob: Kernel['planJob'] = (job, report, sheet) => {
      asked.push(sheet);
      return QUICK_KERNEL.planJob(job, report, sheet);
    };
    const { out } = await run(cwd, ['plan', 'barrow.yaml', '--units', 'in'], { planJob });
    expect(out).toContain('pitch 0.50000 in');
    // On the sheet inches stand behind: the machine's dials may be metric.
    expect(asked).toEqual([{ units: 'mm-and-inch' }]);
    // The machine's own title may name its screws in mm.
    const lines = (out.split('Assumed')[0] as string).split('\n');
    expect(lines.filter((line) => /\d mm\b/.test(line) && !/^ +machine/.test(line))).toEqual([]);
  });

  it('prints JSON when asked, with the folder and the files', async () => {
    const cwd = folderWith({ 'barrow.yaml': BARROW });
    const { out, err } = await run(cwd, ['plan', 'barrow.yaml', '--out', 'x', '--json']);
    expect(err).toBe('');
    const data = JSON.parse(out);
    expect(data).toMatchObject({ out: 'x', files: ['plan.json', 'program.ngc'] });
    expect(data.predicted.peakForceN).toEqual({ x: 40, y: 41 });
    expect(data.sprocket.outline).toBeUndefined();
  });

  it('shows progress of long work on one line of a terminal and sparsely elsewhere', async () => {
    const cwd = folderWith({ 'barrow.yaml': BARROW });
    const slow = {
      planJob: (...[job, onProgress]: Parameters<Kernel['planJob']>) => {
        for (let done = 0; done < 10; done++) onProgress?.({ stage: 'roughing', done, of: 10 });
        return QUICK_KERNEL.planJob(job);
      },
    };
    const lines = await run(cwd, ['plan', 'barrow.yaml'], slow);
    expect(lines.err).toMatch(/^(roughing +\d+ %\n){3,6}$/);
    const terminal = await run(cwd, ['plan', 'barrow.yaml'], slow, true);
    expect(terminal.err).toContain('\r\x1b[Kroughing  10 %');
    expect(terminal.err).not.toContain('\n');
    expect(terminal.err.endsWith('\r\x1b[K')).toBe(true);
    expect((await run(cwd, ['plan', 'barrow.yaml', '--quiet'], slow)).err).toBe('');
  });

  it('exits 1 with a reason and writes nothing when the plan refuses itself', async () => {
    const cwd = folderWith({ 'barrow.yaml': BARROW });
    const refusing = {
      planJob: () => {
        throw new Refusal('cutter-too-large', 'The cutter does not fit the gap.', 3, 2.4);
      },
    };
    const plain = await run(cwd, ['plan', 'barrow.yaml'], refusing);
    expect(plain).toEqual({ exit: 1, out: '', err: 'refused: The cutter does not fit the gap.\n' });
    const json = await run(cwd, ['plan', 'barrow.yaml', '--json'], refusing);
    expect(json.exit).toBe(1);
    expect(JSON.parse(json.out).refused).toMatchObject({ code: 'cutter-too-large', limit: 2.4 });
    expect(tree(cwd)).toEqual(['barrow.yaml']);
  });

  it('prints a stack for a fault of its own, and writes nothing', async () => {
    const cwd = folderWith({ 'barrow.yaml': BARROW });
    const broken = {
      planJob: () => {
        throw new TypeError('x is not a function');
      },
    };
    const { exit, err } = await run(cwd, ['plan', 'barrow.yaml'], broken);
    expect(exit).toBe(70);
    expect(err).toContain('A fault in gullet itself');
    expect(err).toMatch(/\n +at /);
    expect(tree(cwd)).toEqual(['barrow.yaml']);
  });

  it('uses a machine file from beside the job, wherever it is run', async () => {
    const cwd = scratchFolder();
    mkdirSync(join(cwd, 'jobs'));
    const job = MINIMAL.replace('machine: screw-gantry-light', 'machine: ./mine.yaml');
    writeFileSync(join(cwd, 'jobs', 'a.yaml'), job);
    writeFileSync(join(cwd, 'jobs', 'mine.yaml'), 'id: mine\nbasedOn: screw-gantry-light\n');
    const { exit, out, err } = await run(cwd, ['plan', 'jobs/a.yaml']);
    expect(err).toBe('');
    expect(exit).toBe(0);
    expect(out).toContain('machine     mine');
  });
});

describe('a mistake with the job file', () => {
  it.each<[string, string | Uint8Array, string]>([
    ['a wrong value', MINIMAL.replace('12', '5'), 'job.yaml:2: sprocket.teeth: 5 is below 6'],
    [
      'two of them',
      MINIMAL.replace('12', '5').replace('3 mm', '3'),
      '(and 1 more; --json lists all)',
    ],
    ['nothing in it', '', 'job.yaml: the file is empty'],
    ['zero bytes', '\0\0\0', 'job.yaml:1: the text holds the control character'],
    [
      'bytes that are no text',
      new Uint8Array([0xff, 0xfe, 0x41, 0]),
      'job.yaml: is not text in UTF-8',
    ],
    ['too much in it', 'x'.repeat(300_000), 'job.yaml: is over the limit of 262144 bytes'],
  ])('%s', async (_name, text, words) => {
    const cwd = folderWith({ 'job.yaml': text });
    expect(await mistake(cwd, 'plan', 'job.yaml')).toContain(words);
  });

  it('lists all faults as JSON', async () => {
    const cwd = folderWith({ 'job.yaml': MINIMAL.replace('12', '5').replace('3 mm', '3') });
    const { exit, out, err } = await run(cwd, ['plan', 'job.yaml', '--json']);
    expect(exit).toBe(2);
    expect(err.trim().split('\n')).toHaveLength(1);
    const { errors } = JSON.parse(out);
    expect(errors.map((e: { key: string; line: number }) => [e.key, e.line])).toEqual([
      ['sprocket.teeth', 2],
      ['cutter.diameter', 6],
    ]);
  });

  it('a missing file, a folder, a device, a link to itself, an odd name', async () => {
    const cwd = folderWith({});
    mkdirSync(join(cwd, 'folder.yaml'));
    symlinkSync('loop.yaml', join(cwd, 'loop.yaml'));
    expect(await mistake(cwd, 'plan', 'gone.yaml')).toBe('gone.yaml: is not there; check the name');
    expect(await mistake(cwd, 'plan', 'folder.yaml')).toBe('folder.yaml: is a folder; give a file');
    expect(await mistake(cwd, 'plan', 'folder.yaml/x')).toMatch(/^folder.yaml\/x: is not there/);
    expect(await mistake(cwd, 'plan', 'loop.yaml')).toContain('a link that leads back to itself');
    expect(await mistake(cwd, 'plan', 'a\nb\u001b[2J')).toContain('a\\nb\\u{1b}[2J: is not there');
    expect(await mistake(cwd, 'plan', 'a\0b')).toContain('is not a file name');
    if (process.platform !== 'win32') {
      expect(await mistake(cwd, 'plan', '/dev/zero')).toContain('is not a plain file');
    }
  });

  it('a machine file that is missing or wrong', async () => {
    const job = MINIMAL.replace('machine: screw-gantry-light', 'machine: ./mine.yaml');
    const cwd = folderWith({ 'a.yaml': job });
    expect(await mistake(cwd, 'plan', 'a.yaml')).toBe(
      'a.yaml:5: machine: ./mine.yaml is not there; check the name',
    );
    writeFileSync(
      join(cwd, 'mine.yaml'),
      'id: mine\nbasedOn: screw-gantry-light\nfrictionN: lots\n',
    );
    expect(await mistake(cwd, 'plan', 'a.yaml')).toMatch(/^mine\.yaml:3: frictionN/);
  });
});

describe('a mistake on the command line', () => {
  const cwd = folderWith({ 'job.yaml': MINIMAL });
  it.each<[string[], string]>([
    [['plam', 'job.yaml'], 'no command "plam"; did you mean plan?'],
    [['frobnicate'], 'no command "frobnicate"; the commands are new, plan, '],
    [['plan'], 'a word is missing; gullet '],
    [['plan', 'job.yaml', '--uot', 'x'], 'plan: no option --uot; did you mean --out?'],
    [['plan', 'job.yaml', '--frobnicate'], 'plan: no option --frobnicate; see gullet plan --help'],
    [['plan', 'job.yaml', '-x'], 'plan: no option -x'],
    [
      ['plan', 'job.yaml', 'other.yaml'],
      'plan: "other.yaml" is one word too many; gullet plan <job>',
    ],
    [['plan', 'job.yaml', '--out'], 'plan: --out needs a value; give one after it'],
    [['plan', 'job.yaml', '--out', 'a', '--out', 'b'], 'plan: --out is given twice'],
    [['plan', 'job.yaml', '--out', ''], '--out: "" is not a folder name'],
    [
      ['plan', 'job.yaml', '--units', 'furlong'],
      'plan: --units is "furlong"; write mm, in or both',
    ],
    [['plan', 'job.yaml', '--out', 'job.yaml'], 'job.yaml: is a file'],
    [['plan', 'job.yaml', '--out', '.'], '.: is the folder you are in'],
    [['plan', 'job.yaml', '--out', 'a', '--explain'], '--out and --explain do not go together'],
    [['plan', 'job.yaml', '--advise', '--explain'], '--explain and --advise do not go together'],
    [['plan', 'job.yaml', '--advise', '--resume-at', '9'], '--resume-at and --advise do not'],
    [['plan', 'job.yaml', '--offset', '0,1'], '--offset belongs to a restart; add --resume-at'],
    [['check', 'program.ngc'], 'check: --job is missing; name the job file'],
    [['check', 'program.ngc', '--job', 'job.yaml'], 'program.ngc: is not there'],
    [['list'], 'a word is missing; gullet '],
    [['list', 'machine'], 'list: <table> is "machine"; did you mean machines?'],
    [['--frobnicate'], 'no option --frobnicate'],
    [['plan', 'job.yaml', '--__proto__', 'x'], 'no option'],
  ])('%j', async (argv, words) => {
    // The folder outlives the single tests, so it is made anew when it has been cleared.
    mkdirSync(cwd, { recursive: true });
    writeFileSync(join(cwd, 'job.yaml'), MINIMAL);
    expect(await mistake(cwd, ...argv)).toContain(words);
  });
});

describe('gullet list', () => {
  const lines = async (...argv: string[]) => (await run('.', ['list', ...argv])).out.split('\n');

  it.each(['machines', 'materials', 'chains', 'cutters', 'controllers'])('%s', async (table) => {
    const text = await lines(table);
    expect(text.length).toBeGreaterThan(5);
    for (const line of text) expect(line).toBe(line.trimEnd());
    const rows = JSON.parse((await run('.', ['list', table, '--json'])).out);
    expect(rows.length).toBeGreaterThanOrEqual(4);
  });

  it('shows lengths in inches when asked', async () => {
    // ASME B29.1: No. 40 chain has a pitch of 1/2 in and a roller of 0.312 in.
    const row = (await lines('chains', '--units', 'in')).find((line) =>
      line.startsWith('08A (40)'),
    );
    expect(row).toMatch(/08A \(40\) +0\.5000 +0\.3118/);
  });

  it('marks what is not to be trusted', async () => {
    const rows = await lines('chains');
    expect(rows.find((line) => line.startsWith('05T'))).toContain('?');
    expect(rows.at(-2)).toContain('? not to be trusted');
  });
});

describe('gullet check', () => {
  const files = { 'job.yaml': MINIMAL, 'program.ngc': 'G0 Z-5\n' };
  const finding = (severity: 'note' | 'warning' | 'error'): Outcome | unknown => ({
    line: 1,
    severity,
    code: 'rapid-in-material',
    text: 'Rapid through material.',
  });
  const reporting = (...severities: ('note' | 'warning' | 'error')[]) => ({
    checkProgram: (() => ({
      findings: severities.map(finding),
      measured: { lines: 1 },
      worst: severities.at(-1) ?? 'none',
    })) as unknown as Kernel['checkProgram'],
  });
  const argv = ['check', 'program.ngc', '--job', 'job.yaml'];

  it('exits by the worst finding and names the line', async () => {
    const cwd = folderWith(files);
    expect(await run(cwd, argv, reporting())).toMatchObject({ exit: 0 });
    expect(await run(cwd, argv, reporting('note', 'warning'))).toMatchObject({ exit: 0 });
    const bad = await run(cwd, argv, reporting('note', 'error'));
    expect(bad.exit).toBe(1);
    expect(bad.out).toContain('program.ngc:1: error: Rapid through material. [rapid-in-material]');
    // The answer comes first.
    expect(bad.out).toMatch(/^program\.ngc: do not run it: 1 error, 0 warnings, 1 note\n/);
    expect(tree(cwd)).toEqual(['job.yaml', 'program.ngc']);
  });

  it('gives every finding as JSON', async () => {
    const { out, exit } = await run(folderWith(files), [...argv, '--json'], reporting('error'));
    expect(exit).toBe(1);
    expect(JSON.parse(out)).toMatchObject({ worst: 'error', findings: [{ line: 1 }] });
  });
});

describe('help', () => {
  it('lists the commands, and the options of each', async () => {
    for (const argv of [[], ['--help'], ['-h']]) {
      const { exit, out, err } = await run('.', argv);
      expect({ exit, err }).toEqual({ exit: 0, err: '' });
      expect(out).toMatch(/gullet plan <job>/);
      expect(out).toMatch(/gullet list <table>/);
    }
    const { out } = await run('.', ['plan', '--help']);
    expect(out).toContain('--force');
    expect(out).toContain('--units');
    expect((await run('.', ['--version'])).out).toBe('1.2.3\n');
  });
});

describe('a name that is none', () => {
  it.each([
    [
      '-',
      '-: stands for standard input, which is not read here; save it as a file and give its name',
    ],
    ['', '"": is not a file name; check the name'],
  ])('%j is told as what it is', async (name, line) => {
    for (const argv of [
      ['plan', name],
      ['drive', name, '--only', 'fit'],
    ]) {
      expect(await run(scratchFolder(), argv)).toEqual({ exit: 2, out: '', err: `${line}\n` });
    }
  });
});
