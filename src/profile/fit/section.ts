/** Fit of tooth form and chain, as figures. The wheel is the driving one. */
import type { FitReport, FitAt } from './fit.js';
import { MAX_SOUGHT } from './ride.js';
import {
  ELEMENTARY,
  type Figure,
  type FigureColumn,
  type FigureSection,
  figure,
} from '../../model/figure.js';
import type { SprocketSpec } from '../wheel/sprocket.js';
import { WEAR_SOURCE, elongationLimit } from '../chain/wear.js';

const SIMULATED = 'simulation of the strand turning about the last seated roller; geometry';

const COLUMNS: readonly FigureColumn[] = [
  column('elongation', 'wear', 'share', 1, 'as given'),
  column('riseMm', 'rides higher by', 'length', 2, 'R e on the circle p (1 + e) / (2 sin(pi / z))'),
  column(
    'contactHeight',
    'contact up the flank',
    'share',
    0,
    '0 % is the end of the seat, 100 % the start of the tip',
  ),
  column(
    'pressureRad',
    'pressure angle',
    'angle',
    1,
    'normal of the flank against the link on the tight side',
  ),
  column(
    'entryMm',
    'entry',
    'length',
    3,
    'least clearance on the outer half of the flank, tight strand',
  ),
  column('exitMm', 'exit', 'length', 3, 'the same, slack strand'),
  column(
    'otherFlankMm',
    'to the other flank',
    'length',
    3,
    'clearance of a seated roller to the flank that does not drive',
  ),
  column(
    'playMm',
    'play in the gap',
    'length',
    2,
    'shift along the pitch circle from flank to flank',
  ),
];

function column(
  key: string,
  label: string,
  kind: FigureColumn['kind'],
  digits: number,
  formula: string,
): FigureColumn {
  return { key, label, kind, digits, formula, source: SIMULATED };
}

/**
 * @param report   with the form error only
 * @param shifted  with a shift after lost steps besides; null where none is looked at
 * @param spec     the wheel that both are of
 */
export function fitSection(
  report: FitReport,
  shifted: FitReport | null,
  spec: SprocketSpec,
): FigureSection {
  const figures: Figure[] = [
    figure({
      key: 'formErrorMm',
      label: 'metal left by finishing',
      kind: 'length',
      value: report.errors.formErrorMm,
      digits: 3,
      formula: 'limits.tolerance of the job, or --form-error',
      source: 'as given',
    }),
    ...errorFigures(report, '', 'with it'),
  ];
  if (shifted) {
    figures.push(
      figure({
        key: 'offsetMm',
        label: 'shift of teeth after lost steps',
        kind: 'length',
        value: Math.hypot(...shifted.errors.offsetMm),
        digits: 3,
        formula: 'four full motor steps of X, one electrical turn, or --offset',
        source: 'a stepper that slips comes to rest a whole number of electrical turns off',
      }),
      ...errorFigures(shifted, 'Shifted', 'with both'),
    );
  }
  figures.push(
    figure({
      key: 'jumpElongation',
      label:
        report.jumpElongation >= MAX_SOUGHT
          ? 'wear at which rollers reach the tips, over'
          : 'wear at which rollers reach the tips',
      kind: 'share',
      value: report.jumpElongation,
      limit: {
        rule: 'at least',
        value: elongationLimit(spec.teeth),
        weight: 'should',
        source: WEAR_SOURCE,
      },
      formula: 'solved: contact at the end of the flank',
      source: SIMULATED,
    }),
  );
  return {
    id: 'fit',
    title: 'Fit with the chain, as drawn',
    figures,
    table: { columns: COLUMNS, rows: report.drawn.map(rowOf) },
    remarks: remarksOf(report, shifted, spec),
  };
}

