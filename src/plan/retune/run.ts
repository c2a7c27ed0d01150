/** A run of a program, laid open for finding out what it says about the machine. */
import { hypot } from '../../maths/elementary.js';
import { Refusal } from '../../model/refusal.js';
import { type OpDemands, demandLoads, opDemands } from '../../cam/demand.js';
import { type OpLoads, replaySteps } from '../../cam/stock/replay.js';
import { toEnd } from '../../cam/stock/replay/budget.js';
import type { LoggedRun, Seen } from '../../machines/learn/evidence.js';
import type { SuspectMoves } from '../../machines/learn/causes.js';
import { verifyEnvelope } from '../../post/rs274/envelope.js';
import { readProgram } from '../../post/rs274/reader.js';
import type { CanonicalOp } from '../../model/op.js';
import { type Section, headingOf, sectionsOf } from '../../model/section.js';
import { type Stock, stockLines, stockOf } from '../../model/stock.js';
import { digestOf } from '../plan.js';
import type { Plan } from '../../post/plan.js';
import { heardCut } from './heard.js';
import { edgeUse, livesPerMin } from '../odds.js';
import { replayWithin } from '../prove.js';
import { blankStart, declaredStart } from '../start.js';

/** One program with its loads and times. */
export interface ProgramRun {
  readonly planned: Plan;
  readonly digest: string;
  readonly ops: readonly CanonicalOp[];
  readonly loads: OpLoads;
  readonly demands: OpDemands;
  /** Time at the end of each operation, from the start of the program. min */
  readonly endMin: Float64Array;
  readonly sections: readonly Section[];
  /** What is not certain about the program being the one that ran; null: nothing. */
  readonly doubt: string | null;
}

/**
 * The run of a plan's own program, or of another text that was run in its place.
 * @param text  null: the program as it is planned now
 * @throws Refusal for a text that is no sound program, and 'stock-unknown' for one whose loads
 *   cannot be known because it is not known what it started from
 */
export function programRun(planned: Plan, text: string | null): ProgramRun {
  const { job, program } = planned;
  const own = text === null || text === program.text;
  const { ops, sections, loads, doubt } = own
    ? { ...program, ...planned.replay, doubt: null }
    : foreignRun(planned, text);
  const demands = opDemands(ops, loads, job.machine);
  let at = 0;
  const endMin = demands.seconds.map((s) => (at += s) / 60);
  return { planned, digest: digestOf(job), ops, loads, demands, endMin, sections, doubt };
}

/** A text that is not the plan's program: replayed on the stock that it says it starts from. */
function foreignRun(planned: Plan, text: string) {
  const { job, profile, cam, program } = planned;
  const envelope = verifyEnvelope(text, digestOf(job));
  let doubt: string | null = null;
  if (envelope.status === 'other-job' || envelope.status === 'absent') {
    doubt = `the program is not marked as one of this job as it is now (${envelope.message}); its loads are those of the program given`;
  } else if (envelope.status !== 'ok') {
    throw new Refusal(`program-${envelope.status}`, `the program: ${envelope.message}`);
  }
  const { ops, errors } = readProgram(text, { controller: job.controller });
  const [fault] = errors;
  if (fault) throw new Refusal('program-unreadable', `line ${fault.line}: ${fault.message}`);
  const blank = blankStart(job, profile, cam.blank, cam.field);
  const start = declaredStart(blank, program, declaredStock(text, blank.stock));
  const { loads } = toEnd(replayWithin(replaySteps(ops, start.setup)));
  return { ops, loads, sections: sectionsOf(text), doubt };
}

/** @throws Refusal 'stock-unknown' for a text that names none, or another than the job's */
function declaredStock(text: string, own: Stock): Stock {
  const stock = stockOf(text);
  const teaches = 'so its loads are not known and it teaches nothing';
  const refuse = (rule: string): never => {
    throw new Refusal('stock-unknown', `the program ${rule}, ${teaches}`);
  };
  if (stock === null) return refuse('does not say what stock it started from');
  const [[said], [wanted]] = [stockLines(stock), stockLines(own)];
  if (stock.kind !== 'left' && stockLines(stock).join() !== stockLines(own).join()) {
    refuse(`starts from "${said}", the job as it is now from "${wanted}"`);
  }
  return stock;
}

