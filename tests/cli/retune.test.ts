import { copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { type Section, partsText } from '../../src/cli/retune/parts.js';
import { parseSides } from '../../src/cli/retune/args.js';
import { runOn, seenOf } from '../../src/cli/retune/event.js';
import { evidenceLogName } from '../../src/text/file-name.js';
import type { Env } from '../../src/cli/env.js';
import { retune } from '../../src/cli/retune.js';
import { amountSection, causesSection, shiftsSection } from '../../src/cli/retune/text.js';
import { shiftsFromSides } from '../../src/machines/learn/offsets.js';
import { findMachine } from '../../src/machines/machines.js';
import { checkProgram } from '../../src/plan/check/check.js';
import { planJob } from '../../src/plan/plan.js';
import { LONG } from '../cam/oracle/runs.js';
import { SEVEN_TEETH } from '../seven-teeth.js';
import { envIn, run } from './run.js';
import { scratchFolder, tree } from './scratch.js';

const sectionText = ({ parts }: Section): string => partsText(parts);

/** A gantry with small motors, and a bold job on it: on others it is the cutter that binds, and a loss
 *  is then most likely no matter of force. */
const WEAK = [
  'id: weak',
  'basedOn: screw-gantry-light',
  'thrustN: { x: [[0, 90]], y: [[0, 90]] }',
  'frictionN: { x: 5, y: 5 }',
  'accelerationMmPerS2: { x: 200, y: 200 }',
  '',
].join('\n');
const BOLD = `${SEVEN_TEETH.replace('machine: screw-gantry-light', 'machine: weak.yaml')}\nrisk: 20 %\n`;

/** The planning side without the pages of a preview, which nobody here looks at. */
const KERNEL = { planJob, checkProgram };

interface Way {
  readonly finishProbability: number;
  readonly totalMin: number;
  readonly driveDemandN: { readonly x: number; readonly y: number };
  readonly driveThrustN: { readonly x: number; readonly y: number };
}

interface Json {
  readonly limitN: Record<'prior' | 'before' | 'after', Record<'x' | 'y', Record<string, number>>>;
  readonly otherCause: number | null;
  readonly old: Way;
  readonly feedsHalved: Way;
  readonly plannedAgain: Way;
  readonly wrote: { log: string | null };
}

describe('a machine from its first loss on', { timeout: 300_000 }, () => {
  // Kept over the tests below, which follow one machine.
  const cwd = mkdtempSync(join(tmpdir(), 'gullet-retune-'));
  afterAll(() => rmSync(cwd, { recursive: true, force: true }));
  let text: string;
  let lost: Json;
  const json = async (...argv: string[]): Promise<Json> => {
    const result = await run(cwd, [...argv, '--json']);
    expect(result.exit, result.err).toBe(0);
    return JSON.parse(result.out) as Json;
  };

  beforeAll(async () => {
    writeFileSync(join(cwd, 'weak.yaml'), WEAK);
    writeFileSync(join(cwd, 'barrow.yaml'), BOLD);
    // Once for the text and for the figures: what is printed is asked of the others below.
    const told = { event: 'lost', at: 'rough 4', axis: 'x', direction: 'minus', amount: '1.5 mm' };
    const args = {
      job: 'barrow.yaml',
      ...told,
      risk: '3',
      out: 'report',
      'measured-to': '0.05 mm',
    };
    const common = { json: false, quiet: false, units: 'mm' as const };
    const written = await retune.run({ ...args, ...common }, envIn(cwd));
    expect(written.exit).toBe(0);
    lost = written.json as Json;
    text = written.text.replace(/\s+/g, ' ');
  }, 300_000);

  it('the report opens with odds and minutes as it was and planned again, and what to do', () => {
    expect(text).toMatch(
      /^Spreader pinion, 7 teeth: lost steps on X \(section rough 4\), off by 1\.50 mm towards -x As it was planned it reaches its end with a chance of [\d.]+ %, in \d+ min\. Planned again, of [\d.]+ %, in [\dh ]+ min\. Next:/,
    );
    expect(text).toContain('gullet plan barrow.yaml --resume-at LINE');
    expect(text).toContain('it reads weak.evidence.yaml by itself');
    // 4 mm lead, 200 steps a turn.
    expect(text).toContain(
      `X: off by 1.50 mm +- 0.10 mm, ${(1.5 / (4 / 200)).toFixed(1)} full steps`,
    );
    expect(text).toMatch(/Probability that cutting force did it: \d/);
    expect(text).toMatch(/X before this \d+ 90 \d+/);
    expect(text).toContain('as planned feeds halved planned again');
    expect(text).not.toMatch(/\bsafe/i);
  });

  it('what is planned again keeps the risk asked for; the habit of halving the feeds is no quicker', () => {
    const { old, feedsHalved, plannedAgain, limitN } = lost;
    expect(plannedAgain.finishProbability).toBeGreaterThan(old.finishProbability);
    expect(plannedAgain.finishProbability).toBeGreaterThanOrEqual(0.965);
    for (const axis of ['x', 'y'] as const) {
      expect(plannedAgain.driveDemandN[axis]).toBeLessThanOrEqual(
        1.02 * plannedAgain.driveThrustN[axis],
      );
    }
    // It is the X drive that is believed weaker.
    expect(limitN.after.x['p50']).toBeLessThan(limitN.after.y['p50']!);
    expect(limitN.after.x['p50']).toBeLessThan(limitN.prior.x['p50']!);
    // At the same odds or better: not longer.
    if (feedsHalved.finishProbability >= plannedAgain.finishProbability) {
      expect(plannedAgain.totalMin).toBeLessThanOrEqual(feedsHalved.totalMin);
    }
    expect(feedsHalved.totalMin / old.totalMin).toBeGreaterThan(1.5);
    expect(feedsHalved.totalMin / old.totalMin).toBeLessThan(2);
  });

  it('the log alone is written, plan reads it, and a pull test taken after it counts', async () => {
    expect(tree(cwd).filter((f) => f.includes('weak'))).toEqual([
      'weak.evidence.yaml',
      'weak.yaml',
    ]);
    const log = parse(readFileSync(join(cwd, 'weak.evidence.yaml'), 'utf8')) as {
      runs: Record<string, unknown>[];
    };
    expect(log.runs).toHaveLength(1);
    expect(log.runs[0]).toMatchObject({
      outcome: 'lost',
      axis: 'x',
      direction: '-',
      amount: '1.5 mm',
    });
    expect(log.runs[0]!['edge-took']).toMatch(/ %$/);

    writeFileSync(
      join(cwd, 'pull.yaml'),
      'x: { lets-go: [90 N, 92 N, 91 N] }\ny: { lets-go: [95 N, 96 N, 94 N] }\n',
    );
    const pulled = await json('retune', 'barrow.yaml', '--pull-test', 'pull.yaml');
    // What was pulled, less friction of 5 N, is well over what the loss alone leaves.
    expect(pulled.limitN.after.x['p5']).toBeGreaterThan(pulled.limitN.before.x['p5']!);
    expect(pulled.plannedAgain.driveThrustN.x).toBeGreaterThan(lost.plannedAgain.driveThrustN.x);
    const planned = await run(cwd, ['plan', 'barrow.yaml', '--out', 'out', '--json'], KERNEL);
    const { predicted } = JSON.parse(planned.out) as {
      predicted: { driveThrustN: { x: number }; restsOn: unknown };
    };
    expect(predicted.driveThrustN.x).toBeCloseTo(pulled.plannedAgain.driveThrustN.x, 6);
    expect(predicted.restsOn).toEqual({
      thrust: 'log',
      log: {
        ...{ file: 'weak.evidence.yaml', runs: 1, losses: 1, pulled: '2026-05-03' },
        edgeLives: expect.closeTo(parseFloat(String(log.runs[0]!['edge-took'])) / 100, 3) as number,
        ...{ beganN: { x: 90, y: 90 }, statedN: { x: 90, y: 90 } },
      },
    });
    expect(readFileSync(join(cwd, 'out/warning-sheet.html'), 'utf8').replace(/\s+/g, ' ')).toMatch(
      /Thrust is known from .*1 logged run, 1 of them lost \(weak\.evidence\.yaml\)/,
    );
  });

  it('the page has the same answer, tables with cells, and a plot on one scale from 0', () => {
    const page = readFileSync(join(cwd, 'report', 'retune.html'), 'utf8');
    const cells = [...page.matchAll(/<t[hd][^>]*>([^<]*)<\/t[hd]>/g)].map((m) => m[1]);
    for (const cell of ['before this', 'feeds halved', 'reaches its end', 'total time']) {
      expect(cells).toContain(cell);
    }
    expect(page).not.toContain('<pre');
    // Nothing known but the profile, and the loss, for each axis.
    const curve = readFileSync(join(cwd, 'report', 'learning-curve.svg'), 'utf8');
    expect(curve.match(/<circle/g)).toHaveLength(2 * 2);
    expect(curve).toContain('runs in the log');
    expect(curve).toContain('thrust at standstill at which it loses steps, N');
    expect(curve.match(/fill-opacity/g)).toHaveLength(2);
    const scales = [...curve.matchAll(/text-anchor="end">([\d.]+)</g)].map((m) => Number(m[1]));
    expect(scales.slice(0, scales.length / 2)).toEqual(scales.slice(scales.length / 2));
    expect(scales[0]).toBe(0);
  });

  it('names the places that there are, where one is asked for that is not', async () => {
    const argv = ['retune', 'barrow.yaml', '--event', 'lost', '--at', 'rough 99', '-q'];
    const result = await run(cwd, argv);
    expect(result).toMatchObject({ exit: 2, out: '' });
    expect(result.err).toMatch(
      /^retune: --at: the program has no section "rough 99": .* with "rough 1" to "rough \d+", "finish 1" to "finish \d+"; name a place/,
    );
    expect(result.err.trim().split('\n')).toHaveLength(1);
  });
});

describe('what is told besides', () => {
  const machine = findMachine('screw-gantry-light');
  const seen = (sides: string) =>
    seenOf({ measured: sides }, shiftsFromSides(parseSides(sides), machine, 0.05), {
      today: () => '2026-05-03',
    } as Env);

  it('both axes are off: both teach; one is right: it held', () => {
    expect(
      seen('x+: 1.5 mm too far, x-: untouched, y+: 0.2 mm too far, y-: 0.2 mm left'),
    ).toMatchObject({ axis: 'both', otherHeld: false, amountMm: 1.5 });
    expect(seen('x+: 1.5 mm too far, x-: untouched, y+: 0 mm, y-: 0 mm')).toMatchObject({
      ...{ axis: 'x', otherHeld: true, direction: '-' },
    });
    // Nothing was said of Y, or sides that contradict each other.
    expect(seen('x+: 1.5 mm too far, x-: untouched')).toMatchObject({
      axis: 'x',
      otherHeld: false,
    });
    expect(seen('x+: 1.5 mm too far, x-: untouched, y+: untouched, y-: untouched')).toMatchObject({
      axis: 'x',
      otherHeld: false,
    });
  });

  it('edge, changes and bar', () => {
    expect(runOn({})).toEqual({ edgeMin: null, edges: null, bar: null });
    expect(runOn({ edge: 'new', changes: '1', bar: 'B2' })).toEqual({
      ...{ edgeMin: 0, edges: 2, bar: 'B2' },
    });
    expect(runOn({ edge: '35 min' })).toMatchObject({ edgeMin: 35 });
    expect(() => runOn({ edge: 'old' })).toThrow('is neither new nor minutes');
    expect(() => runOn({ changes: 'x' })).toThrow('is not a count');
  });

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
    expect(text).toContain('A loss at a low load');
    expect(text).toMatch(/probability of cutting force under 0\.1 %/);
    expect(text).toContain('31 N asked of a limit near 278 N');
    expect(text).toMatch(/look at the coupling.*halve the acceleration/);
    expect(text).not.toContain('Most likely places');
  });

  it('the log lies beside the machine file, whichever of its numbers the job names', () => {
    expect(evidenceLogName('mine.yaml', 'mine')).toBe('mine.evidence.yaml');
    expect(evidenceLogName('../shop/mine-r1.yaml', 'mine-r1')).toBe('../shop/mine.evidence.yaml');
    expect(evidenceLogName('screw-gantry-light', 'screw-gantry-light')).toBe(
      'screw-gantry-light.evidence.yaml',
    );
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
  it('writes what was heard into the log, and chooses a calmer cut', async () => {
    const cwd = scratchFolder();
    writeFileSync(join(cwd, 'barrow.yaml'), SEVEN_TEETH);
    const heard = ['--event', 'chatter', '--at', 'rough 2', '--pitch', '480 Hz'];
    const { exit, out, err } = await run(cwd, ['retune', 'barrow.yaml', ...heard, '--json', '-q']);
    expect({ exit, err }).toEqual({ exit: 0, err: '' });
    const { old, plannedAgain, chattersBefore } = JSON.parse(out) as Record<
      'old' | 'plannedAgain',
      { chatterProbability: number }
    > & { chattersBefore: number };
    expect(old.chatterProbability).toBeGreaterThan(3 * chattersBefore);
    expect(plannedAgain.chatterProbability).toBeLessThan(old.chatterProbability / 3);
    expect(tree(cwd)).toEqual(['barrow.yaml', 'screw-gantry-light.evidence.yaml']);
    const log = readFileSync(join(cwd, 'screw-gantry-light.evidence.yaml'), 'utf8');
    expect(log).toMatch(/outcome: chatter\n[^]*seen: section rough 2\n[^]*pitchHz: 480\n/);
  });
});

describe('plan --risk', () => {
  it('is planned with in place of that of the job, and refused out of its range', async () => {
    const cwd = scratchFolder();
    writeFileSync(join(cwd, 'barrow.yaml'), SEVEN_TEETH);
    const driveMay = async (...more: string[]) => {
      const { out } = await run(cwd, ['plan', 'barrow.yaml', '--explain', '--json', ...more]);
      const { rows } = JSON.parse(out) as { rows: { bearer: string; limit: number }[] };
      return rows.find(({ bearer }) => bearer === 'drive')!.limit;
    };
    // Drives may take 0.3 of it.
    expect(await driveMay()).toBeCloseTo(0.006, 9);
    expect(await driveMay('--risk', '5 %')).toBeCloseTo(0.015, 9);
    // The plan that was at hand first.
    expect((await run(cwd, ['plan', 'barrow.yaml'])).out).not.toContain('--program');
    const planned = await run(cwd, ['plan', 'barrow.yaml', '--risk', '5 %', '--force']);
    expect(planned.out).toContain('are in the program, not in barrow.yaml');
    const bad = await run(cwd, ['plan', 'barrow.yaml', '--risk', '90']);
    expect([bad.exit, bad.out]).toEqual([2, '']);
    expect(bad.err).toMatch(/^plan: --risk "90" is not between 0.1 % and 50 %; [^\n]*\n$/);
  });
});

describe('a plan that rests on more than its job file', { timeout: 300_000 }, () => {
  const cwd = mkdtempSync(join(tmpdir(), 'gullet-basis-'));
  afterAll(() => rmSync(cwd, { recursive: true, force: true }));
  const TEETH = 'out/barrow/barrow-teeth.nc';
  const read = (file: string): string => readFileSync(join(cwd, file), 'utf8');
  const planned = async (...more: string[]) => {
    const { err, exit } = await run(
      cwd,
      ['plan', 'barrow.yaml', '--quiet', '--force', ...more],
      KERNEL,
    );
    expect([exit, err]).toEqual([0, '']);
    return {
      out: read('out/barrow/warning-sheet.html').replace(/\s+/g, ' '),
      program: read(TEETH),
      predicted: (JSON.parse(read('out/barrow/plan.json')) as Planned).predicted,
    };
  };
  const notes = async (program = TEETH) => {
    const { out } = await run(cwd, ['check', program, '--job', 'barrow.yaml', '--json'], KERNEL);
    const { findings } = JSON.parse(out) as { findings: { code: string; text: string }[] };
    return findings.filter(({ code }) => /^(copy-|planned-)/.test(code)).map(({ text }) => text);
  };
  const retuned = (...more: string[]) =>
    run(cwd, ['retune', 'barrow.yaml', '--event', 'finished', '--json', ...more]);

  beforeAll(() => writeFileSync(join(cwd, 'barrow.yaml'), SEVEN_TEETH));
  /** As it is planned before there is a log. */
  let fresh: Awaited<ReturnType<typeof planned>>;

  it('says so in the program; check knows it again and tells what a plan of today would have', async () => {
    fresh = await planned();
    expect(fresh.program).not.toContain('edge used');
    expect(await notes()).toEqual([]);
    const { program } = await planned('--risk', '1 %');
    expect(program).toContain('(risk 1 in 100, edge used 0.0 in 100, log of 0 runs, 0 pulls)');
    expect(await notes()).toEqual([
      'planned with a risk of 1.0 %; a plan of today would have a risk of 2.0 %',
    ]);
    // A remark that was tampered with makes another job of it, not another risk.
    writeFileSync(join(cwd, TEETH), program.replace('risk 1 in', 'risk 4 in'));
    const tampered = await notes();
    expect(tampered).not.toEqual([]);
    expect(tampered.join()).not.toContain('planned with');
  });

  it('takes the edge as the log leaves it, or as --edge says, and check as it was then', async () => {
    const { predicted, program } = fresh;
    expect(predicted.edgeServedLives).toBe(0);
    writeFileSync(join(cwd, TEETH), program);
    // Of two edges each took half: the second serves on.
    expect((await retuned('--edge', 'new', '--changes', '1')).exit).toBe(0);
    const log = parse(read('screw-gantry-light.evidence.yaml')) as {
      runs: Record<string, string>[];
    };
    const took = parseFloat(log.runs[0]!['edge-took']!) / 100;
    expect(took).toBeCloseTo(predicted.edgeLives / 2, 3);
    // From before the log had grown.
    expect(await notes()).toEqual([
      `planned with a new edge, no log; a plan of today would have an edge that has served ${(100 * took).toFixed(1)} %, a log of runs: 1, pull tests: 0`,
    ]);
    const worn = await planned();
    expect(await notes()).toEqual([]);
    expect(worn.predicted.edgeServedLives).toBeCloseTo(took, 3);
    expect(worn.out).toContain(
      `It begins with an edge that has served ${(100 * took).toFixed(1)} % of its life`,
    );
    expect(worn.predicted.edgeLivesEach).toBeCloseTo(took + worn.predicted.edgeLives, 3);
    if (LONG) {
      // A restart is known by the same line.
      const restart = ['plan', 'barrow.yaml', '--resume-at', 'rough 3', '--out', 'again', '-q'];
      expect((await run(cwd, restart, KERNEL)).exit).toBe(0);
      const rests = /\(risk 2 in 100, edge used [\d.]+ in 100, log of 1 runs, 0 pulls\)/;
      expect(read('again/barrow-restart.nc').match(rests)![0]).toBe(worn.program.match(rests)![0]);
      expect(await notes('again/barrow-restart.nc')).toEqual([]);
    }
    const minutesFor = (lives: number) =>
      `${((lives * predicted.edgeMinutes) / predicted.edgeLives).toFixed(1)} min`;
    if (LONG) {
      const renewed = await planned('--edge', 'new');
      expect(renewed.predicted.edgeServedLives).toBe(0);
      expect(renewed.out).toContain('It begins with a new edge: the one before has served');
      expect(renewed.predicted.finishParts.edge).toBeGreaterThan(worn.predicted.finishParts.edge);
      // One that would not last is not begun with, and that is told; see `fewestEdges`, too.
      const old = await planned('--edge', minutesFor(0.8));
      expect(old.predicted.edgeServedLives).toBe(0);
      expect(old.out).toContain('It begins with a new edge: the one before has served');
    }
    // Minutes are those of this cut: at night on a plan of their own.
    let last = worn;
    if (LONG) {
      last = await planned('--edge', `${(predicted.edgeMinutes / 2).toFixed(2)} min`);
      expect(last.predicted.edgeServedLives / (predicted.edgeLives / 2)).toBeCloseTo(1, 1);
    }
    // A run of the program that states its edge is logged with it.
    expect((await retuned('--program', TEETH)).exit).toBe(0);
    const { runs } = parse(read('screw-gantry-light.evidence.yaml')) as typeof log;
    expect(parseFloat(runs[1]!['edge-before']!) / 100).toBeCloseTo(
      last.predicted.edgeServedLives,
      3,
    );
    const gone = await run(cwd, ['plan', 'barrow.yaml', '--edge', minutesFor(1.5), '-q']);
    expect([gone.exit, gone.out]).toEqual([2, '']);
    expect(gone.err).toContain("150 % of an edge's life in this cut, and 90.8 % may be used");
    const bad = await run(cwd, ['plan', 'barrow.yaml', '--edge', 'old']);
    expect([bad.exit, bad.out]).toEqual([2, '']);
    expect(bad.err).toMatch(/^plan: --edge "old" is neither new nor minutes; [^\n]*\n$/);
  });
});

interface Planned {
  readonly predicted: {
    readonly edgeServedLives: number;
    readonly edgeLives: number;
    readonly edgeLivesEach: number;
    readonly edgeMinutes: number;
    readonly finishParts: { readonly edge: number };
  };
}

describe('retune: what it refuses, in one line', () => {
  it.each([
    [['--event', 'broken'], '--event is "broken"'],
    [['--at', '15200'], '--at tells of a loss or of chatter; add --event lost or --event chatter'],
    [['--event', 'quiet', '--at', '15200'], '--at tells of a loss or of chatter'],
    [['--event', 'quiet', '--pitch', '480 Hz'], '--pitch is that of a howl; add --event chatter'],
    [['--event', 'chatter', '--pitch', '480'], '--pitch "480" has no unit'],
    [['--event', 'chatter', '--pitch', '40 kHz'], 'is not between 10 and 20000 Hz'],
    [['--event', 'chatter', '--axis', 'x'], '--axis tells of a loss'],
    [['--event', 'finished', '--axis', 'x'], '--axis tells of a loss'],
    [['--event', 'lost', '--at', 'somewhere else'], 'is no place of a program'],
    [['--event', 'lost', '--at', '200-100'], 'ends before it begins'],
    [['--event', 'lost', '--amount', '1.5'], 'has no unit'],
    [['--measured', 'left: 1 mm'], 'does not begin with a side'],
    [['--measured', 'x+: 1 mm, x+: 2 mm'], 'names a side twice'],
    [['--event', 'finished', '--measured', 'x+: 1 mm'], 'give one of them'],
    [['--risk', '90'], 'is not between 0.1 % and 50 %'],
    [['--pull-test', 'barrow.yaml'], 'is not a key of a pull test'],
    [['--pull-test', 'p.yaml', '--event', 'lost'], 'give it alone'],
    [['--note', 'hm'], '--note belongs to a run'],
    [['--edge', 'new'], '--edge belongs to a run'],
    [['--event', 'finished', '--edge', 'old'], 'is neither new nor minutes'],
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
