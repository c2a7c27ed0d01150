import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { Env } from '../../src/cli/env.js';
import { ladderEntry } from '../../src/cli/retune/event.js';
import { tallyPeakN } from '../../src/machines/learn/load-history.js';
import { PULL_TEST_TEMPLATE } from '../../src/machines/learn/pull-test.js';
import { thinBarrow } from '../planned.js';
import { run } from './run.js';
import { scratchFolder, tree } from './scratch.js';

const GOOD = ['--machine', 'screw-gantry-light', '--material', '42CrMo4', '--cutter', '4 mm'];

describe('ladder', { timeout: 300_000 }, () => {
  it('writes a program for each axis, their records, a sheet and a pull test to fill in', async () => {
    const cwd = scratchFolder();
    const result = await run(cwd, ['ladder', ...GOOD, '--json']);
    expect(result).toMatchObject({ exit: 0, err: '' });
    expect(tree(cwd).filter((f) => !f.includes('.gullet'))).toEqual([
      'out/',
      'out/ladder/',
      'out/ladder/ladder-sheet.html',
      'out/ladder/ladder-x.json',
      'out/ladder/ladder-x.nc',
      'out/ladder/ladder-y.json',
      'out/ladder/ladder-y.nc',
      'out/ladder/pull-test.yaml',
    ]);
    const json = JSON.parse(result.out) as { ladders: { rungs: { demandN: number }[] }[] };
    expect(json.ladders).toHaveLength(2);

    // A rung of it is evidence: the limit is then about what that rung asked.
    writeFileSync(join(cwd, 'barrow.yaml'), thinBarrow());
    const learned = await run(cwd, [
      ...['retune', 'barrow.yaml', '--ladder', 'out/ladder/ladder-x.json', '--json'],
      ...['--event', 'lost', '--at', 'X plus 4', '--axis', 'x'],
    ]);
    expect(learned.exit).toBe(0);
    const { limitN, otherCause } = JSON.parse(learned.out) as {
      limitN: { after: { x: { p5: number; p50: number; p95: number } } };
      otherCause: number;
    };
    const asked = json.ladders[0]!.rungs[6]!.demandN;
    const { p5, p50, p95 } = limitN.after.x;
    expect(p50 / asked).toBeGreaterThan(0.85);
    expect(p50 / asked).toBeLessThan(1.15);
    expect(p95 / p5).toBeLessThan(1.6);
    expect(otherCause).toBeLessThan(0.01);
    expect(readFileSync(join(cwd, 'screw-gantry-light.evidence.yaml'), 'utf8')).toContain(
      'seen: rung X PLUS 4',
    );
    // Lost while trimming already: nothing before it was held.
    const trim = ladderEntry(
      {
        ...{ outcome: 'lost', date: '', axis: 'x', otherHeld: false },
        ...{ direction: null, amountMm: null, note: null },
      },
      { ladder: 'out/ladder/ladder-x.json', at: 'CHECK AFTER TRIM X PLUS' },
      'screw-gantry-light',
      { cwd } as Env,
    );
    expect(trim).toMatchObject({ seen: 'trimming', held: { x: [], y: [] } });
    const suspect = trim.outcome === 'lost' ? trim.suspect.x : [];
    expect(tallyPeakN(suspect)).toBeGreaterThan(0.5 * json.ladders[0]!.rungs[0]!.demandN);
    const wrong = await run(cwd, [
      ...['retune', 'barrow.yaml', '--ladder', 'out/ladder/ladder-x.json'],
      ...['--event', 'lost', '--at', 'Z plus 4'],
    ]);
    expect(wrong.exit).toBe(2);
    expect(wrong.err).toContain('name one from X PLUS 1 to X MINUS');
  });

  it('prints every rung and how likely one is to be lost', async () => {
    // Few rungs: a thin cutter.
    const argv = [
      '--machine',
      'belt-gantry-light',
      '--material',
      'POM-C',
      '--cutter',
      'carbide-2mm-2fl',
    ];
    const result = await run(scratchFolder(), ['ladder', ...argv]);
    expect(result.exit).toBe(0);
    expect(result.out).toMatch(/X PLUS 1\s+\d+\s+\d\.\d\d\s+\d+\s+\d+/);
    expect(result.out).toMatch(/X: \d+ rungs, .*; ends by what the cutter bears\n/);
    expect(result.out).toMatch(/limit of X is believed .* a rung is lost with probability /);
    expect(result.out).toContain('or a pull test, tells more');
  });

  it('a pull test goes into a new machine file with date, and the job is planned with it', async () => {
    const cwd = scratchFolder();
    writeFileSync(join(cwd, 'barrow.yaml'), thinBarrow());
    const readings = [20, 40, 60, 80, 100].map((n) => `    - [${n} N, ${(n / 250).toFixed(3)} mm]`);
    writeFileSync(
      join(cwd, 'pull.yaml'),
      PULL_TEST_TEMPLATE.replace('  # - [20 N, 0.07 mm]', readings.join('\n')).replace(
        '  # - 210 N',
        '    - 230 N\n    - 240 N\n    - 235 N',
      ),
    );
    const result = await run(cwd, ['retune', 'barrow.yaml', '--pull-test', 'pull.yaml']);
    expect(result.exit).toBe(0);
    expect(result.out).toMatch(/X\s+stiffness, N\/mm\s+300\s+250 \+- \d+\s+5/);
    // 235 N less 20 N of friction that helps the standing axis.
    expect(result.out).toMatch(/X\s+thrust, N\s+278\s+215 \+- \d+\s+3/);
    expect(readFileSync(join(cwd, 'screw-gantry-light-r1.yaml'), 'utf8')).toMatch(
      /measured 2026-05-03: pull and indicator, least squares, 5 readings, 250 \+- \d+ N\/mm/,
    );
  });

  it.each([
    [['--machine', 'screw-gantry'], 'unknown machine "screw-gantry"; nearest are'],
    [['--machine', 'mine.yaml'], 'mine.yaml'],
    [['--material', 'unobtainium'], 'unknown material'],
    [['--cutter', '4'], 'has no unit'],
    [['--cutter', 'carbide-40mm'], 'unknown cutter'],
  ])('%j is refused in one line', async (change, message) => {
    const cwd = scratchFolder();
    const argv = [...GOOD];
    argv[argv.indexOf(change[0]!) + 1] = change[1]!;
    const result = await run(cwd, ['ladder', ...argv]);
    expect(result.exit).toBe(2);
    expect(result.err).toContain(message);
    expect(result.err.trim().split('\n')).toHaveLength(1);
    expect(tree(cwd)).toEqual([]);
  });
});

