/**
 * What stands in the programs that a plan writes, for any example on any control however it is held:
 * teeth, bore and restart. Read by the tests' own reader (NISTIR 6556), not by the product's. What a
 * program must do before the first motion, at stops and at the end is common practice, no source; the
 * words and lengths that a control takes are those of its class.
 */
import { describe, expect, it } from 'vitest';
import { parse, stringify } from 'yaml';
import { readJob } from '../../src/job/load.js';
import type { Job } from '../../src/model/job.js';
import { JobError } from '../../src/text/fault.js';
import { type Controller, knowsTop } from '../../src/model/op.js';
import { Refusal } from '../../src/model/refusal.js';
import { checkProgram } from '../../src/plan/check/check.js';
import { planJob } from '../../src/plan/plan.js';
import { planRestart } from '../../src/plan/restart.js';
import { listControllers } from '../../src/post/control/controllers.js';
import { LONG, runs } from '../cam/oracle/runs.js';
import {
  type OracleMove,
  type OracleProgram,
  type Vec3,
  readMini,
} from '../cam/oracle/mini-rs274.js';
import { filesFrom } from '../job/job-text.js';
import { exampleNames, exampleText } from '../planned.js';
import { modalWords } from './modal-words.js';

const NAMES = exampleNames();
const CONTROLS = listControllers();
const HELD = ['spigot', 'through-bolt', 'plate'] as const;
const EXTRAS = ['as it is', 'bore by the router', 'indicators', 'pin'] as const;

/** One way to make an example. */
interface Way {
  readonly name: string;
  readonly control: string;
  readonly held: (typeof HELD)[number];
  readonly extra: (typeof EXTRAS)[number];
  readonly homed: boolean;
}

/** All of them; the numbers of each kind share no factor but the last two. */
function wayAt(i: number): Way {
  return {
    name: NAMES[i % NAMES.length]!,
    control: CONTROLS[i % CONTROLS.length]!.id,
    held: HELD[i % HELD.length]!,
    extra: EXTRAS[i % EXTRAS.length]!,
    homed: Math.floor(i / EXTRAS.length) % 2 === 1,
  };
}
const ALL = 2 * NAMES.length * CONTROLS.length * HELD.length * EXTRAS.length;
/** Any step that shares no factor with their number goes through all of them. */
const STEP = 1009;

const REASON = 'a test';

/** Null where the job is none that can be. */
function jobOf({ name, control, held, extra, homed }: Way): Job | null {
  const text = parse(exampleText(name));
  text.controller = control;
  text.blank = { ...text.blank, 'held-by': held };
  // Thin, so that it is planned quickly; what then no longer carries the load is accepted.
  text.sprocket.thickness = '2 mm';
  text.blank.thickness = '2 mm';
  const faults = ['joint', 'rating', 'breaking-load', 'wear', 'wrap', 'chain-length', 'fit'];
  text.accept = Object.fromEntries(faults.map((fault) => [fault, REASON]));
  if (extra === 'bore by the router') {
    // A bolt stands in the bore, and a hub below it makes it too deep.
    if (held === 'through-bolt') text.blank['held-by'] = 'plate';
    delete text.hub;
    text.bore = { shape: 'round', diameter: '14 mm', 'made-by': 'router', 'pilot-hole': '9 mm' };
    text.joint = { kind: 'flange' };
  }
  delete text.datum;
  delete text['check-every'];
  if (extra === 'indicators' || extra === 'pin') text['check-every'] = '5 min';
  if (extra === 'pin') text.datum = { x: '-50 mm', y: '45 mm', 'pin-diameter': '6 mm' };
  try {
    const job = readJob(stringify(text), `${name}.yaml`, filesFrom());
    return { ...job, machine: { ...job.machine, homed } };
  } catch (error) {
    if (error instanceof JobError) return null;
    throw error;
  }
}

/** Programs by the end of their names; null where the job is refused. */
function programsOf(job: Job): Record<string, string> | null {
  try {
    const { files, planned } = planJob(job);
    const resumeAt = { kind: 'section', name: 'rough 1' } as const;
    const restart = planRestart(planned, { resumeAt, stoppedAt: null, offsetMm: [0, 0] });
    const written = Object.entries(files).filter(([name]) => name.endsWith('.nc'));
    const bore = planned.bore ? [`${job.name}-bore.nc`] : [];
    expect(written.map(([name]) => name).sort()).toEqual([...bore, `${job.name}-teeth.nc`]);
    return {
      ...Object.fromEntries(written.map(([name, text]) => [name.slice(job.name.length + 1), text])),
      'restart.nc': restart.program.text,
    } as Record<string, string>;
  } catch (error) {
    if (error instanceof Refusal) return null;
    throw error;
  }
}

