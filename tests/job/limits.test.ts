/** Every limit is named in its error, with the figure, and met before the work that it is for. */
import { Refusal } from '../../src/model/refusal.js';
import { describe, expect, it } from 'vitest';
import { toEnd } from '../../src/cam/stock/replay/budget.js';
import { ReplayLimit, replay } from '../../src/cam/stock/replay.js';
import { checkProgram } from '../../src/plan/check/check.js';
import { loadJobText } from '../../src/job/load.js';
import { planParts } from '../../src/plan/plan.js';
import { refuseFaults, replayWithin } from '../../src/plan/prove.js';
import { type Job } from '../../src/model/job.js';
import { LIMITS, readProgram } from '../../src/post/rs274/reader.js';
import { LONG } from '../cam/oracle/runs.js';
import { MINIMAL, faultOf, filesFrom, withKey } from './job-text.js';

function jobOf(text: string): Job {
  const { job, error } = loadJobText(text, 'job.yaml', filesFrom());
  if (job === null) throw error;
  return job;
}

/** The refusal of a job that is not planned, nor its toolpath laid to its end. */
function refusal(text: string): Refusal {
  const job = jobOf(text);
  try {
    planParts(job, ({ stage }) => {
      if (stage !== 'tooth form' && stage !== 'toolpath') throw new Error(`came to the ${stage}`);
    });
  } catch (error) {
    if (error instanceof Refusal) return error;
    throw error;
  }
  throw new Error('the plan was not refused');
}

describe('of a job file', () => {
  it('teeth, size, keys, depth', () => {
    expect(faultOf(withKey('sprocket', '{ teeth: 151 }')).message).toContain('151 is above 150');
    expect(faultOf(withKey('sprocket', '{ teeth: 5 }')).message).toContain('5 is below 6');
    expect(faultOf('x'.repeat(262_145)).message).toContain('over the limit of 262144');
    const keys = Array.from({ length: 501 }, (_, i) => `k${i}: 1`).join('\n');
    expect(faultOf(keys).message).toContain('more than 500 keys');
    expect(faultOf(`a: ${'{a: '.repeat(9)}`).message).toContain('nested more than 8 deep');
  });
});

describe('of a plan', () => {
  const POM =
    MINIMAL.replace('42CrMo4-annealed', 'pom-c').replace(
      'machine: screw-gantry-light',
      'machine: screw-gantry-stiff',
    ) + 'blank: { held-by: plate }\n';

  it('levels: a stepdown limit that asks for more than 200', () => {
    const error = refusal(`${POM}limits: { max-stepdown: 0.02 mm }\n`);
    expect(error).toMatchObject({ code: 'too-many-levels', limit: 200 });
    // 5.9055 mm of teeth and 0.1 mm below them.
    expect(error.value).toBe(Math.ceil(6.0055 / 0.02));
    expect(error.message).toMatch(/0\.02 mm splits 6\.01 mm into 301 levels, more than the 200/);
  });

  it('moves: a program that would be too long is not assembled', () => {
    const job = POM.replace('teeth: 12', 'teeth: 60').replace(
      'diameter: 3 mm',
      'diameter: 3 mm, stick-out: 10 mm, flute-length: 8 mm',
    );
    const error = refusal(`${job}limits: { max-stepdown: 0.05 mm, max-engagement: 32 deg }\n`);
    expect(error.code).toBe('program-too-long');
    expect(error.value).toBeGreaterThan(error.limit!);
    expect(error.message).toContain(error.limit!.toLocaleString('en-US'));
  });

  it('travel: a wheel that the machine cannot go round is refused before it is planned', () => {
    const error = refusal(MINIMAL.replace('teeth: 12', 'teeth: 140'));
    expect(error.code).toBe('travel');
    // ISO 606: pitch diameter p / sin(180 / z); tips stand out of it, and the cutter outside them.
    expect(error.value).toBeGreaterThan(12.7 / Math.sin(Math.PI / 140) + 3);
  });

  it('of the reader and the replay are refusals, not faults', () => {
    const long = readProgram('G0 X1\nM2\n', { limits: { lines: 1 } });
    expect(() => refuseFaults(long, 'program')).toThrow(Refusal);
    expect(() => refuseFaults(long, 'program')).toThrow(
      /the program has 2 lines, more than the limit of 1/,
    );
    const bad = readProgram('G77\nM2\n');
    expect(() => refuseFaults(bad, 'program')).toThrow(/does not read back: line 1/);
    expect(() => refuseFaults(readProgram('G0 X1\nM2\n'), 'program')).not.toThrow();
    const replayed = (work: () => unknown): unknown =>
      toEnd(
        replayWithin(
          (function* () {
            yield;
            return work();
          })(),
        ),
      );
    const limit = (): never => {
      throw new ReplayLimit('places to look at', 7);
    };
    expect(() => replayed(limit)).toThrow(Refusal);
    expect(() => replayed(limit)).toThrow(/more than 7 places to look at/);
    expect(() =>
      replayed(() => {
        throw new TypeError('bug');
      }),
    ).toThrow(TypeError);
    expect(replayed(() => 5)).toBe(5);
  });
});

