/** A run of a program, laid open for finding out what it says about the machine. */
import { Refusal } from '../../model/refusal.js';
import { type OpDemands, demandLoads, opDemands } from '../../cam/demand.js';
import { replay } from '../../cam/stock/replay.js';
import type { AxisLoads } from '../../machines/learn/load-history.js';
import type { SuspectMoves } from '../../machines/learn/causes.js';
import { verifyEnvelope } from '../../post/rs274/envelope.js';
import { readProgram } from '../../post/rs274/reader.js';
import type { CanonicalOp } from '../../model/op.js';
import { digestOf } from '../plan.js';
import type { PlannedJob } from '../../post/plan.js';
import { replaySetup } from '../replay-setup.js';

/** One program with its loads and times. */
export interface ProgramRun {
  readonly planned: PlannedJob;
  readonly digest: string;
  readonly ops: readonly CanonicalOp[];
  readonly demands: OpDemands;
  /** Time at the end of each operation, from the start of the program. min */
  readonly endMin: Float64Array;
  /** Section of each line that the program names in a comment: [line, heading], lines rising. */
  readonly sections: readonly (readonly [line: number, heading: string])[];
  /** What is not certain about the program being the one that ran; null: nothing. */
  readonly doubt: string | null;
}

/** Comments that head a section of a program. */
const SECTION = /^[(;] ?((?:AIR PASS|ROUGH|FINISH|BORE|RING|DATUM|RUNG)[^)]*)\)?\s*$/;

/**
 * The run of a job's own program, or of another text that was run in its place.
 * @param text  null: the program as it is planned now
 * @throws Refusal for a text that is no sound program of this job
 */
