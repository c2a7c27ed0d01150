/** A finished wheel gap by gap: how far the ring of teeth lies off the bore and which way, what is left
 *  tooth by tooth, and which way of putting it right is open. */
import { cos, sin } from '../../maths/elementary.js';
import { degFromRad, TURN_RAD } from '../../maths/angle.js';
import { mean } from '../../maths/sample.js';
import { type FigureSection, figure, known, must } from '../../model/figure.js';
import { directionRad, roundOf, sizeMm, sureness } from './round.js';
import { mm, percent } from '../../text/show.js';

export interface GapReadings {
  /** On the bottom of each gap, counter-clockwise, growing outwards; null missing. mm */
  readonly readings: readonly (number | null)[];
  readonly usualSdMm: number;
  /** Greatest total reading, and who says so. */
  readonly limit: { readonly maxMm: number; readonly source: string };
  /** What the root diameter has to spare; null where it was not measured. mm */
  readonly spareMm: number | null;
  /** Of pins in neighbouring gaps, in the order of the gaps: the first over gaps 1 and 2; null where not
   *  measured. mm */
  readonly overNeighboursMm: readonly (number | null)[] | null;
  /** What those should be: chord of the pitch and a pin. mm */
  readonly chordMm: number;
}

const FIT_SOURCE = 'NIST/SEMATECH e-Handbook 3.4.4, harmonic fit by least squares';
/** Deepest that a round file follows a seat without spoiling the flank. mm. Judgement, no source. */
const FILE_MOST_MM = 0.15;

/** Gap, counted from 1, at an angle. */
export function gapAt(rad: number, count: number): number {
  return (Math.round((rad / TURN_RAD) * count) % count) + 1;
}

/** @returns null where too few gaps were read to tell anything */
export function gapSection(input: GapReadings): FigureSection | null {
  const { readings, limit } = input;
  const round = roundOf(readings, input.usualSdMm);
  if (round === null) return null;
  const { shift, oval, meanMm } = round;
  const direction = directionRad(shift);
  const present = readings.filter((r) => r !== null);
  const level = Math.min(...present) + limit.maxMm;
  const rows = readings.map((value, i) => [
    i + 1,
    value === null ? null : value - meanMm,
    round.residualMm[i] ?? null,
    value === null ? null : Math.max(0, value - level),
  ]);
  const column = (key: string, label: string, formula: string) =>
    ({ key, label, kind: 'length', digits: 3, formula, source: FIT_SOURCE }) as const;
  return {
    id: 'gaps',
    title: 'Gap by gap',
    figures: known([
      figure('totalRunoutMm', 'total reading', 'length', round.totalMm, {
        digits: 3,
        limit: must('at most', limit.maxMm, limit.source),
        formula: 'highest less lowest',
      }),
      figure('eccentricityMm', 'ring of teeth off the bore', 'length', sizeMm(shift), {
        digits: 3,
        formula: 'sqrt(a^2 + b^2), a = (2/z) sum R cos t, b = (2/z) sum R sin t',
        source: FIT_SOURCE,
      }),
      figure('eccentricitySdMm', 'likely error of that', 'length', shift.sdMm, {
        digits: 3,
        formula: 'scatter x sqrt(2 / z)',
        source: FIT_SOURCE,
      }),
      figure('directionRad', 'towards, from gap 1 counter-clockwise', 'angle', direction, {
        formula: 'atan2(b, a)',
        source: FIT_SOURCE,
      }),
      figure('ovalMm', 'oval, twice round', 'length', oval && sizeMm(oval), {
        digits: 3,
        formula: 'second harmonic of the same fit',
        source: FIT_SOURCE,
      }),
      figure('toothScatterMm', 'scatter from gap to gap', 'length', round.scatterMm, {
        digits: 3,
        formula: 'what the fit leaves, root mean square',
        source: FIT_SOURCE,
      }),
      ...pitchFigures(input),
    ]),
    table: {
      columns: [
        { ...column('gap', 'gap', 'counter-clockwise'), kind: 'count', digits: 0 },
        column('overMeanMm', 'over the mean', 'R - m'),
        column('toothMm', 'of the tooth itself', 'R less shift and oval'),
        column('fileMm', 'to file', 'R - (lowest + limit)'),
      ],
      rows,
    },
    remarks: remarksOf(input, round, rows),
  };
}

function pitchFigures({ overNeighboursMm, chordMm }: GapReadings) {
  const errors = (overNeighboursMm ?? []).map((over) => over && over - chordMm);
  const present = errors.filter((e) => e !== null);
  if (present.length === 0) return [];
  const worst = errors.reduce<number>(
    (best, e, i) => (Math.abs(e ?? 0) > Math.abs(errors[best] ?? 0) ? i : best),
    0,
  );
  const label = `pitch error, worst, gaps ${worst + 1} and ${((worst + 1) % errors.length) + 1}`;
  return [
    figure('pitchErrorMm', label, 'length', errors[worst]!, {
      digits: 3,
      formula: 'over pins in neighbouring gaps less chord and pin',
    }),
    figure('pitchMeanErrorMm', 'pitch error, mean', 'length', mean(present), {
      digits: 3,
      formula: 'all round; a ring cut too deep or too shallow shows here',
    }),
  ];
}

function remarksOf(
  { readings, limit, spareMm }: GapReadings,
  { shift, totalMm, residualMm, oval }: NonNullable<ReturnType<typeof roundOf>>,
  rows: readonly (readonly (number | null)[])[],
): string[] {
  const [e, towards] = [sizeMm(shift), directionRad(shift)];
  const where = `${degFromRad(towards).toFixed(0)} deg from gap 1, near gap ${gapAt(towards, readings.length)}`;
  const sure = `${percent(sureness(shift))} sure to be more than errors of reading`;
  const centre = `The teeth lie ${mm(e)} off the bore, ${where} (${sure}).`;
  if (totalMm <= limit.maxMm) return [centre, 'The runout is inside the limit: leave it.'];
  // A bore put right leaves what the teeth are among themselves, the oval with it.
  const rest = residualMm.map((r, i) => {
    const t = (TURN_RAD * i) / residualMm.length;
    return r === null ? null : r + (oval ? oval.a * cos(2 * t) + oval.b * sin(2 * t) : 0);
  });
  const left = rest.filter((r) => r !== null);
  const afterBore = Math.max(...left) - Math.min(...left);
  const deepest = Math.max(...rows.map((row) => row[3] ?? 0));
  const files = rows.filter((row) => (row[3] ?? 0) > 0).map((row) => row[0]);
  const spare = spareMm === null || spareMm >= deepest;
  const ways: string[] = [];
  if (deepest <= FILE_MOST_MM && spare) {
    ways.push(
      `File gap${files.length > 1 ? 's' : ''} ${files.join(', ')}, ${mm(deepest)} at the most, as the table says, and the same off the flanks there` +
        (spareMm === null ? '; measure over pins first.' : '.'),
    );
  }
  if (afterBore <= limit.maxMm) {
    ways.push(
      `Or bore again ${mm(e)} towards gap ${gapAt(towards, readings.length)}, round and larger, and braze in an insert: ${mm(afterBore)} of runout is left.`,
    );
  }
  if (ways.length === 0) {
    ways.push(
      `Make it again: filing would take ${mm(deepest)}, and with the bore put right ${mm(afterBore)} of runout is left, more than ${mm(limit.maxMm)}.`,
    );
  }
  return [centre, ...ways.map((way, i) => (i === 0 ? way.replace(/^Or b/, 'B') : way))];
}
