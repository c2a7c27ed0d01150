/**
 * Programs written by hand for the nursery barrow's pinion (12 teeth, 3 mm cutter, blank 55.6 mm,
 * engagement limit 60 deg) and what `check` must say about each. Expected angles come from
 * triangles, not from the replay.
 */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { type CheckFinding, type CheckReport, checkProgram } from '../../src/plan/check/check.js';
import { loadJobText } from '../../src/job/load.js';
import { planParts } from '../../src/plan/plan.js';
import type { Job } from '../../src/model/job.js';
import { filesFrom } from '../job/job-text.js';
import { SMALL_JOB, SMALL_TEXT } from '../plan/check/mutants.js';
import { run } from './run.js';
import { scratchFolder } from './scratch.js';
import { exampleText } from '../planned.js';
import { SEVEN_TEETH } from '../seven-teeth.js';

const BARROW = exampleText('nursery-barrow');

function jobOf(text: string): Job {
  const { job, error } = loadJobText(text, 'barrow.yaml', filesFrom());
  if (job === null) throw error;
  return job;
}

const JOB = jobOf(BARROW);
/** plan.json of the example: blank 55.6 mm round, planned for 0.15 mm off centre; cutter 3 mm. */
const BLANK_R = 55.6 / 2 + 0.15;
const R = 1.5;

const TOP = ['G21 G90 G17 G94', 'G0 Z5', 'M3 S10000', 'G4 P3'];
const END = ['G0 Z5', 'M5', 'M2'];
/** A whole program round a few lines; the first of them is line 5. */
const around = (...lines: string[]): string => [...TOP, ...lines, ...END].join('\n') + '\n';

interface Outcome {
  readonly exit: number;
  readonly worst: string;
  readonly findings: readonly CheckFinding[];
  readonly measured: Readonly<Record<string, number>>;
  readonly text: string;
  /** "severity code" -> lines. */
  readonly lines: (kind: string) => number[];
  readonly only: (code: string) => CheckFinding;
}

const known = new Map<string, Job>();

/** The first job that was equal to this one: what its programs are held against is made once. */
function firstLike(job: Job): Job {
  const key = JSON.stringify(job);
  if (!known.has(key)) known.set(key, job);
  return known.get(key)!;
}

/** Runs `check` on a text, as text and as JSON. */
async function check(program: string, job: string = BARROW, ...more: string[]): Promise<Outcome> {
  const cwd = scratchFolder();
  writeFileSync(join(cwd, 'barrow.yaml'), job);
  writeFileSync(join(cwd, 'hand.ngc'), program);
  const argv = ['check', 'hand.ngc', '--job', 'barrow.yaml', ...more];
  let report: CheckReport | undefined;
  const plain = await run(cwd, argv, {
    checkProgram: (text, of, ...given) => (report = checkProgram(text, firstLike(of), ...given)),
  });
  // Told another way, not looked at again.
  const json = await run(cwd, [...argv, '--json'], { checkProgram: () => report! });
  expect(json.exit).toBe(plain.exit);
  // The clock of the tests runs fast, so there is progress to see.
  expect(plain.err).toMatch(/^(replay +\d+ %\n)*$/);
  const { findings, measured, worst } = JSON.parse(json.out);
  const lines = (kind: string): number[] =>
    (findings as CheckFinding[])
      .filter((f) => `${f.severity} ${f.code}` === kind)
      .map((f) => f.line);
  const only = (code: string): CheckFinding => {
    const found = (findings as CheckFinding[]).filter((f) => f.code === code);
    expect(found, code).toHaveLength(1);
    return found[0]!;
  };
  return { exit: plain.exit, worst, findings, measured, text: plain.out, lines, only };
}

/** Errors as "line code". */
const errors = (outcome: Outcome): string[] =>
  outcome.findings.filter((f) => f.severity === 'error').map((f) => `${f.line} ${f.code}`);

const deg = (rad: number): number => (rad * 180) / Math.PI;