/** Part of a program that a person points at. */
export type Stretch =
  | { readonly kind: 'whole' }
  | { readonly kind: 'lines'; readonly from: number; readonly to: number }
  | { readonly kind: 'minutes'; readonly from: number; readonly to: number }
  | { readonly kind: 'section'; readonly name: string }
  /** Found at a datum check: what lies between the one before it and it. */
  | { readonly kind: 'check'; readonly number: number }
  /** A step in the finished wall: right above this depth, wrong below it. */
  | { readonly kind: 'depth'; readonly depthMm: number };

/** Operations of a stretch, both included, and how it is called. */
export interface OpRange {
  readonly first: number;
  readonly last: number;
  readonly text: string;
}

/** @throws Refusal where the program has no such place */
export function findStretch(run: ProgramRun, stretch: Stretch): OpRange {
  const { ops, endMin, sections } = run;
  const end = ops.length - 1;
  const lastLine = ops[end]?.line ?? 0;
  const range = (keep: (i: number) => boolean, text: string): OpRange => {
    const first = ops.findIndex((_, i) => keep(i));
    if (first >= 0) return { first, last: ops.findLastIndex((_, i) => keep(i)), text };
    throw new Refusal(
      'no-such-place',
      `the program has no ${text}: it runs over lines 1 to ${lastLine} and ${(endMin[end] ?? 0).toFixed(1)} min, ${placesOf(sections)}`,
    );
  };
  const within = ([after, before]: Lines, text: string): OpRange =>
    range((i) => ops[i]!.line > after && ops[i]!.line < before, text);
  switch (stretch.kind) {
    case 'whole':
      return { first: 0, last: end, text: 'somewhere in the program' };
    case 'lines': {
      const { from, to } = stretch;
      const text = from === to ? `line ${from}` : `lines ${from} to ${to}`;
      // A line that has no operation of its own stands for the one before it.
      const at = from > lastLine ? -1 : ops.findLastIndex((op) => op.line <= from);
      return range((i) => i === at || (ops[i]!.line > from && ops[i]!.line <= to), text);
    }
    case 'minutes': {
      const { from, to } = stretch;
      const begin = (i: number): number => (i > 0 ? endMin[i - 1]! : 0);
      return range((i) => endMin[i]! > from && begin(i) < to, `${from} to ${to} min`);
    }
    case 'check':
      return within(checkLines(sections, stretch.number), `datum check ${stretch.number}`);
    case 'depth': {
      const { depthMm } = stretch;
      return within(depthLines(sections, depthMm), `finishing at a depth of ${depthMm} mm`);
    }
    case 'section':
      return within(namedLines(sections, stretch.name), `section "${stretch.name}"`);
  }
}

type Lines = readonly [after: number, before: number];
const NOWHERE: Lines = [Infinity, Infinity];

/** From the check before, or the setting, to a check. */
function checkLines(sections: readonly Section[], number: number): Lines {
  const lineOf = (wanted: number): number | undefined =>
    sections.find(({ head }) =>
      wanted === 0
        ? head.kind === 'datum-setting'
        : head.kind === 'datum-check' && head.level === wanted,
    )?.fromLine;
  const to = lineOf(number);
  return to === undefined ? NOWHERE : [lineOf(number - 1) ?? (number > 1 ? Infinity : 0), to];
}

/** The finishing level that cuts a depth. */
function depthLines(sections: readonly Section[], depthMm: number): Lines {
  const zOf = ({ head }: Section): number => (head.kind === 'finish' ? head.zMm : NaN);
  const at = sections.find((section) => zOf(section) <= -depthMm + 1e-9);
  if (!at) return NOWHERE;
  const next = sections.find((s) => s.fromLine > at.fromLine && zOf(s) < zOf(at));
  return [at.fromLine, next?.fromLine ?? Infinity];
}

/** A level may have several passes, each with a heading: up to the first heading that differs. */
function namedLines(sections: readonly Section[], name: string): Lines {
  const wanted = plainWords(name);
  const fits = ({ head }: Section): boolean => {
    const words = plainWords(headingOf(head));
    return wanted.length > 0 && wanted.every((word, i) => words[i] === word);
  };
  const found = sections.findIndex(fits);
  if (found < 0) return NOWHERE;
  const next = sections.findIndex((section, i) => i > found && !fits(section));
  return [sections[found]!.fromLine, sections[next]?.fromLine ?? Infinity];
}

