/** What `retune` prints. Everything that is inferred carries how sure it is. */
import type { LossCauses } from '../job/retune-causes.js';
import type { Bands, Retuned, WayToRun } from '../job/retune.js';
import type { Job } from '../job/types.js';
import { lowLoadAdvice } from '../machines/evidence-lowload.js';
import type { AxisShift } from '../machines/evidence-offsets.js';
import type { EvidenceLog, LoggedRun } from '../machines/evidence.js';
import {
  MOMENT_SIGMA,
  OTHER_LOSSES_PER_HOUR,
  OTHER_MATERIAL_SIGMA,
  RUN_SIGMA,
} from '../machines/posterior-model.js';
import { type LengthUnit, formatLength, formatMinutes, plural } from './format.js';
import { textTable } from './table.js';

/** Below this probability of cutting force, the loss is said to be something else. */
export const LOW_LOAD = 0.5;
const PLACES_SHOWN = 5;

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
  const amount = run.amountMm === null ? '' : `, off by ${formatLength(run.amountMm, units)}${way}`;
  const axis = run.axis === null ? 'an axis not known' : run.axis.toUpperCase();
  return `${job.title}: lost steps on ${axis} (${run.seen})${amount}`;
}

export function bandsText(before: Bands, after: Bands): string[] {
  const row = (axis: 'x' | 'y', when: string, bands: Bands) => {
    const { p5, p50, p95 } = bands[axis];
    return [axis.toUpperCase(), when, Math.round(p5), Math.round(p50), Math.round(p95)];
  };
  return [
    'Thrust limit at standstill, N: so likely to be below',
    indent(
      textTable(
        ['axis', 'when', '5 %', '50 %', '95 %'],
        (['x', 'y'] as const).flatMap((axis) => [
          row(axis, 'before this', before),
          row(axis, 'now', after),
        ]),
      ),
    ),
  ];
}

export function causesText(causes: LossCauses, run: LoggedRun, job: Job, limits: Bands): string[] {
  const force = percent(causes.byForce);
  const lines: string[] = [];
  const on = run.axis ?? (causes.axis.x >= causes.axis.y ? 'x' : 'y');
  if (run.axis === null) {
    lines.push(
      `Axis, as far as cutting force did it: X ${percent(causes.axis.x)}, Y ${percent(causes.axis.y)}.`,
    );
  }
  if (run.axis === 'z') {
    lines.push('Z carries no cutting force that this tool predicts, so its limit is not learned.');
  }
  if (causes.byForce < LOW_LOAD) {
    const load = run.axis === 'z' ? '' : `, the moves there ask ${causes.peakN.toFixed(0)} N`;
    const likely =
      run.axis === 'z'
        ? ''
        : ` of a limit that is likely near ${limits[on as 'x' | 'y'].p50.toFixed(0)} N`;
    lines.push(
      `This is a loss at a low load: probability of cutting force ${force}${load}${likely}.`,
      'Going slower will not cure it. Try, in this order:',
      ...lowLoadAdvice(job.machine, causes.kind).map((text) => `  - ${text}`),
    );
    return lines;
  }
  lines.push(
    `Probability that cutting force did it: ${force}; anything else: ${percent(1 - causes.byForce)}.`,
    'Most likely places:',
  );
  for (const place of causes.places.slice(0, PLACES_SHOWN)) {
    const at =
      place.fromLine === place.toLine
        ? `line ${place.fromLine}`
        : `lines ${place.fromLine} to ${place.toLine}`;
    const section = place.section === '' ? '' : `, ${place.section.toLowerCase()}`;
    lines.push(
      `  ${percent(place.probability).padStart(6)}  ${at}${section}, at ${place.gapDeg.toFixed(0)} deg, ` +
        `${place.fromMin.toFixed(1)} min: asks up to ${place.peakN.toFixed(0)} N`,
    );
  }
  return lines;
}

/** Of a ladder the rung is known, so there are no places to look for. */
export function ladderCauseText(otherCause: number): string[] {
  const force = percent(1 - otherCause);
  return [
    `Probability that cutting force did it: ${force}; anything else: ${percent(otherCause)}.`,
    ...(otherCause > 1 - LOW_LOAD
      ? ['That is a loss at a low load: look for something loose before another ladder.']
      : []),
  ];
}