describe('of a program', () => {
  const job = jobOf(MINIMAL);
  const limitOf = (text: string): string | undefined =>
    checkProgram(text, job).findings.find((f) => /limit/.test(f.code))?.text;

  it('lines, characters, actions, errors', () => {
    expect(limitOf('\n'.repeat(LIMITS.lines + 1))).toContain(`limit of ${LIMITS.lines}`);
    expect(limitOf(' '.repeat(LIMITS.characters + 1))).toContain(`limit of ${LIMITS.characters}`);
    expect(limitOf(`F100 M3 S9\nG81 X1 Z-1 R1 L${LIMITS.ops}\nM2\n`)).toContain(
      `more than ${LIMITS.cycleOps} actions out of canned cycles`,
    );
    const wrong = checkProgram('G77\n'.repeat(5000), job);
    expect(wrong.findings.filter((f) => f.code === 'rs274-unknown-code').at(-1)).toMatchObject({
      more: LIMITS.errors - 10,
    });
  });

  it('one line of fifteen million characters is answered within memory', () => {
    for (const piece of LONG ? ['G1 X1 ', '\u00e9', '(a)'] : ['G1 X1 ']) {
      const { findings } = checkProgram(piece.repeat(15e6 / piece.length), job);
      expect(findings.map((f) => f.code)).toContain('rs274-line-too-long');
    }
  });

  it('a cycle of a hundred thousand pecks leaves nothing to be judged', () => {
    // Found by the fuzz test: a short line could ask for a million actions, 8 s of work.
    for (const text of [
      'G83 X5 Y5 Z-3 R1 Q.2 F60\nG90 R99999999 X0',
      'F60 G83 X5 Y5 Z-3 R66000 Q.2',
    ]) {
      expect(limitOf(text)).toContain('canned cycles');
      const { ops, lastLineRead } = readProgram(text);
      expect(ops.filter(({ line }) => line === lastLineRead && line > 1)).toEqual([]);
      // 20 pecks of three actions, and the way there and back.
      expect(ops.length).toBeLessThan(70);
    }
  });

  it('work of the replay, by count and not by the clock', () => {
    const many = Array.from(
      { length: 3000 },
      (_, i) =>
        `G1 X${(20 + (i % 90) / 10).toFixed(1)} Y${((i % 77) / 10).toFixed(1)} F${100 + (i % 500)}`,
    );
    const text = `G21 G90 G17 G94\nG0 Z5\nM3 S10000\nG4 P3\nG0 X40 Y0\nG1 Z-1 F300\n${many.join('\n')}\nM2\n`;
    const { ops } = readProgram(text);
    const setup = {
      machine: job.machine,
      conditions: { material: job.material, cutter: job.cutter, runoutMm: 0, wearFactor: 1 },
      blankRadiusMm: 30,
      thicknessMm: 3,
      holes: [],
      field: null,
      outlinePoints: new Float64Array(0),
    };
    expect(() => replay(ops, setup, { maxWork: 2000 })).toThrow(
      'the program has more than 2000 places to look at, the limit of the replay',
    );
  });

  it('different depths', () => {
    const deep = Array.from(
      { length: 1100 },
      (_, i) => `G1 Z-${(0.005 * (i + 1)).toFixed(3)}\nX${40 + (i % 2)}`,
    );
    const text = `G21 G90 G17 G94\nG0 Z5\nM3 S10000\nG4 P3\nG0 X40 Y0\nF300\n${deep.join('\n')}\nM2\n`;
    expect(limitOf(text)).toBe(
      'the program has more than 1000 different depths, the limit of the replay; split it',
    );
  });
});