describe('load', () => {
  it('a cut round the rim within all limits is no error', async () => {
    // 0.35 mm off a 27.95 mm radius: acos((d^2 + r^2 - R^2) / (2 d r)) with d = R + r - 0.35.
    const d = BLANK_R + R - 0.35;
    const outcome = await check(
      around(
        'G0 X40 Y0',
        'G1 Z-0.4 F300',
        // In along a tangent, so that the way in is no deeper than the round.
        'G0 Y40',
        `G1 X0 Y40 F200`,
        `G3 X0 Y${d} I0 J${(d - 40) / 2} F200`,
        `G2 X0 Y${d} I0 J${-d}`,
        `G3 X0 Y40 I0 J${(40 - d) / 2}`,
      ),
    );
    expect(errors(outcome)).toEqual([]);
    expect(outcome.exit).toBe(0);
    const expected = deg(Math.acos((d * d + R * R - BLANK_R * BLANK_R) / (2 * d * R)));
    expect(expected).toBeGreaterThan(35);
    // On the way in the stock behind is still there, for a moment: somewhat more than in the round.
    expect(outcome.measured['peakEngagementDeg']).toBeGreaterThan(expected - 0.2);
    expect(outcome.measured['peakEngagementDeg']).toBeLessThan(1.2 * expected);
    expect(outcome.worst).toBe('warning');
    expect(outcome.lines('warning leftover')).toEqual([0]);
    // The ring that is cut: pi (R^2 - (R - 0.35)^2) x 0.4 mm, and no more.
    const ring = Math.PI * (BLANK_R ** 2 - (BLANK_R - 0.35) ** 2) * 0.4;
    expect(outcome.measured['removedMm3']).toBeGreaterThan(0.99 * ring);
    expect(outcome.measured['removedMm3']).toBeLessThan(1.02 * ring);
  });

  it('a radial in-feed is engaged on both sides: an inch program', async () => {
    const outcome = await check(
      [
        'G20 G90 G17 G94',
        'G0 Z0.2',
        'M3 S10000',
        'G4 P3',
        'G0 X1.25 Y0',
        'G1 Z-0.018 F12',
        'G1 X1.12 F20',
        'G1 X1.25',
        'G0 Z0.2',
        'M5',
        'M2',
        '',
      ].join('\n'),
    );
    const d = 1.12 * 25.4;
    const expected = 2 * deg(Math.acos((d * d + R * R - BLANK_R * BLANK_R) / (2 * d * R)));
    const found = outcome.only('engagement');
    expect(found.line).toBe(7);
    expect(found.value).toBeCloseTo(expected, 1);
    expect(found.limit).toBe(120);
    expect(outcome.exit).toBe(1);
    expect(outcome.text).toContain('hand.ngc:7: error: engaged over 138 deg; the limit is 120 deg');
    expect(outcome.lines('warning modes-left')).toEqual([11]);
  });

  it('a full slot is 180 deg, over what the cutter bears and into the outline, each with its line', async () => {
    const outcome = await check(around('G0 X40 Y0', 'G1 Z-0.48 F300', 'G1 X21 F900'));
    expect(outcome.only('engagement')).toMatchObject({ line: 7, limit: 120 });
    expect(outcome.only('engagement').value).toBeCloseTo(180, 0);
    expect(outcome.lines('error cutter')).toEqual([7]);
    // plan.json: root diameter 41.299 mm, cut 0.112 mm farther in, so at X21 the cutter's edge is
    // 20.5375 - 19.5 inside.
    expect(outcome.only('gouge').value).toBeCloseTo(41.299 / 2 - 0.112 - (21 - R), 2);
    expect(outcome.lines('warning chip')).toEqual([7]);
  });

  it('says so where the chip, the depth or the power is too much', async () => {
    const outcome = await check(around('G0 X40 Y0', 'G1 Z-5 F300', 'G1 X28.9 F1200', 'G1 X40'));
    expect(outcome.only('stepdown')).toMatchObject({ line: 7, limit: 0.5 });
    expect(outcome.only('stepdown').value).toBeCloseTo(5, 3);
    expect(outcome.only('power').line).toBe(7);
    expect(outcome.lines('error cutter')).toEqual([7]);
    // X and Y, at once.
    expect(outcome.lines('error drive')).toEqual([7, 7]);
  });
});

