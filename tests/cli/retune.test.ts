import { copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { type Section, partsText } from '../../src/cli/retune/parts.js';
import { parseSides } from '../../src/cli/retune/args.js';
import { retuneFiles } from '../../src/cli/retune/files.js';
import { amountSection, causesSection, shiftsSection } from '../../src/cli/retune/text.js';
import { shiftsFromSides } from '../../src/machines/learn/offsets.js';
import { findMachine } from '../../src/machines/machines.js';
import { nightly } from '../cam/oracle/runs.js';
import { thinBarrow } from '../planned.js';
import { run } from './run.js';
import { scratchFolder, tree } from './scratch.js';
import { machineOf } from '../machines/machine-of.js';

const sectionText = ({ parts }: Section): string => partsText(parts);

/** A gantry with small motors, and a bold job on it: on others it is the cutter that binds, and a loss
 *  is then most likely no matter of force. */
const WEAK = [
  'id: weak',
  'basedOn: screw-gantry-light',
  'thrustN: { x: [[0, 90]], y: [[0, 90]] }',
  'frictionN: { x: 5, y: 5 }',
  'accelerationMmPerS2: { x: 100, y: 100 }',
  '',
].join('\n');
const BOLD = `${thinBarrow().replace('machine: screw-gantry-light', 'machine: weak.yaml')}\nrisk: 20 %\n`;

const LOST = ['--event', 'lost', '--at', 'rough 5', '--axis', 'x', '--direction', 'minus'];

interface Way {
  readonly finishes: number;
  readonly totalMin: number;
  readonly driveN: { readonly x: number; readonly y: number };
  readonly driveForceN: { readonly x: number; readonly y: number };
}

interface Json {
  readonly causes: {
    byForce: number;
    places: { fromLine: number; toLine: number; section: string; probability: number }[];
  };
  readonly limitN: Record<'before' | 'after', Record<'x' | 'y', Record<string, number>>>;
  readonly driveBinds: boolean;
  readonly old: Way;
  readonly feedsHalved: Way;
  readonly plannedAgain: Way;
  readonly wrote: { log: string | null; machine: string | null };
}

describe('retune after a loss', { timeout: 300_000 }, () => {
  // Kept over the tests below, which follow one machine.
  const cwd = mkdtempSync(join(tmpdir(), 'gullet-retune-'));
  afterAll(() => rmSync(cwd, { recursive: true, force: true }));
  let text: string;
  let json: Json;

  beforeAll(async () => {
    writeFileSync(join(cwd, 'weak.yaml'), WEAK);
    writeFileSync(join(cwd, 'barrow.yaml'), BOLD);
    const first = await run(cwd, ['retune', 'barrow.yaml', ...LOST, '--amount', '1.5 mm']);
    expect(first).toMatchObject({ exit: 0 });
    text = first.out;
    const second = await run(cwd, ['retune', 'barrow.yaml', '--json', '--dry-run']);
    expect(second.exit).toBe(0);
    json = JSON.parse(second.out) as Json;
  }, 300_000);

  it('prints bands before and now, likely places, and both ways to run', () => {
    expect(text).toContain('lost steps on X (section rough 5), off by 1.50 mm towards -x');
    // 4 mm lead, 200 steps a turn.
    expect(text).toContain(
      `X: off by 1.50 mm +- 0.10 mm, ${(1.5 / (4 / 200)).toFixed(1)} full steps`,
    );
    expect(text).toMatch(/Probability that cutting force did it: \d/);
    expect(text).toMatch(/\d+ %\s+\d+ to \d+\s+rough level 5/);
    expect(text).toMatch(/X\s+before this\s+\d+\s+90\s+\d+/);
    expect(text).toMatch(/finishes with probability\s+\d+ %\s+over 99\.9 %\s+over 99\.9 %/);
    expect(text).toContain('the drives decide how hard it is cut');
    // Inferred figures come with how sure they are, and nothing is called safe.
    expect(text).toContain('How sure this is');
    expect(text).not.toMatch(/\bsafe/i);
  });

  it('writes a log that people can read and a machine file that the tool reads', () => {
    expect(tree(cwd).filter((f) => f.includes('weak'))).toEqual([
      'weak-r1.yaml',
      'weak.evidence.yaml',
      'weak.yaml',
    ]);
    const log = parse(readFileSync(join(cwd, 'weak.evidence.yaml'), 'utf8')) as {
      runs: Record<string, unknown>[];
    };
    expect(log.runs).toHaveLength(1);
    expect(log.runs[0]).toMatchObject({
      date: '2026-05-03',
      outcome: 'lost',
      axis: 'x',
      direction: '-',
      amount: '1.5 mm',
    });
    const text = readFileSync(join(cwd, 'weak-r1.yaml'), 'utf8');
    const machine = machineOf(text, 'r1.yaml');
    expect(machine.id).toBe('weak-r1');
    expect(machine.provenance['thrustN.x']).toMatch(/^inferred 2026-05-03 from 1 logged runs/);
    expect(machine.thrustN.x[0]![1]).toBeCloseTo(json.limitN.after.x['p50']!, -1);
    // Figures that no run spoke of are as they were.
    expect(machine.thrustN.z[0]![1]).toBe(278);
  });

  it('plans again at the chosen risk, with less asked of the drives than before', () => {
    const { old, plannedAgain, driveBinds } = json;
    // 1 % for all that can end a program; drives may take less than that.
    expect(plannedAgain.finishes).toBeGreaterThanOrEqual(0.99);
    expect(old.finishes).toBeLessThan(0.8);
    expect(driveBinds).toBe(true);
    for (const axis of ['x', 'y'] as const) {
      expect(plannedAgain.driveN[axis]).toBeLessThanOrEqual(plannedAgain.driveForceN[axis]);
    }
    // It is the X drive that is believed weaker.
    expect(plannedAgain.driveForceN.x).toBeLessThan(old.driveForceN.x / 2);
    expect(plannedAgain.driveForceN.x).toBeLessThan(plannedAgain.driveForceN.y);
    expect(plannedAgain.totalMin).toBeGreaterThan(old.totalMin);
  });

  it('sets the habit of halving the feeds beside it: longer, and more asked of the drives', () => {
    const { old, feedsHalved, plannedAgain } = json;
    // Cutting at half the feed takes up to twice as long; rapids and stops are as they were.
    expect(feedsHalved.totalMin / old.totalMin).toBeGreaterThan(1.5);
    expect(feedsHalved.totalMin / old.totalMin).toBeLessThan(2);
    // Ft goes as h^(1 - mc), so that half the chip is 2^-0.74 = 0.6 of the mean force of teeth alike;
    // of teeth that take turns it is less, as the one that stands out takes more of the chip.
    const share = feedsHalved.driveN.x / old.driveN.x;
    expect(share).toBeGreaterThan(0.4);
    expect(share).toBeLessThan(0.65);
    expect(feedsHalved.finishes).toBeGreaterThan(old.finishes);
    expect(feedsHalved.driveN.x).toBeGreaterThan(plannedAgain.driveN.x);
    expect(text).toMatch(/as planned\s+feeds halved\s+planned again/);
  });

  it('never overwrites a machine file, and plans the job with the one it wrote', async () => {
    const before = readFileSync(join(cwd, 'weak-r1.yaml'), 'utf8');
    const job = readFileSync(join(cwd, 'barrow.yaml'), 'utf8');
    writeFileSync(
      join(cwd, 'again.yaml'),
      job.replace('machine: weak.yaml', 'machine: weak-r1.yaml').replace('risk: 20 %', 'risk: 1 %'),
    );
    const result = await run(cwd, [
      ...['retune', 'again.yaml', '--event', 'finished', '--json'],
      ...['--out', 'report'],
    ]);
    expect(result.exit).toBe(0);
    const after = JSON.parse(result.out) as Json;
    expect(after.wrote).toMatchObject({
      machine: 'weak-r2.yaml',
      log: 'weak.evidence.yaml',
    });
    expect(readFileSync(join(cwd, 'weak-r1.yaml'), 'utf8')).toBe(before);
    // The same log goes on, and the program as planned now is the one that was promised.
    expect(after.limitN.before.x['p50']).toBeCloseTo(json.limitN.after.x['p50']!, 0);
    expect(after.limitN.after.x['p50']).toBeGreaterThanOrEqual(after.limitN.before.x['p50']!);
    expect(after.old.totalMin).toBeCloseTo(json.plannedAgain.totalMin, 1);
    const page = readFileSync(join(cwd, 'report', 'retune.html'), 'utf8');
    expect(page).toContain('finished without losing steps');
    // What is a table in the terminal is one on the page, with its cells apart.
    const cells = [...page.matchAll(/<t[hd][^>]*>([^<]*)<\/t[hd]>/g)].map((m) => m[1]);
    for (const cell of ['before this', 'feeds halved', 'finishes with probability', 'total time']) {
      expect(cells).toContain(cell);
    }
    expect(page).not.toContain('<pre');
    // The learning curve: the prior and both runs, for each axis.
    const curve = /<svg[^]*<\/svg>/.exec(page)![0];
    expect(curve.match(/<circle/g)).toHaveLength(2 * 3);
    expect(readFileSync(join(cwd, 'report', 'learning-curve.svg'), 'utf8')).toContain(
      'runs logged',
    );
  });

  nightly('says of a loss at a low load that it was not force, and what to try', async () => {
    const argv = ['retune', 'barrow.yaml', '--event', 'lost', '--at', '20-40', '--axis', 'x'];
    const result = await run(cwd, [...argv, '--dry-run']);
    expect(result.out).toContain('This is a loss at a low load');
    expect(result.out).toMatch(/probability of cutting force under 0\.1 %/);
    expect(result.out).toContain('loose coupling');
    expect(result.out).toContain('halve the acceleration');
    expect(result.out).toContain('electrical');
    expect(tree(cwd).filter((f) => /-r\d/.test(f))).toHaveLength(2);
  });

  it('names the places that there are, where one is asked for that is not', async () => {
    const argv = ['retune', 'barrow.yaml', '--event', 'lost', '--at', 'rough 99', '-q'];
    const result = await run(cwd, argv);
    expect(result).toMatchObject({ exit: 2, out: '' });
    expect(result.err).toMatch(
      /^retune: --at: the program has no section "rough 99": .* with "rough 1" to "rough \d", "finish 1" to "finish \d"; name a place/,
    );
    expect(result.err.trim().split('\n')).toHaveLength(1);
  });

  nightly('tells axis, direction and steps from a wrong part', async () => {
    const result = await run(cwd, [
      ...['retune', 'barrow.yaml', '--dry-run', '--measured'],
      'x+: 1.5 mm too far, x-: 1.5 mm left, y+: 0 mm',
    ]);
    expect(result.out).toContain('X: ran off towards -X by 1.50 mm');
    // 4 mm lead, 200 steps a turn.
    expect(result.out).toContain(`${(1.5 / (4 / 200)).toFixed(1)} full steps`);
    expect(result.out).toContain('cut too far and the opposite side left by the same amount');
    expect(result.out).toContain('Y: not off by more than measuring tells');
    expect(result.out).toContain('Most likely places');
  });
});

describe('what is told besides', () => {
  it('a loss at a low load was not force: what asked, against which limit, and what to try', () => {
    const load = { x: [], y: [] };
    const band = { p5: 200, p50: 278, p95: 386 };
    const limits = { x: band, y: band };
    const text = sectionText(
      causesSection(
        { outcome: 'lost', held: load, suspect: load, axis: 'x', otherHeld: false },
        {
          lowLoad: true,
          otherCause: 0.9999,
          bands: { prior: limits, before: limits, after: limits },
          causes: {
            ...{ places: [], byForce: 0.0001, axis: { x: 0.0001, y: 0 } },
            ...{ peakN: 31.4, advice: ['look at the coupling', 'halve the acceleration'] },
          },
        },
      ),
    ).replace(/\s+/g, ' ');
    expect(text).toContain('This is a loss at a low load');
    expect(text).toMatch(/probability of cutting force under 0\.1 %/);
    expect(text).toContain('31 N asked of a limit near 278 N');
    expect(text).toMatch(/look at the coupling.*halve the acceleration/);
    expect(text).not.toContain('Most likely places');
  });

  it('the new machine file is named from the folder of the job', () => {
    const inJob = (job: string, machine: string) =>
      retuneFiles(job, machine, 'mine', '/home').machineInJob;
    expect(inJob('job.yaml', 'mine.yaml')).toBe('mine-r1.yaml');
    expect(inJob('job.yaml', 'shop/mine.yaml')).toBe('shop/mine-r1.yaml');
    expect(inJob('jobs/job.yaml', '../shop/mine-r1.yaml')).toBe('../shop/mine-r1.yaml');
  });

  it('an amount in belt teeth, where a belt drives the axis', () => {
    const belt = findMachine('belt-gantry-light');
    const tooth = belt.beltToothMm.x!;
    const text = sectionText(amountSection('x', 2 * tooth, belt, 0.05, 'mm')!);
    expect(text).toContain('That is 2 belt teeth (2.00): the belt may have jumped');
    expect(amountSection('x', 0.01, belt, 0.05, 'mm')).toBeNull();
  });
});

describe('what the sides of a part say', () => {
  const machine = findMachine('screw-gantry-light');
  const said = (text: string): string =>
    sectionText(shiftsSection(shiftsFromSides(parseSides(text), machine, 0.05), 'mm'));

  it('one side too far and the opposite one not reached is a shift, of that amount', () => {
    // Common practice, no source.
    const text = said('x+: 1.5 mm too far, x-: untouched');
    expect(text).toContain('X: ran off towards -X by 1.50 mm +- 0.10 mm (95 %), 75.0 full steps.');
    expect(text).toContain('side -x was not reached: a shift');
    expect(text).not.toContain('Only one side');
  });

  it('a side not reached alone tells the way, not the amount', () => {
    const text = said('y+: untouched');
    expect(text).toContain('Y: ran off towards +Y, by as much as stands there or more');
    expect(text).not.toContain('full steps');
    expect(text).not.toContain('not off');
  });

  it('sides that contradict are said to', () => {
    expect(said('x+: 0 mm, x-: untouched')).toContain('contradict each other');
    expect(said('x+: untouched, x-: untouched')).toContain('which no shift does');
  });

  it('one slip is not "1 slips"', () => {
    const sides = parseSides('y-: 0.08 mm over, y+: 0.08 mm left');
    const shifts = shiftsFromSides(sides, machine, 0.01);
    expect(sectionText(shiftsSection(shifts, 'mm'))).toContain('1 slip of four full steps');
  });
});

describe('retune after a howl', () => {
  it('writes what was heard into log and machine file, and chooses a calmer cut', async () => {
    const cwd = scratchFolder();
    writeFileSync(join(cwd, 'barrow.yaml'), thinBarrow());
    const heard = ['--event', 'chatter', '--at', 'rough 2', '--pitch', '480 Hz'];
    const { exit, out, err } = await run(cwd, ['retune', 'barrow.yaml', ...heard, '--json', '-q']);
    expect({ exit, err }).toEqual({ exit: 0, err: '' });
    const { old, plannedAgain, chattersBefore } = JSON.parse(out) as Record<
      'old' | 'plannedAgain',
      {
        chatters: number;
      }
    > & { chattersBefore: number };
    expect(old.chatters).toBeGreaterThan(3 * chattersBefore);
    expect(plannedAgain.chatters).toBeLessThan(old.chatters / 3);
    const machine = machineOf(readFileSync(join(cwd, 'screw-gantry-light-r1.yaml'), 'utf8'), 'r1');
    expect(machine.heard).toMatchObject([{ sound: 'chatter', pitchHz: 480 }]);
    const log = readFileSync(join(cwd, 'screw-gantry-light.evidence.yaml'), 'utf8');
    expect(log).toMatch(/outcome: chatter\n[^]*seen: section rough 2\n[^]*pitchHz: 480\n/);
  });
});

describe('retune: what it refuses, in one line', () => {
  it.each([
    [['--event', 'broken'], '--event is "broken"'],
    [['--at', '15200'], '--at tells of a loss or of chatter; add --event lost or --event chatter'],
    [['--event', 'quiet', '--at', '15200'], '--at tells of a loss or of chatter'],
    [['--event', 'quiet', '--pitch', '480 Hz'], '--pitch is that of a howl; add --event chatter'],
    [['--event', 'chatter', '--pitch', '480'], '--pitch "480" has no unit'],
    [['--event', 'chatter', '--pitch', '40 kHz'], 'is not between 10 and 20000 Hz'],
    [['--event', 'chatter', '--axis', 'x'], '--axis tells of a loss'],
    [['--event', 'chatter', '--ladder', 'l.json'], 'is for a program, not for a ladder'],
    [['--event', 'finished', '--axis', 'x'], '--axis tells of a loss'],
    [['--event', 'lost', '--at', 'somewhere else'], 'is no place of a program'],
    [['--event', 'lost', '--at', '200-100'], 'ends before it begins'],
    [['--event', 'lost', '--amount', '1.5'], 'has no unit'],
    [['--measured', 'left: 1 mm'], 'does not begin with a side'],
    [['--measured', 'x+: 1 mm, x+: 2 mm'], 'names a side twice'],
    [['--event', 'finished', '--measured', 'x+: 1 mm'], 'give one of them'],
    [['--risk', '90'], 'is not between 0.01 and 50 per cent'],
    [['--ladder', 'barrow.yaml'], '--ladder needs to know how it ended'],
    [['--ladder', 'barrow.yaml', '--event', 'finished'], 'barrow.yaml: is no ladder'],
    [['--ladder', 'gone.json', '--event', 'finished'], 'gone.json: is not there'],
    [['--pull-test', 'barrow.yaml'], 'is not a key of a pull test'],
    [['--pull-test', 'p.yaml', '--event', 'lost'], 'give it alone'],
    [['--note', 'hm'], '--note belongs to a run'],
  ])('%j', async (argv, message) => {
    const cwd = scratchFolder();
    copyFileSync('examples/nursery-barrow.yaml', join(cwd, 'barrow.yaml'));
    const result = await run(cwd, ['retune', 'barrow.yaml', ...argv]);
    expect(result.exit).toBe(2);
    expect(result.out).toBe('');
    expect(result.err).toContain(message);
    expect(result.err.trim().split('\n')).toHaveLength(1);
    expect(tree(cwd)).toEqual(['barrow.yaml']);
  });

  it('a log that cannot be read, with its line', async () => {
    const folder = scratchFolder();
    copyFileSync('examples/nursery-barrow.yaml', join(folder, 'barrow.yaml'));
    const log = join(folder, 'screw-gantry-light.evidence.yaml');
    writeFileSync(log, 'machine: screw-gantry-light\nprior:\n  x: { thrust: 278, factor: 1.5 }\n');
    const result = await run(folder, ['retune', 'barrow.yaml', '--event', 'finished']);
    expect(result.exit).toBe(2);
    expect(result.err).toMatch(
      /^screw-gantry-light\.evidence\.yaml:3: prior\.x\.thrust: 278 has no unit/,
    );
    writeFileSync(
      log,
      'machine: other\nprior:\n  x: { thrust: 278 N, factor: 1.5 }\n  y: { thrust: 278 N, factor: 1.5 }\nruns: []\n',
    );
    const other = await run(folder, ['retune', 'barrow.yaml', '--event', 'finished']);
    expect(other.err).toContain("machine: other is not the job's machine, screw-gantry-light");
  });
});
