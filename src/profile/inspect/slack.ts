/**
 * Slack of the chain as the drive is turned by hand: what comes back once a turn of a wheel is that
 * wheel or its shaft, what comes back once a chain length is the chain, and one place that jumps out is
 * a stiff link or a worn one.
 *
 *   s_i = m + sum over the periods P of (a cos(2 pi n_i / P) + b sin(2 pi n_i / P)),
 *
 * n_i gaps passed; P the teeth of a wheel or the links of the chain; all fitted together by least
 * squares. Source of the signs: HKK troubleshooting hints; sdzxwl.com, tight chains.
 */
import { cos, sin } from '../../maths/elementary.js';
import { TURN_RAD } from '../../maths/angle.js';
import { leastSquares } from '../../maths/least-squares.js';
import { readingSd } from '../../maths/sample.js';
import { type FigureSection, figure, known } from '../../model/figure.js';
import { percent } from '../../text/show.js';
import { type Shift, sizeMm, sureness } from './round.js';

export interface SlackReadings {
  /** Movement of the slack strand up and down at its middle, mm. */
  readonly readings: readonly (number | null)[];
  /** Links passed from one reading to the next. */
  readonly every: number;
  /** Links to a turn of this wheel. */
  readonly teeth: number;
  readonly otherTeeth: number | null;
  readonly links: number | null;
}

/** A strand is moved and read with a rule to this. mm. Judgement. */
const USUAL_SD_MM = 0.5;
const SURE = 0.95;
/** Changes below this part of the slack are of no account. Judgement. */
const WORTH_SAYING = 0.1;
/** A reading so many deviations off what comes round smoothly is a jump. */
const JUMP_SD = 4;

interface Period {
  readonly name: 'this wheel' | 'the other wheel' | 'the chain' | 'either wheel';
  readonly links: number;
}

interface SlackParts {
  readonly meanMm: number;
  readonly parts: readonly (Period & { readonly shift: Shift })[];
  /** Places, in links from the start, of readings that jump out, and by how much. */
  readonly jumps: readonly { readonly at: number; readonly mm: number }[];
  readonly missing: readonly Period[];
}

/** Readings left out as jumps, at most. */
const MOST_JUMPS = 4;

/** @returns null where there are too few readings */
export function slackParts(input: SlackReadings): SlackParts | null {
  const all = periodsOf(input);
  const length = input.readings.length * input.every;
  // Less than one time round cannot be told from a drift; less than two readings a round is none.
  const periods = all.filter((p) => p.links <= length && p.links >= 2 * input.every);
  let places = input.readings.flatMap((value, i) =>
    value === null ? [] : [{ value, at: i * input.every }],
  );
  const jumps: { at: number; mm: number }[] = [];
  let found = fitPeriods(places, periods);
  // A jump would be smeared over all that comes round smoothly: it is taken out first.
  while (found && jumps.length < MOST_JUMPS && Math.abs(found.worstMm) > JUMP_SD * found.sd) {
    const { worst, worstMm } = found;
    jumps.push({ at: places[worst]!.at, mm: worstMm });
    places = places.filter((_, i) => i !== worst);
    found = fitPeriods(places, periods);
  }
  if (found === null || periods.length === 0) return null;
  return {
    meanMm: found.meanMm,
    parts: found.parts,
    jumps,
    missing: all.filter((p) => !periods.includes(p)),
  };
}

function periodsOf({ teeth, otherTeeth, links }: SlackReadings): Period[] {
  const same = otherTeeth === teeth;
  const all: Period[] = [{ name: same ? 'either wheel' : 'this wheel', links: teeth }];
  if (otherTeeth !== null && !same) all.push({ name: 'the other wheel', links: otherTeeth });
  if (links !== null) all.push({ name: 'the chain', links });
  return all;
}

function fitPeriods(places: readonly { value: number; at: number }[], periods: readonly Period[]) {
  const row = (at: number): number[] => [
    1,
    ...periods.flatMap((p) => {
      const t = (TURN_RAD * at) / p.links;
      return [cos(t), sin(t)];
    }),
  ];
  const fit = leastSquares(
    places.map((p) => row(p.at)),
    places.map((p) => p.value),
  );
  if (fit === null) return null;
  const { values, covariance, residuals } = fit;
  // By the middle residual, so that a jump does not count as scatter: 1.4826 x median, for normal errors.
  const sizes = residuals.map(Math.abs).sort((a, b) => a - b);
  const middle = 1.4826 * sizes[Math.floor(sizes.length / 2)]!;
  const free = Math.max(0, places.length - values.length);
  const sd = readingSd(free * middle ** 2, free, USUAL_SD_MM);
  const worst = residuals.reduce(
    (best, r, i) => (Math.abs(r) > Math.abs(residuals[best]!) ? i : best),
    0,
  );
  const parts = periods.map((p, k) => {
    const [i, j] = [1 + 2 * k, 2 + 2 * k];
    const spread = Math.sqrt((covariance[i]![i]! + covariance[j]![j]!) / 2);
    return { ...p, shift: { a: values[i]!, b: values[j]!, sdMm: sd * spread } };
  });
  return { parts, sd, worst, worstMm: residuals[worst]!, meanMm: values[0]! };
}

const CAUSES: Readonly<Record<Period['name'], string>> = {
  'this wheel':
    'the bore, shaft or teeth of this wheel. Turn the wheel half round on the shaft: a tight place that goes with it is the wheel, one that stays the shaft',
  'the other wheel':
    'the bore, shaft or teeth of the other wheel, which a new one here does not cure',
  'either wheel':
    'one of the wheels; they have equal counts, so move the chain on by half a turn on one of them and see whether the tight place moves',
  'the chain': 'the chain, worn more in one part than in another; a new wheel does not cure it',
};

export function slackRoundSection(input: SlackReadings): FigureSection | null {
  const found = slackParts(input);
  if (found === null) return null;
  const figures = known(
    found.parts.map(({ name, links, shift }) =>
      figure(
        `slack${name.replace(/(^| )(\w)/g, (_, _s, c: string) => c.toUpperCase())}Mm`,
        `slack changes once a round of ${name}`,
        'length',
        2 * sizeMm(shift),
        {
          digits: 1,
          formula: `twice the harmonic of ${links} links, fitted with the others by least squares`,
        },
      ),
    ),
  );
  const least = WORTH_SAYING * found.meanMm;
  const sure = found.parts.filter((p) => sureness(p.shift) > SURE && 2 * sizeMm(p.shift) > least);
  const remarks = sure.map(
    ({ name, shift }) =>
      `Tight once a round of ${name} (${percent(sureness(shift))} sure): ${CAUSES[name]}.`,
  );
  for (const { at, mm } of found.jumps) {
    remarks.push(
      `It jumps ${mm < 0 ? 'tight' : 'slack'} at one place, ${at} links from the start: a stiff or worn link is passing a wheel. Bend the links there by hand; a new wheel does not cure it.`,
    );
  }
  if (sure.length === 0 && found.jumps.length === 0)
    remarks.push('The slack is even, as far as it was read.');
  for (const { name, links } of found.missing) {
    remarks.push(
      `What comes round with ${name} cannot be told: read over ${links} links or more, at least twice a round.`,
    );
  }
  return { id: 'slackRound', title: 'Slack round a turn', figures, remarks };
}
