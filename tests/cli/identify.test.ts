import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readJob } from '../../src/job/load.js';
import { MINIMAL, filesFrom } from '../job/job-text.js';
import { run } from './run.js';
import { scratchFolder } from './scratch.js';

const HERE = process.cwd();
const TEN = ['--pitches', '10', '--span'];
const CALIPER = [
  'identify',
  '--span',
  '128.2 mm',
  '--pitches',
  '10',
  '--roller',
  '7.7 mm',
  '--inner-width',
  '6.35 mm',
];

async function mistake(argv: string[], cwd = HERE): Promise<string> {
  const { exit, out, err } = await run(cwd, argv);
  expect(exit, err).toBe(2);
  expect(out).toBe('');
  expect(err).toMatch(/^[^\n]+\n$/);
  return err.trim();
}

/** The block to paste, as a job that has everything else. */
function jobWith(block: string) {
  const rest = MINIMAL.split('\n').slice(1).join('\n');
  return readJob(`${block}\n${rest}`, 'pasted.yaml', filesFrom());
}

function blocks(out: string): string[] {
  const lines = out.split('\n');
  const designation = lines.find((line) => line.startsWith('  chain: {'));
  const from = lines.indexOf('  chain:');
  const measured = lines.slice(from).filter((line) => line.startsWith('  '));
  return [designation ?? '', measured.map((line) => line.slice(2)).join('\n')];
}