export function programRun(planned: PlannedJob, text: string | null): ProgramRun {
  const own = text === null || text === planned.program.text;
  const body = own ? planned.program.text : text;
  let { ops } = planned;
  let { loads } = planned.replay;
  let doubt: string | null = null;
  if (!own) {
    const envelope = verifyEnvelope(body, digestOf(planned.job));
    if (envelope.status === 'other-job' || envelope.status === 'absent') {
      doubt = `the program is not marked as one of this job as it is now (${envelope.message}); its loads are those of the program given`;
    } else if (envelope.status !== 'ok') {
      throw new Refusal(`program-${envelope.status}`, `the program: ${envelope.message}`);
    }
    const read = readProgram(body, { controller: planned.job.controller });
    const fault = read.errors[0];
    if (fault) {
      throw new Refusal('program-unreadable', `line ${fault.line}: ${fault.message}`);
    }
    ops = read.ops;
    const { job, profile, cam } = planned;
    loads = replay(ops, replaySetup(job, profile, cam.blank, cam.field)).loads;
  }
  const demands = opDemands(ops, loads, planned.job.machine);
  let at = 0;
  const endMin = demands.seconds.map((s) => (at += s) / 60);
  const sections: [number, string][] = [];
  body.split(/\r\n|\r|\n/).forEach((line, i) => {
    const heading = SECTION.exec(line)?.[1];
    if (heading !== undefined) sections.push([i + 1, heading.trim()]);
  });
  return { planned, digest: digestOf(planned.job), ops, demands, endMin, sections, doubt };
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

/** Code of the refusal where a program has no such place. */
export const NO_SUCH_PLACE = 'no-such-place';

/** @throws Refusal where the program has no such place */
export function findStretch(run: ProgramRun, stretch: Stretch): OpRange {
  const { ops, endMin, sections } = run;
  const end = ops.length - 1;
  const range = (keep: (i: number) => boolean, text: string): OpRange => {
    let first = -1;
    let last = -1;
    for (let i = 0; i <= end; i++) {
      if (!keep(i)) continue;
      if (first < 0) first = i;
      last = i;
    }
    if (first < 0) {
      const lines = ops[end]?.line ?? 0;
      const rule = `the program has no ${text}: it runs over lines 1 to ${lines} and ${(endMin[end] ?? 0).toFixed(1)} min, ${placesOf(sections)}`;
      throw new Refusal(NO_SUCH_PLACE, rule);
    }
    return { first, last, text };
  };
  switch (stretch.kind) {
    case 'whole':
      return { first: 0, last: end, text: 'somewhere in the program' };
    case 'lines': {
      const { from, to } = stretch;
      const text = from === to ? `line ${from}` : `lines ${from} to ${to}`;
      // A line that has no operation of its own stands for the one before it.
      let at = -1;
      ops.forEach((op, i) => {
        if (op.line <= from) at = i;
      });
      const past = from > (ops[end]?.line ?? 0);
      return range((i) => !past && (i === at || (ops[i]!.line > from && ops[i]!.line <= to)), text);
    }
    case 'minutes': {
      const { from, to } = stretch;
      const begin = (i: number): number => (i > 0 ? endMin[i - 1]! : 0);
      return range((i) => endMin[i]! > from && begin(i) < to, `${from} to ${to} min`);
    }
    case 'check': {
      const lineOf = (n: number): number =>
        sections.find(([, heading]) => heading.startsWith(`DATUM CHECK ${n} OF `))?.[0] ?? Infinity;
      const to = lineOf(stretch.number);
      const setting = sections.find(([, heading]) => heading === 'DATUM SETTING')?.[0] ?? 0;
      const from = stretch.number > 1 ? lineOf(stretch.number - 1) : setting;
      const known = Number.isFinite(to);
      return range(
        (i) => known && ops[i]!.line > from && ops[i]!.line < to,
        `datum check ${stretch.number}`,
      );
    }
    case 'depth': {
      const { depthMm } = stretch;
      const levels = sections.filter(([, heading]) => /^FINISH /.test(heading));
      const zOf = (heading: string): number => Number(/ Z (-?[\d.]+)$/.exec(heading)?.[1] ?? NaN);
      const at = levels.find(([, heading]) => zOf(heading) <= -depthMm + 1e-9);
      const from = at?.[0] ?? Infinity;
      const next = levels.find(([line, heading]) => line > from && zOf(heading) < zOf(at![1]));
      const to = next?.[0] ?? Infinity;
      return range(
        (i) => ops[i]!.line > from && ops[i]!.line < to,
        `finishing at a depth of ${depthMm} mm`,
      );
    }
    case 'section': {
      const wanted = plainWords(stretch.name);
      const found = sections.findIndex(([, heading]) => startsWith(plainWords(heading), wanted));
      const from = sections[found]?.[0] ?? Infinity;
      // A level may have several passes, each with a heading: up to the first heading that differs.
      let next = found + 1;
      while (next < sections.length && startsWith(plainWords(sections[next]![1]), wanted)) next++;
      const to = sections[next]?.[0] ?? Infinity;
      return range((i) => ops[i]!.line > from && ops[i]!.line < to, `section "${stretch.name}"`);
    }
  }
}

/** What a program is made of, in the words that name its places. */
function placesOf(sections: ProgramRun['sections']): string {
  const most = (pattern: RegExp): number =>
    Math.max(0, ...sections.map(([, heading]) => Number(pattern.exec(heading)?.[1] ?? 0)));
  const names = [
    ['rough', most(/^ROUGH LEVEL (\d+)/)],
    ['finish', most(/^FINISH LEVEL (\d+)/)],
    ['check', most(/^DATUM CHECK (\d+)/)],
  ] as const;
  const there = names.filter(([, n]) => n > 0).map(([name, n]) => `"${name} 1" to "${name} ${n}"`);
  return there.length > 0 ? `with ${there.join(', ')}` : 'without named sections';
}

/** "ROUGH LEVEL 3 OF 14: Z -1.298" and "rough 3" alike: rough, 3. */
function plainWords(text: string): string[] {
  return text
    .toLowerCase()
    .split(/[^a-z0-9.-]+/)
    .filter((word) => word !== '' && word !== 'level');
}

function startsWith(words: readonly string[], wanted: readonly string[]): boolean {
  return wanted.length > 0 && wanted.every((word, i) => words[i] === word);
}

/** Heading of the section that a line is in; empty before the first. */
export function sectionOf(run: ProgramRun, line: number): string {
  let heading = '';
  for (const [at, text] of run.sections) {
    if (at > line) break;
    heading = text;
  }
  return heading;
}

export function loadsOf(run: ProgramRun, range: OpRange): AxisLoads {
  return demandLoads(run.demands, range.first, range.last);
}

export function loadsBefore(run: ProgramRun, range: OpRange): AxisLoads {
  return demandLoads(run.demands, 0, range.first - 1);
}

/** The moves of a stretch, for asking which of them lost the steps. */
export function suspectMoves(run: ProgramRun, range: OpRange): SuspectMoves {
  const { demands, ops } = run;
  const cut = (values: Float64Array): Float64Array => values.slice(range.first, range.last + 1);
  const travel = { x: new Float64Array(range.last - range.first + 1), y: new Float64Array(0) };
  travel.y = new Float64Array(travel.x.length);
  for (let i = 0; i < travel.x.length; i++) {
    const op = ops[range.first + i]!;
    if (!('from' in op)) continue;
    const d = [0, 1, 2].map((k) => op.to[k]! - op.from[k]!) as [number, number, number];
    const length = Math.hypot(...d);
    if (length < 1e-9) continue;
    travel.x[i] = d[0] / length;
    travel.y[i] = d[1] / length;
  }
  return {
    demandN: { x: cut(demands.xN), y: cut(demands.yN) },
    seconds: cut(demands.seconds),
    travel,
  };
}
