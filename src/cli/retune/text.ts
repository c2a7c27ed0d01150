/** What `retune` says: the answer first, then what it rests on. */
import type { LoggedRun } from '../../machines/learn/evidence.js';
import { type AxisShift, type Slips, slipsOf } from '../../machines/learn/offsets.js';
import type { Lost } from '../../machines/learn/run-evidence.js';
import type { Machine } from '../../model/machine.js';
import type { LossCauses } from '../../plan/retune/causes.js';
import type { Retuned, WayToRun } from '../../plan/retune/retune.js';
import type { RunOn } from '../../plan/retune/run.js';
import { percent, plural } from '../../text/show.js';
import { type LengthUnit, formatLength, formatMinutes } from '../../say/format.js';
import { type Part, type Section, say } from './parts.js';

const PLACES_SHOWN = 5;

const AXIS_WORDS = {
  x: 'X',
  y: 'Y',
  z: 'Z',
  both: 'X and Y',
  unknown: 'an axis not known',
} as const;

/** Less than this is no gain. min */
const GAIN_MIN = 1;

/** The odds of both ways, and what to do. @param path  of the job, as the person gave it */
export function answerSection(r: Retuned, path: string, logName: string): Section {
  const { old, fresh, refused } = r;
  const now = `As it was planned it reaches its end with a chance of ${percent(old.finishProbability)}, in ${formatMinutes(old.totalMin)}.`;
  const again =
    fresh === null
      ? `It was not planned again: ${refused}.`
      : `Planned again, of ${percent(fresh.finishProbability)}, in ${formatMinutes(fresh.totalMin)}.`;
  return {
    heading: 'What to do',
    parts: [
      say(`${now} ${again}`),
      say('Next:'),
      { kind: 'list', items: nextSteps(r, path, logName) },
    ],
  };
}

function nextSteps(
  { old, fresh, causes, otherCause, lowLoad }: Retuned,
  path: string,
  logName: string,
): string[] {
  const steps: string[] = [];
  if (lowLoad) {
    steps.push(
      `Look for the cause before you cut again: with a chance of ${percent(otherCause ?? 1)} it was no matter of cutting force, and going slower will not cure it. What to look at stands below. Where you find it, take this run out of ${logName}: it then says nothing about the thrust.`,
    );
  }
  if (causes) {
    steps.push(
      `To take this part up again: gullet plan ${path} --resume-at LINE --offset=x,y, with the last line that was right and how far it is off.`,
    );
  }
  const worthMin = fresh?.worth.pullTestMin ?? null;
  if (fresh === null || (worthMin !== null && worthMin >= GAIN_MIN)) {
    const saves =
      fresh === null ? 'may get it back' : `could save ${worthMin!.toFixed(0)} min of each cut`;
    steps.push(
      `A pull with a luggage scale until each axis slips takes ten minutes and ${saves}: gullet retune ${path} --pull-test says how.`,
    );
  }
  if (fresh !== null) {
    if (fresh.edgeServedLives === 0 && fresh.edgeInLives > 0) {
      steps.push(
        `Put in a new edge for the next cut, as it is planned: this one has served ${percent(fresh.edgeInLives)} of its life.`,
      );
    }
    if (fresh.newEdgeSavesMin >= GAIN_MIN) {
      steps.push(
        `A new edge at the start could save ${fresh.newEdgeSavesMin.toFixed(0)} min: gullet plan ${path} --edge new.`,
      );
    }
    const alike =
      fresh.finishProbability <= old.finishProbability + 0.001 &&
      fresh.totalMin > old.totalMin - GAIN_MIN;
    steps.push(
      alike
        ? 'Go on with the program as it is.'
        : `gullet plan ${path}: it reads ${logName} by itself.`,
    );
  }
  return steps;
}

/** What was taken of edge and blank. */
export function takenSection(run: LoggedRun, on: RunOn): Section | null {
  const { edge } = run;
  if (edge === null) return null;
  const life = percent(edge.tookLives);
  const served =
    edge.beforeLives > 0 ? `had served ${percent(edge.beforeLives)} of its life` : 'was new';
  const began = on.edgeMin === null ? `${served}, as planned` : served;
  const changes = on.edges === null ? 'as planned' : `${on.edges - 1}`;
  const bar = run.bar === null ? 'the one bar of its material' : `bar ${run.bar}`;
  return {
    heading: 'Taken of edge and blank',
    parts: [
      say(
        `Taken: the edge ${began}, the run took ${life} of its life; cutter changes: ${changes}; ${bar}. --edge, --changes and --bar say otherwise.`,
      ),
    ],
  };
}