describe('collisions', () => {
  it('a plunge into the blank, and a rapid through it', async () => {
    const outcome = await check(around('G0 X26 Y0', 'G1 Z-3 F60', 'G0 X35'));
    expect(errors(outcome)).toEqual(['6 plunge', '7 rapid-in-material', '7 engagement']);
    expect(outcome.exit).toBe(1);
  });

  it('a rapid that slants down through the rim, and one that slants up', async () => {
    const down = await check(around('G0 X40 Y0', 'G0 X24 Z-2', 'G0 Z5'));
    expect(down.lines('error rapid-in-material')).toEqual([6]);
    const up = await check(around('G0 X40 Y0', 'G1 Z-2 F300', 'G0 X24 Z0.5'));
    // Where it meets the rim, at X27.95 + 1.5, it has risen 2.5 mm x (40 - 29.45) / 16 to Z-0.35.
    expect(up.lines('error rapid-in-material')).toEqual([7]);
    const over = await check(around('G0 X40 Y0', 'G1 Z-2 F300', 'G0 X33 Z5', 'G0 X0'));
    expect(errors(over)).toEqual([]);
  });

  it('a helix into the blank: engaged over a half circle or nearly, turn by turn', async () => {
    const outcome = await check(
      around(
        'G0 X22 Y0',
        'G1 Z0.2 F200',
        'G3 X22 Y0 I-1 J0 Z-0.3 F150',
        'G3 X22 Y0 I-1 J0 Z-0.3',
        'G3 X22 Y0 I-1 J0',
      ),
    );
    expect(outcome.lines('error ramp')).toEqual([7]);
    expect(outcome.lines('error engagement')).toEqual([7, 8]);
    // The last turn goes where all is gone.
    expect(outcome.measured['peakEngagementDeg']).toBeGreaterThan(150);
    expect(outcome.measured['peakEngagementDeg']).toBeLessThanOrEqual(181);
  });

  it('an arc in the XZ plane that dips into the blank', async () => {
    const outcome = await check(
      [
        'G21 G90 G18 G94',
        ...TOP.slice(1),
        'G0 X31 Y0',
        'G1 Z0 F200',
        'G3 X21 Z0 I-5 K0',
        ...END,
      ].join('\n'),
    );
    // RS274/NGC 3.5.3: G3 in G18 turns from Z to X, so from X31 to X21 about X26 it passes below.
    expect(outcome.lines('error ramp')).toEqual([7]);
    expect(outcome.only('stepdown').value).toBeCloseTo(5, 1);
    expect(outcome.lines('warning arc-plane')).toEqual([7]);
    const above = await check(
      [
        'G21 G90 G18 G94',
        ...TOP.slice(1),
        'G0 X31 Y0',
        'G1 Z0 F200',
        'G2 X21 Z0 I-5 K0',
        ...END,
      ].join('\n'),
    );
    expect(errors(above)).toEqual([]);
    expect(above.lines('warning cuts-nothing')).toEqual([0]);
  });

  it('the hub below the teeth, the room under the blank, the collet nut', async () => {
    const drilled = await check(
      around('G0 X10 Y0', 'G1 Z-6.2 F60', 'G0 Z5', 'G0 X40', 'G1 Z-9 F300', 'G0 X29.2'),
    );
    expect(drilled.lines('error plunge')).toEqual([6]);
    expect(drilled.only('hub')).toMatchObject({ line: 6, value: -6.2 });
    expect(drilled.lines('warning below-blank')).toEqual([10]);
    const deep = await check(around('G0 X31 Y0', 'G1 Z-13 F300'));
    expect(deep.lines('error holder')).toEqual([6]);
  });

  it('the bolt in the middle, where a bolt holds the blank', async () => {
    const bolted = BARROW.replace('held-by: spigot', 'held-by: through-bolt').replace(
      'stick-out: 12 mm',
      'stick-out: 16 mm',
    );
    const low = around('G0 X30 Y20', 'G0 X-30');
    const away = around('G0 X30 Y20', 'G0 X-30 Y-10', 'G0 Z12', 'G0 X0 Y0');
    // Large washer of M8: 24 mm; a line at Y13 with a 3 mm cutter comes within 13.5 mm.
    expect(errors(await check(low.replaceAll('Y20', 'Y13'), bolted))).toEqual(['6 bolt']);
    expect(errors(await check(low.replaceAll('Y20', 'Y14'), bolted))).toEqual([]);
    expect(errors(await check(away, bolted))).toEqual(['6 bolt']);
    expect(errors(await check(low.replaceAll('Y20', 'Y0')))).toEqual([]);
  });

  it('more travel than the machine has, with the line that needs it; arcs count with their bulge', async () => {
    const { travelMm } = JOB.machine;
    const far = await check(around('G0 X-20 Y0', `G0 X${travelMm.x - 19}`));
    expect(far.only('travel')).toMatchObject({ line: 6, value: travelMm.x + 1 });
    const half = travelMm.y / 2 + 1;
    const round = await check(around('G0 X40 Y0', 'G1 F900 X41', `G2 X42 Y0 I0.5 J${half}`));
    expect(errors(round)).toContain('7 travel');
  });

  it('travel of each axis by itself: what is not known of one hides nothing of another', async () => {
    const { travelMm } = JOB.machine;
    const wide = travelMm.x + 1;
    // Never in Y; then in Y, too, but far out in X before that.
    const one = await check(around('G0 X-20', `G0 X${wide - 20}`));
    expect(one.only('travel')).toMatchObject({ line: 6, value: wide, severity: 'error' });
    expect(one.only('travel').text).toMatch(/in X, its zero included: .*the machine travels/);
    const two = await check(around('G0 X-20', 'G0 Y9', `G0 X${wide - 20}`, 'G0 Y0'));
    expect(two.only('travel')).toMatchObject({ line: 7, value: wide });
    const other = await check(around('G0 Y-20', `G0 Y${travelMm.y - 19}`));
    expect(other.only('travel')).toMatchObject({ line: 6, value: travelMm.y + 1 });
    // As far as the machine goes and no farther.
    expect(errors(await check(around('G0 X-20', `G0 X${travelMm.x - 20}`)))).toEqual([]);
    // Z while nothing else is known: from the zero, which the sheet has set on the face.
    const high = await check(around(`G0 Z${travelMm.z + 6}`));
    expect(high.only('travel')).toMatchObject({ line: 5, value: travelMm.z + 6 });
    // Where the machine's zero lies is not known, so it counts for nothing; the work's zero does.
    const tall = [...TOP, 'G53 G0 Z0', 'G0 X40 Y0', `G0 Z${travelMm.z}`, ...END].join('\n');
    expect(errors(await check(tall))).toEqual([]);
    const aside = await check(
      around('G0 X-20 Y0', `G53 G0 X-${travelMm.x}`, `G0 X${travelMm.x - 21}`),
    );
    expect(aside.lines('error travel')).toEqual([]);
    // From its own zero a machine goes no farther than it travels.
    const beyond = await check(around('G0 X-20 Y0', 'G53 G0 X-999'));
    expect(beyond.only('travel')).toMatchObject({ line: 6, value: -999, limit: travelMm.x });
  });

  it('a program a thousand times too large is judged to its end', async () => {
    const outcome = await check(
      around('G0 X-9000000 Y1', 'G1 Z-1 F900', 'G1 X9000000', 'G2 X9000000 Y1 I-9000000 J0'),
    );
    expect(errors(outcome)).toContain('7 engagement');
    expect(outcome.lines('error limit')).toEqual([]);
    expect(outcome.lines('error travel').length).toBe(2);
  });
});

