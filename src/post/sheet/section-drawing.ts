/** Section through blank, holding and cutter at the lowest level. Proportions are drawn to be
 *  read, not to scale; every size is written. */
import type { PlannedJob } from '../plan.js';
import type { SheetFigures } from './figures.js';
import type { Format } from './format.js';
import { type Html, html } from './html.js';
import { box, dimensionX, dimensionY, hatchings, label, leader, line } from './ink.js';
import {
  BELOW,
  CX,
  HUB_BOTTOM,
  NUT,
  RIM,
  type Shape,
  TABLE_BOTTOM,
  TABLE_TOP,
  TIP,
  TOP,
  cutter,
  part,
  plate,
  ring,
  shapeOf,
  throughBolt,
} from './section-shape.js';

const WIDTH = 132;
const HEIGHT = 65;
/** Where the lettering on the right begins. */
const RIGHT = 91;

export function sectionDrawing(planned: PlannedJob, figures: SheetFigures, f: Format): Html {
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
  { job }: PlannedJob,
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

function partSizes(shape: Shape, { job, profile, cam }: PlannedJob, f: Format): Html {
  const thicker = cam.blank.thicknessMm > profile.thicknessMm + 1e-9;
  const teeth = [
    `teeth ${f.onDrawing(profile.thicknessMm)}`,
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
  { job }: PlannedJob,
  { reach, holding, spigotMm }: SheetFigures,
  f: Format,
): Html {
  const { hub, blank } = job;
  const holder = blank.heldBy === 'spigot' ? 'ring' : hub ? 'support ring' : 'spacer';
  const widest = [`${holder}: at most`, `\u2300 ${f.onDrawing(reach.spacerMaxMm, 1)}`];
  const spigot = hub
    ? [`hub \u2300 ${f.onDrawing(hub.diameterMm)}`, `${f.onDrawing(hub.lengthMm)} long`]
    : [`spigot \u2300 ${f.onDrawing(spigotMm, 1)}`, 'turned off afterwards'];
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
