import { beforeAll, describe, expect, it, vi } from 'vitest';
import { retune } from '../../src/index.js';
import { Belief } from '../../src/machines/learn/belief.js';
import {
  type LoggedRun,
  type Sound,
  learn,
  newEvidenceLog,
} from '../../src/machines/learn/evidence.js';
import { withHeard } from '../../src/machines/learn/heard.js';
import { tallySeconds } from '../../src/machines/learn/load-history.js';
import { evidenceLogText, readEvidenceLog, withRun } from '../../src/machines/learn/log.js';
import { limitBand } from '../../src/machines/learn/posterior.js';
import { Refusal } from '../../src/model/refusal.js';
import { planRestart } from '../../src/plan/restart.js';
import { stabilityOf } from '../../src/cam/stable.js';
import { type Stretch, programRun, runEntry } from '../../src/plan/retune/run.js';
import type { Plan } from '../../src/post/plan.js';
import { THIN, examplePlan } from '../planned.js';
import { SMALL_JOB } from './check/mutants.js';

const seen = { outcome: 'finished', date: '2026-05-03', note: null } as const;

describe('what a program teaches that finished', { timeout: 120_000 }, () => {
  let planned: Plan;
  let restart: Plan;
  beforeAll(() => {
    planned = examplePlan('nursery-barrow').planned;
    restart = planRestart(planned, {
      resumeAt: { kind: 'section', name: 'finish 8' },
      stoppedAt: null,
      offsetMm: [0, 0],
    });
  }, 120_000);

  it('learns each run of a log once, and plans twice: as it was run, and again', () => {
    const job = SMALL_JOB;
    const entry = runEntry(programRun(planned, null), seen, { kind: 'whole' }, 'barrow');
    const runs = Array.from({ length: 6 }, () => entry.logged);
    const logText = evidenceLogText({ ...newEvidenceLog(job.machine), runs });
    const learned = vi.spyOn(Belief.prototype, 'with');
    const stages: string[] = [];
    const { fresh } = retune(
      job,
      { ...seen },
      { logText, onProgress: ({ stage }) => stages.push(stage) },
    );
    expect(fresh).not.toBeNull();
    expect(learned).toHaveBeenCalledTimes(6 + 1);
    learned.mockRestore();
    expect(stages.filter((stage) => stage === 'tooth form')).toHaveLength(2);
  });

  /** Median limit of X after a text was run once and finished. N */
  function medianAfter(text: string | null): number {
    const { machine } = planned.job;
    const entry = runEntry(programRun(planned, text), seen, { kind: 'whole' }, 'barrow');
    const log = { ...newEvidenceLog(machine), runs: [entry.logged] };
    return limitBand(learn(log).after, 'x').p50;
  }

  /** Why a text teaches nothing. */
  function refusalOf(of: Plan, text: string): Refusal {
    try {
      programRun(of, text);
    } catch (error) {
      if (error instanceof Refusal) return error;
      throw error;
    }
    throw new Error('was taken');
  }

  it('a restart cuts part of the whole, and teaches no more than the whole', () => {
    const { machine } = planned.job;
    const whole = medianAfter(null);
    const rest = medianAfter(restart.program.text);
    // The text of the whole program is the whole program.
    expect(medianAfter(planned.program.text)).toBe(whole);
    expect(whole).toBeGreaterThan(machine.thrustN.x[0]![1]);
    // Replayed on a whole blank it would cut full slots: that once taught 1288 N, the whole 293 N.
    expect(rest).toBeLessThanOrEqual(whole);
    expect(rest).toBeGreaterThanOrEqual(machine.thrustN.x[0]![1] - 1);
  });

  it('of what was heard it keeps the heaviest cut, in a log that reads back', () => {
    const { machine, cutter, material, limits } = planned.job;
    const run = programRun(planned, null);
    const entryOf = (sound: Sound, at: Stretch) =>
      runEntry(run, { outcome: 'finished', date: '2026-05-03', note: null, sound }, at, 'barrow')
        .logged;
    const whole = entryOf({ sound: 'quiet' }, { kind: 'whole' });
    const { process } = planned.cam;
    // Roughing at full engagement, as the replay measured it.
    expect(whole.heard).toMatchObject({
      sound: 'quiet',
      spindleRpm: process.spindleRpm,
      wearFactor: limits.wearFactor,
      kc11NPerMm2: material.kc11NPerMm2,
      cutter: { diameterMm: cutter.diameterMm, stickOutMm: cutter.stickOutMm },
    });
    // Levels are written to 0.001 mm, and this is the difference of two.
    expect(Math.abs(whole.heard!.axialDepthMm - process.stepdownMm)).toBeLessThan(0.0011);
    expect(whole.heard!.engagementDeg).toBeCloseTo(planned.summary.predicted.peakEngagementDeg, 1);
    // A quiet run held to its end, one with chatter as far as is said.
    const line = run.ops.find((_, i) => run.loads.engagementRad[i]! > 1)!.line;
    const at = { kind: 'lines', from: line, to: line } as const;
    const howl = entryOf({ sound: 'chatter', pitchHz: 480 }, at);
    expect(howl).toMatchObject({ seen: `line ${line}`, heard: { sound: 'chatter', pitchHz: 480 } });
    expect(tallySeconds(howl.held.x)).toBeLessThan(tallySeconds(whole.held.x) / 5);
    // The pitch of the teeth themselves is none; where nothing is cut nothing was heard.
    const teeth = { sound: 'chatter', pitchHz: process.spindleRpm / 20 } as const;
    expect(entryOf(teeth, at).heard!.pitchHz).toBeUndefined();
    const first = run.ops[0]!.line;
    const air = { kind: 'lines', from: first, to: first } as const;
    expect(entryOf(teeth, air).heard).toBeUndefined();
    const text = [whole, howl].reduce(withRun, evidenceLogText(newEvidenceLog(machine)));
    expect(text).toMatch(/outcome: quiet[^]*outcome: chatter/);
    const read = readEvidenceLog(text, 'log.yaml').runs;
    expect(read.map(({ heard }) => heard)).toEqual([whole.heard, howl.heard]);
    expect(read.map(({ outcome }) => outcome)).toEqual(['finished', 'finished']);
    // The plan as it is chatters on more of the machines that howl, and on fewer that do not.
    const phiRad = planned.replay.peakEngagementRad.value;
    const chatters = (runs: readonly LoggedRun[]) =>
      stabilityOf({ ...planned.job, machine: withHeard(machine, runs) })(
        process.spindleRpm,
        phiRad,
      ).chatter(process.stepdownMm);
    expect(chatters([])).toBeCloseTo(planned.summary.predicted.chatterProbability, 12);
    expect(chatters([whole])).toBeLessThan(chatters([]) / 2);
    expect(chatters([howl])).toBeGreaterThan(3 * chatters([]));
  });

  it('nothing where its text does not name its stock', () => {
    // As written by other means: neither envelope nor blank.
    const text = planned.program.text.replace(/^\((?:job|end of job|blank) .*\n/gm, '');
    expect(text).not.toContain('(blank');
    const { code, message } = refusalOf(planned, text);
    expect(code).toBe('stock-unknown');
    expect(message).toContain('does not say what stock it started from');
  });

  it('nothing where it goes on from the stock that another program left', () => {
    const other = examplePlan('nursery-barrow', THIN).planned;
    const { code, message } = refusalOf(other, restart.program.text);
    expect(code).toBe('stock-unknown');
    const sum = /\(job \w+ lines \d+ sum (\w+)\)/.exec(planned.program.text)![1]!;
    expect(message).toContain(`program ${sum} left`);
  });
});
