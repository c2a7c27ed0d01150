/** What `retune` says. Everything that is inferred carries how sure it is. */
import { OTHER_LOSSES_PER_HOUR } from '../../machines/bear/odds.js';
import type { EvidenceLog, LoggedRun } from '../../machines/learn/evidence.js';
import { type AxisShift, type Slips, slipsOf } from '../../machines/learn/offsets.js';
import type { Lost } from '../../machines/learn/run-evidence.js';
import type { Job } from '../../model/job.js';
import type { Machine } from '../../model/machine.js';
import type { LossCauses } from '../../plan/retune/causes.js';
import type { Retuned, WayToRun } from '../../plan/retune/retune.js';
import { MOMENT_SIGMA, RUN_SIGMA, BAR_SIGMA } from '../../machines/learn/posterior-model.js';
import { type LengthUnit, formatLength, formatMinutes, percent, plural } from '../../say/format.js';
import { type Part, type Section, say } from './parts.js';

const PLACES_SHOWN = 5;

/** Lost programs where runs scatter twice as much as assumed; from the study of synthetic machines
 *  in tests/machines, which writes tests/bench/learning-curve.json. */
const IF_TWICE_AS_WIDE = '4 to 9 %';
export function headline(job: Job, run: LoggedRun | null, units: LengthUnit): string {
  if (run === null) return `${job.title}: what the log says so far`;
  if (run.heard?.sound === 'chatter') return `${job.title}: chatter heard (${run.seen})`;
  if (run.outcome === 'finished') {
    const quiet = run.heard ? ' and without a howl' : '';
    return `${job.title}: finished without losing steps${quiet}`;
  }
  const axis = run.axis === null ? 'an axis not known' : run.axis.toUpperCase();
  const by = run.amountMm === null ? '' : ` by ${formatLength(run.amountMm, units)}`;
  const way = run.direction === null ? '' : ` towards ${run.direction}${run.axis ?? ''}`;
  const off = by + way === '' ? '' : `, off${by}${way}`;
  return `${job.title}: lost steps on ${axis} (${run.seen})${off}`;
}

export function bandsSection({ before, after }: Retuned['bands']): Section {
  const rows = (['x', 'y'] as const).flatMap((axis) => {
    const row = (when: string, { [axis]: band }: typeof after) => {
      return [axis.toUpperCase(), when, ...[band.p5, band.p50, band.p95].map(Math.round)];
    };
    return [row('before this', before), row('now', after)];
  });
  return {
    heading: 'Thrust limit',
    parts: [
      say('Thrust limit at standstill, N: so likely to be below'),
      { kind: 'table', heading: ['axis', 'when', '5 %', '50 %', '95 %'], rows },
    ],
  };
}

/** What did it. Of a ladder the rung is known, so there are no places to look for. */
export function causesSection(
  lost: Lost,
  retuned: Pick<Retuned, 'lowLoad' | 'causes' | 'bands' | 'otherCause'>,
): Section {
  const { lowLoad, causes, bands } = retuned;
  const otherCause = retuned.otherCause ?? 1;
  const force = percent(1 - otherCause);
  const parts: Part[] = [];
  if (lost.axis === null && causes && causes.byForce > 0) {
    const { x: byX, y: byY } = causes.axis;
    const [x, y] = [byX, byY].map((p) => percent(p / causes.byForce));
    parts.push(say(`Which axis, if cutting force did it: X ${x}, Y ${y}.`));
  }
  if (lost.axis === 'z' && causes) {
    parts.push(say('No cutting force is predicted for Z, so its limit is not learned.'));
  }
  if (causes && lowLoad) {
    const worse = causes.axis.x >= causes.axis.y ? 'x' : 'y';
    const on = lost.axis === 'both' ? worse : (lost.axis ?? worse);
    const asks =
      on === 'z'
        ? ''
        : `, ${causes.peakN.toFixed(0)} N asked of a limit near ${bands.before[on].p50.toFixed(0)} N`;
    const text = `This is a loss at a low load: probability of cutting force ${force}${asks}. Going slower will not cure it. Try, in this order:`;
    parts.push(say(text), { kind: 'list', items: causes.advice });
  } else {
    const anything = `anything else: ${percent(otherCause)}`;
    parts.push(say(`Probability that cutting force did it: ${force}; ${anything}.`));
    if (causes) parts.push(say('Most likely places:'), placesTable(causes));
    else if (lowLoad) parts.push(say('Look for something loose before another ladder.'));
  }
  return { heading: 'What did it', parts };
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
  const listened = retuned.log.runs.some(({ heard }) => heard !== undefined);
  const ways = [old, halved, ...(fresh ? [fresh] : [])];
  const row = (name: string, of: (way: WayToRun) => string) => [name, ...ways.map(of)];
  const minutes = (value: number | null) => (value === null ? '' : formatMinutes(value));
  const force = (axis: 'x' | 'y') => (way: WayToRun) =>
    `${way.driveN[axis].toFixed(0)} of ${way.driveForceN[axis].toFixed(0)} N`;
  const found =
    fresh === null
      ? `the job was not planned again: ${retuned.refused}.`
      : retuned.driveBinds
        ? 'the drives decide how hard it is cut.'
        : 'the drives have room: cutter, edge, chip or stability decide how hard it is cut.';
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
          row('asked of drive X', force('x')),
          row('asked of drive Y', force('y')),
          row('finishes with probability', (way) => percent(way.finishes)),
          ...(listened
            ? [row('chatters, of 100 machines', (way) => (100 * way.chatters).toFixed(0))]
            : []),
        ],
      },
    ],
  };
}

