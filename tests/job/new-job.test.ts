import { describe, expect, it } from 'vitest';
import { loadJobText } from '../../src/job/load.js';
import { missingKeys, newJobText } from '../../src/job/new-job.js';
import { JOB_FIELDS } from '../../src/job/schema.js';
import { cutterFileText } from '../../src/job/cutter-file.js';
import { findCutter } from '../../src/machines/cutters.js';
import type { Fields } from '../../src/text/field.js';
import { readJobInput } from '../../src/text/yaml-text.js';

const VALUES = {
  'chain.designation': '420',
  'sprocket.teeth': '12',
  'bore.diameter': '14 mm',
  material: '42CrMo4-annealed',
  machine: 'screw-gantry-light',
  'cutter.diameter': '3 mm',
};

const none = { machineFile: (file: string) => ({ file, problem: 'is not there', fix: 'x' }) };

/** Every key that a job may have, by the last word and how deep it stands. */
function keys(fields: Fields, depth = 0): string[] {
  return Object.entries(fields).flatMap(([key, field]) => [
    `${depth} ${key}`,
    ...(field.kind === 'group' ? keys(field.keys, depth + 1) : []),
  ]);
}

describe('a new job file', () => {
  it('holds what was given and nothing else that is read', () => {
    const { job, error } = loadJobText(newJobText(VALUES), 'job.yaml', none);
    expect(error).toBeNull();
    expect(job!.sprocket.teeth).toBe(12);
    expect(readJobInput(newJobText(VALUES), 'job.yaml').input).toEqual({
      chain: { designation: '420' },
      sprocket: { teeth: '12' },
      bore: { diameter: '14 mm' },
      material: '42CrMo4-annealed',
      machine: 'screw-gantry-light',
      cutter: { diameter: '3 mm' },
    });
  });

  it('names every key of a job, set or as a remark, each at its own depth', () => {
    const text = newJobText(VALUES);
    const named = [...text.matchAll(/^( *)(?:# ( *))?([a-z-]+):/gm)].map(
      ([, outer = '', inner = '', key]) => `${(outer.length + inner.length) / 2} ${key}`,
    );
    expect([...named].sort()).toEqual(keys(JOB_FIELDS).sort());
  });

  it('says what a job must have and has not', () => {
    expect(missingKeys(VALUES)).toEqual([]);
    expect(missingKeys({})).toEqual([
      'chain.designation',
      'sprocket.teeth',
      'bore.diameter',
      'material',
      'machine',
      'cutter.diameter',
    ]);
    const { error } = loadJobText(newJobText({ ...VALUES, 'sprocket.teeth': '' }), 'j.yaml', none);
    expect(error!.errors.map(({ key }) => key)).toEqual(['sprocket.teeth']);
  });

  it.each(["it's: {odd} # not a remark", '- x', 'null', '1 1/2 in', '007', '  spaced  '])(
    'gives %j back as it was',
    (title) => {
      const { input } = readJobInput(newJobText({ ...VALUES, title }), 'job.yaml');
      expect(input['title']).toBe(title);
    },
  );
});

describe('a cutter file that a job names', () => {
  const cutter = findCutter('carbide-3mm-3fl');
  const files = (text: string) => ({ machineFile: (file: string) => ({ file, text }) });
  const job = newJobText({ ...VALUES, 'cutter.diameter': '' }).replace(
    /^( *)diameter: ''.*cutter diameter.*$/m,
    '$1file: ./own.yaml\n$1stick-out: 13 mm',
  );

  it('gives the cutter, and what the job says goes before', () => {
    const own = files(cutterFileText(cutter, 'A cutter.'));
    const { job: loaded, error } = loadJobText(job, 'job.yaml', own);
    expect(error).toBeNull();
    // The figures of the table's row, but for the stick-out.
    const { diameterMm, flutes, helixDeg, edgeRadiusMm } = cutter;
    const figures = { diameterMm, flutes, helixDeg, edgeRadiusMm, stickOutMm: 13 };
    expect(loaded!.cutter).toMatchObject(figures);
  });

  it('is told apart from the job where it is wrong', () => {
    const wrong = loadJobText(job, 'job.yaml', files('diameter: 3 mm\nflutes: 30\n'));
    expect(wrong.error!.message).toMatch(/^\.\/own\.yaml:2: flutes: 30 is above 8/);
    const gone = loadJobText(job, 'job.yaml', none);
    expect(gone.error!.message).toMatch(/^job\.yaml:\d+: cutter\.file: \.\/own\.yaml is not there/);
  });
});

it('stands in the order of the keys, what may be left out where it belongs', () => {
  const text = newJobText(VALUES);
  const order = [...text.matchAll(/^(?:# )?([a-z-]+):/gm)].map(([, key]) => key);
  expect(order).toEqual(Object.keys(JOB_FIELDS));
});