describe('rapids near the face', () => {
  const over = around('G0 X40 Y0', 'G0 Z0.8', 'G0 X-40');

  it('are told below 1 mm, or the height that is asked for', async () => {
    const near = await check(over);
    expect(near.only('rapid-near-face')).toMatchObject({ line: 7, value: 0.8, limit: 1 });
    const asked = await check(over, BARROW, '--rapid-clearance', '0.5 mm');
    expect(asked.lines('warning rapid-near-face')).toEqual([]);
    expect(errors(await check(over.replace('Z0.8', 'Z0')))).toEqual(['7 rapid-at-face']);
    const cwd = scratchFolder();
    writeFileSync(join(cwd, 'barrow.yaml'), BARROW);
    writeFileSync(join(cwd, 'hand.ngc'), over);
    const argv = ['check', 'hand.ngc', '--job', 'barrow.yaml', '--rapid-clearance', 'low'];
    const { exit, err } = await run(cwd, argv, { checkProgram });
    expect(exit).toBe(2);
    expect(err).toMatch(/^check: --rapid-clearance "low" .*; .*\n$/);
  });
});

describe('lines that a switch skips', () => {
  const on = `${BARROW}controller: pc-based\n`;

  it('are judged skipped and run, where the control has the switch', async () => {
    const retreat = around('G0 X26 Y0', '/G0 X40', 'G1 Z-0.4 F300', 'G0 Z5').replaceAll(
      'G94',
      'G94 G54',
    );
    const outcome = await check(retreat, on);
    expect(errors(outcome)).toEqual(['7 plunge']);
    expect(outcome.only('plunge').text).toMatch(/^with the marked lines skipped: the cutter goes/);
    expect(outcome.only('marked-lines')).toMatchObject({ line: 6, severity: 'warning' });
    const down = await check(around('G0 X26 Y0', '/G1 Z-0.4 F300', 'G0 Z5'), on);
    expect(errors(down)).toEqual(['6 plunge']);
    expect(down.only('plunge').text).toMatch(/^with the marked lines run: /);
    // Harmless both ways: the switch is told, nothing else.
    const both = await check(around('G0 X40 Y0', '/G4 P1', 'G1 Z-0.4 F300', 'G0 Z5'), on);
    expect(errors(both)).toEqual([]);
    expect(both.lines('warning marked-lines')).toEqual([6]);
    // In both alike: told once, as it is.
    const alike = await check(around('/G4 P1', 'G0 X26 Y0', 'G1 Z-0.4 F300'), on);
    expect(alike.only('plunge').text).toMatch(/^the cutter goes down/);
  });
});

