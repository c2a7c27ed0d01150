import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { JobError } from '../../src/text/fault.js';
import { tallyOf, tallySeconds } from '../../src/machines/learn/load-history.js';
import {
  evidenceLogText,
  readEvidenceLog,
  withPull,
  withRun,
} from '../../src/machines/learn/log.js';
import {
  type LoggedPull,
  type LoggedRun,
  baseName,
  learn,
  edgeLeft,
  learnMore,
  newEvidenceLog,
} from '../../src/machines/learn/evidence.js';
import { findMachine } from '../../src/machines/machines.js';
import { limitBand } from '../../src/machines/learn/posterior.js';
import { finishProbability } from './finishes.js';
import { machineOf } from './machine-of.js';

const machine = findMachine('screw-gantry-light');
const held = {
  x: tallyOf([
    [40, 100],
    [90, 200],
    [120, 300.25],
  ]),
  y: tallyOf([[80, 60]]),
};
const lost: LoggedRun & { outcome: 'lost' } = {
  date: '2026-05-03',
  outcome: 'lost',
  program: 'barrow.yaml 6ffec3e9',
  material: '42CrMo4-annealed',
  bar: 'B2',
  edge: { beforeLives: 0.3, tookLives: 0.22, wearFactor: 1.3 },
  seen: 'lines 15200 to 15900',
  axis: 'x',
  otherHeld: true,
  direction: '-',
  amountMm: 1.5,
  note: 'seen at the "third" gap: chips',
  held,
  suspect: { x: tallyOf([[140, 30]]), y: tallyOf([[70, 30]]) },
};
const finished: LoggedRun = {
  date: lost.date,
  outcome: 'finished',
  program: lost.program,
  material: lost.material,
  ...{ bar: null, edge: null, note: null },
  held,
};

function read(text: string) {
  return readEvidenceLog(text, 'router.evidence.yaml');
}

/** What is said of a text that cannot be read. */
function faultsOf(read: () => unknown): readonly JobError[] {
  try {
    read();
  } catch (error) {
    if (error instanceof JobError) return error.errors;
  }
  throw new Error('no fault');
}

