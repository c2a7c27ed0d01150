import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { cite } from '../../src/text/sources.js';
import { LONG } from '../cam/oracle/runs.js';
import { MINIMAL, withKey } from '../job/job-text.js';
import { exampleNames } from '../planned.js';
import { run } from './run.js';
import { scratchFolder } from './scratch.js';

const HERE = process.cwd();
const BARROW = 'examples/nursery-barrow.yaml';
const OPTIONS = [
  ['--chain', '40'],
  ['--teeth', '21'],
  ['--other-teeth', '84'],
  ['--centre-distance', '20 in'],
  ['--power', '3 hp'],
  ['--speed', '600 rpm'],
].flat();

async function mistake(argv: string[], cwd = HERE): Promise<string> {
  const { exit, out, err } = await run(cwd, argv);
  expect(exit, err).toBe(2);
  expect(out).toBe('');
  expect(err).toMatch(/^[^\n]+\n$/);
  return err.trim();
}

const FIT = ['drive', BARROW, '--only', 'fit', '--tooth-form', 'link-sweep'];

interface JsonFigure {
  key: string;
  value: number;
  unit: string;
  limit: { kept: boolean } | null;
  formula: string;
  source: string;
}

async function figures(argv: string[]): Promise<Record<string, JsonFigure>> {
  const { out, err } = await run(HERE, [...argv, '--json']);
  expect(err).toBe('');
  const sections = JSON.parse(out).sections as { figures: JsonFigure[] }[];
  return Object.fromEntries(sections.flatMap((s) => s.figures).map((f) => [f.key, f]));
}

