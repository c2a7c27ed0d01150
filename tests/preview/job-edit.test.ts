import { readFileSync, readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { loadJobText } from '../../src/job/load.js';
import { type JobInput, readJobInput, textAt } from '../../src/text/yaml-text.js';
import { answer } from '../../src/preview/live/answer.js';
import { SEVEN_TEETH } from '../seven-teeth.js';
import { toEnd } from './steps.js';
import { specOf, stopNextTo } from '../../src/preview/live/fields.js';
import { jobFileText, withText } from '../../src/preview/live/job-edit.js';
import { stableJson } from '../../src/text/stable-json.js';

const EXAMPLES = readdirSync('examples').filter((name) => name.endsWith('.yaml'));
const textOf = (name: string) => readFileSync(`examples/${name}`, 'utf8');
const read = (text: string) => readJobInput(text, 'job.yaml').input;

/** Keys of all kinds that the page has a control for. */
const FIELDS = [
  'chain.designation',
  'sprocket.teeth',
  'sprocket.tooth-form',
  'sprocket.flank-relief',
  'sprocket.tip-rounding',
  'bore.shape',
  'bore.diameter',
  'hub.length',
  'blank.centring-error',
  'cutter.diameter',
  'cutter.flutes',
  'cutter.edge-radius',
  'machine',
  'material',
  'risk',
  'limits.max-engagement',
  'limits.max-stepdown',
  'limits.wear-factor',
  'limits.spindle-speed',
].map(specOf);

describe('editing a job as written', () => {
  const job: JobInput = { title: 'A', sprocket: { teeth: '12' }, machine: 'm' };

  it('changes one value, keeps the order and leaves the rest alone', () => {
    const edited = withText(job, 'sprocket.teeth', '13');
    expect(edited).toEqual({ title: 'A', sprocket: { teeth: '13' }, machine: 'm' });
    expect(Object.keys(edited)).toEqual(['title', 'sprocket', 'machine']);
    expect(job).toEqual({ title: 'A', sprocket: { teeth: '12' }, machine: 'm' });
  });

  it('makes groups that were missing and takes out those that are empty', () => {
    const limited = withText(job, 'limits.tolerance', '0.03 mm');
    expect(textAt(limited, 'limits.tolerance')).toBe('0.03 mm');
    expect(withText(limited, 'limits.tolerance', '')).toEqual(job);
  });

  it('finds nothing under names that every object has', () => {
    expect(textAt(job, 'constructor')).toBe('');
    expect(textAt(job, 'sprocket.__proto__')).toBe('');
  });
});

describe('the job file of an edited job', () => {
  it('is the file itself, comments and all, where nothing changed', () => {
    for (const name of EXAMPLES) {
      const text = textOf(name);
      const input = read(text);
      const out = jobFileText(text, input, input);
      expect(read(out), name).toEqual(input);
      for (const comment of text.match(/^#.*$/gm) ?? []) expect(out).toContain(comment);
    }
  });

  it('reads back as the job that was edited', () => {
    const edits: [string, string][] = [
      ['sprocket.teeth', '17'],
      ['sprocket.tooth-form', 'link-sweep'],
      ['sprocket.flank-relief', '0.08 mm'],
      ['cutter.diameter', '1/8 in'],
      ['cutter.stick-out', '15 mm'],
      ['limits.max-engagement', '45 deg'],
      ['limits.wear-factor', '1.10'],
      ['limits.roughing', 'climb'],
      ['cutter.flute-length', ''],
      ['title', 'no: 5 # "quoted" \u00b5'],
      ['machine', './my machine.yaml'],
    ];
    for (const name of EXAMPLES) {
      const text = textOf(name);
      const before = read(text);
      let input = before;
      for (const [key, value] of edits) input = withText(input, key, value);
      const back = readJobInput(jobFileText(text, before, input), 'job.yaml');
      expect(back.faults, name).toEqual([]);
      expect(back.input, name).toEqual(input);
    }
  });
});

describe('the form', () => {
  const text = textOf('nursery-barrow.yaml');
  const input = read(text);
  const places = { machineFile: (file: string) => ({ file, problem: 'x', fix: 'y' }) };

  /** What the reader of job files says against a key's value by the schema alone. */
  function faultsAt(key: string, value: string): string[] {
    const file = jobFileText(text, input, withText(input, key, value));
    const errors = loadJobText(file, 'job.yaml', places).error?.errors ?? [];
    return errors
      .filter((e) => e.key === key && /is not a|, the (smallest|largest) /.test(e.rule))
      .map((e) => e.message);
  }

  it('offers words that the job file takes', () => {
    const offered = FIELDS.filter((field) => field.words);
    expect(offered.length).toBeGreaterThan(2);
    for (const { key, words } of offered) {
      for (const word of words!) expect(faultsAt(key, word), `${key}: ${word}`).toEqual([]);
    }
  });

  it('has sliders that end where the job file does', () => {
    const slid = FIELDS.filter((field) => field.stops);
    expect(slid.length).toBeGreaterThan(10);
    for (const { key, stops } of slid) {
      const { values, unit } = stops!;
      const [low, high] = [values[0]!, values.at(-1)!];
      const at = (value: number) => faultsAt(key, `${value} ${unit}`.trim());
      expect(at(low), key).toEqual([]);
      expect(at(high), key).toEqual([]);
      const step = unit === '' && Number.isInteger(low) && high > 4 ? 1 : 1e-4;
      expect(at(Number((low - step).toPrecision(9))), `${key}: below ${low}`).toHaveLength(1);
      expect(at(Number((high + step).toPrecision(9))), `${key}: above ${high}`).toHaveLength(1);
    }
  });

  it('has sliders whose stops are fine enough for what they stand for', () => {
    for (const { key, stops } of FIELDS) {
      const values = stops?.values ?? [];
      const whole = stops?.unit === '' && values.every(Number.isInteger);
      for (let i = 1; i < values.length; i++) {
        const step = values[i]! - values[i - 1]!;
        expect(step, key).toBeGreaterThan(0);
        const fine = whole ? 1 : Math.max(0.1 * values[i]!, values.at(-1)! / 150);
        expect(step, `${key} at ${values[i]}`).toBeLessThanOrEqual(fine + 1e-9);
      }
      expect(values.length).toBeLessThan(400);
    }
  });

  it('puts the slider next to what is typed, in whatever unit', () => {
    const { stops } = FIELDS.find((field) => field.key === 'cutter.diameter')!;
    const next = (typed: string) => stops!.values[stopNextTo(stops!, stops!.valueOf(typed))];
    // 1/8 in is 3.175 mm, between 3.1 and 3.2; 1/16 in is 1.5875 mm.
    expect(next('1/8 in')).toBe(3.2);
    expect(next('1/16 in')).toBe(1.6);
    expect(next('3 mm')).toBe(3);
    expect(next('0.1 mm')).toBe(0.5);
    expect(next('90 mm')).toBe(20);
    expect(stops!.valueOf('three')).toBeNaN();
    const turn = FIELDS.find((field) => field.key === 'limits.max-engagement')!.stops!;
    expect(turn.values[stopNextTo(turn, turn.valueOf('0.7854 rad'))]).toBe(45);
  });
});

describe('the worker', () => {
  const text = SEVEN_TEETH;
  const input = read(text);
  const work = (key: string, value: string, want: 'plan' | 'files' = 'plan') =>
    toEnd(
      answer({
        id: 4,
        want,
        input: withText(input, key, value),
        file: 'pinion.yaml',
        machineFiles: {},
      }),
    );
  const ask = (key: string, value: string) => work(key, value).end;
  const cli = (key: string, value: string) =>
    loadJobText(jobFileText(text, input, withText(input, key, value)), 'pinion.yaml', {
      machineFile: (file) => ({ file, problem: 'x', fix: 'y' }),
    }).error?.errors.map((e) => ({
      key: e.key,
      // The field that it stands beside says file, line and key.
      message: e.message.replace(/^[^:]+:\d+: [\w.-]+: /, ''),
    }));

  it('says the same about bad values as the command line, but for the place', () => {
    for (const [key, value] of [
      ['sprocket.teeth', '5'],
      ['sprocket.teeth', 'twelve'],
      ['cutter.diameter', '3'],
      ['cutter.diameter', '0 mm'],
      ['cutter.flute-length', '30 mm'],
      ['machine', 'screw-gantry-ligth'],
      ['sprocket.tooth-form', 'iso606'],
      ['limits.max-engagement', '400 deg'],
    ] as const) {
      const got = ask(key, value);
      expect(got.kind, `${key}: ${value}`).toBe('faults');
      expect(got).toMatchObject({ id: 4, faults: cli(key, value) });
    }
  });

  it('puts a refusal beside the field that it is about', () => {
    const got = ask('cutter.stick-out', '6.1 mm');
    const fault = got.kind === 'refused' ? got.fault : got.kind === 'faults' ? got.faults[0] : null;
    expect(fault?.key).toMatch(/^cutter\./);
  });

  it('plans what the command line plans', () => {
    // The plan first: of one that is at hand no first look is given.
    const { given, end } = work('sprocket.teeth', '8');
    const got = work('sprocket.teeth', '8', 'files').end;
    if (got.kind !== 'files') expect.fail(got.kind);
    expect(Object.keys(got.files)).toEqual(
      expect.arrayContaining(['pinion-teeth.nc', 'plan.json', 'warning-sheet.html', 'outline.dxf']),
    );
    const [look] = given;
    if (look?.kind !== 'look' || end.kind !== 'plan') expect.fail(`${look?.kind}, ${end.kind}`);
    expect(look.plan.program).toBe(got.files['pinion-teeth.nc']);
    const { figures } = end.plan;
    expect(figures.job.sprocket.teeth).toBe(8);
    expect(figures.sheetHtml).toBe(got.files['warning-sheet.html']);
    const rounded: unknown = JSON.parse(stableJson(figures.summary.predicted));
    expect(JSON.parse(String(got.files['plan.json']))).toMatchObject({ predicted: rounded });
  });
});
