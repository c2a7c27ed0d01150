/** Jobs for the tests of planning: text with keys set by a test. */
import { readJob } from '../../src/job/load.js';
import type { Job } from '../../src/model/job.js';

export { exampleJob, examplePlan, exampleNames, plannedNames } from '../planned.js';

const noFiles = {
  machineFile(name: string): never {
    throw new Error(`no test names a machine file: ${name}`);
  },
};

export function jobFrom(text: string): Job {
  return readJob(text, 'test.yaml', noFiles);
}

/** A job of a few figures, the rest defaults. */
export interface JobFigures {
  readonly chain?: string;
  readonly teeth?: number;
  readonly form?: string;
  readonly thickness?: string;
  readonly tipRounding?: string;
  readonly material?: string;
  readonly machine?: string;
  /** Inside of the braces, "diameter: 3 mm, flutes: 3". */
  readonly cutter?: string;
  readonly limits?: string;
  readonly blank?: string;
}

export function jobText(figures: JobFigures = {}): string {
  const f = {
    chain: '420',
    teeth: 12,
    form: 'iso606-mid',
    material: '42CrMo4-annealed',
    machine: 'screw-gantry-light',
    cutter: 'diameter: 3 mm, flutes: 3, stick-out: 12 mm, flute-length: 8 mm',
    ...figures,
  };
  return [
    `chain: { designation: '${f.chain}' }`,
    `sprocket: { ${[
      `teeth: ${f.teeth}`,
      `tooth-form: ${f.form}`,
      ...(f.thickness ? [`thickness: ${f.thickness}`] : []),
      ...(f.tipRounding ? [`tip-rounding: ${f.tipRounding}`] : []),
    ].join(', ')} }`,
    'bore: { diameter: 3 mm }',
    `material: ${f.material}`,
    `machine: ${f.machine}`,
    `cutter: { ${f.cutter} }`,
    f.limits ? `limits: { ${f.limits} }` : '',
    f.blank ? `blank: { ${f.blank} }` : '',
    '',
  ].join('\n');
}

export function jobOf(figures: JobFigures = {}): Job {
  return jobFrom(jobText(figures));
}