describe('gullet drive', () => {
  it('shows every part of a job', async () => {
    const { exit, out, err } = await run(HERE, ['drive', BARROW]);
    expect(err).toBe('');
    expect(exit).toBe(0);
    for (const title of [
      'Speed',
      'Chain length',
      'Pull of the chain',
      'Power rating',
      'Limits',
      'Fit with the chain, as drawn',
      'Joint with the shaft',
      'Blank and running true',
    ]) {
      expect(out).toContain(`\n${title}\n`);
    }
    expect(out).toContain('even chain that fits best, links');
    expect(out).toContain('Guard the chain');
  });

  it('the published example of 21 and 84 teeth, from options, in inches', async () => {
    // Worked answer, 21/84 tooth No. 40 drive, https://ja3.jsfiddle.net/parte/15047300: 135 pitches.
    const f = await figures(['drive', ...OPTIONS]);
    expect(Math.abs(f['lengthPitches']!.value - 135)).toBeLessThan(0.05);
    expect(f['ratio']!.value).toBe(4);
    const { out } = await run(HERE, ['drive', ...OPTIONS, '--units', 'in', '--only', 'drive']);
    expect(out).toMatch(/rated torque on this sprocket +315 lbf in/);
    expect(out).toMatch(/centre distance for 134 links +19.7383 in/);
    expect(out).not.toMatch(/\d mm\b/);
  });

  it('one part only, and options over a job', async () => {
    const { out } = await run(HERE, ['drive', BARROW, '--only', 'fit']);
    expect(out).toContain('Fit with the chain');
    expect(out).not.toContain('Pull of the chain');
    const changed = await figures(['drive', BARROW, '--teeth', '14', '--old-teeth', '12']);
    expect(changed['speedChange']!.value).toBeCloseTo(14 / 12 - 1, 9);
    const worn = await figures(['drive', BARROW, '--elongation', '3.5 %']);
    expect(worn['elongation']!.limit!.kept).toBe(false);
  });

  it('link-sweep teeth: relief for the errors given, and none without errors', async () => {
    const relief = async (form: string, offset: string) =>
      (await figures([...FIT, '--form-error', form, '--offset', offset]))['reliefMm'];
    expect(await relief('0 mm', '0 mm')).toBeUndefined();
    // Common practice, no source: about 0.25 mm for small errors.
    const found = (await relief('0.05 mm', '0 mm'))!.value;
    expect(found).toBeGreaterThan(0.2);
    expect(found).toBeLessThan(0.3);
    // Lost steps besides ask for more.
    const lost = await figures([...FIT, '--form-error', '0.05 mm', '--offset', '0.06 mm']);
    expect(lost['reliefShiftedMm']!.value).toBeGreaterThan(lost['reliefMm']!.value);
  });

  it('explains every figure with formula and source', async () => {
    const { out } = await run(HERE, ['drive', BARROW, '--explain']);
    expect(out).toContain('1 - cos(180 deg / z1), of the greatest speed');
    const all = await figures(['drive', BARROW]);
    const list = Object.values(all);
    expect(list.length).toBeGreaterThan(50);
    for (const f of list) {
      expect(f.formula, f.key).not.toBe('');
      expect(f.source, f.key).not.toBe('');
      expect(out).toContain(f.formula);
      // Makers and pages are cited by their number: `gullet list sources`.
      expect(out).toContain(cite(f.source));
      expect(Number.isFinite(f.value), f.key).toBe(true);
    }
  });

  it('both units at once', async () => {
    const { out } = await run(HERE, ['drive', BARROW, '--units', 'both']);
    expect(out).toMatch(/hub diameter +26.00 mm \(1.0236 in\)/);
    expect(out).toMatch(/rated torque +4.0 N m \(36 lbf in\)/);
  });

  it('runs on every shipped example', async () => {
    const names = exampleNames();
    expect(names.length).toBeGreaterThan(5);
    // By day every third.
    for (const name of names.filter((_, k) => LONG || k % 3 === 0)) {
      const argv = ['drive', `examples/${name}.yaml`, '--explain'];
      const { exit, out, err } = await run(HERE, argv);
      expect(err, name).toBe('');
      expect(exit, name).toBe(out.includes('NOT KEPT\n') ? 1 : 0);
      expect(out, name).not.toMatch(/NaN|Infinity|undefined|null/);
    }
  });

  it('refuses a hub that the plates would strike, with exit 1', async () => {
    const cwd = scratchFolder();
    const job = readFileSync(BARROW, 'utf8').replace('diameter: 26 mm', 'diameter: 36 mm');
    writeFileSync(join(cwd, 'hub.yaml'), job);
    const { exit, out } = await run(cwd, ['drive', 'hub.yaml', '--only', 'joint']);
    expect(exit).toBe(1);
    expect(out).toMatch(/hub diameter +36.00 mm +at most 34.16 mm +NOT KEPT/);
  });

  it('recommends how to make a bore with a flat', async () => {
    const cwd = scratchFolder();
    const bore = '{ shape: d-flat, diameter: 14 mm, across-flat: 12.5 mm, made-by: router }';
    writeFileSync(
      join(cwd, 'flat.yaml'),
      `${withKey('bore', bore)}hub: { diameter: 24 mm, length: 8 mm }\n`,
    );
    const { out } = await run(cwd, ['drive', 'flat.yaml', '--only', 'joint']);
    expect(out).toContain('silver-braze an insert with the shaft bore into it');
    expect(out).toMatch(/corner that the cutter leaves fouls shaft or key by/);
  });

  it('a job without a drive has fit, joint and blank', async () => {
    const cwd = scratchFolder();
    writeFileSync(join(cwd, 'bare.yaml'), MINIMAL);
    const { exit, out } = await run(cwd, ['drive', 'bare.yaml']);
    expect(exit).toBe(0);
    expect(out).toContain('Fit with the chain');
    expect(out).not.toContain('Pull of the chain');
    expect(await mistake(['drive', 'bare.yaml', '--power', '1 kW'], cwd)).toMatch(
      /--speed is missing; give --speed, --other-teeth and --centre-distance/,
    );
  });

  it('a mistake is one line', async () => {
    expect(await mistake(['drive'])).toMatch(/no chain; name a job file, or give --chain/);
    expect(await mistake(['drive', '--chain', '42O'])).toMatch(
      /is not a chain this tool knows; did you mean/,
    );
    expect(await mistake(['drive', '--chain', '420'])).toMatch(/no tooth count/);
    expect(await mistake(['drive', ...OPTIONS, '--teeth', '4'])).toMatch(/given twice/);
    expect(await mistake(['drive', BARROW, '--teeth', '4'])).toMatch(
      /out of range; write a whole number from 6 to 150/,
    );
    expect(await mistake(['drive', BARROW, '--power', '1 mm'])).toMatch(
      /--power: 1 mm is a length where a power is needed/,
    );
    expect(await mistake(['drive', BARROW, '--tooth-form', 'iso606'])).toMatch(
      /is not a tooth form/,
    );
    expect(await mistake(['drive', BARROW, '--elongation', '50 %'])).toMatch(/out of range/);
    expect(await mistake(['drive', BARROW, '--service', 'rough'])).toMatch(/--service is "rough"/);
  });

  it('wheels that overlap at the centre distance cannot be used so: exit 1', async () => {
    // Pitch diameters of 150 and 40 teeth of 25.4 mm: 1213 and 324 mm, on 380 mm.
    const { exit, out, err } = await run(HERE, [
      ...['drive', BARROW, '--chain', '16B', '--teeth', '150', '--only', 'drive'],
    ]);
    expect([exit, err]).toEqual([1, '']);
    expect(out).toMatch(/^Nursery barrow pinion, 12 teeth, but with 150 teeth, chain 16B\n/);
    expect(out).toMatch(/centre distance, pitches +15\.0 +at least 30\.2 +NOT KEPT/);
    expect(out).toContain('The wheels overlap at this centre distance.');
  });

  it('a wheel that cannot be is refused as a plan would be', async () => {
    const cwd = scratchFolder();
    writeFileSync(join(cwd, 'tip.yaml'), withKey('sprocket', '{ teeth: 12, tip-diameter: 80 mm }'));
    const refused = await run(cwd, ['drive', 'tip.yaml', '--only', 'fit']);
    expect(refused.exit).toBe(1);
    expect(refused.err).toMatch(/^refused: tip diameter 80 mm/);
  });
});