export function shiftsText(shifts: readonly AxisShift[], units: LengthUnit): string[] {
  const lines = ['From the part as measured:'];
  const mm = (value: number, digits = 2) => formatLength(value, units, digits);
  for (const s of shifts) {
    const axis = s.axis.toUpperCase();
    if (!s.off) {
      lines.push(
        `  ${axis}: not off by more than measuring tells (${mm(s.shiftMm)} +- ${mm(2 * s.sigmaMm)}).`,
      );
      continue;
    }
    const way = s.shiftMm > 0 ? `+${axis}` : `-${axis}`;
    lines.push(
      `  ${axis}: ran off towards ${way} by ${mm(Math.abs(s.shiftMm))} +- ${mm(2 * s.sigmaMm)} (95 %), ${s.fullSteps.toFixed(1)} full steps.`,
    );
    if (s.sidesAgree === true) {
      lines.push(
        '     One side is cut too far and the opposite side left by the same amount: a shift.',
      );
    } else if (s.sidesAgree === false) {
      lines.push(
        `     The two sides do not add up to nothing (${mm(s.sumMm ?? 0)}): besides a shift the part is over or under size, or the loss came part of the way through.`,
      );
    } else {
      lines.push(
        '     Only one side was measured: measure the opposite side to be sure of a shift.',
      );
    }
    if (s.beltTeeth !== null) {
      lines.push(
        s.wholeTeeth
          ? `     That is ${Math.round(s.beltTeeth)} belt teeth (${s.beltTeeth.toFixed(2)}): the belt may have jumped; check its tension before blaming the motor.`
          : `     ${s.beltTeeth.toFixed(2)} belt teeth: not a whole number, so the belt has not just jumped.`,
      );
    }
    const rest = Math.abs(s.cycleRestMm);
    if (!s.cyclesTell) {
      lines.push(
        '     Measuring is not fine enough to tell slips of four full steps from anything else.',
      );
    } else if (rest <= 2 * s.sigmaMm) {
      lines.push(
        `     ${s.cycles} slips of four full steps within ${mm(rest, 3)}: as a motor loses them.`,
      );
    } else {
      lines.push(
        `     Not a whole number of slips of four full steps (nearest ${s.cycles}, ${mm(rest, 3)} off): look for work, cutter or coupling that slipped.`,
      );
    }
  }
  return lines;
}

export function sideBySide(retuned: Retuned, oldName: string, risk: number): string[] {
  const { old, fresh } = retuned;
  const n = (value: number) => value.toFixed(0);
  const rows: [string, (way: WayToRun) => string][] = [
    ['total time', (w) => formatMinutes(w.totalMin)],
    ['roughing', (w) => formatMinutes(w.roughCutMin)],
    ['finishing', (w) => formatMinutes(w.finishMin)],
    ['peak force X', (w) => `${n(w.peakForceN.x)} of ${n(w.allowedForceN.x)} N`],
    ['peak force Y', (w) => `${n(w.peakForceN.y)} of ${n(w.allowedForceN.y)} N`],
    ['finishes with probability', (w) => percent(w.finishes)],
  ];
  const lines: string[] = [];
  if (fresh === null) {
    lines.push(
      `At ${percent(risk)} risk per program the job was not planned again: ${retuned.refused}.`,
    );
  } else {
    lines.push(
      `At ${percent(risk)} risk per program the cutting force may be ${n(retuned.allowedForceN)} N.`,
    );
    if (!retuned.forceBinds) {
      lines.push('Force no longer decides the feeds: chip thickness, power or feed limits do.');
    }
  }
  const heading = fresh === null ? ['', oldName] : ['', oldName, 'planned again'];
  lines.push(
    indent(
      textTable(
        heading,
        rows.map(([name, of]) => (fresh === null ? [name, of(old)] : [name, of(old), of(fresh)])),
      ),
    ),
  );
  return lines;
}

/** What the figures rest on, in one paragraph. */
export function footing(log: EvidenceLog, job: Job): string[] {
  const others = log.runs.filter((run) => run.material !== job.material.id).length;
  const lines = [
    'How sure this is: probabilities count lost steps by cutting force alone, and rest on assumptions,',
    `not measurements: a run's forces are off by ${percent(RUN_SIGMA)} from the prediction, moments by ${percent(MOMENT_SIGMA)} more,`,
    `and ${percent(OTHER_LOSSES_PER_HOUR)} of hours bring a loss of another kind. Prior: ${log.priorFrom}, within a factor`,
    `of ${Math.exp(log.prior.x.sigma).toFixed(2)} (X) and ${Math.exp(log.prior.y.sigma).toFixed(2)} (Y) two times in three.`,
  ];
  if (others > 0) {
    lines.push(
      `${plural(others, 'run')} in other material ${others === 1 ? 'counts' : 'count'} with ${percent(Math.hypot(RUN_SIGMA, OTHER_MATERIAL_SIGMA))} instead.`,
    );
  }
  return lines;
}

export function indent(text: string): string {
  return text
    .split('\n')
    .map((line) => `  ${line}`)
    .join('\n');
}