describe('modes and language', () => {
  it('a full circle that names its centre only, in words that help', async () => {
    const outcome = await check(around('G0 X40 Y0', 'G1 Z1 F300', 'G3 I-5 J0', 'I-5 J0'));
    const bare = outcome.findings.filter(({ code }) => code === 'rs274-axis-missing');
    expect(bare.map(({ line }) => line)).toEqual([7]);
    expect(bare[0]!.text).toMatch(
      /^G3 without an end point: some controls run a full circle.*write X and Y of the start again/,
    );
    const modal = await check(around('G0 X40 Y0', 'G1 Z1 F300', 'G3 X40 Y0 I-5 J0', 'I-5 J0'));
    expect(modal.lines('error rs274-axis-missing')).toEqual([8]);
    const full = await check(around('G0 X40 Y0', 'G1 Z1 F300', 'G3 X40 Y0 I-5 J0'));
    expect(errors(full)).toEqual([]);
  });

  it('G91 goes where the sum leads', async () => {
    const outcome = await check(
      [
        'G21 G91 G17 G94',
        ...TOP.slice(1),
        'G0 X31 Y0',
        'G1 Z-5.4 F300',
        'G1 X-10',
        'G0 Z5.4',
        'M5',
        'M2',
      ].join('\n'),
    );
    expect(outcome.lines('error gouge')).toEqual([7]);
    expect(outcome.only('gouge').value).toBeCloseTo(41.299 / 2 - 0.112 - (21 - R), 2);
    expect(outcome.lines('warning starts-incremental')).toEqual([2]);
  });

  it('down before X and Y are given is down nobody knows where', async () => {
    const outcome = await check(
      around('G1 Z-0.3 F100', 'G0 X40', 'G1 Z-0.4 F100', 'G0 Y0', 'G1 X29.3'),
    );
    expect(errors(outcome)).toEqual([
      '5 place-unknown',
      '6 place-unknown',
      '7 place-unknown',
      '8 place-unknown',
    ]);
  });

  it('nothing stated: units, distance mode, plane, feed mode, height', async () => {
    const outcome = await check('G0 X40 Y0\nG1 Z-1 F100\nG2 X41 Y0 I0.5 J0\nG0 Z5\n');
    expect(errors(outcome)).toEqual(
      expect.arrayContaining([
        '1 units-missing',
        '1 distance-missing',
        '1 plane-missing',
        '4 end-missing',
        '4 rs274-missing-program-end',
      ]),
    );
    // Beside the blank: over it, it would be an error.
    expect(outcome.lines('note spindle-off')).toEqual([2]);
    expect(outcome.lines('warning start-height')).toEqual([1]);
    expect(outcome.lines('warning feed-mode-missing')).toEqual([1]);
  });

  it('no feed, no spindle in material, spindle the wrong way, no wait', async () => {
    const outcome = await check(
      [
        'G21 G90 G17 G94',
        'G0 Z5',
        'G0 X40 Y0',
        'G1 Z-0.4',
        'F200',
        'G1 Z-0.4',
        'G1 X29',
        ...END,
      ].join('\n'),
    );
    expect(outcome.lines('error feed-missing')).toEqual([4]);
    expect(outcome.lines('error spindle-stopped')).toEqual([7]);
    expect(outcome.lines('note lines-skipped')).toEqual([4]);
    const reverse = await check(around('M4', 'G0 X40 Y0', 'G1 Z-0.4 F300', 'G1 X29.2'));
    expect(reverse.lines('error spindle-reverse')).toEqual([7]);
    const hasty = await check(around('M5', 'M3', 'G0 X40 Y0', 'G1 Z-0.4 F300'));
    expect(hasty.lines('warning spin-up')).toEqual([8]);
  });

  it('left low, with the spindle on and in inches', async () => {
    const outcome = await check(
      ['G20 G90 G17 G94', 'G0 Z0.2', 'M3 S10000', 'G4 P3', 'G0 X1.5 Y0', 'G1 Z-0.1 F10', 'M2'].join(
        '\n',
      ),
    );
    expect(outcome.only('ends-low').line).toBe(6);
    expect(outcome.lines('warning spindle-left-on')).toEqual([7]);
    expect(outcome.only('modes-left').text).toContain('G20 (inch)');
  });

  it('parameters and cycles that this control lacks are carried out and named', async () => {
    const outcome = await check(
      around(
        '#1=30',
        'G0 X[40*COS[#1]] Y[40*SIN[#1]]',
        'G1 Z-0.4 F300',
        'G1 X[28.4*COS[#1]] Y[28.4*SIN[#1]]',
      ),
    );
    expect(outcome.only('expression').line).toBe(5);
    // Radially to 28.4 mm: both sides of the rim, as above.
    const expected = 2 * deg(Math.acos((28.4 ** 2 + R * R - BLANK_R ** 2) / (2 * 28.4 * R)));
    expect(outcome.only('engagement').value).toBeCloseTo(expected, 1);
    const cycle = await check(around('G81 X24 Y0 Z-5 R1 F60', 'X0 Y24', 'G80'));
    expect(cycle.lines('error unknown-code')).toEqual([5]);
    expect(cycle.lines('error plunge')).toEqual([5, 6]);
  });

  it('arcs by radius, and arcs that only some controls take', async () => {
    const half = await check(around('G0 X40 Y0', 'G1 Z1 F300', 'G2 X-40 Y0 R40', 'G2 X0 Y40 R40'));
    expect(half.lines('warning radius-arc-half')).toEqual([7]);
    const loose = await check(around('G0 X40 Y0', 'G1 Z1 F300', 'G2 X-40.004 Y0 I-40 J0'));
    expect(errors(loose)).toEqual([]);
    // Radii 40 and 40.004: over 0.002 mm (RS274/NGC 3.5.3.2), within 0.005 mm.
    expect(loose.only('arc-radius')).toMatchObject({ line: 7, severity: 'warning' });
    expect(loose.only('arc-radius').value).toBeCloseTo(0.004, 6);
    const wrong = await check(around('G0 X40 Y0', 'G1 Z1 F300', 'G2 X-41 Y0 I-40 J0'));
    expect(wrong.lines('error rs274-arc-radius-mismatch')).toEqual([7]);
  });

  it('one line of nonsense is named by line and column, and the rest is still checked', async () => {
    const outcome = await check(around('G0 X0x28 Y0', 'G0 X26 Y0', 'G1 Z-1 F50'));
    const bad = outcome.findings.find((f) => f.line === 5);
    expect(bad).toMatchObject({ severity: 'error' });
    expect(bad?.text).toMatch(/column \d+/);
    expect(outcome.lines('error plunge')).toEqual([7]);
  });
});