describe('evidence log', () => {
  it('says the same after it was written and read', () => {
    const empty = newEvidenceLog(machine);
    const text = withRun(withRun(evidenceLogText(empty), lost), finished);
    const log = read(text);
    expect(log).toMatchObject({ machine: 'screw-gantry-light', priorFrom: empty.priorFrom });
    expect(log.runs).toHaveLength(2);
    const words = (run: LoggedRun) => ({ ...run, held: null, suspect: null });
    expect(words(log.runs[0]!)).toEqual(words(lost));
    expect(log.runs[1]).toEqual({ ...finished, held: expect.anything() as object });
    expect(tallySeconds(log.runs[1]!.held.x)).toBeCloseTo(600.25, 1);
    // What is believed does not change by going through the text.
    const direct = learn({ ...empty, runs: [lost, finished] }).after;
    const through = learn(log).after;
    for (const axis of ['x', 'y'] as const) {
      expect(limitBand(through, axis).p50 / limitBand(direct, axis).p50).toBeCloseTo(1, 3);
      expect(limitBand(through, axis).p5 / limitBand(direct, axis).p5).toBeCloseTo(1, 3);
    }
  });

  it('is plain YAML that another reader takes apart the same way', () => {
    const text = withRun(evidenceLogText(newEvidenceLog(machine)), lost);
    const plain = parse(text) as { machine: string; runs: { note: string; amount: string }[] };
    expect(plain.machine).toBe('screw-gantry-light');
    expect(plain.runs[0]).toMatchObject({ note: lost.note, amount: '1.5 mm' });
    expect(Math.max(...text.split('\n').map((line) => line.length))).toBeLessThanOrEqual(100);
  });

  it.each(['2026-02-29', '2026-13-01', '2026-04-31', '2026-00-10', '0-0-0'])(
    'refuses the date %s, which is none',
    (date) => {
      const text = evidenceLogText({ ...newEvidenceLog(machine), runs: [{ ...finished, date }] });
      expect(faultsOf(() => read(text))[0]!.message).toMatch(
        new RegExp(`runs\\.1\\.date: "?${date}"? is no date`),
      );
    },
  );

  it.each(['2028-02-29', '2026-12-31', 'a Tuesday in May'])('takes the date %s', (date) => {
    const text = evidenceLogText({ ...newEvidenceLog(machine), runs: [{ ...finished, date }] });
    expect(read(text).runs[0]!.date).toBe(date);
  });

  it('keeps what people wrote into it', () => {
    const text = evidenceLogText(newEvidenceLog(machine)).replace(
      'runs: []',
      'runs: # belt tightened in April\n  []',
    );
    expect(withRun(text, finished)).toContain('# belt tightened in April');
    expect(read(withRun(text, finished)).runs).toHaveLength(1);
  });

  const good = withRun(evidenceLogText(newEvidenceLog(machine)), lost);
  it.each([
    [
      'outcome: lost',
      'outcome: broken',
      'runs.1.outcome: broken is not a known outcome; write finished, quiet, chatter or lost',
    ],
    ['axis: x', 'axis: a', 'runs.1.axis: a is not a name of an axis; did you mean x?'],
    ['amount: 1.5 mm', 'amount: 1.5', 'runs.1.amount: 1.5 has no unit; say 1.5 mm or 1.5 in'],
    ['amount: 1.5 mm', 'ammount: 1.5 mm', 'runs.1.ammount: is not a key of an evidence log'],
    ['thrust: 278 N', 'thrust: 278 mm', 'prior.x.thrust: "278 mm" is a length'],
    ['factor: 1.492', 'factor: 0.5', 'prior.x.factor: 0.5 is below 1.01, the smallest factor'],
    [
      'x: 40 ',
      'x: much ',
      'is not a list of loads; write newtons and seconds, as "120.5 300, 130 45.2"',
    ],
    ['machine: screw-gantry-light', 'title: mine', 'title: is not a key of an evidence log'],
  ])('names line, key and rule for %s -> %s', (from, to, message) => {
    const bad = good.replace(from, to);
    expect(bad).not.toBe(good);
    const faults = faultsOf(() => readEvidenceLog(bad, 'router.evidence.yaml'));
    const line = faults[0]!.message;
    expect(line).toContain(message.replace('"278 mm"', '278 mm'));
    // The line named is the one that was changed, or where what is missing belongs.
    const at = faults[0]!.line!;
    expect(line.startsWith(`router.evidence.yaml:${at}: `)).toBe(true);
    const changed = bad.split('\n').findIndex((l) => l.includes(to)) + 1;
    expect(Math.abs(at - changed)).toBeLessThanOrEqual(1);
  });

  it('refuses a loss without its stretch, and a finished run with one', () => {
    const noStretch = good.slice(0, good.indexOf('    suspect:'));
    expect(faultsOf(() => readEvidenceLog(noStretch, 'log'))[0]!.message).toContain(
      'runs.1.suspect: is missing',
    );
    const both = good
      .replace('outcome: lost', 'outcome: finished')
      .replace('axis: x', 'axis: unknown');
    expect(faultsOf(() => readEvidenceLog(both, 'log')).map((f) => f.rule)).toContain(
      'is given for a run that finished',
    );
  });

  it('takes a measured machine to be known better than a guessed one', () => {
    const mine = machineOf(
      {
        id: 'mine-r2',
        basedOn: 'screw-gantry-light',
        thrustN: {
          x: {
            value: [
              [0, 300],
              [2000, 300],
            ],
            source: 'measured 2026-05-03 with a spring scale',
          },
        },
      },
      'mine.yaml',
    );
    const log = newEvidenceLog(mine);
    expect(log.machine).toBe('mine');
    expect(log.prior.x.sigma).toBeLessThan(log.prior.y.sigma);
    expect(log.prior.x.thrustN).toBe(300);
    expect(baseName('a-r1-r2')).toBe('a-r1');
  });

  it('counts a run in another bar for less, and one in another material', () => {
    const { after } = learn({ ...newEvidenceLog(machine), runs: [lost] });
    const holds = (material: string, bar: string | null) =>
      finishProbability(after, lost.suspect, { material, bar, edge: lost.edge });
    const own = holds(lost.material, 'B2');
    expect(holds(lost.material, null)).toBeGreaterThan(own);
    expect(holds('S235', null)).toBeGreaterThan(own);
  });

  it('counts a pull test whenever it is taken, as often as it is', () => {
    const empty = newEvidenceLog(machine);
    const pull: LoggedPull = {
      date: '2026-06-01',
      limits: { x: { thrustN: 210, sigma: 0.03 } },
      stiffnessNPerMm: { x: 312, z: 500 },
    };
    const early = withRun(withPull(evidenceLogText(empty), pull), lost);
    const late = withPull(withRun(evidenceLogText(empty), lost), pull);
    const bandOf = (text: string) => limitBand(learn(read(text)).after, 'x');
    expect(read(late).pulls[0]!.stiffnessNPerMm).toEqual({ x: 312, z: 500 });
    expect(bandOf(early)).toEqual(bandOf(late));
    // Two normal figures as one: the guess of the profile, 278 N within a factor of e^0.4, and the
    // pull, with the 0.15 that running may take off, which is common to all pulls.
    for (const count of [1, 20]) {
      const many = { ...empty, pulls: Array.from({ length: count }, () => pull) };
      const { p5, p50, p95 } = limitBand(learn(many).after, 'x');
      const of = [1 / 0.4 ** 2, 1 / (0.15 ** 2 + 0.03 ** 2 / count)] as const;
      const sigma = 1 / Math.sqrt(of[0] + of[1]);
      const median = 278 * (210 / 278) ** (of[1] * sigma ** 2);
      expect(p50 / median).toBeCloseTo(1, 2);
      expect(Math.log(p95 / p5) / 3.2897).toBeCloseTo(sigma, 2);
    }
  });

  it('the edge is left as the last run that tells of one says; a used one held against more', () => {
    const used = (beforeLives: number): LoggedRun => ({
      ...finished,
      edge: { beforeLives, tookLives: 0.25, wearFactor: 1.3 },
    });
    const silent: LoggedRun = { ...finished, edge: null };
    expect(edgeLeft([])).toEqual({ servedLives: 0, tookLives: 0 });
    expect(edgeLeft([used(0.5), silent])).toEqual({ servedLives: 0.75, tookLives: 0.25 });
    const p5 = (beforeLives: number) =>
      limitBand(learn({ ...newEvidenceLog(machine), runs: [used(beforeLives)] }).after, 'x').p5;
    expect(p5(0.5)).toBeGreaterThan(p5(0));
  });

  it('one more run says the same as the log with it', () => {
    const log = { ...newEvidenceLog(machine), runs: [finished, finished, lost] };
    const all = learn(log);
    const more = learnMore(learn({ ...log, runs: [finished, finished] }), lost);
    expect(more.log.runs).toEqual(log.runs);
    expect([more.after, more.before].map((b) => limitBand(b, 'x'))).toEqual(
      [all.after, all.before].map((b) => limitBand(b, 'x')),
    );
    expect(more.steps.map(({ runs }) => runs)).toEqual(all.steps.map(({ runs }) => runs));
  });
});
