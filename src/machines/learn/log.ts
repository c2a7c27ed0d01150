/**
 * The evidence log as text: YAML that people can read, correct and keep under version control.
 * Loads are written as newtons and seconds, so that a run counts the same after the job, the machine
 * file or the planner has changed.
 */
import { exp, log as ln, rounded } from '../../maths/elementary.js';
import { Document, type YAMLMap, isSeq, parseDocument } from 'yaml';
import { jobErrorFrom } from '../../text/fault.js';
import type { EvidenceLog, LoggedPull, LoggedRun } from './evidence.js';
import { type LoadTally, LOADS, loadsOf, loadsText } from './load-history.js';
import {
  type ValueOf,
  choice,
  figure,
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
import { type AxisName, LOADED_AXES, type LoadedAxis } from '../../model/machine.js';
import type { LimitPrior } from './belief.js';
import type { EdgeUse } from './survival.js';

const LIMITS = { maxBytes: 16 * 1024 * 1024, maxKeys: 200_000, maxDepth: 8, lists: true } as const;

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
  bar: name('bar or batch', 'B2'),
  'edge-before': quantity('share', 'life used of the edge before', '0 %', '1000 %'),
  'edge-took': quantity('share', 'life that the run took', '0 %', '1000 %'),
  'wear-factor': ratio('factor', 1, 3),
  seen: name('place', 'lines 15200 to 15900'),
  axis: choice('name of an axis', ['x', 'y', 'z', 'both', 'unknown']),
  'other-axis': choice('known state', ['held']),
  direction: choice('direction', ['+', '-']),
  amount: length('amount', '0.001 mm', '1 m'),
  note: name('note', 'at the third gap'),
  held: need(LOADS),
  suspect: LOADS,
  heard: HEARD_CUT,
});
const STIFFNESS = figure('stiffness', 0.1, 1e6, 'N/mm');
const READ = group('reading', {
  thrust: quantity('force', 'thrust', '1 N', '50 kN'),
  factor: ratio('factor', 1.001, 5),
  stiffnessNPerMm: STIFFNESS,
});
const PULL = group('pull test', {
  date: need(name('date', '2026-05-03')),
  ...{ x: READ, y: READ, z: group('reading', { stiffnessNPerMm: STIFFNESS }) },
});
const FIELDS = {
  machine: need(name('machine', 'screw-gantry-light')),
  prior: need(group('prior', { from: name('source', 'this log'), x: LIMIT, y: LIMIT })),
  pulls: list('pull tests', PULL, { max: 200 }),
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
  for (const part of ['pulls', 'runs'] as const) {
    values?.[part]?.forEach(({ date }, i) => {
      if (!/^[\d-]+$/.test(date) || isDate(date)) return;
      log.add(`${part}.${i + 1}.date`, date, 'is no date', 'write the day as 2026-05-03');
    });
  }
  values?.runs?.forEach(({ outcome, suspect, 'wear-factor': wearFactor, ...run }, i) => {
    const edged = run['edge-before'] !== undefined || run['edge-took'] !== undefined;
    const key = `runs.${i + 1}.suspect`;
    if (edged && wearFactor === undefined) {
      const fix = 'give the factor on the force of a sharp edge that the loads have';
      log.add(`runs.${i + 1}.wear-factor`, null, 'is missing', fix);
    }
    if (outcome === 'lost' && suspect === undefined) {
      log.add(key, null, 'is missing', 'give seconds at each load, for x and y');
    } else if (outcome !== 'lost' && suspect !== undefined) {
      log.add(key, null, 'is given for a run that finished', 'take it out');
    }
  });
  if (values === null || log.faults.length > 0) throw jobErrorFrom(log.faults);
  const { machine, prior, pulls = [], runs = [] } = values;
  const limits = { x: limitOf(prior.x), y: limitOf(prior.y) };
  const priorFrom = prior.from ?? 'this log';
  const known = new Map<string, LoadTally>();
  return {
    machine,
    priorFrom,
    prior: limits,
    pulls: pulls.map(pullOf),
    runs: runs.map((run) => runOf(run, known)),
  };
}

function pullOf({ date, ...axes }: ValueOf<typeof PULL>): LoggedPull {
  const limits: Partial<Record<LoadedAxis, LimitPrior>> = {};
  const stiffnessNPerMm: Partial<Record<AxisName, number>> = {};
  for (const axis of LOADED_AXES) {
    const { thrust, factor = 1 + 1e-3 } = axes[axis] ?? {};
    if (thrust !== undefined) limits[axis] = limitOf({ thrust, factor });
  }
  for (const axis of ['x', 'y', 'z'] as const) {
    const stiffness = axes[axis]?.stiffnessNPerMm;
    if (stiffness !== undefined) stiffnessNPerMm[axis] = stiffness;
  }
  return { date, limits, stiffnessNPerMm };
}

function limitOf({ thrust, factor }: ValueOf<typeof LIMIT>): LimitPrior {
  return { thrustN: thrust, sigma: ln(factor) };
}

/** Whether a day of the calendar is written as 2026-05-03. */
export function isDate(text: string): boolean {
  const [, year, month, day] = /^(\d{4})-(\d\d)-(\d\d)$/.exec(text) ?? [];
  if (year === undefined) return false;
  const [y, m, d] = [Number(year), Number(month), Number(day)];
  const leap = (y % 4 === 0 && y % 100 !== 0) || y % 400 === 0;
  const days = [31, leap ? 29 : 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31][m - 1];
  return days !== undefined && d >= 1 && d <= days;
}