/** What a program is made of, in the words that name its places. */
function placesOf(sections: readonly Section[]): string {
  const there = (['rough', 'finish', 'datum-check'] as const).flatMap((kind) => {
    const levels = sections.flatMap(({ head }) => (head.kind === kind ? [head.level] : []));
    if (levels.length === 0) return [];
    const name = kind === 'datum-check' ? 'check' : kind;
    return [`"${name} ${Math.min(...levels)}" to "${name} ${Math.max(...levels)}"`];
  });
  return there.length > 0 ? `with ${there.join(', ')}` : 'without named sections';
}

/** "ROUGH LEVEL 3 OF 14: Z -1.298" and "rough 3" alike: rough, 3. */
function plainWords(text: string): string[] {
  return text
    .toLowerCase()
    .split(/[^a-z0-9.-]+/)
    .filter((word) => word !== '' && word !== 'level');
}

/** Heading of the section that a line is in; empty before the first. */
export function sectionOf(run: ProgramRun, line: number): string {
  const section = run.sections.findLast(({ fromLine }) => fromLine <= line);
  return section ? headingOf(section.head) : '';
}

/** A run as the log keeps it, and its stretch of the program. */
export interface Entry {
  readonly logged: LoggedRun;
  readonly range: OpRange;
}

/** What a person says of the edge and the blank of a run. */
export interface RunOn {
  /** Minutes that the edge had cut before, 0 for a new one; null: as planned. */
  readonly edgeMin: number | null;
  /** Edges that were used, one after the other; null: as planned. */
  readonly edges: number | null;
  readonly bar: string | null;
}

/**
 * What a person saw of a run of the program, as an entry of the log.
 * @param at       where a loss was seen, or how far a run got that held
 * @param program  what the log calls it
 * @throws Refusal where the program has no such place
 */
export function runEntry(
  run: ProgramRun,
  seen: Seen,
  at: Stretch,
  program: string,
  on: RunOn = { edgeMin: null, edges: null, bar: null },
): Entry {
  const range = findStretch(run, at);
  const suspect = demandLoads(run.demands, range.first, range.last);
  const before = demandLoads(run.demands, 0, range.first - 1);
  const { job } = run.planned;
  const sound = seen.outcome === 'finished' ? seen.sound : undefined;
  const chatter = sound?.sound === 'chatter';
  const said = range.text.replaceAll('"', '');
  const head = {
    ...{ date: seen.date, note: seen.note, program, material: job.material.id, bar: on.bar },
    edge: edgeOf(run, range, on),
    heard: sound && heardCut(job, { ops: run.ops, ...run.loads }, range, sound),
  };
  // Of a run with chatter nobody has said how it ended: what came before held.
  const held = chatter ? before : suspect;
  const logged: LoggedRun =
    seen.outcome === 'lost'
      ? { ...head, ...seen, seen: said, held: before, suspect }
      : { ...head, outcome: 'finished', ...(chatter && { seen: said }), held };
  return { logged, range };
}

/** Lives that the edge took, and had before. */
function edgeOf({ planned, ops, loads }: ProgramRun, { last }: OpRange, on: RunOn) {
  const { job, summary } = planned;
  const used = edgeUse(job, { loads }, ops.slice(0, last + 1));
  const { edges, edgeServedLives } = summary.predicted;
  const served = on.edgeMin === null ? edgeServedLives : on.edgeMin * livesPerMin(planned);
  return {
    beforeLives: served,
    tookLives: used.lives / (on.edges ?? edges),
    wearFactor: job.limits.wearFactor,
  };
}

/** The moves of a stretch, for asking which of them lost the steps. */
export function suspectMoves(run: ProgramRun, range: OpRange): SuspectMoves {
  const { demands, ops } = run;
  const cut = <T extends { slice(from: number, end: number): T }>(values: T): T =>
    values.slice(range.first, range.last + 1);
  const travel = (axis: 0 | 1) =>
    Float64Array.from(cut(ops as CanonicalOp[]), (op) => {
      if (!('from' in op)) return 0;
      const d = op.to.map((to, k) => to - op.from[k]!);
      const length = hypot(...d);
      return length < 1e-9 ? 0 : d[axis]! / length;
    });
  return {
    demandN: { x: cut(demands.xN), y: cut(demands.yN) },
    seconds: cut(demands.seconds),
    travel: { x: travel(0), y: travel(1) },
  };
}
