/** What `retune` says. Everything that is inferred carries how sure it is. */
import type { LossCauses } from '../../plan/retune/causes.js';
import type { Bands, Retuned, WayToRun } from '../../plan/retune/retune.js';
import type { Job } from '../../model/job.js';
import { lowLoadAdvice } from '../../machines/learn/lowload.js';
import type { EvidenceLog, LoggedRun } from '../../machines/learn/evidence.js';
import {
  MOMENT_SIGMA,
  OTHER_LOSSES_PER_HOUR,
  OTHER_MATERIAL_SIGMA,
  RUN_SIGMA,
} from '../../machines/learn/posterior-model.js';
import { type LengthUnit, formatLength, formatMinutes, plural } from '../say/format.js';
import { type Part, type Section, say } from './parts.js';

/** Below this probability of cutting force, the loss is said to be something else. */
export const LOW_LOAD = 0.5;
const PLACES_SHOWN = 5;

/** Lost programs where runs scatter twice as much as assumed; from the study of synthetic machines
 *  in tests/machines, which writes tests/bench/learning-curve.json. */
const IF_TWICE_AS_WIDE = '4 to 9 %';

export function percent(p: number): string {
  if (p > 0.9995) return 'over 99.9 %';
  if (p < 0.0005) return 'under 0.1 %';
  const value = 100 * p;
  return `${value.toFixed(value < 10 || value > 90 ? 1 : 0)} %`;
}

export function headline(job: Job, run: LoggedRun | null, units: LengthUnit): string {
  if (run === null) return `${job.title}: what the log says so far`;
  if (run.outcome === 'finished') return `${job.title}: finished without losing steps`;
  const way = run.direction === null ? '' : ` towards ${run.direction}${run.axis ?? ''}`;
  const amount =
    run.amountMm === null
      ? way === ''
        ? ''
        : `, off${way}`
      : `, off by ${formatLength(run.amountMm, units)}${way}`;
  const axis = run.axis === null ? 'an axis not known' : run.axis.toUpperCase();
  return `${job.title}: lost steps on ${axis} (${run.seen})${amount}`;
}

export function bandsSection(before: Bands, after: Bands): Section {
  const row = (axis: 'x' | 'y', when: string, bands: Bands) => {
    const { p5, p50, p95 } = bands[axis];
    return [axis.toUpperCase(), when, Math.round(p5), Math.round(p50), Math.round(p95)];
  };
  return {
    heading: 'Thrust limit',
    parts: [
      say('Thrust limit at standstill, N: so likely to be below'),
      {
        kind: 'table',
        heading: ['axis', 'when', '5 %', '50 %', '95 %'],
        rows: (['x', 'y'] as const).flatMap((axis) => [
          row(axis, 'before this', before),
          row(axis, 'now', after),
        ]),
      },
    ],
  };
}

export function causesSection(
  causes: LossCauses,
  run: LoggedRun,
  job: Job,
  limits: Bands,
): Section {
  const heading = 'What did it';
  const force = percent(causes.byForce);
  const parts: Part[] = [];
  const on = run.axis ?? (causes.axis.x >= causes.axis.y ? 'x' : 'y');
  if (run.axis === null && causes.byForce > 0) {
    const share = (axis: 'x' | 'y') => percent(causes.axis[axis] / causes.byForce);
    parts.push(say(`Which axis, if cutting force did it: X ${share('x')}, Y ${share('y')}.`));
  }
  if (run.axis === 'z') {
    parts.push(
      say('Z carries no cutting force that this tool predicts, so its limit is not learned.'),
    );
  }
  if (causes.byForce < LOW_LOAD) {
    const load = run.axis === 'z' ? '' : `, the moves there ask ${causes.peakN.toFixed(0)} N`;
    const likely =
      run.axis === 'z'
        ? ''
        : ` of a limit that is likely near ${limits[on as 'x' | 'y'].p50.toFixed(0)} N`;
    parts.push(
      say(
        `This is a loss at a low load: probability of cutting force ${force}${load}${likely}. Going slower will not cure it. Try, in this order:`,
      ),
      { kind: 'list', items: lowLoadAdvice(job.machine, causes.kind) },
    );
    return { heading, parts };
  }
  parts.push(
    say(
      `Probability that cutting force did it: ${force}; anything else: ${percent(1 - causes.byForce)}.`,
    ),
    say('Most likely places:'),
    {
      kind: 'table',
      heading: ['probability', 'lines', 'section', 'gap at', 'from', 'asks up to'],
      rows: causes.places
        .slice(0, PLACES_SHOWN)
        .map((place) => [
          percent(place.probability),
          place.fromLine === place.toLine
            ? `${place.fromLine}`
            : `${place.fromLine} to ${place.toLine}`,
          place.section.toLowerCase(),
          `${place.gapDeg.toFixed(0)} deg`,
          `${place.fromMin.toFixed(1)} min`,
          `${place.peakN.toFixed(0)} N`,
        ]),
    },
  );
  return { heading, parts };
}

