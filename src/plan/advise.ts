/** Compares the cutters and machines on file for a job: time, load, form error, what limits each. */
import { Refusal } from '../model/refusal.js';
import { searchOf } from '../cam/choose.js';
import { BEARERS, bindingOf } from '../cam/explain.js';
import { blankSize, gapSize, layPath } from '../cam/sequence.js';
import { listCutters } from '../machines/cutters.js';
import { listMachines } from '../machines/machines.js';
import { findController } from '../post/control/controllers.js';
import { type Wheel, wheelOf } from '../profile/wheel/sprocket.js';
import type { Progress } from '../post/plan.js';
import { type Job } from '../model/job.js';
import type { Cutter } from '../model/machine.js';
import { type SecondCutter, secondCutter } from './second-cutter.js';

/** One cutter on one machine. */
export interface AdviceRow {
  readonly cutter: string;
  readonly machine: string;
  /** This is what the job asks for. */
  readonly asked: boolean;
  readonly refused: string | null;
  readonly totalMin: number | null;
  readonly roughCutMin: number | null;
  /** As chosen, before any replay. */
  readonly finishProbability: number | null;
  readonly chatterProbability: number | null;
  readonly stepdownMm: number | null;
  readonly formErrorMm: number | null;
  readonly taperMm: number | null;
  readonly withinTolerance: boolean;
  /** Even the slowest speed of the spindle is too fast for the edge in this material. */
  readonly tooFast: boolean;
  readonly limitedBy: string;
}

export interface Advice {
  /** Best first: inside the tolerance, edge not overrun, then by time; refused ones last. */
  readonly rows: readonly AdviceRow[];
  readonly verdict: string;
  /** The job's own cutter with a larger one before it, for the ring; null where there is none that
   *  cuts it. */
  readonly second: SecondCutter | null;
}

/** Air between collet and work that a cutter from the table is given at least. mm */
const COLLET_AIR_MM = 1.5;

type Candidate = ReturnType<typeof candidates>[number];

/** The job's own setting, every cutter of the table on its machine, and its cutter on the others. */
function candidates({ cutter, machine }: Job, profile: Wheel) {
  const { seatRadiusMm } = profile;
  const name = `${cutter.diameterMm} mm ${cutter.flutes} flutes (this job)`;
  const cutters = listCutters().filter(({ diameterMm }) => diameterMm < 2 * seatRadiusMm);
  const machines = listMachines().filter(({ id }) => id !== machine.id);
  const asked = false;
  return [
    { name, cutter, machine, asked: true },
    ...cutters.map((entry) => ({
      name: entry.id,
      cutter: reaching(entry, profile),
      machine,
      asked,
    })),
    ...machines.map((other) => ({ name, cutter, machine: other, asked })),
  ];
}

export function advise(job: Job, onProgress: (p: Progress) => void): Advice {
  const profile = wheelOf(job);
  const list = candidates(job, profile);
  const rows = list.map((candidate, i) => {
    onProgress({ stage: `${candidate.name} on ${candidate.machine.id}`, done: i, of: list.length });
    return weigh(job, profile, candidate);
  });
  const misses = (row: AdviceRow): boolean => 1 - (row.finishProbability ?? 0) > job.riskShare;
  rows.sort(
    (a, b) =>
      Number(a.refused !== null) - Number(b.refused !== null) ||
      Number(b.withinTolerance) - Number(a.withinTolerance) ||
      Number(a.tooFast) - Number(b.tooFast) ||
      Number(misses(a)) - Number(misses(b)) ||
      (a.totalMin ?? 0) - (b.totalMin ?? 0),
  );
  const asked = rows.find((row) => row.asked);
  const second = asked?.totalMin ? ringFirst(job, profile, asked.totalMin) : null;
  return { rows, verdict: verdictOf(job, rows), second };
}

/** The larger cutters on file, for the ring. */
function ringFirst(job: Job, profile: Wheel, oneMin: number): SecondCutter | null {
  const larger = listCutters()
    .filter(({ diameterMm }) => diameterMm > job.cutter.diameterMm)
    .map((entry) => ({ name: entry.id, cutter: reaching(entry, profile) }));
  return secondCutter(job, profile, blankSize(job, profile), oneMin, larger);
}

/** A cutter of the table, far enough out for the work. */
function reaching<C extends Cutter>(entry: C, { thicknessMm }: Wheel): C {
  return { ...entry, stickOutMm: Math.max(entry.stickOutMm, thicknessMm + COLLET_AIR_MM) };
}

function weigh(job: Job, profile: Wheel, candidate: Candidate): AdviceRow {
  const { cutter, machine } = candidate;
  const base = { cutter: candidate.name, machine: machine.id, asked: candidate.asked };
  try {
    const controller = findController(machine.controller);
    const own: Job = { ...job, cutter, machine, controller };
    const { process, finish, times, blank } = layPath(own, profile);
    const { way } = process;
    const search = searchOf(own, gapSize(own, profile, blank));
    return {
      ...base,
      refused: null,
      totalMin: times.totalMin,
      roughCutMin: times.roughCutMin,
      finishProbability: way.odds.all,
      chatterProbability: way.chatterProbability,
      stepdownMm: process.stepdownMm,
      formErrorMm: finish.errorMm,
      taperMm: finish.taperMm,
      withinTolerance: finish.withinTolerance,
      tooFast: process.spindle.noteCode === 'spindle-too-fast',
      limitedBy: BEARERS[bindingOf(search, way)],
    };
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return { ...base, ...NOTHING, refused: error.message, limitedBy: error.code };
  }
}

const NOTHING = {
  totalMin: null,
  roughCutMin: null,
  finishProbability: null,
  chatterProbability: null,
  stepdownMm: null,
  formErrorMm: null,
  taperMm: null,
  withinTolerance: false,
  tooFast: false,
} as const;

function verdictOf(job: Job, rows: readonly AdviceRow[]): string {
  const able = rows.filter((row) => row.refused === null);
  const here = able.find((row) => row.machine === job.machine.id);
  const asked = able.find((row) => row.asked);
  const anywhere = able[0];
  if (!anywhere) return 'Nothing on file can cut this part; the first reason above says why.';
  const saves = (row: AdviceRow): string => {
    if (!asked || row === asked) return '';
    const min = (asked.totalMin ?? 0) - (row.totalMin ?? 0);
    return `, ${min < 1 ? 'not a minute' : `${min.toFixed(0)} min`} less than the job's own setting`;
  };
  const why = (row: AdviceRow): string =>
    `the least time${row.withinTolerance ? '' : ', though none is'} predicted inside the ${job.limits.toleranceMm} mm tolerance` +
    (row.tooFast ? '' : ' at a surface speed the edge stands');
  const lines: string[] = [];
  if (!here) lines.push(`On ${job.machine.id} nothing on file can cut this part.`);
  else if (here.asked) lines.push(`The job's own setting wins on ${job.machine.id}: ${why(here)}.`);
  else {
    lines.push(
      `On ${job.machine.id} ${here.cutter} wins: ${why(here)}, held by ${here.limitedBy}${saves(here)}.`,
    );
  }
  if (anywhere !== here) {
    lines.push(`Of the machines on file, ${anywhere.machine} does it soonest${saves(anywhere)}.`);
  }
  return lines.join(' ');
}
