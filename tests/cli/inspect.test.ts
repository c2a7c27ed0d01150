import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { run } from './run.js';
import { scratchFolder } from './scratch.js';

const HERE = process.cwd();
const JOB = ['inspect', 'examples/nursery-barrow.yaml'];

async function mistake(argv: string[], cwd = HERE): Promise<string> {
  const { exit, out, err } = await run(cwd, argv);
  expect(exit, err).toBe(2);
  expect(out).toBe('');
  expect(err).toMatch(/^[^\n]+\n$/);
  return err.trim();
}

describe('gullet inspect', () => {
  it('a good part: inside, exit 0', async () => {
    // 12 teeth of 420: d 49.069 mm, MR = d + 7.77 = 56.839 mm, 0 / -0.25 (ISO 606 5.3.2, from memory).
    const { exit, out, err } = await run(HERE, [
      ...JOB,
      '--over-pins',
      '56.72 mm',
      '--radial-runout',
      '0.06 mm',
    ]);
    expect(err).toBe('');
    expect(exit).toBe(0);
    expect(out).toMatch(/size over pins +56.720 mm +inside \(56.589 mm to 56.839 mm\)/);
    expect(out).toMatch(/radial runout of the roots +0.060 mm +inside \(at most 0.113 mm\)/);
    expect(out).toContain('slack changes over a turn by');
    expect(out).toContain('Good: everything measured');
  });

  it('too much metal can be filed, too little cannot: exit 1', async () => {
    const high = await run(HERE, [...JOB, '--over-pins', '57.04 mm']);
    expect(high.exit).toBe(1);
    expect(high.out).toMatch(/0.201 mm over/);
    expect(high.out).toMatch(/file 0.10 mm out of every seat/);
    expect(high.out).toContain('can be taken away');
    const low = await run(HERE, [...JOB, '--caliper-root', '40.9 mm']);
    expect(low.exit).toBe(1);
    expect(low.out).toContain('no file can mend');
    expect(low.out).toContain('Not to be saved');
  });

  it('a reading of 0 needs a unit, as any other', async () => {
    const said = (option: string, figure: string): string =>
      `inspect: --${option}: ${figure} has no unit; say ${figure} mm or ${figure} in`;
    expect(await mistake([...JOB, '--over-pins', '56'])).toBe(said('over-pins', '56'));
    expect(await mistake([...JOB, '--radial-runout', '0'])).toBe(said('radial-runout', '0'));
    const { exit } = await run(HERE, [...JOB, '--radial-runout', '0 mm']);
    expect(exit).toBe(0);
  });

  it('readings from a file, options over them, JSON', async () => {
    const file = 'examples/measurements/barrow-pinion-finished.yaml';
    const { exit, out } = await run(HERE, [...JOB, '--measured', file, '--json']);
    expect(exit).toBe(1);
    const json = JSON.parse(out);
    expect(json.outcome).toBe('file');
    expect(json.findings).toHaveLength(5);
    expect(json.findings.find((f: { what: string }) => f.what === 'bore').sdMm).toBe(0.005);
    const fixed = await run(HERE, [...JOB, '--measured', file, '--radial-runout', '0.1 mm']);
    expect(fixed.exit).toBe(0);
  });

  it('limits of ASME for its teeth or on request, with sources', async () => {
    const { out } = await run(HERE, [
      ...JOB,
      '--radial-runout',
      '0.14 mm',
      '--standard',
      'asme',
      '--explain',
    ]);
    // Bottom diameter to 4 in: 0.006 in = 0.152 mm. Ryle Sprocket, which is told by a number.
    expect(out).toMatch(/inside \(at most 0.152 mm\)/);
    expect(out).toMatch(/source: tolerances of a maker of sprockets \[\d+\]/);
    expect(out).toContain('one maker where the table was not seen');
  });

  it('inches', async () => {
    const { out } = await run(HERE, [...JOB, '--over-pins', '2.245 in', '--units', 'in']);
    expect(out).toMatch(/size over pins +2.24500 in/);
    expect(out).not.toMatch(/\d mm\b/);
  });

  it('a mistake is one line', async () => {
    expect(await mistake(JOB)).toMatch(/nothing was measured/);
    expect(await mistake(['inspect'])).toMatch(/a word is missing/);
    expect(await mistake([...JOB, '--over-pins', '57'])).toMatch(/has no unit/);
    expect(await mistake([...JOB, '--over-pins', '57 mm', '--pin', '6 mm'])).toMatch(
      /6 mm is not the roller diameter, 7.77 mm; take pins/,
    );
    expect(await mistake([...JOB, '--bore', '0 mm'])).toMatch(/is not above 0/);
    expect(await mistake([...JOB, '--radial-runout', '-1 mm'])).toMatch(/below 0|needs a value/);
    expect(await mistake(['inspect', 'nowhere.yaml', '--bore', '14 mm'])).toMatch(/is not there/);
    const cwd = scratchFolder();
    writeFileSync(join(cwd, 'part.yaml'), 'bores: 14 mm\n');
    const job = join(HERE, 'examples/nursery-barrow.yaml');
    expect(await mistake(['inspect', job, '--measured', 'part.yaml'], cwd)).toMatch(
      /part.yaml:1: bores: is not something that is measured here; did you mean bore\?/,
    );
  });

  it('a list is its mean, with the error of a mean', async () => {
    const sizes = async (text: string) => {
      const { out } = await run(HERE, [...JOB, '--over-pins', text, '--json']);
      return JSON.parse(out).findings[0] as { measuredMm: number; sdMm: number };
    };
    const three = await sizes('56.79, 56.80, 56.84 mm');
    expect(three.measuredMm).toBeCloseTo(56.81, 9);
    // Scatter and usual error together: squares 0.0004 + 0.0001 + 0.0009, and four times that of a
    // micrometer read to 0.01 mm, 0.015^2 + 0.01^2 / 12; over 2 + 4, over three readings.
    const usual = 0.015 ** 2 + 0.01 ** 2 / 12;
    expect(three.sdMm).toBeCloseTo(Math.sqrt((0.0014 + 4 * usual) / 6 / 3), 9);
    const stated = await sizes('56.79, 56.80, 56.84 mm +/- 0.03 mm');
    expect(stated.sdMm).toBeCloseTo(0.03 / Math.sqrt(3), 9);
    // A decimal comma is no list.
    expect(await mistake([...JOB, '--over-pins', '56,8 mm'])).toMatch(/has a comma in the number/);
  });

  it('reads a finished wheel gap by gap, from a file with a list', async () => {
    const file = 'examples/measurements/barrow-pinion-gaps.yaml';
    const { exit, out } = await run(HERE, [...JOB, '--measured', file]);
    expect(exit).toBe(1);
    expect(out).toMatch(/radial runout of the roots +0.150 mm +0.037 mm over/);
    expect(out).toMatch(/File gaps 1, 2, 11, 12, 0.037 mm at the most/);
    expect(await mistake([...JOB, '--gap-readings', '0.1, 0.2, 0.1 mm'])).toMatch(
      /is a list of 3; write 12, and - for one not read/,
    );
    expect(
      await mistake([...JOB, '--gap-readings', '0.1, 0.2, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0']),
    ).toMatch(/has no unit/);
  });

  it('finds what is out on an old drive, and what a new wheel cures', async () => {
    const file = 'examples/measurements/barrow-old-drive.yaml';
    const { exit, out } = await run(HERE, [...JOB, '--measured', file]);
    expect(exit).toBe(0);
    expect(out).toMatch(/Teeth on their bore: out by 0.279 mm/);
    expect(out).toMatch(/A new wheel bored to fit the shaft takes the runout from 0.373 mm/);
    expect(out).toMatch(/jumps tight at one place, 69 links from the start/);
    expect(out).not.toContain('Not to be saved');
    expect(await mistake([...JOB, '--slack-readings', '10, 12, 14 mm'])).toMatch(
      /give slack-every/,
    );
  });

  it('says what a gouged wheel is good for', async () => {
    const { exit, out } = await run(HERE, [...JOB, '--gouge', '0.38 mm']);
    expect(exit).toBe(0);
    // Eight teeth have a root of 25.4 mm (12.7 / sin 22.5 deg less 7.77): the hub of 26 mm is in the way.
    expect(out).toMatch(
      /No smaller wheel fits between what is left of the blank and its bore or hub/,
    );
    expect(out).toMatch(/a chain worn by 1.5 % rides 0.380 mm out/);
  });

  it('a runout of nothing is a reading', async () => {
    const { exit } = await run(HERE, [...JOB, '--axial-runout', '0 mm']);
    expect(exit).toBe(0);
  });
});
