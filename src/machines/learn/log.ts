/**
 * The evidence log as text: YAML that people can read, correct and keep under version control.
 * Loads are written as [newtons, seconds], so that a run counts the same after the job, the machine
 * file or the planner has changed.
 */
import { Document, isSeq, parseDocument } from 'yaml';
import type { JobFault } from '../../text/fault.js';
import { type LoadTally, forceOfBin, tallyPeakN } from './load-history.js';
import { LOADS, loadsOf } from './loads-field.js';
import { type EvidenceLog, type LoggedRun, entriesOf } from './evidence.js';
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
  outcome: need(choice('known outcome', ['finished', 'lost'])),
  program: need(name('program', 'barrow.yaml 6ffec3e9')),
  material: need(name('material', '42CrMo4-annealed')),
  seen: name('place', 'lines 15200 to 15900'),
  axis: choice('name of an axis', ['x', 'y', 'z', 'unknown']),
  direction: choice('direction', ['+', '-']),
  amount: length('amount', '0.001 mm', '1 m'),
  note: name('note', 'at the third gap'),
  held: need(LOADS),
  suspect: LOADS,
});
const FIELDS = {
  machine: need(name('machine', 'screw-gantry-light')),
  prior: need(group('prior', { from: name('source', 'this log'), x: LIMIT, y: LIMIT })),
  runs: list('runs', RUN, { max: LIMITS.maxKeys }),
};

/**
 * Reads a log.
 * @returns the log, or every fault found with its line: never both
 */
export function readEvidenceLog(
  text: string,
  file: string,
): { readonly log: EvidenceLog | null; readonly faults: readonly JobFault[] } {
  const { input, places, faults } = readWritten(text, file, LIMITS);
  if (faults.length > 0) return { log: null, faults };
  const log = faultLog(file, places, 'an evidence log', { blanks: true });
  const values = readFields(input, FIELDS, log);
  values?.runs?.forEach(({ outcome, suspect }, i) => {
    const key = `runs.${i + 1}.suspect`;
    if (outcome === 'lost' && suspect === undefined) {
      log.add(key, null, 'is missing', 'give seconds at each load, for x and y');
    } else if (outcome === 'finished' && suspect !== undefined) {
      log.add(key, null, 'is given for a run that finished', 'take it out');
    }
  });
  if (values === null || log.faults.length > 0) return { log: null, faults: log.faults };
  const { machine, prior, runs = [] } = values;
  const limit = (axis: 'x' | 'y'): LimitPrior => ({
    thrustN: prior[axis].thrust,
    sigma: Math.log(prior[axis].factor),
  });
  return {
    log: {
      machine,
      priorFrom: prior.from ?? 'this log',
      prior: { x: limit('x'), y: limit('y') },
      runs: runs.map(runOf),
    },
    faults: [],
  };
}

function runOf(run: ValueOf<typeof RUN>): LoggedRun {
  const head = {
    date: run.date,
    program: run.program,
    material: run.material,
    note: run.note ?? null,
    held: loadsOf(run.held),
  };
  if (run.suspect === undefined) return { outcome: 'finished', ...head };
  return {
    outcome: 'lost',
    ...head,
    seen: run.seen ?? null,
    axis: run.axis === 'unknown' ? null : (run.axis ?? null),
    direction: run.direction ?? null,
    amountMm: run.amount ?? null,
    suspect: loadsOf(run.suspect),
  };
}

const HEADING = ` What runs have shown of this machine's thrust: runs that finished, and runs that lost steps.
 Loads are thrust asked of an axis at standstill, [newtons, seconds]. Lines may be corrected or
 taken out; "gullet retune" adds to the end and works everything out again from the start.`;

/** Text of a whole log. */
export function evidenceLogText(log: EvidenceLog): string {
  const doc = new Document({
    machine: log.machine,
    prior: {
      from: log.priorFrom,
      x: limitPlain(log.prior.x),
      y: limitPlain(log.prior.y),
    },
  });
  doc.commentBefore = HEADING;
  for (const axis of ['x', 'y']) flow(doc.getIn(['prior', axis], true));
  const runs = doc.createNode(log.runs.map(runPlain));
  for (const run of isSeq(runs) ? runs.items : []) flowLoads(run);
  doc.set('runs', runs);
  return yamlText(doc);
}

/** The text of a log with one more run at its end; comments and order are kept. */
export function withRun(text: string, run: LoggedRun): string {
  const doc = parseDocument(text, { version: '1.2', schema: 'core' });
  const node = doc.createNode(runPlain(run));
  flowLoads(node);
  const runs = doc.get('runs', true);
  if (isSeq(runs)) {
    runs.flow = false;
    runs.add(node);
  } else doc.set('runs', doc.createNode([node]));
  return yamlText(doc);
}

function flowLoads(run: unknown): void {
  const get = (key: string): unknown =>
    typeof run === 'object' && run !== null && 'get' in run
      ? (run.get as (key: string, keep: boolean) => unknown)(key, true)
      : undefined;
  for (const key of ['held', 'suspect']) {
    const loads = get(key);
    if (typeof loads !== 'object' || loads === null || !('items' in loads)) continue;
    for (const pair of loads.items as { value: unknown }[]) flow(pair.value);
  }
}

function limitPlain({ thrustN, sigma }: LimitPrior) {
  return { thrust: `${round(thrustN, 1)} N`, factor: round(Math.exp(sigma), 3) };
}

function runPlain(run: LoggedRun): Record<string, unknown> {
  const { date, outcome, program, material, note } = run;
  const { words, loads } = entriesOf(run);
  const plain = Object.entries(loads).map(([name, { x, y }]) => {
    return [name, { x: tallyPlain(x), y: tallyPlain(y) }] as const;
  });
  return {
    ...{ date, outcome, program, material, ...words },
    ...(note !== null && { note }),
    ...Object.fromEntries(plain),
  };
}

/** Loads below this share of the peak say nothing beside it and are written as one. */
const LOW_SHARE = 0.5;

/** Pairs to a tenth of a newton or finer: a bin is 2 % wide. */
function tallyPlain(tally: LoadTally): [number, number][] {
  const low = LOW_SHARE * tallyPeakN(tally);
  const pairs: [number, number][] = [];
  let [seconds, sum] = [0, 0];
  for (const [bin, s] of tally) {
    const force = forceOfBin(bin);
    if (force < low) {
      seconds += s;
      sum += s * bin;
    } else pairs.push([force, s]);
  }
  if (seconds > 0) pairs.unshift([forceOfBin(sum / seconds), seconds]);
  return pairs
    .map(([force, s]): [number, number] => [round(force, force < 100 ? 2 : 1), round(s, 3)])
    .filter(([, s]) => s > 0);
}

function round(value: number, digits: number): number {
  return Number(value.toFixed(digits));
}
