/** The first look of a plan and its full check, without a browser. */
import { Refusal } from '../../src/model/refusal.js';
import { describe, expect, it, vi } from 'vitest';
import { planJob, planParts, planResult, planSteps } from '../../src/plan/plan.js';
import { readJobInput } from '../../src/text/yaml-text.js';
import { readJob } from '../../src/job/load.js';
import type { Job } from '../../src/model/job.js';
import { type Kernel, answer } from '../../src/preview/live/answer.js';
import type { FromWorker, JobWork, Request } from '../../src/preview/live/messages.js';
import { Planner } from '../../src/preview/live/planner.js';
import { FakeWorker } from './fake-worker.js';
import { serve } from '../../src/preview/live/serve.js';

import { SEVEN_TEETH } from '../seven-teeth.js';
import { toEnd } from './steps.js';

/** No other test has planned this job, whose plan would then be at hand. */
const text = SEVEN_TEETH.replace(/^title: .*/m, 'title: First look');
const { input } = readJobInput(text, 'job.yaml');
const jobOf = (changed = text): Job =>
  readJob(changed, 'job.yaml', {
    machineFile: (file) => ({ file, problem: 'is not there', fix: 'check the name' }),
  });
const request = (id: number, want: JobWork['want'] = 'plan'): Request => ({
  id,
  want,
  input,
  file: 'job.yaml',
  machineFiles: {},
});

/** What the worker answers to a job that is new to it, and then to the same one. */
const answered = toEnd(answer(request(7)));
const again = toEnd(answer(request(8)));

/** The whole plan, to hold the others against: one for which no first look is asked. */
const plain = toEnd(planSteps(jobOf()));
const whole = planResult(plain.end);
/** One with its first look, for what is done with either. */
const looked = toEnd(planSteps(jobOf(), { lookStepMm: 0.32 }));
const look = looked.given[0]!;

describe('planSteps', () => {
  const job = jobOf();
  const { given, end } = looked;

  it('ends with the whole plan, after a first look where one is asked for', () => {
    expect(given).toHaveLength(1);
    expect(plain.given).toEqual([]);
    expect(end.program).toEqual(whole.planned.program);
    expect(end.replay).toEqual(whole.planned.replay);
    expect(end.summary).toEqual(whole.planned.summary);
  });

  it('gives a first look at the same program, with figures of fewer places', () => {
    expect(look.program.text).toBe(end.program.text);
    expect(look.program.ops).toBe(end.program.ops);
    expect(look.replay.samples).toBeLessThan(0.6 * end.replay.samples);
    // The greatest of fewer places: no more than a hair above the greatest of more of them, for the
    // places are others. At most 1 % below, for the load hardly changes within a third of a mm
    // (measured over all examples: 0.1 %).
    for (const of of [
      (p: typeof end) => p.replay.peakEngagementRad.value,
      (p: typeof end) => p.replay.peakForceN.x.value,
      (p: typeof end) => p.replay.peakForceN.y.value,
    ]) {
      expect(of(look) / of(end)).toBeGreaterThan(0.99);
      expect(of(look) / of(end)).toBeLessThan(1.001);
    }
  });

  it('gives no first look of a plan that fails even the coarser replay; the full one says why', () => {
    // A machine too small for the work, in a copy: its travel is looked at by the replay.
    const travelMm = { ...job.machine.travelMm, x: 30 };
    const small = { ...job, machine: { ...job.machine, travelMm } };
    let why: unknown = null;
    try {
      planParts(small);
    } catch (error) {
      why = error;
    }
    expect(why).toBeInstanceOf(Refusal);
    const steps = planSteps(small, { lookStepMm: 0.32 });
    const refused = () => {
      for (let step = steps.next(); ; step = steps.next()) {
        expect(step.value).toBeNull();
      }
    };
    expect(refused).toThrow((why as Refusal).message);
  });
});

/** A kernel whose plans get a first look and then fail their full replay. */
const REFUSAL = 'the program failed its own replay: line 12 is engaged over 99.0 deg';
const refusing: Kernel = {
  planJob,
  keptPlan: () => undefined,
  *planSteps() {
    yield look;
    throw new Refusal('replay-engagement', REFUSAL, 99, 61);
  },
};

