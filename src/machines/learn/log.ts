/**
 * The evidence log as text: YAML that people can read, correct and keep under version control.
 * Loads are written as [newtons, seconds], so that a run counts the same after the job, the machine
 * file or the planner has changed.
 */
import { exp, log as ln } from '../../maths/elementary.js';
import { Document, type YAMLMap, isSeq, parseDocument } from 'yaml';
import { jobErrorFrom } from '../../text/fault.js';
import type { EvidenceLog, LoggedRun } from './evidence.js';
import {
  type AxisLoads,
  type LoadTally,
  LOADS,
  forceOfBin,
  loadsOf,
  tallyPeakN,
} from './load-history.js';
import {
  type ValueOf,
  choice,
  group,
  length,
  list,
  name,
  need,
  quantity,
  ratio,
} from '../../text/field.js';
import { faultLog, readFields } from '../../text/fields.js';
import { HEARD_CUT } from './heard-fields.js';
import { flow, readWritten, yamlText } from '../../text/yaml-text.js';
import type { LimitPrior } from './posterior.js';

const LIMITS = { maxBytes: 8 * 1024 * 1024, maxKeys: 50_000, maxDepth: 8, lists: true } as const;

const LIMIT = need(
  group('limit', {
    thrust: need(quantity('force', 'thrust', '1 N', '50 kN')),
    factor: need(ratio('factor', 1.01, 5)),
  }),
);
const RUN = group('run', {
  date: need(name('date', '2026-05-03')),
  outcome: need(choice('known outcome', ['finished', 'quiet', 'chatter', 'lost'])),
  program: need(name('program', 'barrow.yaml 6ffec3e9')),
  material: need(name('material', '42CrMo4-annealed')),
  seen: name('place', 'lines 15200 to 15900'),
  axis: choice('name of an axis', ['x', 'y', 'z', 'unknown']),
  direction: choice('direction', ['+', '-']),
  amount: length('amount', '0.001 mm', '1 m'),
  note: name('note', 'at the third gap'),
  held: need(LOADS),
  suspect: LOADS,
  heard: HEARD_CUT,
});
const FIELDS = {
  machine: need(name('machine', 'screw-gantry-light')),
  prior: need(group('prior', { from: name('source', 'this log'), x: LIMIT, y: LIMIT })),
  runs: list('runs', RUN, { max: LIMITS.maxKeys }),
};

/**
 * Reads a log.
 * @throws JobError with every fault found and its line
 */
export function readEvidenceLog(text: string, file: string): EvidenceLog {
  const { input, places, faults } = readWritten(text, file, LIMITS);
  if (faults.length > 0) throw jobErrorFrom(faults);
  const log = faultLog(file, places, 'an evidence log', { blanks: true });
  const values = readFields(input, FIELDS, log);
  values?.runs?.forEach(({ date, outcome, suspect }, i) => {
    if (/^[\d-]+$/.test(date) && !isDate(date)) {
      log.add(`runs.${i + 1}.date`, date, 'is no date', 'write the day as 2026-05-03');
    }
    const key = `runs.${i + 1}.suspect`;
    if (outcome === 'lost' && suspect === undefined) {
      log.add(key, null, 'is missing', 'give seconds at each load, for x and y');
    } else if (outcome !== 'lost' && suspect !== undefined) {
      log.add(key, null, 'is given for a run that finished', 'take it out');
    }
  });
  if (values === null || log.faults.length > 0) throw jobErrorFrom(log.faults);
  const { machine, prior, runs = [] } = values;
  const limit = ({ thrust, factor }: ValueOf<typeof LIMIT>): LimitPrior => {
    return { thrustN: thrust, sigma: ln(factor) };
  };
  const limits = { x: limit(prior.x), y: limit(prior.y) };
  const priorFrom = prior.from ?? 'this log';
  return { machine, priorFrom, prior: limits, runs: runs.map(runOf) };
}

/** Whether a day of the calendar is written as 2026-05-03. */
function isDate(text: string): boolean {
  const [, year, month, day] = /^(\d{4})-(\d\d)-(\d\d)$/.exec(text) ?? [];
  if (year === undefined) return false;
  const [y, m, d] = [Number(year), Number(month), Number(day)];
  const leap = (y % 4 === 0 && y % 100 !== 0) || y % 400 === 0;
  const days = [31, leap ? 29 : 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31][m - 1];
  return days !== undefined && d >= 1 && d <= days;
}

