/**
 * The blank for the lathe: section with its axis lying, the raw piece dashed round it. Proportions
 * are drawn to be read, not to scale; every size is written.
 *
 *        :- - - - - - - - - :   raw piece, as sawn off
 *        :      +--+        :
 *        :      |  |  rim   :   tip circle inside the rim by centring error and skin
 *        :+-----+  |        :
 *        :| hub    |        :
 *   ------+--------+-------- axis
 */
import type { Plan } from '../plan.js';
import type { SheetFigures } from './figures.js';
import type { Format } from './format.js';
import { belowTeeth } from './holding-plan.js';
import { CHUCKING_MM, PARTING_MM } from '../../profile/wheel/lathe.js';
import { type Html, html } from './html.js';
import { area, clamp, dimensionX, dimensionY, hatchings, leader, line, n } from './ink.js';

/** Raw piece beyond the finished faces, each side. mm. Common practice, no source. */
export const FACE_ALLOWANCE_MM = 1;
/** The raw disc's surplus on the diameter. mm. Common practice, no source. */
export const RIM_ALLOWANCE_MM = 2;

/** Length of the raw piece: of a bar what the chuck holds and parting takes besides. mm */
export function rawLengthMm(planned: Plan, figures: SheetFigures): number {
  const { job, cam } = planned;
  const bar = job.blank.heldBy === 'spigot' && job.bore.madeBy === 'lathe';
  const below = belowTeeth(job, figures.holding)?.lengthMm ?? 0;
  const held = bar ? CHUCKING_MM + PARTING_MM : 0;
  return cam.blank.thicknessMm + below + 2 * FACE_ALLOWANCE_MM + held;
}

const WIDTH = 96;
const HEIGHT = 64;
/** Where the lettering at the sides begins and ends. */
const RIGHT = 68;
const LEFT = 20;
const AXIS_Y = 28;
/** Faces of the disc, lower end of hub or spigot, half the rim. */
const LOWER = 44;
const UPPER = 56;
const END = 30;
const RIM = 19;
const TIP = RIM - 2.2;
const RAW = { end: 2.2, rim: 2.6 } as const;
const RELIEF = { across: 2.6, down: 4.2 } as const;

export function blankDrawing(planned: Plan, figures: SheetFigures, f: Format): Html {
  const { cam, job, summary } = planned;
  const profile = planned.aim.drawn;
  const below = belowTeeth(job, figures.holding);
  const scale = RIM / (cam.blank.diameterMm / 2);
  const holeMm = job.bore.madeBy === 'router' ? (job.bore.pilotHoleMm ?? 0) : job.bore.diameterMm;
  const hole = holeMm > 0 ? clamp((scale * holeMm) / 2, 2.4, 8) : 0;
  const hub = below ? clamp((scale * below.diameterMm) / 2, hole + 2.5, 13) : hole;
  const left = below ? END : LOWER;
  const half = (up: -1 | 1): Html => {
    const y = (r: number): number => AXIS_Y + up * r;
    const hubEnd: [number, number][] = below
      ? [
          [LOWER, y(hub)],
          [END, y(hub)],
        ]
      : [];
    return area(
      [
        [left, y(hole)],
        [UPPER, y(hole)],
        [UPPER, y(RIM - RELIEF.down)],
        [UPPER - RELIEF.across, y(RIM)],
        [LOWER + RELIEF.across, y(RIM)],
        [LOWER, y(RIM - RELIEF.down)],
        ...hubEnd,
        [left, y(below ? hub : hole)],
      ],
      'part',
    );
  };
  const raw = { x1: left - RAW.end, x2: UPPER + RAW.end, y: RIM + RAW.rim };
  const rawMm = rawLengthMm(planned, figures);
  const bottom = AXIS_Y + raw.y;
  return html`<svg
    class="drawing"
    viewBox="0 0 ${WIDTH} ${HEIGHT}"
    role="img"
    aria-label="The blank for the lathe: section, with the raw piece dashed"
  >
    ${hatchings('blank')}
    <path
      class="hidden"
      d="M${n(raw.x1)} ${n(AXIS_Y - raw.y)}H${n(raw.x2)}V${n(bottom)}H${n(raw.x1)}Z"
    />
    ${half(-1)}${half(1)} ${line(left, AXIS_Y - hole, left, AXIS_Y + hole, 'thin')}
    ${line(UPPER, AXIS_Y - hole, UPPER, AXIS_Y + hole, 'thin')}
    ${line(left - 4, AXIS_Y, UPPER + 5, AXIS_Y, 'axis')}
    ${[-TIP, TIP].map((r) => line(LOWER - 1.5, AXIS_Y + r, UPPER + 1.5, AXIS_Y + r, 'axis'))}
    ${dimensionX(LOWER, UPPER, AXIS_Y - raw.y - 2.5, AXIS_Y - RIM, f.onDrawing(job.blank.thicknessMm ?? summary.predicted.toothWidthMm!))}
    ${
      below ? dimensionX(END, LOWER, bottom + 4.5, AXIS_Y + hub, f.onDrawing(below.lengthMm)) : null
    }
    ${dimensionX(raw.x1, raw.x2, HEIGHT - 2, bottom, `raw ${f.onDrawing(rawMm, 1)}`)}
    ${dimensionY(AXIS_Y - RIM, AXIS_Y + RIM, UPPER + 8, UPPER - RELIEF.across + 0.6, ['rim \u2300', ...f.stacked(cam.blank.diameterMm)])}
    ${dimensionY(AXIS_Y - raw.y, bottom, raw.x1 - 5, raw.x1 - 0.6, ['saw off \u2300', ...f.stacked(cam.blank.diameterMm + RIM_ALLOWANCE_MM, 1), 'or more'])}
    ${leader(RIGHT, 4.5, UPPER + 0.8, AXIS_Y - TIP, ['tip circle', ...sized('\u2300', profile.tipDiameterMm, f)])}
    ${leader(RIGHT, 46, UPPER - RELIEF.across / 2, AXIS_Y + RIM - RELIEF.down / 2, reliefText(figures, f))}
    ${hole > 0 ? leader(RIGHT, 38, UPPER - 2, AXIS_Y + hole, holeText(planned, holeMm, f)) : null}
    ${below ? leader(LEFT, 6, left + 4, AXIS_Y - hub, [`${below.what} \u2300`, ...f.stacked(below.diameterMm)], 'end') : null}
  </svg>`;
}

/** A size behind its sign, inches on a line of their own. */
function sized(sign: string, mm: number, f: Format, digits?: number): string[] {
  const [first = '', ...rest] = f.stacked(mm, digits);
  return [`${sign} ${first}`, ...rest];
}

function reliefText({ relief }: SheetFigures, f: Format): string[] {
  return [
    ...sized('relief', relief.atTipMm, f),
    `R ${f.stacked(relief.radiusMm, 1)[0]!}`,
    ...sized('from \u2300', 2 * relief.startRadiusMm, f, 1),
  ];
}

function holeText({ job }: Plan, holeMm: number, f: Format): string[] {
  if (job.bore.madeBy === 'router') return sized('drill \u2300', holeMm, f);
  return job.blank.heldBy === 'through-bolt'
    ? ['bore, bolt hole', ...sized('\u2300', holeMm, f)]
    : sized('bore \u2300', holeMm, f);
}