describe('the answer', () => {
  it('is a first look, then the plan, whose program is not sent twice', () => {
    const { given, end } = answered;
    const [look] = given;
    if (look?.kind !== 'look' || end.kind !== 'plan') expect.fail(`${look?.kind}, ${end.kind}`);
    expect(given.filter((g) => g.kind === 'look')).toHaveLength(1);
    expect([look.id, end.id]).toEqual([7, 7]);
    expect(look.plan.program).toBe(whole.planned.program.text);
    expect(end.plan.program).toBeNull();
    expect(end.plan.defaults).toEqual(look.plan.defaults);
    // The path and its times are the same; only what rests on the loads differs.
    for (const column of ['x', 'y', 'z', 'cx', 'cy', 'kind', 'line', 'seconds'] as const) {
      expect(look.plan.track[column]).toEqual(end.plan.track[column]);
    }
  });

  it('to a job whose plan is at hand is the whole plan at once', () => {
    expect(again.given).toEqual([]);
    if (again.end.kind !== 'plan' || answered.end.kind !== 'plan') expect.fail(again.end.kind);
    const { program, ...shown } = again.end.plan;
    expect(program).toBe(whole.planned.program.text);
    expect(shown).toEqual({ ...answered.end.plan, program: undefined });
  });

  it('holds no sheet to print with a first look', () => {
    const { given, end } = answered;
    if (given[0]?.kind !== 'look' || end.kind !== 'plan') expect.fail('not a look, then a plan');
    expect(given[0].plan.figures.sheetHtml).toBe(
      '<p>A first look, not checked yet: print again when the check has ended.</p>',
    );
    expect(end.plan.figures.sheetHtml).toContain('Spindle');
  });

  it('is the refusal where the full replay refuses what the first look passed', () => {
    const { given, end } = toEnd(answer(request(7), () => {}, refusing));
    expect(given.map((g) => g.kind)).toEqual(['look']);
    expect(end).toEqual({
      id: 7,
      kind: 'refused',
      fault: { key: null, message: `refused: ${REFUSAL}` },
    });
  });

  it('makes files by the full plan alone', () => {
    const never: Kernel = {
      planJob,
      keptPlan: () => undefined,
      // oxlint-disable-next-line require-yield
      *planSteps() {
        throw new Error('files have no first look');
      },
    };
    const { given, end } = toEnd(answer(request(7, 'files'), () => {}, never));
    expect(given).toEqual([]);
    if (end.kind !== 'files') expect.fail(end.kind);
    expect(end.files['job-teeth.nc']).toBe(whole.files['job-teeth.nc']);
  });
});

describe('the worker', () => {
  /** A worker in this thread: what is sent to it, and what comes back. */
  function startWorker(kernel: Kernel) {
    const sent: FromWorker[] = [];
    const scope: Parameters<typeof serve>[0] = {
      onmessage: null,
      postMessage: (message) => sent.push(message),
    };
    serve(scope, kernel);
    return { sent, give: (r: Request) => scope.onmessage!({ data: r }) };
  }

  /** Checks that never end: each plan is shown, and then looked at for ever. */
  const endless: Kernel = {
    planJob,
    keptPlan: () => undefined,
    *planSteps() {
      yield look;
      for (;;) yield null;
    },
  };

  async function until(sent: readonly FromWorker[], found: (m: FromWorker) => boolean) {
    while (!sent.some(found)) await new Promise((resolve) => setTimeout(resolve, 1));
  }

  it('drops a check for a newer request, of several waiting begins the last only', async () => {
    const { sent, give } = startWorker(endless);
    give(request(1));
    await until(sent, (m) => m.kind === 'look' && m.id === 1);
    give(request(2));
    give(request(3));
    await until(sent, (m) => m.kind === 'look' && m.id === 3);
    expect(sent.some((m) => m.id === 2)).toBe(false);
    // The first has ended: it says nothing any more, and there is room for the next.
    const count = sent.filter((m) => m.id === 1).length;
    give(request(4, 'files'));
    await until(sent, (m) => m.kind === 'files');
    expect(sent.filter((m) => m.id === 1)).toHaveLength(count);
  });
});

describe('the planner', () => {
  function startPlanner() {
    const workers: FakeWorker[] = [];
    const got: FromWorker[] = [];
    const planner = new Planner(
      () => {
        const worker = new FakeWorker();
        workers.push(worker);
        return worker;
      },
      (message) => got.push(message),
    );
    return { workers, got, ask: () => planner.ask(request(0)) };
  }

  const ended = (id: number): FromWorker => ({ id, kind: 'bug', message: 'x' });

  it('gives a newer request to the same worker, and hears no more of the older one', () => {
    const { workers, got, ask } = startPlanner();
    const [first] = workers;
    ask();
    first!.say({ id: 1, kind: 'progress', stage: 'replay', share: 0.5 });
    ask();
    expect(first!.given.map((r) => r.id)).toEqual([1, 2]);
    first!.say(ended(1));
    first!.say({ id: 2, kind: 'progress', stage: 'tooth form', share: 0 });
    first!.say(ended(2));
    expect(got.map((m) => `${m.id} ${m.kind}`)).toEqual(['1 progress', '2 progress', '2 bug']);
    expect(first!.stopped).toBe(false);
  });

  it('takes a fresh worker where the busy one does not look up', () => {
    vi.useFakeTimers();
    try {
      const { workers, got, ask } = startPlanner();
      ask();
      ask();
      vi.advanceTimersByTime(10_000);
      expect(workers[0]!.stopped).toBe(true);
      expect(workers[1]!.given.map((r) => r.id)).toEqual([2]);
      workers[0]!.say(ended(2));
      expect(got).toEqual([]);
      workers[1]!.say(ended(2));
      expect(got).toEqual([ended(2)]);
    } finally {
      vi.useRealTimers();
    }
  });

  it('keeps a worker that has looked up, however long it then takes', () => {
    vi.useFakeTimers();
    try {
      const { workers, ask } = startPlanner();
      ask();
      ask();
      workers[0]!.say({ id: 2, kind: 'progress', stage: 'tooth form', share: 0 });
      vi.advanceTimersByTime(60_000);
      expect(workers[0]!.stopped).toBe(false);
    } finally {
      vi.useRealTimers();
    }
  });
});