function runOf(run: ValueOf<typeof RUN>, known: Map<string, LoadTally>): LoggedRun {
  const { date, program, material, note = null, seen = null, direction = null } = run;
  const { heard } = run;
  const head = { date, program, material, bar: run.bar ?? null, edge: edgeOf(run), note, heard };
  const held = loadsOf(run.held, known);
  if (run.suspect === undefined) {
    return { outcome: 'finished', ...head, held, ...(seen !== null && { seen }) };
  }
  const axis = run.axis === 'unknown' ? null : (run.axis ?? null);
  const suspect = loadsOf(run.suspect, known);
  return {
    outcome: 'lost',
    ...head,
    ...{ seen, axis, otherHeld: run['other-axis'] === 'held' },
    ...{ direction, amountMm: run.amount ?? null, held, suspect },
  };
}

/** null where a run tells nothing of its edge. */
function edgeOf(run: ValueOf<typeof RUN>): EdgeUse | null {
  const [before, took] = [run['edge-before'], run['edge-took']];
  if (before === undefined && took === undefined) return null;
  return { beforeLives: before ?? 0, tookLives: took ?? 0, wearFactor: run['wear-factor']! };
}

const HEADING = ` What runs have shown of this machine: that they finished, or lost steps, and what was heard.
 Loads are thrust asked of an axis at standstill: newtons and seconds, pair by pair. Lines may be
 corrected or taken out; "gullet retune" adds to the end and works all out again from the start.`;

/** Text of a whole log. */
export function evidenceLogText({ machine, prior, priorFrom, pulls, runs }: EvidenceLog): string {
  const limits = { x: limitPlain(prior.x), y: limitPlain(prior.y) };
  const doc = new Document({ machine, prior: { from: priorFrom, ...limits }, runs: [] });
  doc.commentBefore = HEADING;
  for (const axis of ['x', 'y']) flow(doc.getIn(['prior', axis], true));
  for (const pull of pulls) addPull(doc, pull);
  for (const run of runs) addRun(doc, run);
  return yamlText(doc);
}

/** The text of a log with one more run at its end; comments and order are kept. */
export function withRun(text: string, run: LoggedRun): string {
  return appended(text, run) ?? changed(text, (doc) => addRun(doc, run));
}

/** Text with an entry under the runs that there are, where those end it; null where they do not. */
function appended(text: string, run: LoggedRun): string | null {
  const keys = [...text.matchAll(/^[^\s#-].*$/gm)];
  const runs = keys.at(-1);
  if (!runs || !/^runs: *$/.test(runs[0]) || !text.endsWith('\n')) return null;
  const indent = /^( *)- /m.exec(text.slice(runs.index))?.[1];
  if (indent === undefined) return null;
  const doc = new Document({ runs: [] });
  addRun(doc, run);
  const [, ...lines] = yamlText(doc).split('\n');
  return text + lines.map((line) => line && indent + line.replace(/^ {2}/, '')).join('\n');
}

/** The same with one more pull test. */
export function withPull(text: string, pull: LoggedPull): string {
  return changed(text, (doc) => addPull(doc, pull));
}

function changed(text: string, change: (doc: Document.Parsed) => void): string {
  const doc = parseDocument(text, { version: '1.2', schema: 'core' });
  change(doc);
  return yamlText(doc);
}

function addPull(doc: Document.Parsed | Document, pull: LoggedPull): void {
  const plain: Record<string, unknown> = { date: pull.date };
  for (const axis of ['x', 'y', 'z'] as const) {
    const limit = axis === 'z' ? undefined : pull.limits[axis];
    const stiffnessNPerMm = pull.stiffnessNPerMm[axis];
    const said = {
      ...(limit && limitPlain(limit)),
      ...(stiffnessNPerMm !== undefined && { stiffnessNPerMm: rounded(stiffnessNPerMm, 1) }),
    };
    if (Object.keys(said).length > 0) plain[axis] = said;
  }
  const node = doc.createNode(plain) as YAMLMap;
  for (const axis of ['x', 'y', 'z']) flow(node.get(axis, true));
  append(doc, 'pulls', node);
}

function addRun(doc: Document.Parsed | Document, run: LoggedRun): void {
  const node = doc.createNode(runPlain(run)) as YAMLMap;
  if (run.heard) flow(node.getIn(['heard', 'cutter'], true));
  append(doc, 'runs', node);
}

function append(doc: Document.Parsed | Document, key: string, node: YAMLMap): void {
  const list = doc.get(key, true);
  if (isSeq(list)) {
    list.flow = false;
    list.add(node);
  } else doc.set(key, doc.createNode([node]));
}

function limitPlain({ thrustN, sigma }: LimitPrior) {
  return { thrust: `${rounded(thrustN, 1)} N`, factor: rounded(exp(sigma), 3) };
}

/** Entries in the order they are written; what is undefined is not. */
function runPlain(run: LoggedRun) {
  const { date, outcome, program, material, bar, edge, note, held } = run;
  const lost = run.outcome === 'lost' ? run : null;
  return {
    ...{ date, outcome: lost ? outcome : (run.heard?.sound ?? outcome), program, material },
    bar: bar ?? undefined,
    'edge-before': edge ? sharePlain(edge.beforeLives) : undefined,
    'edge-took': edge ? sharePlain(edge.tookLives) : undefined,
    'wear-factor': edge?.wearFactor,
    seen: run.seen ?? undefined,
    axis: lost ? (lost.axis ?? 'unknown') : undefined,
    'other-axis': lost?.otherHeld ? 'held' : undefined,
    direction: lost?.direction ?? undefined,
    amount: lost && lost.amountMm !== null ? `${rounded(lost.amountMm, 3)} mm` : undefined,
    note: note ?? undefined,
    held: loadsText(held),
    suspect: lost ? loadsText(lost.suspect) : undefined,
    heard: run.heard,
  };
}

function sharePlain(share: number): string {
  return `${rounded(100 * share, 1)} %`;
}