describe('hidden and leftover text', () => {
  it('a byte order mark, line ends of other systems, a control character, code after the end', async () => {
    const sound = around('G0 X40 Y0', 'G1 Z-0.4 F300');
    const marked = await check(`\ufeff${sound}`);
    expect(errors(marked)).toEqual(['1 rs274-bad-character', '1 non-ascii', '2 units-missing', '2 distance-missing']); // prettier-ignore
    const plunge = around('G0 X26 Y0', 'G1 Z-1 F60').replaceAll('\n', '\r');
    expect(errors(await check(plunge))).toEqual(['6 plunge']);
    // A line end inside a remark ends the line: what follows is not a remark.
    const split = await check(around('G0 X26 Y0', '(a remark\rG1 Z-1 F60', ')'));
    expect(errors(split)).toEqual([
      '6 rs274-unclosed-comment',
      '7 plunge',
      '8 rs274-bad-character',
    ]);
    for (const char of ['\v', '\f', '\0', '\x85', '\u2028']) {
      const hidden = await check(around(`G0 X40 Y0${char}G1 Z-1 F60`));
      expect(hidden.lines('error rs274-bad-character'), JSON.stringify(char)).toEqual([5]);
    }
    const two = await check(sound + around('G0 X26 Y0', 'G1 Z-1 F60'));
    expect(errors(two)).toEqual(['10 after-end']);
  });

  it('figures from the memory of the control', async () => {
    const outcome = await check(
      around('G0 X40 Y0', 'G43 H3', 'G1 Z#500 F60'),
      `${BARROW}controller: pc-based\n`,
    );
    expect(errors(outcome)).toEqual(['7 value-unknown']);
    expect(outcome.lines('warning tool-length')).toEqual([6]);
  });
});

