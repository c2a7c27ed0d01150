import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { Bench } from '../../src/preview/bench/bench.js';
import { readJob } from '../../src/job/load.js';
import type { PlanShown } from '../../src/preview/live/messages.js';
import { MINIMAL, filesFrom } from '../job/job-text.js';
import { FakeWorker } from './fake-worker.js';

/** Longer than the wait after a change while someone types. ms */
const TYPED = 1000;

/** The page has no part in these: they are of the state alone. */
function openBench() {
  const workers: FakeWorker[] = [];
  const bench = new Bench(
    () => {
      const worker = new FakeWorker();
      workers.push(worker);
      return worker;
    },
    () => '',
    () => {},
  );
  bench.open({ file: 'job.yaml', text: MINIMAL, machineFiles: {} });
  const asked = () =>
    workers.flatMap(({ given }) => given).filter(({ want }) => want === 'plan' || want === 'files');
  const worker = () => workers.find(({ given }) => given.some(({ want }) => want === 'plan'))!;
  return { bench, asked, worker };
}

const plan = { figures: {}, track: {}, before: [], program: '', defaults: {} };
const answer = (id: number) => ({ id, kind: 'plan', plan: plan as unknown as PlanShown }) as const;

beforeEach(() => {
  vi.useFakeTimers();
  vi.stubGlobal('window', globalThis);
  vi.stubGlobal('document', { body: { dataset: {} } });
});
afterEach(() => {
  vi.unstubAllGlobals();
  vi.useRealTimers();
});

describe('the state of the bench page', () => {
  it('plans what is typed while the answer to the job before comes', () => {
    const { bench, asked, worker } = openBench();
    expect(asked()).toHaveLength(1);
    bench.edit('sprocket.teeth', '14', false);
    worker().say({ id: 1, kind: 'faults', faults: [{ key: 'bore.diameter', message: 'no' }] });
    vi.advanceTimersByTime(TYPED);
    expect(asked()).toHaveLength(2);
    expect(asked()[1]).toMatchObject({ input: { sprocket: { teeth: '14' } } });
  });

  it('does not take a plan of the job before for one of a job that is not whole', () => {
    const { bench, asked, worker } = openBench();
    bench.edit('bore.diameter', '', true);
    expect(bench.faults.map(({ key }) => key)).toEqual(['bore.diameter']);
    worker().say(answer(1));
    expect(bench.mayExport).toBe(false);
    expect(bench.standing).toBe('none');
    expect(bench.faults.map(({ key }) => key)).toEqual(['bore.diameter']);
    // Whole again, it is planned anew.
    bench.undo();
    expect(asked()).toHaveLength(2);
    worker().say(answer(2));
    expect(bench.mayExport).toBe(true);
    expect(bench.checked?.input).toBe(bench.input);
  });

  it('hands over files of the plan on show, and none once the job has lost a key', async () => {
    const { bench, asked, worker } = openBench();
    worker().say(answer(1));
    const got: unknown[] = [];
    bench.withFiles((files) => got.push(files));
    bench.edit('bore.diameter', '', true);
    worker().say({ id: 2, kind: 'files', files: {} });
    await vi.advanceTimersByTimeAsync(TYPED);
    expect(got).toEqual([]);
    bench.undo();
    worker().say(answer(asked().length));
    bench.withFiles((files) => got.push(Object.keys(files as object)));
    worker().say({ id: asked().length, kind: 'files', files: {} });
    await vi.advanceTimersByTimeAsync(TYPED);
    expect(got).toEqual([['preview.html', 'job.yaml']]);
  });

  it('takes a chain of the table in place of one as measured, with all that was measured', () => {
    const { bench } = openBench();
    const measured = {
      ...{ span: '127.3 mm', pitches: '10', 'roller-diameter': '7.75 mm' },
      'inner-width': '6.3 mm',
    };
    bench.takeMeasured({ ...measured, 'pin-diameter': '3.96 mm' });
    bench.edit('chain.measured.breaking-load', '16 kN', true);
    const job = () => readJob(bench.jobFile(), 'job.yaml', filesFrom());
    expect(job().chain).toMatchObject({ designation: null, minTensileN: 16_000 });
    // Measured again, with the breaking load that nobody measures.
    bench.takeMeasured(measured);
    expect(bench.valueOf('chain.measured.pin-diameter')).toBe('');
    expect(job().chain.minTensileN).toBe(16_000);
    bench.takeNamed({ designation: '420', elongation: '0.2 %' });
    expect(job().chain).toMatchObject({ designation: '420', elongation: 0.002 });
  });
});