function runOf(run: ValueOf<typeof RUN>): LoggedRun {
  const { date, program, material, note = null, seen = null, direction = null } = run;
  const { heard } = run;
  const head = { date, program, material, note, held: loadsOf(run.held), heard };
  if (run.suspect === undefined) {
    return { outcome: 'finished', ...head, ...(seen !== null && { seen }) };
  }
  const axis = run.axis === 'unknown' ? null : (run.axis ?? null);
  const suspect = loadsOf(run.suspect);
  return {
    outcome: 'lost',
    ...head,
    ...{ seen, axis, direction, amountMm: run.amount ?? null, suspect },
  };
}

const HEADING = ` What runs have shown of this machine: that they finished, or lost steps, and what was heard.
 Loads are thrust asked of an axis at standstill, [newtons, seconds]. Lines may be corrected or
 taken out; "gullet retune" adds to the end and works everything out again from the start.`;

/** Text of a whole log. */
export function evidenceLogText({ machine, prior, priorFrom, runs }: EvidenceLog): string {
  const limits = { x: limitPlain(prior.x), y: limitPlain(prior.y) };
  const doc = new Document({ machine, prior: { from: priorFrom, ...limits }, runs: [] });
  doc.commentBefore = HEADING;
  for (const axis of ['x', 'y']) flow(doc.getIn(['prior', axis], true));
  for (const run of runs) addRun(doc, run);
  return yamlText(doc);
}

/** The text of a log with one more run at its end; comments and order are kept. */
export function withRun(text: string, run: LoggedRun): string {
  const doc = parseDocument(text, { version: '1.2', schema: 'core' });
  addRun(doc, run);
  return yamlText(doc);
}

function addRun(doc: Document.Parsed | Document, run: LoggedRun): void {
  const node = doc.createNode(runPlain(run)) as YAMLMap;
  for (const part of ['held', 'suspect']) {
    for (const axis of ['x', 'y']) flow(node.getIn([part, axis], true));
  }
  if (run.heard) flow(node.getIn(['heard', 'cutter'], true));
  const runs = doc.get('runs', true);
  if (isSeq(runs)) {
    runs.flow = false;
    runs.add(node);
  } else doc.set('runs', doc.createNode([node]));
}

function limitPlain({ thrustN, sigma }: LimitPrior) {
  return { thrust: `${round(thrustN, 1)} N`, factor: round(exp(sigma), 3) };
}

/** Entries in the order they are written; what is undefined is not. */
function runPlain(run: LoggedRun) {
  const { date, outcome, program, material, note, held } = run;
  const lost = run.outcome === 'lost' ? run : null;
  return {
    ...{ date, outcome: lost ? outcome : (run.heard?.sound ?? outcome), program, material },
    seen: run.seen ?? undefined,
    axis: lost ? (lost.axis ?? 'unknown') : undefined,
    direction: lost?.direction ?? undefined,
    amount: lost && lost.amountMm !== null ? `${round(lost.amountMm, 3)} mm` : undefined,
    note: note ?? undefined,
    held: loadsPlain(held),
    suspect: lost ? loadsPlain(lost.suspect) : undefined,
    heard: run.heard,
  };
}

function loadsPlain({ x, y }: AxisLoads) {
  return { x: tallyPlain(x), y: tallyPlain(y) };
}

/** Loads below this share of the peak say nothing beside it and are written as one. */
const LOW_SHARE = 0.5;

/** Pairs to a tenth of a newton or finer: a bin is 2 % wide. */
function tallyPlain(tally: LoadTally): [number, number][] {
  const low = LOW_SHARE * tallyPeakN(tally);
  const pairs: [number, number][] = [];
  let [seconds, sum] = [0, 0];
  for (const [bin, s] of tally) {
    if (forceOfBin(bin) >= low) pairs.push([forceOfBin(bin), s]);
    else [seconds, sum] = [seconds + s, sum + s * bin];
  }
  if (seconds > 0) pairs.unshift([forceOfBin(sum / seconds), seconds]);
  return pairs
    .map(([force, s]): [number, number] => [round(force, force < 100 ? 2 : 1), round(s, 3)])
    .filter(([, s]) => s > 0);
}

function round(value: number, digits: number): number {
  return Number(value.toFixed(digits));
}