/** Least clearance with some errors, and the relief that frees the chain from them. */
function errorFigures({ tightest, relief }: FitReport, suffix: string, label: string): Figure[] {
  const figures: Figure[] = [];
  if (tightest) {
    figures.push(
      figure({
        key: `leastClearance${suffix}Mm`,
        label: `least clearance ${label}`,
        kind: 'length',
        value: tightest.clearanceMm,
        digits: 3,
        limit: { rule: 'at least', value: 0, weight: 'should', source: ELEMENTARY },
        formula:
          suffix === ''
            ? 'least of entry and exit over all wear, less the form error'
            : 'least of entry and exit over all wear, less form error and |shift . normal|',
        source: SIMULATED,
      }),
    );
  }
  if (relief.reliefMm !== null && !relief.free) {
    figures.push(
      figure({
        key: `relief${suffix}Mm`,
        label: relief.settable
          ? `flank relief that frees the chain ${label}`
          : `more opening that the tip would need ${label}`,
        kind: 'length',
        value: relief.reliefMm,
        digits: 3,
        formula: relief.settable
          ? 'solved: least relief without contact on the outer half of the flanks'
          : 'solved: opening growing with the square of the height',
        source: SIMULATED,
      }),
    );
  }
  return figures;
}

function rowOf({ elongation, ride, tight, slack }: FitAt): (number | null)[] {
  if (ride === null) return [elongation, ...Array<null>(COLUMNS.length - 1).fill(null)];
  const onFlank = ride.contact.height >= 0;
  return [
    elongation,
    ride.riseMm,
    onFlank ? ride.contact.height : null,
    onFlank ? ride.pressureRad : null,
    tight?.outer?.clearanceMm ?? null,
    slack?.outer?.clearanceMm ?? null,
    ride.otherFlankMm,
    ride.playMm,
  ];
}

const SIDES = { tight: 'entry (tight strand)', slack: 'exit (slack strand)' } as const;

function remarksOf(report: FitReport, shifted: FitReport | null, spec: SprocketSpec): string[] {
  const { relief, pitchesToBind, made } = report;
  const remarks = [...placeRemark('Tightest place', report), reliefRemark(relief, spec)];
  if (shifted) {
    remarks.push(...placeRemark('With teeth shifted, the tightest place', shifted));
    if (!shifted.relief.free && relief.free) {
      remarks.push('Lost steps of that size make it strike: the part is to be checked, not run.');
    }
  }
  const over = made[0]?.ride?.wheelOverMm ?? 0;
  if (pitchesToBind !== null) {
    remarks.push(
      `With that metal left the pitch of the wheel is ${over.toFixed(3)} mm over a new chain's, and ${bindsAfter(pitchesToBind)} the rollers climb the flanks. Finish on the minus side, as the tolerance of the root diameter does.`,
    );
  }
  remarks.push(
    'Entry and exit are those of a driving wheel; on a driven one they change places. Strands are taken as straight and joints as without play.',
  );
  return remarks;
}

function placeRemark(what: string, { tightest }: FitReport): string[] {
  if (!tightest) return [];
  const percent = (share: number, digits: number): string => `${(100 * share).toFixed(digits)} %`;
  const gap =
    tightest.gap === null ? '' : `, in gap ${tightest.gap} counted counter-clockwise from +X`;
  return [
    `${what}: ${SIDES[tightest.strand]} at ${percent(tightest.elongation, 1)} wear, ${percent(tightest.height, 0)} up the flank${gap}.`,
  ];
}

/** Where the chain has used up its play in the gaps. */
function bindsAfter(pitches: number): string {
  const teeth = Math.max(1, Math.round(pitches));
  return teeth === 1 ? 'from one tooth to the next' : `after ${teeth} teeth`;
}

function reliefRemark(relief: FitReport['relief'], spec: SprocketSpec): string {
  if (relief.free) return 'The chain comes in and out freely; no more relief is needed.';
  if (relief.reliefMm === null)
    return 'No flank relief frees the chain: reduce the errors, or take a standard form.';
  if (relief.settable) {
    return `Set sprocket.flank-relief to ${relief.reliefMm.toFixed(3)} mm to free the chain in spite of the metal left.`;
  }
  const open =
    spec.toothForm === 'iso606-max'
      ? 'link-sweep with relief'
      : 'a more open form, such as iso606-max';
  return `The flanks strike the rollers: take ${open}, or reduce the errors.`;
}
