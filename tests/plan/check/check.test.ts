/** What the assembler of all checks adds of its own: arcs, lines left out, counts, what was planned with. */
import { describe, expect, it } from 'vitest';
import { checkProgram } from '../../../src/plan/check/check.js';
import type { Job } from '../../../src/model/job.js';
import { planJob } from '../../../src/plan/plan.js';
import { SMALL_JOB, smallProgram } from './mutants.js';

const HEAD = ['G90', 'G17', 'G94', 'G40', 'G49', 'G80', 'G54', 'G0 Z30', 'M3 S24000', 'G4 P5'];
const END = ['G0 Z30', 'M5', 'M2'];
const MM = ['G21', ...HEAD];
const FIRST = MM.length + 1;

function told(lines: readonly string[], code: string, job: Job = SMALL_JOB) {
  const { findings } = checkProgram(`${lines.join('\n')}\n`, job);
  return findings.filter((found) => found.code === code);
}

describe('arcs of two radii', () => {
  /** From X50 by a half circle about X40 to a radius so much larger, in the air. */
  const arc = (byMm: number, unitMm = 1): string[] => {
    const at = (mm: number) => (mm / unitMm).toFixed(6);
    const [f, i] = [at(600), at(-10)];
    return [`G0 X${at(50)} Y0`, `G3 X${at(30 - byMm)} Y0 I${i} J0 F${f}`];
  };

  it('are told over 0.002 mm, in inches over 0.0002 in (RS274/NGC 3.5.3.2)', () => {
    const mm = (byMm: number) => told([...MM, ...arc(byMm), ...END], 'arc-radius');
    expect(mm(0.0018)).toEqual([]);
    expect(mm(0.0024)).toMatchObject([{ line: FIRST + 1, severity: 'warning', limit: 0.002 }]);
    expect(mm(0.0024)[0]!.value).toBeCloseTo(0.0024, 9);
    const inch = (byMm: number) =>
      told(['G20', ...HEAD, ...arc(byMm, 25.4), 'G21', ...END], 'arc-radius');
    expect(inch(0.0048)).toEqual([]);
    expect(inch(0.0054)[0]!.limit).toBeCloseTo(0.0002 * 25.4, 12);
    // Millimetres again: what was meant by the inch is over.
    const again = told(['G20', ...HEAD, 'G21', ...arc(0.0024), ...END], 'arc-radius');
    expect(again).toHaveLength(1);
    // Many controls run up to 0.005 mm, or a thousandth of the radius.
    expect(told([...MM, ...arc(0.009), ...END], 'rs274-arc-radius-mismatch')).toEqual([]);
    expect(told([...MM, ...arc(0.011), ...END], 'rs274-arc-radius-mismatch')).toHaveLength(1);
  });
});

describe('lines with errors', () => {
  it('are said to be left out, at the first of them; an end that is missing leaves none out', () => {
    const [note] = told([...MM, 'G0 X1 X2', ...END], 'lines-skipped');
    expect(note).toMatchObject({ line: FIRST, severity: 'note' });
    expect(note!.text).toMatch(/^lines with errors are left out of the replay/);
    expect(told([...MM, 'G0 Z30'], 'lines-skipped')).toEqual([]);
    expect(told([...MM, 'G0 X1 X2'], 'lines-skipped')).toHaveLength(1);
    expect(told([...MM, ...END], 'lines-skipped')).toEqual([]);
  });

  it('of one kind on many lines are counted, one is not', () => {
    const of = (...lines: string[]) => told([...MM, ...lines, ...END], 'feed-per-turn')[0]!.text;
    expect(of('G95')).not.toMatch(/lines\)/);
    expect(of('G95', 'G95')).toContain('(2 lines)');
    expect(told([...MM, 'G95', ...END], 'rs274-unknown-code')).toEqual([]);
  });
});

describe('what is found', () => {
  it('has the severity that it has for the control, and for travel', () => {
    expect(told([...MM, 'G95', ...END], 'feed-per-turn')[0]!.severity).toBe('error');
    expect(told([...MM, 'G0 X9000', ...END], 'travel')[0]).toMatchObject({
      line: FIRST,
      severity: 'error',
    });
    expect(told(MM.slice(1), 'units-missing')[0]!.severity).toBe('error');
  });

  it('of a stock that cannot be read ends there', () => {
    const lines = ['(stock: as left by program xyz up to line 3)', ...smallProgram().lines];
    const { findings, measured } = checkProgram(`${lines.join('\n')}\n`, SMALL_JOB);
    const [unknown] = findings.filter(({ code }) => code === 'stock-unknown');
    expect(unknown).toMatchObject({ line: 0, severity: 'error' });
    expect(unknown!.text).toContain('as left by program xyz up to line 3');
    expect(measured).toEqual({ lines: lines.length });
  });

  it('is measured, too: forces on each axis, lines and time', () => {
    const { lines } = smallProgram();
    const { measured } = checkProgram(`${lines.join('\n')}\n`, SMALL_JOB);
    if (!('peakDriveN' in measured)) throw new Error('not replayed');
    expect(measured.checkedFor).toBe('teeth');
    expect(measured.lines).toBe(lines.length);
    for (const axis of ['x', 'y'] as const) {
      expect(measured.peakForceN[axis]).toBeGreaterThan(0);
      expect(measured.peakDriveN[axis]).toBeGreaterThan(0);
      expect(measured.peakDriveN[axis]).toBeLessThan(measured.driveForceN[axis]);
    }
    expect(measured.feedCuttingMin).toBeGreaterThan(0);
  });
});

describe('a program of our own', () => {
  const { files } = planJob(SMALL_JOB);
  const text = files[Object.keys(files).find((name) => name.endsWith('-teeth.nc'))!] as string;
  const codes = (job: Job, then?: Job) =>
    checkProgram(text, job, undefined, then && { then })
      .findings.filter(({ code }) => /^(copy|planned)-/.test(code))
      .map(({ severity, code }) => `${severity} ${code}`);

  it('is known by its sums, and what it was planned with by the job as it was', () => {
    expect(codes(SMALL_JOB)).toEqual([]);
    const other = { ...SMALL_JOB, sprocket: { ...SMALL_JOB.sprocket, thicknessMm: 1.1 } };
    expect(codes(other as Job)).toEqual(['warning copy-other-job']);
    const worn: Job = {
      ...SMALL_JOB,
      riskShare: 0.05,
      basis: { riskShare: 0.05, servedLives: 0.25, runs: 3, pulls: 1 },
    };
    const [note] = checkProgram(text, worn, undefined, { then: SMALL_JOB }).findings.filter(
      ({ code }) => code === 'planned-with',
    );
    expect(note!.text).toBe(
      'planned with a risk of 2.0 %, a new edge, no log; a plan of today would have a risk of 5.0 %, an edge that has served 25 %, a log of runs: 3, pull tests: 1',
    );
  });

  it('is replayed with word of how far it is', () => {
    let last = { stage: '', done: 0, of: -1 };
    const { lines } = smallProgram();
    checkProgram(`${lines.join('\n')}\n`, SMALL_JOB, (progress) => (last = progress));
    expect(last).toEqual({ stage: 'replay', done: last.of, of: last.of });
    expect(last.of).toBeGreaterThan(5);
  });
});
