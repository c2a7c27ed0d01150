/** What `retune` says. Everything that is inferred carries how sure it is. */
import type { LossCauses } from '../../plan/retune/causes.js';
import type { Bands, Retuned, WayToRun } from '../../plan/retune/retune.js';
import type { Job } from '../../model/job.js';
import type { EvidenceLog, LoggedRun } from '../../machines/learn/evidence.js';
import type { Lost } from '../../machines/learn/lost.js';
import {
  MOMENT_SIGMA,
  OTHER_LOSSES_PER_HOUR,
  RUN_SIGMA,
  runSigma,
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
  const axis = run.axis === null ? 'an axis not known' : run.axis.toUpperCase();
  const by = run.amountMm === null ? '' : ` by ${formatLength(run.amountMm, units)}`;
  const way = run.direction === null ? '' : ` towards ${run.direction}${run.axis ?? ''}`;
  const off = by + way === '' ? '' : `, off${by}${way}`;
  return `${job.title}: lost steps on ${axis} (${run.seen})${off}`;
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

/** What did it. Of a ladder the rung is known, so there are no places to look for. */
export function causesSection(
  lost: Lost,
  otherCause: number,
  causes: LossCauses | null,
  limits: Bands,
): Section {
  const heading = 'What did it';
  const force = percent(1 - otherCause);
  const both = `Probability that cutting force did it: ${force}; anything else: ${percent(otherCause)}.`;
  const low = otherCause > 1 - LOW_LOAD;
  if (causes === null) {
    const look = 'That is a loss at a low load: look for something loose before another ladder.';
    return { heading, parts: [say(both), ...(low ? [say(look)] : [])] };
  }
  const parts: Part[] = [];
  const { byForce, axis } = causes;
  if (lost.axis === null && byForce > 0) {
    const [x, y] = [percent(axis.x / byForce), percent(axis.y / byForce)];
    parts.push(say(`Which axis, if cutting force did it: X ${x}, Y ${y}.`));
  }
  if (lost.axis === 'z') {
    parts.push(say('No cutting force is predicted for Z, so its limit is not learned.'));
  }
  if (low) {
    const on = lost.axis ?? (axis.x >= axis.y ? 'x' : 'y');
    const asks =
      on === 'z'
        ? ''
        : `, the moves there ask ${causes.peakN.toFixed(0)} N of a limit that is likely near ${limits[on].p50.toFixed(0)} N`;
    const text = `This is a loss at a low load: probability of cutting force ${force}${asks}. Going slower will not cure it. Try, in this order:`;
    return { heading, parts: [...parts, say(text), { kind: 'list', items: causes.advice }] };
  }
  return { heading, parts: [...parts, say(both), say('Most likely places:'), placesTable(causes)] };
}

function placesTable({ places }: LossCauses): Part {
  return {
    kind: 'table',
    heading: ['probability', 'lines', 'section', 'gap at', 'from', 'asks up to'],
    rows: places
      .slice(0, PLACES_SHOWN)
      .map(({ fromLine, toLine, ...place }) => [
        percent(place.probability),
        fromLine === toLine ? `${fromLine}` : `${fromLine} to ${toLine}`,
        place.section.toLowerCase(),
        `${place.gapDeg.toFixed(0)} deg`,
        `${place.fromMin.toFixed(1)} min`,
        `${place.peakN.toFixed(0)} N`,
      ]),
  };
}

export function sideBySideSection(retuned: Retuned, risk: number): Section {
  const { old, halved, fresh } = retuned;
  const ways = fresh === null ? [old, halved] : [old, halved, fresh];
  const row = (name: string, of: (way: WayToRun) => string) => [name, ...ways.map(of)];
  const minutes = (value: number | null) => (value === null ? '' : formatMinutes(value));
  const force = (axis: 'x' | 'y') => (way: WayToRun) =>
    `${way.peakForceN[axis].toFixed(0)} of ${way.allowedForceN[axis].toFixed(0)} N`;
  const bound = retuned.forceBinds
    ? ''
    : ' Force no longer decides the feeds: chip thickness, power or feed limits do.';
  const found =
    fresh === null
      ? `the job was not planned again: ${retuned.refused}.`
      : `the cutting force may be ${retuned.allowedForceN.toFixed(0)} N.${bound}`;
  return {
    heading: 'The job, before and after',
    parts: [
      say(`At ${percent(risk)} risk per program ${found}`),
      {
        kind: 'table',
        heading: ['', 'as planned', 'feeds halved', 'planned again'].slice(0, ways.length + 1),
        rows: [
          row('total time', (way) => formatMinutes(way.totalMin)),
          row('roughing', (way) => minutes(way.roughCutMin)),
          row('finishing', (way) => minutes(way.finishMin)),
          row('peak force X', force('x')),
          row('peak force Y', force('y')),
          row('finishes with probability', (way) => percent(way.finishes)),
        ],
      },
    ],
  };
}

/** What the figures rest on, in one paragraph. */
export function footingSection(log: EvidenceLog, job: Job): Section {
  const others = log.runs.filter((run) => run.material !== job.material.id).length;
  const factor = (axis: 'x' | 'y') => Math.exp(log.prior[axis].sigma).toFixed(2);
  const material =
    others === 0
      ? ''
      : ` ${plural(others, 'run')} in other material ${others === 1 ? 'counts' : 'count'} with ${percent(runSigma(false))} instead.`;
  return {
    heading: 'What this rests on',
    parts: [
      say(
        `How sure this is: probabilities count lost steps by cutting force alone, and rest on assumptions, not measurements: a run's forces are off by ${percent(RUN_SIGMA)} from the prediction, moments by ${percent(MOMENT_SIGMA)} more, and ${percent(OTHER_LOSSES_PER_HOUR)} of hours bring a loss of another kind. Were runs off by twice as much, programs planned at 1 % risk would lose steps in ${IF_TWICE_AS_WIDE} of runs (500 simulated machines). Prior: ${log.priorFrom}, within a factor of ${factor('x')} (X) and ${factor('y')} (Y) two times in three.${material}`,
      ),
    ],
  };
}
