/** What the assembler of all checks adds of its own: arcs, lines left out, counts, what was planned with. */
import { describe, expect, it } from 'vitest';
import { checkProgram } from '../../../src/plan/check/check.js';
import { aimOf } from '../../../src/cam/aim.js';
import type { Job } from '../../../src/model/job.js';
import { Refusal } from '../../../src/model/refusal.js';
import { digestOf } from '../../../src/plan/plan.js';
import { envelopeText, sumLines } from '../../../src/post/rs274/envelope.js';
import { wheelOf } from '../../../src/profile/wheel/sprocket.js';
import { SMALL_JOB, smallProgram } from './mutants.js';

const HEAD = ['G90', 'G17', 'G94', 'G40', 'G49', 'G80', 'G54', 'G0 Z30', 'M3 S24000', 'G4 P5'];
const END = ['G0 Z30', 'M5', 'M2'];
const MM = ['G21', ...HEAD];
const FIRST = MM.length + 1;

function told(lines: readonly string[], code: string, job: Job = SMALL_JOB, end = '\n') {
  const { findings } = checkProgram(`${lines.join(end)}${end}`, job);
  return findings.filter((found) => found.code === code);
}

/** Figures of a program that is replayed to its end. */
function measuredOf(lines: readonly string[]) {
  const { measured } = checkProgram(`${lines.join('\n')}\n`, SMALL_JOB);
  if (!('peakDriveN' in measured)) throw new Error('not replayed');
  return measured;
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
    // Told with what a control would do, and not again.
    expect(told([...MM, 'G1 X9', ...END], 'feed-missing')).toHaveLength(1);
    expect(told([...MM, 'G1 X9', ...END], 'rs274-feed-missing')).toEqual([]);
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
    const measured = measuredOf(lines);
    expect(measured.checkedFor).toBe('teeth');
    expect(measured.lines).toBe(lines.length);
    for (const axis of ['x', 'y'] as const) {
      expect(measured.peakForceN[axis]).toBeGreaterThan(0);
      expect(measured.peakDriveN[axis]).toBeGreaterThan(0);
      expect(measured.peakDriveN[axis]).toBeLessThan(measured.driveForceN[axis]);
    }
    expect(measured.feedCuttingMin).toBeGreaterThan(0);
  });

  it('is measured with the line of the most: of three like slots the deepest', () => {
    const slot = (y: number, depthMm: number) => [
      `G0 X20 Y${y}`,
      `G1 Z-${depthMm} F300`,
      'G1 X-20 F600',
      'G0 Z30',
    ];
    const measured = measuredOf([
      ...MM,
      ...slot(-5, 0.1),
      ...slot(0, 0.3),
      ...slot(5, 0.2),
      ...END,
    ]);
    const deepest = FIRST + 4 + 2;
    expect(measured.peakForceLine).toEqual({ x: deepest, y: deepest });
    expect(measured.peakAxialDepthMm).toBeCloseTo(0.3, 9);
  });
});

describe('a job', () => {
  it('that would not be planned is held against its program all the same, as drawn', () => {
    // 1 mm in 250 levels.
    const limits = { ...SMALL_JOB.limits, maxStepdownMm: 0.004 };
    const thin = { ...SMALL_JOB, limits };
    const wheel = wheelOf(thin);
    expect(() => aimOf(thin, wheel)).toThrow(Refusal);
    const down = [...MM, 'G0 X0 Y0', 'G1 Z-0.5 F100', ...END];
    expect(told(down, 'plunge', thin)).toMatchObject([{ line: FIRST + 1 }]);
    // From the axis to the root circle it is all part: its radius, and the cutter's.
    const [gouge] = told(down, 'gouge', thin);
    expect(gouge!.value).toBeCloseTo(wheel.rootDiameterMm / 2 + 1, 1);
  });

  it('with a bore for the router: a program that stays within it is for the bore', () => {
    const bore: Job = {
      ...SMALL_JOB,
      bore: { ...SMALL_JOB.bore, madeBy: 'router', pilotHoleMm: 3 },
    };
    const to = (x: number) => [...MM, 'G0 X0 Y0', 'G1 Z-1 F100', `G1 X${x}`, ...END];
    expect(told(to(1.5), 'bore-program', bore)).toMatchObject([
      { line: 0, severity: 'note', text: expect.stringContaining('within 1.50 mm') as string },
    ]);
    expect(told(to(40), 'bore-program', bore)).toEqual([]);
  });
});

describe('lines marked by a slash', () => {
  const SWITCH: Job = { ...SMALL_JOB, controller: { ...SMALL_JOB.controller, blockDelete: 'yes' } };

  it('are told by the first of them, blanks before it or not, whatever ends the lines', () => {
    for (const marked of ['/G0 X40', '  /G0 X40', '\t /G0 X40']) {
      for (const end of ['\n', '\r\n', '\r']) {
        const [first, ...more] = told([...MM, marked, marked, ...END], 'marked-lines', SWITCH, end);
        expect([first?.line, more.length], JSON.stringify(marked + end)).toEqual([FIRST, 0]);
      }
    }
    expect(told([...MM, '/G0 X40', ...END], 'marked-lines')).toEqual([]);
  });

  it('are not those that divide, or speak of one thing or the other', () => {
    const lines = [...MM, 'G0 X[80/2]', '(left/right)', 'G0 X40 (a) /', ...END];
    expect(told(lines, 'marked-lines', SWITCH)).toEqual([]);
  });
});

