/** Fit of tooth form and chain, as figures. The wheel is the driving one. */
import { hypot } from '../../maths/elementary.js';
import { type Figure, type FigureColumn, type FigureSection } from '../../model/figure.js';
import { ELEMENTARY, figure, known, should } from '../../model/figure.js';
import { WEAR_SOURCE, elongationLimit } from '../chain/wear.js';
import { TOOTH_RULES } from '../tooth/forms.js';
import type { SprocketSpec } from '../wheel/sprocket.js';
import type { FitAt, FitReport } from './fit.js';
import { MAX_SOUGHT } from './ride.js';
import { inPercent } from '../../text/show.js';

const SIMULATED = 'simulation of the strand turning about the last seated roller; geometry';

const HEIGHT = '0 % is the end of the seat, 100 % the start of the tip';
const PRESSURE = 'normal of the flank against the link on the tight side';
const ENTRY = 'least clearance on the outer half of the flank, tight strand';
const OTHER_FLANK = 'clearance of a seated roller to the flank that does not drive';

const COLUMNS: readonly FigureColumn[] = (
  [
    ['elongation', 'wear', 'share', 1, 'as given'],
    ['riseMm', 'rides higher by', 'length', 2, 'R e on the circle p (1 + e) / (2 sin(pi / z))'],
    ['contactHeight', 'contact up the flank', 'share', 0, HEIGHT],
    ['pressureRad', 'pressure angle', 'angle', 1, PRESSURE],
    ['entryMm', 'entry', 'length', 3, ENTRY],
    ['exitMm', 'exit', 'length', 3, 'the same, slack strand'],
    ['otherFlankMm', 'to the other flank', 'length', 3, OTHER_FLANK],
    ['playMm', 'play in the gap', 'length', 2, 'shift along the pitch circle from flank to flank'],
  ] as const
).map(([key, label, kind, digits, formula]) => {
  return { key, label, kind, digits, formula, source: SIMULATED };
});

/** Least clearance with some errors, and the relief that frees the chain from them.
 *  @param shifted  whether a shift after lost steps is among them */
function withErrors({ tightest, relief }: FitReport, shifted: boolean): (Figure | null)[] {
  const [mark, which] = shifted ? ['Shifted', 'both'] : ['', 'it'];
  const less = shifted ? 'form error and |shift . normal|' : 'the form error';
  const [what, how] = relief.settable
    ? [
        'flank relief that frees the chain',
        'least relief without contact on the outer half of the flanks',
      ]
    : ['more opening that the tip would need', 'opening growing with the square of the height'];
  const clearanceMm = tightest && tightest.clearanceMm;
  const reliefMm = relief.free ? null : relief.reliefMm;
  return [
    figure(`leastClearance${mark}Mm`, `least clearance with ${which}`, 'length', clearanceMm, {
      digits: 3,
      limit: should('at least', 0, ELEMENTARY),
      formula: `least of entry and exit over all wear, less ${less}`,
      source: SIMULATED,
    }),
    figure(`relief${mark}Mm`, `${what} with ${which}`, 'length', reliefMm, {
      digits: 3,
      formula: `solved: ${how}`,
      source: SIMULATED,
    }),
  ];
}

function shiftFigures(shifted: FitReport): (Figure | null)[] {
  const shiftMm = hypot(...shifted.errors.offsetMm);
  return [
    figure('offsetMm', 'shift of teeth after lost steps', 'length', shiftMm, {
      digits: 3,
      formula: 'four full motor steps of X, one electrical turn, or --offset',
      source: 'a stepper that slips comes to rest a whole number of electrical turns off',
    }),
    ...withErrors(shifted, true),
  ];
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
  const { jumpElongation, errors } = report;
  const jump = `wear at which rollers reach the tips${jumpElongation >= MAX_SOUGHT ? ', over' : ''}`;
  return {
    id: 'fit',
    title: 'Fit with the chain, as drawn',
    figures: known([
      figure('formErrorMm', 'metal left outside the drawn outline', 'length', errors.formErrorMm, {
        digits: 3,
        formula: '--form-error; none by default, plans are aimed inside the drawn outline',
        source: 'as given',
      }),
      ...withErrors(report, false),
      ...(shifted ? shiftFigures(shifted) : []),
      figure('jumpElongation', jump, 'share', jumpElongation, {
        limit: should('at least', elongationLimit(spec.teeth), WEAR_SOURCE),
        formula: 'solved: contact at the end of the flank',
        source: SIMULATED,
      }),
    ]),
    table: { columns: COLUMNS, rows: report.drawn.map(rowOf) },
    remarks: remarksOf(report, shifted, spec),
  };
}

function rowOf({ elongation, ride, tight, slack }: FitAt): (number | null)[] {
  if (ride === null) return [elongation, ...Array<null>(COLUMNS.length - 1).fill(null)];
  const onFlank = ride.contact.height >= 0;
  return [
    elongation,
    ride.riseMm,
    onFlank ? ride.contact.height : null,
    onFlank ? ride.pressureRad : null,
    tight?.clearanceMm ?? null,
    slack?.clearanceMm ?? null,
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
      `With that metal left the pitch of the wheel is ${over.toFixed(3)} mm over a new chain's, and ${bindsAfter(pitchesToBind)} the rollers climb the flanks. A plan finishes on the minus side, as the tolerance of the root diameter does.`,
    );
  }
  remarks.push(
    'Entry and exit are those of a driving wheel; on a driven one they change places. Strands are taken as straight and joints as without play.',
  );
  return remarks;
}

function placeRemark(what: string, { tightest }: FitReport): string[] {
  if (!tightest) return [];
  const gap =
    tightest.gap === null ? '' : `, in gap ${tightest.gap} counted counter-clockwise from +X`;
  return [
    `${what}: ${SIDES[tightest.strand]} at ${inPercent(tightest.elongation)} wear, ${inPercent(tightest.height, 0)} up the flank${gap}.`,
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
  return `The flanks strike the rollers: take ${TOOTH_RULES[spec.toothForm].moreOpen}, or reduce the errors.`;
}
