/** What is measured on the page is worked out as the commands do it. */
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { runTold } from '../../src/preview/live/measured.js';
import { answer } from '../../src/preview/live/answer.js';
import type { Answer, Request } from '../../src/preview/live/messages.js';
import { readJobInput } from '../../src/text/yaml-text.js';
import { run } from '../cli/run.js';
import { scratchFolder } from '../cli/scratch.js';
import { wavBytes } from '../cli/wav-bytes.js';
import { newEvidenceLog } from '../../src/machines/learn/evidence.js';
import { evidenceLogText, readEvidenceLog } from '../../src/machines/learn/log.js';
import { findMachine } from '../../src/machines/machines.js';
import { machineOf } from '../machines/machine-of.js';
import { sound } from '../machines/rings.js';
import { LONG } from '../cam/oracle/runs.js';
import { SEVEN_TEETH } from '../seven-teeth.js';
import { toEnd } from './steps.js';

const text = SEVEN_TEETH;
const JOB = {
  id: 1,
  ...{ input: readJobInput(text, 'job.yaml').input, file: 'job.yaml', machineFiles: {} },
  date: '2026-05-03',
};

function told<K extends Answer['kind']>(request: object, kind: K): Extract<Answer, { kind: K }> {
  const { end } = toEnd(answer({ ...JOB, ...request } as Request));
  expect(end, JSON.stringify(end)).toMatchObject({ kind });
  return end as Extract<Answer, { kind: K }>;
}

const bytes = wavBytes(
  [
    sound({
      rateHz: 4000,
      seconds: 3.7,
      taps: [1.2, 2, 2.9],
      noise: 0.003,
      rings: [[312, 0.028, 0.4]],
    }),
  ],
  4000,
  16,
);