describe('what another program left', () => {
  const { lines, text } = smallProgram();
  const sum = /^\(job .* sum (\w+)\)$/m.exec(text)![1]!;
  /** Into the first round of the roughing. */
  const upTo = lines.findIndex((line) => line.startsWith('G1 Z-')) + 40;
  const again = (remark: string) => [remark, ...lines.slice(0, upTo), ...END];

  it('is not there to be cut again', () => {
    expect(measuredOf(again('(nothing is said)')).removedMm3).toBeGreaterThan(1);
    const left = measuredOf(again(`(stock: as left by program ${sum} up to line ${upTo + 1})`));
    expect(left.removedMm3).toBeLessThan(1e-3);
  });

  it('is not known where the job gives another program', () => {
    const remark = '(stock: as left by program 0badc0de up to line 70)';
    const [unknown] = told(again(remark), 'stock-unknown');
    expect(unknown).toMatchObject({ line: 0, severity: 'error' });
    expect(unknown!.text).toMatch(/0badc0de.*; it is not replayed$/);
  });
});

describe('a program of our own', () => {
  /** A program of the job that cuts nothing. */
  const own = (job: Job): string[] => {
    const lines = [...MM, ...END];
    const sums = { jobDigest: digestOf(job), lines: lines.length + 2, sum: sumLines(lines) };
    const [says, last] = [envelopeText(sums), lines.pop()!];
    return [`(${says})`, ...lines, `(end of ${says})`, last];
  };
  const findings = (job: Job, then?: Job, lines = own(SMALL_JOB)) =>
    checkProgram(`${lines.join('\n')}\n`, job, undefined, then && { then }).findings.filter(
      ({ code }) => /^(copy|planned)-/.test(code),
    );
  const codes = (job: Job, then?: Job, lines?: string[]) =>
    findings(job, then, lines).map(({ severity, code }) => `${severity} ${code}`);
  const OTHER = {
    ...SMALL_JOB,
    sprocket: { ...SMALL_JOB.sprocket, thicknessMm: 1.1 },
  } as Job;

  it('is known by its sums; one of another job and one that is none are told, one that was changed is refused', () => {
    expect(codes(SMALL_JOB)).toEqual([]);
    expect(codes(OTHER)).toEqual(['warning copy-other-job']);
    expect(codes(SMALL_JOB, undefined, [...MM, ...END])).toEqual(['note copy-absent']);
    // A title of its own makes a program by other means none of another job.
    expect(told(['(title: Feeder)', ...MM, ...END], 'differs')).toEqual([]);
    expect(told(own(SMALL_JOB).toSpliced(1, 0, '(title: Feeder)'), 'differs')).toHaveLength(1);
    expect(codes(SMALL_JOB, undefined, own(SMALL_JOB).with(4, 'G17 '))).toEqual([
      'error copy-altered',
    ]);
  });

  it('of another job may be of this one before its log was changed', () => {
    const withLog = (job: Job) =>
      ({ ...job, machine: { ...job.machine, learnt: { file: 'gantry.log' } } }) as Job;
    const changed = /, or gantry\.log was changed since$/;
    expect(findings(withLog(OTHER))[0]!.text).toMatch(changed);
    expect(findings(OTHER)[0]!.text).toMatch(/ not of [0-9a-f]{8}$/);
    // Sums that are wrong are so whatever the log says.
    const [altered] = findings(withLog(SMALL_JOB), undefined, own(SMALL_JOB).slice(1));
    expect(altered!.text).not.toMatch(changed);
  });

  it('says what it was planned with, by the job as it was, and what a plan of today would have', () => {
    const basis = { riskShare: SMALL_JOB.riskShare, servedLives: 0, runs: 0, pulls: 0 };
    const told = (job: Partial<Job>) => {
      const now = { ...SMALL_JOB, ...job };
      expect(codes(now, SMALL_JOB)).toEqual(['note planned-with']);
      return findings(now, SMALL_JOB)[0]!.text;
    };
    const worn = { riskShare: 0.05, basis: { ...basis, servedLives: 0.25, runs: 3, pulls: 1 } };
    expect(told(worn)).toBe(
      'planned with a risk of 2.0 %, a new edge, no log; a plan of today would have a risk of 5.0 %, an edge that has served 25 %, a log of runs: 3, pull tests: 1',
    );
    const none = 'planned with no log; a plan of today would have a log of';
    expect(told({ basis: { ...basis, pulls: 2 } })).toBe(`${none} runs: 0, pull tests: 2`);
    expect(told({ basis: { ...basis, runs: 2, pulls: 2 } })).toBe(`${none} runs: 2, pull tests: 2`);
  });

  it('is replayed with word of how far it is', () => {
    let last = { stage: '', done: 0, of: -1 };
    const { lines } = smallProgram();
    checkProgram(`${lines.join('\n')}\n`, SMALL_JOB, (progress) => (last = progress));
    expect(last).toEqual({ stage: 'replay', done: last.of, of: last.of });
    expect(last.of).toBeGreaterThan(5);
  });
});