describe('machine coordinates and work zeros', () => {
  it('G53 to the top of travel is a way up; G53 at depth is no place to judge', async () => {
    const outcome = await check(
      [
        'G21 G90 G17 G94',
        'G53 G0 Z0',
        'M3 S10000',
        'G4 P3',
        'G0 X40 Y0',
        'G0 Z1',
        'G1 Z-0.4 F300',
        'G1 X29.3',
        'G0 X40',
        'G53 G0 Z-2',
        'G53 G0 X-10 Y-10',
        'M5',
        'M2',
      ].join('\n'),
    );
    expect(errors(outcome).filter((e) => !e.endsWith('engagement'))).toEqual([]);
    expect(outcome.lines('note machine-coordinates')).toEqual([2]);
    const low = await check(
      around(
        'G0 X0 Y0',
        'G53 G0 Z-60',
        'G0 Z5',
        'G0 X40',
        'G1 Z-1 F300',
        'G53 G0 X-5',
        'G1 Z-2 F300',
      ),
    );
    expect(errors(low)).toEqual(['6 machine-z', '10 machine-xy-low', '11 place-unknown']);
  });

  it('a work coordinate given after G53 is known again', async () => {
    const outcome = await check(
      around('G0 X0 Y0', 'G53 G0 X0 Y0', 'G0 X26 Y0', 'G1 Z-1 F60', 'G0 Z5', 'G53 G0 X0', 'G1 Z-1'),
    );
    expect(errors(outcome)).toEqual(['8 plunge', '11 place-unknown']);
  });

  it('G28 is a surprise, and leads away over the work', async () => {
    const outcome = await check(around('G0 X40 Y0', 'G28 Z5', 'G0 X26 Y0', 'G1 Z-1 F60'));
    expect(errors(outcome)).toEqual(['6 code-surprise', '8 plunge']);
  });

  it('a zero moved by G92 is followed; another work system cannot be', async () => {
    const moved = await check(
      around('G0 X26 Y0', 'G92 X0 Y0', 'G0 X0.5 Y0', 'G1 Z-1 F60', 'G0 Z5', 'G92.1', 'G0 X26 Y0'),
    );
    expect(errors(moved)).toEqual(['8 plunge']);
    expect(moved.lines('warning origin-moved')).toEqual([6]);
    // At the very top it says which zero is meant.
    const first = await check(
      ['G92 X0 Y0 Z5', ...TOP, 'G0 X26 Y0', 'G1 Z-1 F60', ...END].join('\n'),
    );
    expect(errors(first)).toEqual(['7 plunge']);
    const other = await check(around('G0 X40 Y0', 'G55', 'G0 X26 Y0', 'G1 Z-1 F60'));
    expect(errors(other)).toContain('6 work-zero-unknown');
  });
});

describe('what the control would make of it', () => {
  const on = (control: string): string => `${BARROW}controller: ${control}\n`;

  it('live characters and long lines, also in comments', async () => {
    const outcome = await check(around('(cut the teeth! ready?)', `(${'x'.repeat(90)})`));
    expect(outcome.lines('error live-character')).toEqual([5, 5]);
    expect(outcome.lines('warning long-line')).toEqual([6]);
    const cut = await check(around(`G0 Z6 (${'x'.repeat(110)})`), on('additive-firmware'));
    expect(cut.lines('error long-line-cut')).toEqual([5]);
  });

  it('an end code that deletes, a dwell in other units, a code that moves', async () => {
    const outcome = await check(
      around('G0 X40 Y0', 'G4 P2', 'G61').replace('M2', 'M30'),
      on('additive-firmware'),
    );
    const surprises = outcome.findings.filter((f) => f.code === 'code-surprise').map((f) => f.text);
    expect(surprises.join('\n')).toMatch(/M30 deletes a stored file/);
    expect(surprises.join('\n')).toMatch(/G61 drives back to a saved position/);
    expect(outcome.lines('error dwell-unit')).toEqual([4]);
    const seconds = await check(around('G4 P3000'));
    expect(seconds.lines('warning dwell-unit')).toEqual([5]);
  });

  it('feeds and speeds that the machine does not have', async () => {
    const outcome = await check(
      around('S2000 M3', 'G4 P3', 'G0 X40 Y0', 'G1 X41 F99999').replace('S10000', 'S12000'),
    );
    expect(outcome.only('speed-range')).toMatchObject({ line: 5, value: 2000, limit: 10000 });
    expect(outcome.only('feed-above-machine').line).toBe(8);
  });
});

describe('programs that are not for this blank', () => {
  it('cut nothing, or spend their time in air', async () => {
    const outcome = await check(
      around('G0 X-100 Y40', 'G1 Z-0.4 F200', 'G1 X150 F40', 'Y-60', 'X-150', 'Y40'),
    );
    expect(outcome.exit).toBe(0);
    expect(outcome.lines('warning cuts-nothing')).toEqual([0]);
    // 250 + 100 + 300 + 100 mm at 40 mm/min.
    expect(outcome.measured['feedInAirMin']).toBeCloseTo(750 / 40 + 5.4 / 200, 3);
    expect(outcome.lines('note air-at-feed')).toEqual([0]);
    const strict = await check(around('G0 X100 Y40'), BARROW, '--strict');
    expect(strict.exit).toBe(1);
  });

  it('were made for a smaller one: the way in at rapid goes into stock', async () => {
    const larger = BARROW.replace('blank: { diameter: auto', 'blank: { diameter: 70 mm');
    const program = around('G0 X31 Y0', 'G0 Z-0.4', 'G1 X29.3 F200');
    expect((await check(program)).lines('error rapid-in-material')).toEqual([]);
    expect((await check(program, larger)).lines('error rapid-in-material')).toEqual([6]);
  });
});

