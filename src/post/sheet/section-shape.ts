/** Cut surfaces of the section: blank, what holds it, and the cutter, in the drawing's own mm. */
import type { PlannedJob } from '../plan.js';
import { type Html, html } from './html.js';
import { area, box, label, line, n } from './ink.js';

/** Axis of the wheel. */
export const CX = 54;
/** Half the width of the blank. */
export const RIM = 30;
/** Top and lower face of the teeth, and the table. */
export const TOP = 27;
export const BELOW = 37;
export const TABLE_TOP = 53;
export const TABLE_BOTTOM = 59;
export const HUB_BOTTOM = BELOW + 12;
/** Face of the collet nut and tip of the cutter at the lowest level. */
export const NUT = TOP - 9;
export const TIP = BELOW + 1.6;
const CUTTER = 5;
const NUT_HALF = 7;

/** Half widths, from the axis outwards. */
export interface Shape {
  readonly bore: number;
  readonly hub: number;
  readonly root: number;
  readonly spacer: number;
  readonly washer: number;
  /** Left side of the cutter, and of nut and cutter the right one. */
  readonly cutterLeft: number;
  readonly nutRight: number;
}

/** Proportions of the job, held where lettering stays readable. */
export function shapeOf({ job, profile, cam }: PlannedJob): Shape {
  const scale = RIM / (cam.blank.diameterMm / 2);
  const clamp = (v: number, low: number, high: number): number => Math.min(high, Math.max(low, v));
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
    cutterLeft,
    nutRight: cutterLeft + CUTTER / 2 + NUT_HALF,
  };
}

/** Cut through the middle of a gap on the left and of a tooth on the right. */
export function part({ bore, hub, root }: Shape, below: boolean): Html {
  const bottom = below ? HUB_BOTTOM : BELOW;
  const left = below
    ? ([
        [CX - root, TOP],
        [CX - bore, TOP],
        [CX - bore, bottom],
        [CX - hub, bottom],
        [CX - hub, BELOW],
        [CX - root, BELOW],
      ] as const)
    : ([
        [CX - root, TOP],
        [CX - bore, TOP],
        [CX - bore, BELOW],
        [CX - root, BELOW],
      ] as const);
  const right = left.map(([x, y]): [number, number] => [
    x === CX - root ? CX + RIM : 2 * CX - x,
    y,
  ]);
  return html`${area(left, 'part')}${area(right, 'part')}<path
      class="hidden"
      d="M${n(CX - root)} ${TOP}H${CX - RIM}V${BELOW}H${n(CX - root)}"
    />${line(CX - bore, TOP, CX + bore, TOP, 'thin')}${line(CX - bore, bottom, CX + bore, bottom, 'thin')}`;
}

/** Split ring round hub or spigot; the teeth rest on it. */
export function ring({ hub, spacer }: Shape): Html {
  const screwY = (BELOW + TABLE_TOP) / 2;
  return html`${box(CX - spacer, BELOW, CX - hub, TABLE_TOP, 'hold')}${box(CX + hub, BELOW, CX + spacer, TABLE_TOP, 'hold')}${box(CX + spacer, screwY - 2.2, CX + spacer + 3.4, screwY + 2.2, 'plain')}`;
}

export function throughBolt({ bore, hub, spacer, washer }: Shape, below: boolean): Html {
  const inside = below ? hub : bore;
  const shank = bore - 1.1;
  const hex = Math.min(washer - 0.8, Math.max(shank + 1.6, 4));
  return html`${box(CX - spacer, BELOW, CX - inside, TABLE_TOP, 'hold')}${box(CX + inside, BELOW, CX + spacer, TABLE_TOP, 'hold')}
  ${box(CX - shank, TOP - 10.5, CX + shank, TABLE_TOP, 'plain')}
  ${box(CX - washer, TOP - 2.2, CX + washer, TOP, 'hold')}
  ${box(CX - hex, TOP - 7.4, CX + hex, TOP - 2.2, 'plain')}`;
}

export function plate({ bore, hub, spacer }: Shape, below: boolean): Html {
  const inside = below ? hub : bore;
  const at = (inside + spacer) / 2;
  const screw = (x: number): Html =>
    html`<path
      class="thick plain"
      d="M${n(x - 2.6)} ${TOP}H${n(x + 2.6)}L${n(x + 1.2)} ${n(TOP + 2.6)}V${n(TABLE_TOP + 3)}H${n(x - 1.2)}V${n(TOP + 2.6)}Z"
    />`;
  return html`${
    below
      ? html`${box(CX - spacer, BELOW, CX - hub, TABLE_TOP, 'hold')}${box(CX + hub, BELOW, CX + spacer, TABLE_TOP, 'hold')}`
      : box(CX - spacer, BELOW, CX + spacer, TABLE_TOP, 'hold')
  }${screw(CX - at)}${screw(CX + at)}`;
}

/** Cutter with collet nut at the lowest level, in the gap on the left. */
export function cutter({ cutterLeft: left, nutRight }: Shape): Html {
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