/** Of a ladder the rung is known, so there are no places to look for. */
export function ladderCauseSection(otherCause: number): Section {
  const force = percent(1 - otherCause);
  const parts = [
    say(`Probability that cutting force did it: ${force}; anything else: ${percent(otherCause)}.`),
  ];
  if (otherCause > 1 - LOW_LOAD) {
    parts.push(
      say('That is a loss at a low load: look for something loose before another ladder.'),
    );
  }
  return { heading: 'What did it', parts };
}

export function sideBySideSection(retuned: Retuned, risk: number): Section {
  const { old, halved, fresh } = retuned;
  const n = (value: number) => value.toFixed(0);
  const minutes = (value: number | null) => (value === null ? '' : formatMinutes(value));
  const rows: [string, (way: WayToRun) => string][] = [
    ['total time', (w) => formatMinutes(w.totalMin)],
    ['roughing', (w) => minutes(w.roughCutMin)],
    ['finishing', (w) => minutes(w.finishMin)],
    ['peak force X', (w) => `${n(w.peakForceN.x)} of ${n(w.allowedForceN.x)} N`],
    ['peak force Y', (w) => `${n(w.peakForceN.y)} of ${n(w.allowedForceN.y)} N`],
    ['finishes with probability', (w) => percent(w.finishes)],
  ];
  const parts: Part[] = [];
  if (fresh === null) {
    parts.push(
      say(
        `At ${percent(risk)} risk per program the job was not planned again: ${retuned.refused}.`,
      ),
    );
  } else {
    const bound = retuned.forceBinds
      ? ''
      : ' Force no longer decides the feeds: chip thickness, power or feed limits do.';
    parts.push(
      say(
        `At ${percent(risk)} risk per program the cutting force may be ${n(retuned.allowedForceN)} N.${bound}`,
      ),
    );
  }
  const ways = fresh === null ? [old, halved] : [old, halved, fresh];
  const names = ['as planned', 'feeds halved', 'planned again'].slice(0, ways.length);
  parts.push({
    kind: 'table',
    heading: ['', ...names],
    rows: rows.map(([name, of]) => [name, ...ways.map(of)]),
  });
  return { heading: 'The job, before and after', parts };
}

/** What the figures rest on, in one paragraph. */
export function footingSection(log: EvidenceLog, job: Job): Section {
  const others = log.runs.filter((run) => run.material !== job.material.id).length;
  const factor = (axis: 'x' | 'y') => Math.exp(log.prior[axis].sigma).toFixed(2);
  const material =
    others === 0
      ? ''
      : ` ${plural(others, 'run')} in other material ${others === 1 ? 'counts' : 'count'} with ${percent(Math.hypot(RUN_SIGMA, OTHER_MATERIAL_SIGMA))} instead.`;
  return {
    heading: 'What this rests on',
    parts: [
      say(
        `How sure this is: probabilities count lost steps by cutting force alone, and rest on assumptions, not measurements: a run's forces are off by ${percent(RUN_SIGMA)} from the prediction, moments by ${percent(MOMENT_SIGMA)} more, and ${percent(OTHER_LOSSES_PER_HOUR)} of hours bring a loss of another kind. Were runs off by twice as much, programs planned at 1 % risk would lose steps in ${IF_TWICE_AS_WIDE} of runs (500 simulated machines). Prior: ${log.priorFrom}, within a factor of ${factor('x')} (X) and ${factor('y')} (Y) two times in three.${material}`,
      ),
    ],
  };
}