/** What the figures rest on, in one paragraph. */
export function footingSection({ runs, prior, priorFrom }: EvidenceLog, job: Job): Section {
  const others = runs.filter((run) => run.material !== job.material.id).length;
  const [x, y] = [prior.x, prior.y].map(({ sigma }) => Math.exp(sigma).toFixed(2));
  const more = `, a bar's by ${percent(BAR_SIGMA)} (${plural(others, 'run')} in other material)`;
  const material = others === 0 ? '' : more;
  return {
    heading: 'What this rests on',
    parts: [
      say(
        `How sure this is: only losses by cutting force are counted, on assumptions, not measurements: a run's forces are off by ${percent(RUN_SIGMA)} from the prediction${material}, moments by ${percent(MOMENT_SIGMA)} more, and ${percent(OTHER_LOSSES_PER_HOUR)} of hours bring another loss. Were runs off by twice as much, ${IF_TWICE_AS_WIDE} of programs planned at 1 % risk would lose steps (500 simulated machines). Prior: ${priorFrom}, within a factor of ${x} (X) and ${y} (Y) two times in three.`,
      ),
    ],
  };
}

/** What the measured sides of a wrong part say, axis by axis. */
export function shiftsSection(shifts: readonly AxisShift[], units: LengthUnit): Section {
  const parts: Part[] = [say('From the part as measured:')];
  for (const shift of shifts) {
    const measurable = shift.amountKnown && Math.abs(shift.shiftMm) > 2 * shift.sigmaMm;
    parts.push(say(`${shift.axis.toUpperCase()}: ${headOf(shift, measurable, units)}`));
    const items = [
      ...sidesOf(shift, units),
      ...(shift.off && measurable ? slipLines(shift, shift.sigmaMm, units) : []),
    ];
    if (items.length > 0) parts.push({ kind: 'list', items });
  }
  return { heading: 'From the part as measured', parts };
}

/** The same from an amount that an indicator or a rule gave, of an axis that is known. */
export function amountSection(
  axis: 'x' | 'y',
  amountMm: number,
  machine: Machine,
  measureMm: number,
  units: LengthUnit,
): Section | null {
  if (amountMm <= 2 * measureMm) return null;
  const slips = slipsOf(amountMm, measureMm, axis, machine);
  const text = `${axis.toUpperCase()}: off by ${interval(amountMm, measureMm, units)}, ${slips.fullSteps.toFixed(1)} full steps.`;
  const items = slipLines(slips, measureMm, units);
  return { heading: 'From the amount', parts: [say(text), { kind: 'list', items }] };
}

/** A length with its 95 % interval. */
function interval(mm: number, sigmaMm: number, units: LengthUnit): string {
  return `${formatLength(mm, units)} +- ${formatLength(2 * sigmaMm, units)}`;
}

function headOf(s: AxisShift, measurable: boolean, units: LengthUnit): string {
  const way = s.way === null ? '' : ` towards ${s.way}${s.axis.toUpperCase()}`;
  if (s.off && measurable) {
    const by = interval(Math.abs(s.shiftMm), s.sigmaMm, units);
    return `ran off${way} by ${by} (95 %), ${s.fullSteps.toFixed(1)} full steps.`;
  }
  if (s.off) return `ran off${way}, by as much as stands there or more; the amount is not known.`;
  return s.sidesAgree === false && !s.amountKnown
    ? 'neither side was reached, which no shift does.'
    : `not off by more than measuring tells (${interval(s.shiftMm, s.sigmaMm, units)}).`;
}

/** What the two sides say of each other: a sentence or none. */
function sidesOf(s: AxisShift, units: LengthUnit): string[] {
  if (s.untouched !== null && s.amountKnown) {
    return [
      s.sidesAgree === true
        ? `One side is cut too far, side ${s.untouched} was not reached: a shift.`
        : `The sides contradict each other: ${s.untouched} was not reached, and the opposite side is not cut too far. Measure again; the work may have turned or lifted.`,
    ];
  }
  if (s.sumMm !== null && s.sidesAgree === false) {
    const sum = formatLength(s.sumMm, units);
    return [
      `The two sides do not add up to nothing (${sum}): the part is over or under size, too, or the loss came part of the way through.`,
    ];
  }
  if (!s.off) return [];
  return s.sumMm !== null
    ? ['One side is cut too far and the opposite side left by the same amount: a shift.']
    : ['Only one side was measured: measure the opposite side to be sure.'];
}

function slipLines(s: Slips, sigmaMm: number, units: LengthUnit): string[] {
  const restMm = Math.abs(s.cycleRestMm);
  const rest = formatLength(restMm, units, 3);
  const slips = !s.cyclesTell
    ? 'Measuring is not fine enough to tell slips of four full steps from anything else.'
    : restMm <= 2 * sigmaMm
      ? `${plural(s.cycles, 'slip')} of four full steps within ${rest}: as a motor loses them.`
      : `Not a whole number of slips of four full steps (nearest ${s.cycles}, ${rest} off): look for work, cutter or coupling that slipped.`;
  if (s.beltTeeth === null) return [slips];
  const teeth = s.beltTeeth.toFixed(2);
  const whole = Math.round(s.beltTeeth);
  const jump = s.wholeTeeth
    ? `That is ${whole} belt ${whole === 1 ? 'tooth' : 'teeth'} (${teeth}): the belt may have jumped; check its tension before blaming the motor.`
    : `${teeth} belt teeth: not a whole number, so the belt has not just jumped.`;
  return [jump, slips];
}