// Whole plans take seconds each: too slow to be run again for every mutant.
describe.skipIf(process.env['STRYKER_MUTATOR_WORKER'])('programs from here', () => {
  it(
    'pass; cut short, altered, mixed up or of another job they do not',
    { timeout: 120_000 },
    async () => {
      const { text } = planParts(SMALL_JOB).program;
      const good = await check(text, SMALL_TEXT);
      expect(errors(good)).toEqual([]);
      expect(good.findings.filter((f) => f.code.startsWith('copy-'))).toEqual([]);
      // By the kernel alone from here on.
      const lines = text.split('\n');
      const copy = (program: string, of = SMALL_JOB) =>
        checkProgram(program, of).findings.filter((f) => f.code.startsWith('copy-'));
      const half = Math.floor(lines.length / 2);
      expect(copy(lines.slice(0, half).join('\n'))).toMatchObject([
        {
          code: 'copy-truncated',
          severity: 'error',
          text: expect.stringContaining(`${half} lines of ${lines.length - 1}`),
        },
      ]);
      const at = lines.findIndex((line, i) => i > half && /^G1 X/.test(line));
      const altered = [...lines];
      altered[at] = altered[at]!.replace('G1', 'G0').replace(/ F.*/, '');
      const changed = copy(altered.join('\n'));
      expect(changed).toMatchObject([{ code: 'copy-altered', severity: 'error' }]);
      const other = jobOf(SMALL_TEXT.replace(/^title:.*$/m, 'title: Another printer'));
      expect(copy(text, other)).toMatchObject([{ code: 'copy-other-job', severity: 'warning' }]);
    },
  );

  it('the bore program is taken for what it is, and judged against the bore', async () => {
    const routed = (diameter: string) =>
      SEVEN_TEETH.replace(
        'diameter: 5 mm, made-by: lathe',
        `diameter: ${diameter}, made-by: router, pilot-hole: 5 mm`,
      );
    const bore = (diameter: string) => planParts(jobOf(routed(diameter))).bore!.program.text;
    const good = await check(bore('8 mm'), routed('8 mm'));
    expect(errors(good)).toEqual([]);
    expect(good.lines('note bore-program')).toEqual([0]);
    expect(good.measured['checkedFor']).toBe('bore');
    // A bore 0.4 mm larger in diameter cuts 0.2 mm into the wall.
    const gouged = await check(bore('8.4 mm'), routed('8 mm'));
    expect(gouged.measured['gougeMm']).toBeCloseTo(0.2, 2);
    expect(gouged.lines('error gouge').length).toBeGreaterThan(0);
  });
});

describe('progress', () => {
  it('is shown, unless it is to be quiet or is read by a program', async () => {
    const cwd = scratchFolder();
    writeFileSync(join(cwd, 'barrow.yaml'), BARROW);
    writeFileSync(join(cwd, 'hand.ngc'), around('G0 X40 Y0', 'G0 Z7', 'G0 Z8', 'G0 Z9'));
    const argv = ['check', 'hand.ngc', '--job', 'barrow.yaml'];
    const shown = async (...more: string[]) => (await run(cwd, [...argv, ...more], { checkProgram })).err; // prettier-ignore
    expect(await shown()).toMatch(/^replay +\d+ %\n/);
    expect(await shown('--quiet')).toBe('');
    expect(await shown('--json')).toBe('');
  });
});

describe('findings', () => {
  it('are listed ten of a kind, the rest counted; worst kinds first', async () => {
    const many = Array.from({ length: 30 }, (_, i) => [
      `G0 X26 Y${(i / 10).toFixed(1)}`,
      `G1 Z-${(0.1 + i / 100).toFixed(2)} F60`,
      'G0 Z5',
    ]).flat();
    const outcome = await check(around(...many));
    const plunges = outcome.findings.filter((f) => f.code === 'plunge');
    expect(plunges).toHaveLength(11);
    expect(plunges.at(-1)).toMatchObject({ line: 0, more: 20 });
    expect(plunges.map((f) => f.line).slice(0, 3)).toEqual([6, 9, 12]);
    const rank = { error: 0, warning: 1, note: 2 };
    const order = outcome.findings.map((f) => rank[f.severity]);
    expect(order).toEqual([...order].sort((a, b) => a - b));
  });

  it('a program that asks for too much work is refused by name, with the limit', async () => {
    const many = Array.from(
      { length: 1500 },
      (_, i) => `G1 X${40 + 3 * (i % 2)} Z-${(i * 0.003).toFixed(3)} F900\nY${i % 7}`,
    );
    const outcome = await check(around('G0 X40 Y0', ...many));
    expect(outcome.only('limit')).toMatchObject({ severity: 'error', limit: 1000 });
    expect(outcome.text).toContain('more than 1000 different depths');
  });
});