const UNKNOWN: Vec3 = [NaN, NaN, NaN];
/** The bolt's head and washer, and a little. mm */
const OVER_HOLDING_MM = 12;

/** A program with what the tests ask of it. */
interface Read {
  readonly job: Job;
  readonly text: string;
  readonly lines: readonly string[];
  /** Comments together as one text. */
  readonly said: string;
  readonly program: OracleProgram;
}

function read(job: Job, text: string): Read {
  const lines = text.trimEnd().split('\n');
  const said = lines
    .filter((line) => /^[(;]/.test(line))
    .map((line) => line.replace(/^\(MSG, |^[(;] ?|\)$/g, ''))
    .join(' ');
  return { job, text, lines, said, program: readMini(text, UNKNOWN) };
}

/** Not straight up or down; from a place that is not known it is where X or Y is told. */
const across = ({ from, to }: OracleMove): boolean =>
  !Object.is(from[0], to[0]) || !Object.is(from[1], to[1]);

/** Only what the control takes: words, length of lines, comments, characters. To expect something of
 *  each line by itself took as long as the plan. */
function takenByControl({ job, lines }: Read): void {
  const wanting = lines.flatMap((line) => notTaken(job.controller, line).map((why) => [why, line]));
  expect(wanting).toEqual([]);
}

/** What of a line a control does not take. */
function notTaken(c: Controller, line: string): readonly string[] {
  const wrong: readonly (readonly [boolean, string])[] = [
    [line.length > Math.min(c.maxLineLength, 79), 'length'],
    [!/^[ -~]+$/.test(line), 'characters'],
    [[...c.liveCharacters].some((sign) => line.includes(sign)), 'live character'],
    [c.systemLineStarts.includes(line[0]!), 'system line'],
    ...(line.startsWith('(') ? commentFaults(c, line) : []),
    [line.startsWith(';') && !c.semicolonComments, 'comment by a semicolon'],
    ...(/^[(;]/.test(line) ? [] : wordFaults(c, line)),
  ];
  return wrong.flatMap(([is, why]) => (is ? [why] : []));
}

function commentFaults(c: Controller, line: string): readonly (readonly [boolean, string])[] {
  const said = line.slice(1);
  const message = said.startsWith('MSG,');
  return [
    [!c.parenComments, 'comment'],
    [/[()]/.test(said.slice(0, -1)) || !line.endsWith(')'), 'parentheses'],
    [message ? !c.messageComments : /^\s*[A-Za-z]+,/.test(said), 'message'],
    [c.activeComments.some((word) => said.startsWith(word)), 'acting comment'],
  ];
}

/** No word and comment on one line, no exponent, no sign but minus, capitals alone. */
function wordFaults(c: Controller, line: string): readonly (readonly [boolean, string])[] {
  const words = /^[GMTSFXYZIJP]-?(\d+(\.\d+)?)( [GMSFXYZIJP]-?\d+(\.\d+)?)*$/;
  const codes = line.match(/[GM]\d+(\.\d+)?/g) ?? [];
  return [
    [!words.test(line), 'words'],
    [codes.some((code) => !c.codes.includes(code)), 'code'],
  ];
}

/** Units, plane, distance and the rest stand before the first motion, each alone. */
function modesNamed({ job, lines, program }: Read): void {
  const c: Controller = job.controller;
  const before = lines.slice(0, program.moves[0]!.line - 1);
  const named: readonly (readonly [boolean, string])[] = [
    [true, 'G21'],
    [true, 'G90'],
    ...modalWords(c),
  ];
  for (const [has, word] of named) expect(before.includes(word), word).toBe(has);
}

/** Up before all else: to the top of travel, or after a stop that asks for it. */
function firstUp({ job, said, program }: Read): number {
  const { moves, rests } = program;
  const [first, second] = moves;
  expect(first!.kind).toBe('rapid');
  expect(across(first!)).toBe(false);
  const asked = rests.filter((rest) => rest.beforeMove === 0 && rest.code === 'M0');
  if (knowsTop(job.machine.homed, job.controller)) {
    expect(first!.to[2]).toBe(Infinity);
    expect(asked).toEqual([]);
  } else {
    expect(asked).toHaveLength(1);
    expect(said).toContain(`THAN Z ${first!.to[2]}`);
  }
  // Then across at that height, to where nothing stands.
  expect(second!.kind).toBe('rapid');
  expect(second!.to[2]).toBe(first!.to[2]);
  return asked.length;
}

/** Rapids go across above all that stands up, straight down no farther than just over the face. */
function rapidsClear({ job, program }: Read, crossesAtMm: number): void {
  const pin = job.datum?.pin;
  const clear = Math.max(OVER_HOLDING_MM, (pin?.topMm ?? -Infinity) + 2);
  const low = program.moves.filter((move) => {
    if (move.kind !== 'rapid') return false;
    const [from, to] = [move.from[2], move.to[2]];
    return across(move) ? !(Object.is(from, to) && to >= clear) : !(to > from || to >= 1);
  });
  expect(low).toEqual([]);
  expect(crossesAtMm).toBeGreaterThanOrEqual(OVER_HOLDING_MM);
}

/** At stops and at the end high and away, spindle still; at a reference it stands there. */
function standsAway({ job, lines, program }: Read, blankRadiusMm: number, from: number): void {
  const { moves, rests } = program;
  const stands = rests.filter(({ code }) => /^M(0|2|30)$/.test(code)).slice(from);
  expect(stands.length).toBeGreaterThanOrEqual(2);
  expect(stands.at(-1)!.code).toBe(job.controller.programEnd);
  expect(stands.filter(({ code }) => code !== 'M0')).toHaveLength(1);
  const rim = blankRadiusMm + job.cutter.diameterMm / 2;
  let offAt = -1;
  for (const { line, code, rpm, beforeMove } of stands) {
    expect(rpm, `line ${line}`).toBe(0);
    const [x, y, z] = moves[beforeMove - 1]!.to;
    const why = lines.slice(Math.max(0, line - 4), line).join(' ');
    if (code === 'M0' && /DATUM/.test(why)) {
      // Of a probe the place is not known.
      if (Number.isFinite(x)) expect(Math.hypot(x, y), why).toBeGreaterThan(rim);
      continue;
    }
    expect(z, why).toBeGreaterThanOrEqual(OVER_HOLDING_MM);
    // 40 mm along each axis, or half of a short travel.
    const along = (axis: 'x' | 'y') => Math.min(40, job.machine.travelMm[axis] / 2 - rim);
    expect(Math.hypot(x, y), why).toBeGreaterThan(rim + Math.max(along('x'), along('y')));
    offAt = line;
  }
  expect(offAt).toBeGreaterThan(0);
}

/** After each start of the spindle its wait, before anything moves; nothing cuts while it stands. */
function spindleWaits({ job, program }: Read, blankRadiusMm: number): void {
  const { rests, moves } = program;
  const { spinUpS, minRpm, maxRpm } = job.machine.spindle;
  const starts = rests.filter(({ code }) => code === 'M3');
  expect(starts.length).toBeGreaterThan(0);
  for (const start of starts) {
    const next = rests[rests.indexOf(start) + 1]!;
    expect(next.code).toBe('G4');
    expect(next.beforeMove).toBe(start.beforeMove);
    const unit = job.controller.dwellUnit === 'ms' ? 1000 : 1;
    expect(next.seconds / unit).toBeGreaterThanOrEqual(spinUpS);
    expect(next.seconds / unit).toBeLessThan(spinUpS + 1);
    expect(start.rpm).toBeGreaterThanOrEqual(minRpm);
    expect(start.rpm).toBeLessThanOrEqual(maxRpm);
  }
  const wrong = moves.filter(({ kind, feed, rpm, to: [x, y, z] }) => {
    if (kind === 'rapid' || kind === 'probe') return false;
    const cuts = z < 0 && Math.hypot(x, y) < blankRadiusMm;
    return !(feed <= job.machine.maxFeedMmPerMin) || (cuts && !(rpm > 0));
  });
  expect(wrong).toEqual([]);
}

/** What it is, what it starts from, and how it is likely to end, before the first word. */
function saysWhatItIs({ job, lines }: Read, kind: string): void {
  const head = lines
    .slice(0, lines.indexOf('G21'))
    .map((line) => line.replace(/^[(;] ?|\)$/g, ''))
    .join(' ');
  const chain = job.chain.designation?.replace(/[()]/g, '') ?? 'as measured';
  expect(head).toMatch(/^job [0-9a-z]+ lines \d+ sum [0-9a-f]{8} title: /);
  expect(head).toContain(`wheel: ${job.sprocket.teeth} teeth`);
  expect(head).toContain(`for chain ${chain}`);
  expect(head).toContain(`form ${job.sprocket.toothForm}`);
  expect(head).toContain(`cutter ${job.cutter.diameterMm} mm ${job.cutter.flutes} flutes`);
  expect(head).toMatch(/reaches its end \d{2} times in 100/);
  expect(head).toContain('read the warning sheet before starting');
  expect(head).toMatch(/zero: /);
  const stock = {
    'teeth.nc': /blank \d+\.\d\d mm round, teeth up to \d+\.\d\d mm thick/,
    'bore.nc': new RegExp(
      `bore ${job.bore.diameterMm} mm, 2\\.00 mm deep, from a ${job.bore.pilotHoleMm} mm hole`,
    ),
    'restart.nc': /stock: as left by program [0-9a-f]{8} up to line \d+/,
  }[kind]!;
  expect(head).toMatch(stock);
  expect(Number(/lines (\d+)/.exec(head)![1])).toBe(lines.length);
}

/** Inside the travel, counted from end to end. */
function insideTravel({ job, program }: Read): void {
  for (const [k, axis] of (['x', 'y', 'z'] as const).entries()) {
    const at = program.moves.map(({ to }) => to[k]!).filter(Number.isFinite);
    const span =
      Math.max(
        ...at.slice(0, 1),
        at.reduce((a, b) => Math.max(a, b)),
      ) - at.reduce((a, b) => Math.min(a, b));
    expect(span, axis).toBeLessThanOrEqual(job.machine.travelMm[axis]);
  }
}

function holdsAll(job: Job, kind: string, text: string, blankRadiusMm: number): void {
  const it = read(job, text);
  takenByControl(it);
  modesNamed(it);
  const asked = firstUp(it);
  rapidsClear(it, it.program.moves[0]!.to[2]);
  standsAway(it, blankRadiusMm, asked);
  spindleWaits(it, blankRadiusMm);
  saysWhatItIs(it, kind);
  insideTravel(it);
  expect(it.program.ended).toBe(true);
  // What is written here is not warned of where it is checked, but for what the plan said, too.
  if (LONG) {
    const { findings } = checkProgram(text, job);
    const told = findings.filter(({ severity }) => severity !== 'note');
    const saidByPlan = ['nut-over-screws', 'screws', 'code-surprise', 'spindle-unit'];
    expect(told.filter(({ code }) => !saidByPlan.includes(code)).map(({ text: t }) => t)).toEqual(
      [],
    );
  }
  expect(it.lines.at(-1)).toBe(job.controller.programEnd);
}

/** Ways tried, at GULLET_RUNS 1; GULLET_EVERY=1 tries all. */
const TRIED = 16;

/** The first thing wanting in each program of a way; null where the job is refused. */
function faultsOf(
  way: Way,
): { readonly faults: readonly string[]; readonly programs: number } | null {
  const job = jobOf(way);
  const programs = job && programsOf(job);
  if (!programs) return null;
  const blank = /blank (\d+\.\d\d) mm round/.exec(programs['teeth.nc']!)!;
  const faults = Object.entries(programs).flatMap(([kind, text]) => {
    try {
      holdsAll(job, kind, text, Number(blank[1]) / 2);
      return [];
    } catch (error) {
      return [`${kind} of ${JSON.stringify(way)}: ${(error as Error).message}`];
    }
  });
  return { faults, programs: Object.keys(programs).length };
}

describe('what a plan writes', { timeout: 7_200_000 }, () => {
  it('on any control, however it is held', () => {
    const from = Number(process.env['GULLET_FUZZ_SEED'] ?? 0) % ALL;
    const many = process.env['GULLET_EVERY'] === '1' ? ALL : runs(TRIED);
    const found = Array.from({ length: many }, (_, k) => faultsOf(wayAt((from + k * STEP) % ALL)));
    const planned = found.filter((one) => one !== null);
    const programs = planned.reduce((sum, one) => sum + one.programs, 0);
    if (LONG) {
      process.stdout.write(`${programs} programs of ${planned.length} plans, ${many} jobs\n`);
    }
    expect(planned.flatMap(({ faults }) => faults)).toEqual([]);
    expect(planned.length).toBeGreaterThan(many / 2);
  });
});
