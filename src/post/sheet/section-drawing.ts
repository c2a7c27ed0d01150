/** Section through blank, holding and cutter at the lowest level. Proportions are drawn to be
 *  read, not to scale; every size is written. */
import type { Plan } from '../plan.js';
import type { SheetFigures } from './figures.js';
import type { Format } from './format.js';
import { type Html, html } from './html.js';
import {
  area,
  box,
  clamp,
  dimensionX,
  dimensionY,
  hatchings,
  label,
  leader,
  line,
  n,
} from './ink.js';

/** Axis of the wheel. */
const CX = 54;
/** Half the width of the blank. */
const RIM = 30;
/** Top and lower face of the teeth, and the table. */
const TOP = 27;
const BELOW = 37;
const TABLE_TOP = 53;
const TABLE_BOTTOM = 59;
const HUB_BOTTOM = BELOW + 12;
/** Face of the collet nut and tip of the cutter at the lowest level. */
const NUT = TOP - 9;
const TIP = BELOW + 1.6;
const CUTTER = 5;
const NUT_HALF = 7;

type Shape = ReturnType<typeof shapeOf>;

/** Half widths, from the axis outwards: proportions of the job, held where lettering stays readable. */
function shapeOf({ job, profile, cam }: Plan) {
  const scale = RIM / (cam.blank.diameterMm / 2);
  const root = clamp((scale * profile.rootDiameterMm) / 2, 17, RIM - CUTTER - 1.5);
  const spacer = root - 2;
  const bore = clamp((scale * job.bore.diameterMm) / 2, 3.2, root - 9);
  const hubMm = job.hub?.diameterMm ?? profile.rootDiameterMm * 0.7;
  const hub = clamp((scale * hubMm) / 2, bore + 2.5, root - 5);
  const cutterLeft = CX - root - CUTTER;
  return {
    bore,
    hub,
    root,
    spacer,
    washer: Math.min(spacer - 1, bore + 3.5),
    /** Left side of the cutter, and of nut and cutter the right one. */
    cutterLeft,
    nutRight: cutterLeft + CUTTER / 2 + NUT_HALF,
  };
}

type Corner = readonly [x: number, y: number];

/** Cut through the middle of a gap on the left and of a tooth on the right. */
function part({ bore, hub, root }: Shape, below: boolean): Html {
  const bottom = below ? HUB_BOTTOM : BELOW;
  const hubSide: Corner[] = [
    [CX - hub, bottom],
    [CX - hub, BELOW],
  ];
  const left: Corner[] = [
    [CX - root, TOP],
    [CX - bore, TOP],
    [CX - bore, bottom],
    ...(below ? hubSide : []),
    [CX - root, BELOW],
  ];
  const right = left.map(([x, y]): Corner => [x === CX - root ? CX + RIM : 2 * CX - x, y]);
  return html`${area(left, 'part')}${area(right, 'part')}<path
      class="hidden"
      d="M${n(CX - root)} ${TOP}H${CX - RIM}V${BELOW}H${n(CX - root)}"
    />${line(CX - bore, TOP, CX + bore, TOP, 'thin')}${line(CX - bore, bottom, CX + bore, bottom, 'thin')}`;
}

/** What the teeth rest on, cut open: a disc with a hole. */
function spacerBoxes(holeHalf: number, half: number): Html {
  return html`${box(CX - half, BELOW, CX - holeHalf, TABLE_TOP, 'hold')}${box(CX + holeHalf, BELOW, CX + half, TABLE_TOP, 'hold')}`;
}

/** Split ring round hub or spigot; the teeth rest on it. */
function ring({ hub, spacer }: Shape): Html {
  const screwY = (BELOW + TABLE_TOP) / 2;
  return html`${spacerBoxes(hub, spacer)}${box(CX + spacer, screwY - 2.2, CX + spacer + 3.4, screwY + 2.2, 'plain')}`;
}

function throughBolt({ bore, hub, spacer, washer }: Shape, below: boolean): Html {
  const inside = below ? hub : bore;
  const shank = bore - 1.1;
  const hex = Math.min(washer - 0.8, Math.max(shank + 1.6, 4));
  return html`${spacerBoxes(inside, spacer)}
  ${box(CX - shank, TOP - 10.5, CX + shank, TABLE_TOP, 'plain')}
  ${box(CX - washer, TOP - 2.2, CX + washer, TOP, 'hold')}
  ${box(CX - hex, TOP - 7.4, CX + hex, TOP - 2.2, 'plain')}`;
}

function plate({ bore, hub, spacer }: Shape, below: boolean): Html {
  const inside = below ? hub : bore;
  const at = (inside + spacer) / 2;
  const screw = (x: number): Html =>
    html`<path
      class="thick plain"
      d="M${n(x - 2.6)} ${TOP}H${n(x + 2.6)}L${n(x + 1.2)} ${n(TOP + 2.6)}V${n(TABLE_TOP + 3)}H${n(x - 1.2)}V${n(TOP + 2.6)}Z"
    />`;
  return html`${
    below ? spacerBoxes(hub, spacer) : box(CX - spacer, BELOW, CX + spacer, TABLE_TOP, 'hold')
  }${screw(CX - at)}${screw(CX + at)}`;
}

/** Cutter with collet nut at the lowest level, in the gap on the left. */
function cutter({ cutterLeft: left, nutRight }: Shape): Html {
  const right = left + CUTTER;
  const nutLeft = nutRight - 2 * NUT_HALF;
  return html`<path class="thick plain" d="M${n(left)} ${NUT}V${TIP}H${n(right)}V${NUT}Z" /><path
      class="thin"
      d="M${n(left)} ${TIP}L${n(right)} ${TIP - 5}M${n(left)} ${TIP - 5}L${n(right)} ${TIP - 10}"
    /><path
      class="thick plain"
      d="M${n(nutLeft)} ${NUT}H${n(nutRight)}V${NUT - 4}L${n(nutRight - 2)} ${NUT - 7}H${n(nutLeft + 2)}L${n(nutLeft)} ${NUT - 4}Z"
    />${label((left + right) / 2, NUT - 2, 'nut', 'middle')}`;
}