describe('plan --resume-at', { timeout: 120_000 }, () => {
  it('writes a restart, or refuses a scrapped part with exit 1', async () => {
    const cwd = scratchFolder();
    writeFileSync(join(cwd, 'barrow.yaml'), thinBarrow());
    const good = await run(cwd, ['plan', 'barrow.yaml', '--resume-at', 'rough 5']);
    expect(good.exit).toBe(0);
    expect(good.out).toMatch(/takes up\s+line \d+ .* rough level 5 of/);
    const files = tree(join(cwd, 'out', 'barrow-restart'));
    expect(files).toEqual(
      expect.arrayContaining(['plan.json', 'barrow-restart.nc', 'warning-sheet.html']),
    );
    const scrap = await run(cwd, [
      ...['plan', 'barrow.yaml', '--out', 'x', '--resume-at', 'rough 5', '--offset=-1.5,0'],
    ]);
    expect(scrap.exit).toBe(1);
    expect(scrap.err).toMatch(/refused: the part is scrap: the tooth at \d+ deg is cut/);
    expect(tree(cwd)).not.toContain('x/');
  });

  it.each([
    [['--offset=1,0'], '--offset belongs to a restart; add --resume-at'],
    [['--resume-at', 'rough 5', '--offset=1'], 'is not two lengths'],
    [['--resume-at', '???'], 'plan: --resume-at "???" is no place of a program'],
  ])('%j is refused', async (argv, message) => {
    const cwd = scratchFolder();
    writeFileSync(join(cwd, 'barrow.yaml'), thinBarrow());
    const result = await run(cwd, ['plan', 'barrow.yaml', ...argv]);
    expect(result.exit).toBe(2);
    expect(result.err).toContain(message);
  });
});
