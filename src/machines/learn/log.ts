/**
 * The evidence log as text: YAML that people can read, correct and keep under version control.
 * Loads are written as [newtons, seconds], so that a run counts the same after the job, the machine
 * file or the planner has changed.
 */
import { Document, isSeq, parseDocument } from 'yaml';
import type { JobFault } from '../../text/fault.js';
import { type YamlLimits, type YamlNode, readYamlText } from '../../text/yaml-text.js';
import { type AxisLoads, type LoadTally, forceOfBin, tallyOf, tallyPeakN } from './load-history.js';
import { type EvidenceLog, type LoggedRun, entriesOf } from './evidence.js';
import { type MapNode, NodeReader, plainNumber } from '../../text/node-reader.js';
import { flow, yamlText } from './yaml.js';
import type { LimitPrior } from './posterior.js';

const LIMITS: YamlLimits = {
  maxBytes: 8 * 1024 * 1024,
  maxKeys: 50_000,
  maxDepth: 8,
  lists: true,
};
const RUN_KEYS = [
  'date',
  'outcome',
  'program',
  'material',
  'seen',
  'axis',
  'direction',
  'amount',
  'note',
  'held',
  'suspect',
] as const;

/**
 * Reads a log.
 * @returns the log, or every fault found with its line: never both
 */
export function readEvidenceLog(
  text: string,
  file: string,
): { readonly log: EvidenceLog | null; readonly faults: readonly JobFault[] } {
  const { root, faults } = readYamlText(text, file, LIMITS);
  if (root === null) return { log: null, faults };
  const reader = new LogReader(file);
  const log = reader.log(root);
  return reader.faults.length > 0 ? { log: null, faults: reader.faults } : { log, faults: [] };
}

class LogReader extends NodeReader {
  constructor(file: string) {
    super(file, 'an evidence log');
  }

  log(root: YamlNode): EvidenceLog {
    const map = this.map(root, '', ['machine', 'prior', 'runs']);
    const priorNode = this.child(map, 'prior', 'x, y and from');
    const prior = priorNode ? this.map(priorNode, 'prior', ['from', 'x', 'y']) : null;
    const runs = map?.entries.find((e) => e.key === 'runs')?.value;
    const empty = runs?.kind === 'scalar' && runs.text === '';
    if (runs && runs.kind !== 'list' && !empty) {
      this.refuse(runs.place, 'runs', null, 'is not a list of runs', 'begin each with "- date:"');
    }
    return {
      machine: this.text(map, 'machine', 'machine', true) ?? '',
      priorFrom: this.text(prior, 'prior.from', 'from', false) ?? 'this log',
      prior: { x: this.limit(prior, 'x'), y: this.limit(prior, 'y') },
      runs:
        runs?.kind === 'list' ? runs.items.map((item, i) => this.run(item, `runs.${i + 1}`)) : [],
    };
  }

  private limit(prior: MapNode | null, axis: 'x' | 'y'): LimitPrior {
    const key = `prior.${axis}`;
    const node = this.child(prior, axis, 'thrust and factor', key);
    const map = node ? this.map(node, key, ['thrust', 'factor']) : null;
    const thrustN = this.quantity(map, `${key}.thrust`, 'thrust', 'force', 1, 50_000);
    const factor = this.number(map, `${key}.factor`, 'factor', 1.01, 5);
    return { thrustN: thrustN ?? 1, sigma: Math.log(factor ?? Math.E) };
  }

  private run(node: YamlNode, key: string): LoggedRun {
    const map = this.map(node, key, RUN_KEYS);
    const outcome = this.word(map, `${key}.outcome`, 'outcome', ['finished', 'lost'], true);
    const axis = this.word(map, `${key}.axis`, 'axis', ['x', 'y', 'z', 'unknown'], false);
    const direction = this.word(map, `${key}.direction`, 'direction', ['+', '-'], false);
    const held = this.loads(map, `${key}.held`, 'held', true);
    const suspect = this.loads(map, `${key}.suspect`, 'suspect', outcome === 'lost');
    if (outcome === 'finished' && suspect !== null) {
      const rule = 'is given for a run that finished';
      this.refuse(this.placeOf(map, 'suspect'), `${key}.suspect`, null, rule, 'take it out');
    }
    const head = {
      date: this.text(map, `${key}.date`, 'date', true) ?? '',
      program: this.text(map, `${key}.program`, 'program', true) ?? '',
      material: this.text(map, `${key}.material`, 'material', true) ?? '',
      note: this.text(map, `${key}.note`, 'note', false),
      held: held ?? { x: [], y: [] },
    };
    const loss = {
      seen: this.text(map, `${key}.seen`, 'seen', false),
      axis: axis === 'unknown' ? null : axis,
      direction,
      amountMm: this.quantity(map, `${key}.amount`, 'amount', 'length', 0.001, 1000, false),
    };
    return suspect === null
      ? { outcome: 'finished', ...head }
      : { outcome: 'lost', ...head, ...loss, suspect };
  }

  private loads(
    map: MapNode | null,
    key: string,
    name: string,
    required: boolean,
  ): AxisLoads | null {
    const node = map?.entries.find((e) => e.key === name)?.value;
    if (node === undefined) {
      if (required && map) {
        this.refuse(map.place, key, null, 'is missing', 'give seconds at each load, for x and y');
      }
      return null;
    }
    const axes = this.map(node, key, ['x', 'y']);
    return { x: this.tally(axes, `${key}.x`, 'x'), y: this.tally(axes, `${key}.y`, 'y') };
  }

  private tally(map: MapNode | null, key: string, name: string): LoadTally {
    const node = map?.entries.find((e) => e.key === name)?.value;
    const fix = 'write [[newtons, seconds], ...]';
    if (node?.kind !== 'list') {
      if (map) this.refuse(node?.place ?? map.place, key, null, 'is not a list of loads', fix);
      return [];
    }
    const pairs: [number, number][] = [];
    for (const item of node.items) {
      const [force, seconds] =
        item.kind === 'list' && item.items.length === 2
          ? item.items.map((n) => (n.kind === 'scalar' ? plainNumber(n.text) : NaN))
          : [];
      if (!(force! > 0 && force! <= 50_000) || !(seconds! >= 0 && seconds! <= 1e7)) {
        this.refuse(item.place, key, null, 'holds a load that is not [newtons, seconds]', fix);
        return [];
      }
      pairs.push([force!, seconds!]);
    }
    return tallyOf(pairs);
  }
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