describe('measured on the page', () => {
  it('a tap gives the modes that the command writes, under a name of its own', async () => {
    const { measured } = told({ want: 'tap', bytes, where: 'mount', axis: 'x' }, 'measured');
    const cwd = scratchFolder();
    writeFileSync(join(cwd, 'tap.wav'), bytes);
    const on = ['tap', 'tap.wav', '--where', 'mount', '--axis', 'x'];
    const { out } = await run(cwd, [...on, '--machine', 'screw-gantry-light', '--out', 'a.yaml']);
    expect(measured.lines.join('\n')).toBe(out.slice(0, out.indexOf('\n\n')));
    const own = machineOf(measured.fileText, measured.name);
    const written = machineOf(readFileSync(join(cwd, 'a.yaml'), 'utf8'), 'a.yaml');
    expect(own).toEqual({ ...written, id: 'screw-gantry-light-r1' });
    expect(measured.name).toBe('screw-gantry-light-r1.yaml');
  });

  it('a recording that is none is a fault, and so are readings without a unit', () => {
    const none = { want: 'tap', bytes: new Uint8Array(9), where: 'mount', axis: 'x' };
    expect(told(none, 'faults').faults[0]!.message).toMatch(/^is not a WAV file/);
    const pull = { want: 'pull', text: 'x:\n  lets-go: ["210"]\n' };
    expect(told(pull, 'faults').faults[0]).toMatchObject({ key: 'x.lets-go.1' });
    const part = { want: 'inspect', readings: { 'over-pins': '56' } };
    expect(told(part, 'faults').faults[0]).toMatchObject({ key: 'over-pins' });
  });

  it('pulls give thrust and stiffness with their intervals', () => {
    // A line of 300 N/mm; let-gos of 200 N in the mean, with 24 N of friction to be taken off.
    const pulls = [20, 40, 60, 80].map((n) => `[${n} N, ${(n / 300).toFixed(4)} mm]`).join(', ');
    const yaml = `x:\n  lets-go: ["190 N", "200 N", "210 N"]\n  pulls: [${pulls}]\n`;
    const { measured } = told({ want: 'pull', text: yaml }, 'measured');
    expect(measured.lines[0]).toMatch(/^X stiffness: 300 ± \d+ N\/mm \(95 %\), 4 readings$/);
    // Into the log of the machine, which the next plan reads.
    expect(measured.name).toBe('screw-gantry-light.evidence.yaml');
    const [pull] = readEvidenceLog(measured.fileText, measured.name).pulls;
    expect(pull).toMatchObject({ date: '2026-05-03' });
    expect(pull!.stiffnessNPerMm.x).toBeCloseTo(300, 0);
  });

  it('readings of the part get the verdict of inspect', async () => {
    const readings = { 'over-pins': '57.04 mm', 'radial-runout': '0.02 mm' };
    const { inspected } = told({ want: 'inspect', readings }, 'inspected');
    const cwd = scratchFolder();
    writeFileSync(join(cwd, 'job.yaml'), text);
    const given = Object.entries(readings).flatMap(([key, value]) => [`--${key}`, value]);
    const { out } = await run(cwd, ['inspect', 'job.yaml', ...given]);
    for (const { what, measured, verdict } of inspected.rows) {
      expect(out).toMatch(new RegExp(`${what} +${measured} {2}`));
      expect(out).toContain(verdict);
    }
    expect(out.trim().endsWith(inspected.outcome)).toBe(true);
    expect(inspected.rows).toHaveLength(2);
  });

  it('a howl, its pitch, an edge and a bar go into the log as the command writes them', async () => {
    const howl = { event: 'chatter', at: 'rough 1', pitch: '480 Hz', edge: '12 min', bar: 'B2' };
    const args = Object.entries(howl).flatMap(([key, value]) => [`--${key}`, value]);
    const log = 'screw-gantry-light.evidence.yaml';
    /** Runs of a log; the command calls the job by its file as well, and the day is today's. */
    const runsOf = (logText: string) =>
      readEvidenceLog(logText, log).runs.map((r) => ({ ...r, program: '', date: '' }));
    const begun = evidenceLogText(newEvidenceLog(findMachine('screw-gantry-light')));
    // Into a log that is open; by night into none, and into what came of that.
    let open: string | null = LONG ? null : begun;
    const cwd = scratchFolder();
    writeFileSync(join(cwd, 'job.yaml'), text);
    if (open !== null) writeFileSync(join(cwd, log), open);
    for (let times = 1; times <= (LONG ? 2 : 1); times++) {
      const machineFiles = open === null ? {} : { [log]: { file: log, text: open } };
      const request = { want: 'learn', told: howl, logText: open, machineFiles };
      const { learned } = told(request, 'learned');
      const { exit, err } = await run(cwd, ['retune', 'job.yaml', ...args, '-q'], {});
      expect([exit, err]).toEqual([0, '']);
      expect(runsOf(learned.logText)).toEqual(runsOf(readFileSync(join(cwd, log), 'utf8')));
      expect(runsOf(learned.logText)).toHaveLength(times);
      expect(learned.old.chatterProbability).toBeGreaterThan(0);
      open = learned.logText;
    }
  });

  it('a run on a day that the calendar has not is told before it is in the log, which would refuse it', () => {
    for (const date of ['2026-02-30', '2026-13-01', 'today']) {
      const work = { told: { event: 'finished' }, date } as unknown as Parameters<
        typeof runTold
      >[0];
      expect(() => runTold(work), date).toThrow('is not a day');
    }
  });

  it('says beside its field what of a run cannot be', () => {
    for (const [key, given] of [
      ['pitch', { event: 'chatter', pitch: '480' }],
      ['at', { event: 'lost', at: '200-100' }],
      ['at', { event: 'lost', at: 'rough 99' }],
      ['edge', { event: 'finished', edge: 'old' }],
      ['changes', { event: 'finished', changes: 'two' }],
      ['event', { event: '' }],
    ] as const) {
      const { end } = toEnd(answer({ ...JOB, want: 'learn', told: given, logText: null }));
      const faults = end.kind === 'faults' ? end.faults : end.kind === 'refused' ? [end.fault] : [];
      expect(
        faults.map((f) => f.key),
        JSON.stringify(end),
      ).toEqual([key]);
    }
  });
});