describe('gullet identify', () => {
  it('names the chain, its wear, and gives blocks that a job takes', async () => {
    const { exit, out, err } = await run(HERE, CALIPER);
    expect(err).toBe('');
    expect(exit).toBe(0);
    expect(out).toContain('Pitch as measured: 12.820 mm over 10 pitches.');
    expect(out).toMatch(/^085 \(41\), 420 +over 99.9 % +0.9 % \(0.8 to 1.1\)$/m);
    expect(out).toContain('One sprocket serves all of these: 420, 085 (41).');
    expect(out).toMatch(/The weakest that it can be counts, 085 \(41\): it breaks at 6.7 kN/);
    expect(out).toContain('No further measurement is needed');
    const [named, measured] = blocks(out) as [string, string];
    const chain = jobWith(named.trim()).chain;
    // Nothing has told the two apart yet, and 085 is the weaker.
    expect(chain.designation).toBe('085 (41)');
    expect(chain.elongation).toBeCloseTo(0.009, 9);
    const own = jobWith(measured).chain;
    expect(own).toMatchObject({ designation: null, rollerDiameterMm: 7.7, innerWidthMm: 6.35 });
    expect(own.pitchMm).toBeCloseTo(12.82, 9);
  });

  it('asks for the measurement that tells most', async () => {
    const { out } = await run(HERE, ['identify', ...TEN, '128.2 mm', '--roller', '7.7 mm']);
    expect(out).toMatch(/Measure next: the inner width \(tells 1.00 of the 1.00 bit in doubt\)/);
    expect(out).toContain('Not sure enough to name it in a job');
    expect(out).toContain('inner-width:   # still to be measured');
  });

  it('says plainly that nothing fits, and offers the chain as measured', async () => {
    const file = 'examples/measurements/mower-chain-unknown.yaml';
    const { exit, out } = await run(HERE, ['identify', file]);
    expect(exit).toBe(0);
    expect(out).toContain('Nothing in the chain table fits these measurements.');
    expect(out).toContain('designed for the chain as measured');
    expect(jobWith(blocks(out)[1]!).chain.pitchMm).toBeCloseTo(10.52, 9);
  });

  it('points out a likely slip of measuring', async () => {
    const say = async (span: string, pitches: string) =>
      (
        await run(HERE, [
          'identify',
          ...['--span', span, '--pitches', pitches],
          ...['--roller', '7.75 mm', '--width', '6.35 mm'],
        ])
      ).out;
    // 127.5 mm over ten pitches, and what goes wrong with it.
    expect(await say('135.2 mm', '10')).toMatch(
      /It would be 085 \(41\), 420 if the span was taken over the outsides/,
    );
    expect(await say('119.8 mm', '10')).toMatch(/if the span was taken between the rollers/);
    expect(await say('127.5 mm', '11')).toMatch(/if one pitch too many was counted/);
    expect(await say('127.5 mm', '9')).toMatch(/if one pitch too few was counted/);
    expect(await say('114.5 mm', '9')).toContain('Measure over an even count');
    expect(await say('127.5 mm', '10')).not.toContain('even count');
  });

  it('says when chain and both wheels go together', async () => {
    const at = async (span: string) =>
      (await run(HERE, ['identify', ...TEN, span, '--roller', '7.7 mm', '--width', '6.3 mm'])).out;
    expect(await at('129.8 mm')).toContain('Chain and both wheels should go together');
    expect(await at('131.6 mm')).toMatch(/With more wear than 3 % it would be 085 \(41\), 420/);
    expect(await at('127.1 mm')).toContain('little worn');
  });

  it('reads a file, and options go over it', async () => {
    const file = 'examples/measurements/barrow-chain.yaml';
    const { out } = await run(HERE, ['identify', file, '--json']);
    const json = JSON.parse(out);
    expect(json.candidates[0].members[0].designation).toBe('420');
    expect(json.measuredPitchMm).toBeCloseTo(12.76, 9);
    const over = await run(HERE, ['identify', file, '--inner-width', '4.8 mm', '--json']);
    expect(JSON.parse(over.out).candidates[0].family).toContain('415');
  });

  it('names the farm chain of an example, its rollers read three times', async () => {
    const { out } = await run(HERE, ['identify', 'examples/measurements/elevator-chain.yaml']);
    expect(out).toMatch(/^S32, S32V +over 99.9 %/m);
    expect(out).toContain('chain: { designation: "S32"');
    expect(out).toMatch(/roller-diameter: 11.363 mm/);
  });

  it('takes the measured chain of a job file', async () => {
    const { out } = await run(HERE, [
      'identify',
      'examples/hedge-trimmer-13t-measured.yaml',
      '--json',
    ]);
    const { measuredPitchMm, fits } = JSON.parse(out);
    expect(measuredPitchMm).toBeCloseTo(124.3 / 12, 9);
    // No table has a chain of that pitch: it is designed as measured.
    expect(fits).toBe(false);
  });

  it('check value, common practice, no source: pitch 7.77, roller 4.5, inner width 4.5 is a 219', async () => {
    const argv = ['identify', '--pitch', '7.77 mm', '--roller', '4.5 mm', '--width', '4.5 mm'];
    const { candidates } = JSON.parse((await run(HERE, [...argv, '--json'])).out);
    expect(candidates[0].family).toBe('219, 219H');
    expect(candidates[0].probability).toBeGreaterThan(0.95);
  });

  it('an uncertainty given counts, with the unit once or twice, and a coarse reading is wider', async () => {
    const sdOf = async (text: string): Promise<number> => {
      const { out } = await run(HERE, [
        'identify',
        ...TEN,
        '127 mm',
        '--roller',
        text,
        '--explain',
      ]);
      return Number(/roller diameter .*standard deviation (\S+) mm/.exec(out)![1]);
    };
    expect(await sdOf('7.70 mm +/- 0.02 mm')).toBe(0.02);
    expect(await sdOf('7.70 +/- 0.02 mm')).toBe(0.02);
    expect(await sdOf('7.70 mm \u00b1 20 um')).toBe(0.02);
    expect(await sdOf('7.70 mm')).toBeCloseTo(0.05, 3);
    // The last digit is rounded: 0.1 mm / sqrt 12 = 0.029, with 0.05 in quadrature 0.058.
    expect(await sdOf('7.7 mm')).toBeCloseTo(0.058, 3);
    expect(await sdOf('0.303 in')).toBeCloseTo(0.051, 3);
    expect(await sdOf('5/16 in')).toBeCloseTo(0.05, 3);
  });

  it('explains itself with sources', async () => {
    const { out } = await run(HERE, [...CALIPER, '--explain']);
    expect(out).toContain('(Bayes)');
    expect(out).toMatch(/Sources of the rows\n {2}420 \(\d/);
    expect(out).toContain('under "chains" in gullet list sources');
    expect(out).not.toMatch(/Motomax|Diamond|FB Chain|Wemoto|Commander|amesweb|https?:/i);
    const listed = (await run(HERE, ['list', 'sources'])).out;
    expect(listed).toContain('https://www.motomaxsfr.com/');
    expect(listed).toContain('Diamond Chain');
  });

  it('prints inches, or both', async () => {
    expect((await run(HERE, [...CALIPER, '--units', 'in'])).out).toContain('0.50472 in over 10');
    const both = await run(HERE, [...CALIPER, '--units', 'both']);
    expect(both.out).toContain('12.820 mm (0.50472 in)');
  });

  it('a mistake is one line', async () => {
    expect(await mistake(['identify'])).toMatch(/no span; give --span/);
    expect(await mistake(['identify', '--span', '128 mm'])).toMatch(/no count; give --pitches/);
    expect(await mistake(['identify', '--span', '128'])).toMatch(
      /--span: 128 has no unit; say 128 mm/,
    );
    expect(await mistake(['identify', '--span', '1 m', '--pitches', '2.5'])).toMatch(
      /--pitches: 2.5 is not a count; write a whole number from 1 to 200/,
    );
    expect(await mistake(['identify', '--span', '0 mm'])).toMatch(/is not above 0/);
    expect(await mistake(['identify', '--span', '-5 mm'])).toMatch(/not above 0|needs a value/);
    expect(await mistake(['identify', '--span', '9 km'])).toMatch(/--span: 9 km/);
    expect(await mistake(['identify', '--span', '9 m'])).toMatch(/over 5000 mm/);
    expect(await mistake(['identify', '--span', '1 m +/- 0 mm'])).toMatch(/not above 0/);
    expect(await mistake(['identify', '--span', '1 mm +/- 1 mm +/- 1 mm'])).toMatch(
      /more than one/,
    );
    expect(await mistake(['identify', '--pitch', '7 mm', '--span', '70 mm'])).toMatch(
      /stands beside a span/,
    );
    expect(await mistake(['identify', '--pitch', '7 mm', '--pitches', '10'])).toMatch(
      /stands beside a pitch/,
    );
    expect(await mistake(['identify', '--roler', '7 mm'])).toMatch(/did you mean --roller\?/);
    expect(await mistake(['identify', '--roller', '7 mm', '--roller-diameter', '8 mm'])).toMatch(
      /given twice/,
    );
    expect(await mistake(['identify', 'not-there.yaml'])).toMatch(/is not there/);
  });

  it('a mistake in the file is one line with file, line, key and fix', async () => {
    const cwd = scratchFolder();
    const put = (text: string) => writeFileSync(join(cwd, 'chain.yaml'), text);
    put('span: 128 mm\npitches: 10\nrollr-diameter: 7.7 mm\n');
    expect(await mistake(['identify', 'chain.yaml'], cwd)).toBe(
      'chain.yaml:3: rollr-diameter: is not something that is measured here; did you mean roller-diameter?',
    );
    put('span: 128 mm\npitches: 10\nroller-diameter: 7.7\n');
    expect(await mistake(['identify', 'chain.yaml'], cwd)).toMatch(
      /^chain.yaml:3: roller-diameter: 7.7 has no unit; say 7.7 mm or 7.7 in$/,
    );
    put('span: { a: 1 }\n');
    expect(await mistake(['identify', 'chain.yaml'], cwd)).toMatch(/is a group of keys/);
    put('- 1\n- 2\n');
    expect(await mistake(['identify', 'chain.yaml'], cwd)).toMatch(/chain.yaml:1: /);
    put('span: 1 mm\nspan: 2 mm\n');
    expect(await mistake(['identify', 'chain.yaml'], cwd)).toMatch(/chain.yaml:2: /);
  });

  it('is in the help', async () => {
    const { out } = await run(HERE, ['--help']);
    for (const name of ['identify', 'drive', 'inspect']) expect(out).toContain(`gullet ${name}`);
  });
});

it('every example of measurements is one that a command reads', () => {
  for (const name of [
    'barrow-chain',
    'mower-chain-unknown',
    'barrow-pinion-finished',
    'barrow-pinion-gaps',
    'barrow-old-drive',
    'elevator-chain',
  ]) {
    expect(readFileSync(`examples/measurements/${name}.yaml`, 'utf8')).toMatch(/^#/);
  }
});