export function headline(title: string, run: LoggedRun | null, units: LengthUnit): string {
  if (run === null) return `${title}: what the log says so far`;
  if (run.heard?.sound === 'chatter') return `${title}: chatter heard (${run.seen})`;
  if (run.outcome === 'finished') {
    return `${title}: finished without losing steps${run.heard ? ' and without a howl' : ''}`;
  }
  const axis = AXIS_WORDS[run.axis ?? 'unknown'];
  const by = run.amountMm === null ? '' : ` by ${formatLength(run.amountMm, units)}`;
  const way =
    run.direction === null ? '' : ` towards ${run.direction}${run.axis ?? ''}`.replace('both', '');
  const off = by + way === '' ? '' : `, off${by}${way}`;
  return `${title}: lost steps on ${axis} (${run.seen})${off}`;
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

/** What did it. */
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
    const likelier = causes.axis.x >= causes.axis.y ? 'x' : 'y';
    const on = lost.axis === 'both' ? likelier : (lost.axis ?? likelier);
    const asks =
      on === 'z'
        ? ''
        : `, ${causes.peakN.toFixed(0)} N asked of a limit near ${bands.before[on].p50.toFixed(0)} N`;
    const text = `A loss at a low load: probability of cutting force ${force}${asks}. Look, in this order, at:`;
    parts.push(say(text), { kind: 'list', items: causes.advice });
  } else {
    const anything = `anything else: ${percent(otherCause)}`;
    parts.push(say(`Probability that cutting force did it: ${force}; ${anything}.`));
    if (causes) parts.push(say('Most likely places:'), placesTable(causes));
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

export function sideBySideSection(
  { old, halved, fresh, refused }: Retuned,
  riskShare: number,
): Section {
  const ways = [old, halved, ...(fresh ? [fresh] : [])];
  const row = (name: string, of: (way: WayToRun) => string) => [name, ...ways.map(of)];
  const minutes = (value: number | null) => (value === null ? '' : formatMinutes(value));
  const force = (axis: 'x' | 'y') => (way: WayToRun) =>
    `${way.driveDemandN[axis].toFixed(0)} of ${way.driveThrustN[axis].toFixed(0)} N`;
  const found =
    fresh === null
      ? `it was not planned again: ${refused}.`
      : `what holds it back most: ${fresh.limitedBy}.`;
  return {
    heading: 'The job, before and after',
    parts: [
      say(`At a risk of ${percent(riskShare)} ${found}`),
      {
        kind: 'table',
        heading: ['', 'as planned', 'feeds halved', 'planned again'].slice(0, ways.length + 1),
        rows: [
          row('reaches its end', (way) => percent(way.finishProbability)),
          row('drives keep their steps', (way) => percent(way.finishParts.drive)),
          row('total time', (way) => formatMinutes(way.totalMin)),
          row('roughing', (way) => minutes(way.roughCutMin)),
          row('finishing', (way) => minutes(way.finishMin)),
          row('cutters, in turn', (way) => `${way.edges}`),
          row('thrust asked of X', force('x')),
          row('thrust asked of Y', force('y')),
          row('chatters, of 100 machines', (way) => (100 * way.chatterProbability).toFixed(0)),
        ],
      },
    ],
  };
}

/** What the figures rest on. */
export function footingSection({ learning }: Retuned): Section {
  const { runs, pulls, prior, priorFrom } = learning.log;
  const [x, y] = [prior.x, prior.y].map(
    ({ thrustN, sigma }) =>
      `${thrustN.toFixed(0)} N within a factor of ${Math.exp(sigma).toFixed(2)}`,
  );
  const lost = runs.filter(({ outcome }) => outcome === 'lost').length;
  const from = [
    `${priorFrom} (X ${x}, Y ${y}, two times in three)`,
    pulls.length > 0 && plural(pulls.length, 'pull test'),
    runs.length > 0 && `${plural(runs.length, 'run')}, ${lost} of them lost`,
  ].filter(Boolean);
  return {
    heading: 'What this rests on',
    parts: [
      say(
        `Known from: ${from.join('; ')}. How far runs scatter and how an edge blunts is learned from the runs; the rest are assumptions, so these are odds, no promise.`,
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