const WIDTH = 132;
const HEIGHT = 65;
/** Where the lettering on the right begins. */
const RIGHT = 91;

export function sectionDrawing(planned: Plan, figures: SheetFigures, f: Format): Html {
  const { job } = planned;
  const shape = shapeOf(planned);
  const { heldBy } = job.blank;
  const below = job.hub !== null || heldBy === 'spigot';
  return html`<svg
    class="drawing"
    viewBox="-3 0 ${WIDTH} ${HEIGHT}"
    role="img"
    aria-label="${`Section: the blank held by ${heldBy}, with the cutter at its lowest level`}"
  >
    ${hatchings('section')} ${part(shape, below)} ${heldBy === 'spigot' ? ring(shape) : null}
    ${heldBy === 'through-bolt' ? throughBolt(shape, below) : null}
    ${heldBy === 'plate' ? plate(shape, below) : null}
    ${box(CX - RIM - 14, TABLE_TOP, CX + RIM + 2, TABLE_BOTTOM, 'table')}
    ${label(CX - RIM - 12.5, TABLE_BOTTOM - 2, 'table')} ${cutter(shape)}
    ${line(CX, 7, CX, TABLE_BOTTOM + 4, 'axis')} ${label(CX + 1.4, 11.5, 'X0 Y0')} ${zeroMark()}
    ${dimensionX(CX - RIM, CX + RIM, 5, TOP, `blank \u2300 ${f.onDrawing(planned.cam.blank.diameterMm)}`)}
    ${cutterSizes(shape, planned, figures, f)} ${partSizes(shape, planned, f)}
    ${holderSizes(shape, planned, figures, f)}
  </svg>`;
}

function zeroMark(): Html {
  const x = CX + RIM - 5;
  return html`<path class="ink" d="M${x} ${TOP}l-1.5 -2.6h3Z" />${label(x + 2.4, TOP - 1.4, 'Z0')}`;
}

function cutterSizes(
  { cutterLeft, nutRight }: Shape,
  { job }: Plan,
  { reach, overrunMm }: SheetFigures,
  f: Format,
): Html {
  const stickOut = ['stick-out', ...f.stacked(job.cutter.stickOutMm)];
  const figures = f.stacked(overrunMm);
  const overrun =
    figures.length === 1
      ? ['cutter runs', `${figures[0]} lower`]
      : ['cutter runs', ...figures, 'lower'];
  const high = nutRight + 3.5;
  const height = f.stacked(reach.nutHeightMm);
  return html`${dimensionY(NUT, TIP, cutterLeft - 7.5, cutterLeft - 1, stickOut)}
  ${dimensionY(NUT, TOP, high, nutRight + 0.6, '')}
  ${label(high - 1.5, NUT + 1 - 3.5 * height.length, height)}
  ${leader(16, BELOW + 11 - 1.5 * overrun.length, cutterLeft + 1.2, TIP, overrun, 'end')}`;
}

function partSizes(shape: Shape, { job, profile, cam, summary }: Plan, f: Format): Html {
  const thicker = cam.blank.thicknessMm > profile.thicknessMm + 1e-9;
  const teeth = [
    `teeth ${f.onDrawing((thicker ? null : job.blank.thicknessMm) ?? summary.predicted.toothWidthMm!)}`,
    ...(thicker ? [`blank ${f.onDrawing(cam.blank.thicknessMm)}`] : []),
  ];
  const below = job.hub !== null || job.blank.heldBy === 'spigot';
  const { pilotHoleMm } = job.bore;
  const hole =
    job.bore.madeBy === 'router' && pilotHoleMm !== null
      ? `drill \u2300 ${f.onDrawing(pilotHoleMm)}`
      : `bore \u2300 ${f.onDrawing(job.bore.diameterMm)}`;
  return html`${dimensionY(TOP, BELOW, CX + RIM + 4, CX + RIM + 0.6, teeth)}
  ${leader(RIGHT, HEIGHT - 1, CX + shape.bore, below ? HUB_BOTTOM - 1 : BELOW - 1.5, hole)}`;
}

function holderSizes(
  shape: Shape,
  { job }: Plan,
  { reach, holding }: SheetFigures,
  f: Format,
): Html {
  const { hub, blank } = job;
  const holder = blank.heldBy === 'spigot' ? 'ring' : hub ? 'support ring' : 'spacer';
  const widest = [`${holder}: at most`, `\u2300 ${f.onDrawing(reach.spacerMaxMm, 1)}`];
  const spigot = hub
    ? [`hub \u2300 ${f.onDrawing(hub.diameterMm)}`, `${f.onDrawing(hub.lengthMm)} long`]
    : [`spigot \u2300 ${f.onDrawing(holding.bearing.outerMm, 1)}`, 'turned off afterwards'];
  const washer = `washer \u2300 ${f.onDrawing(holding.bearing.outerMm, 0)}`;
  return html`${leader(RIGHT, BELOW + 9, CX + shape.spacer - 1.2, BELOW + 2.4, widest)}
  ${
    hub || blank.heldBy === 'spigot'
      ? leader(RIGHT, BELOW + 18, CX + shape.hub - 1.2, HUB_BOTTOM - 3, spigot)
      : null
  }
  ${
    blank.heldBy === 'through-bolt'
      ? leader(RIGHT, 13.5, CX + shape.washer - 1, TOP - 1.1, washer)
      : null
  }`;
}
