/** The table from above, to scale: what the cutter needs, and where a tooth gap lies. */
import { cos, sin } from '../../maths/elementary.js';
import { radFromDeg } from '../../maths/angle.js';
import type { Plan } from '../plan.js';
import { boreLoop } from '../../profile/wheel/bore.js';
import { loopPath } from '../drawings/markup.js';
import type { SheetFigures } from './figures.js';
import { type Html, html } from './html.js';
import { balloon, label, line, n } from './ink.js';

const WIDTH = 82;
const HEIGHT = 75;
const CX = 35;
const CY = 40;
/** Radius of the keep-out circle on paper. */
const OUTER = 32.5;

export function planDrawing({ job, profile, cam }: Plan, figures: SheetFigures): Html {
  const { keepOutDiameterMm, spacerMaxMm: spacer } = figures.reach;
  const scale = OUTER / (keepOutDiameterMm / 2);
  const circle = (diameterMm: number, stroke: string): Html =>
    html`<circle class="${stroke}" r="${n((scale * diameterMm) / 2)}" />`;
  const on = (diameterMm: number, deg: number, number: number): Html => {
    const a = radFromDeg(deg);
    const r = (scale * diameterMm) / 2;
    return balloon(r * cos(a), -r * sin(a), number);
  };
  return html`<svg
    class="drawing"
    viewBox="0 0 ${WIDTH} ${HEIGHT}"
    role="img"
    aria-label="The table from above: keep-out circle, blank, teeth, spacer and axes"
  >
    <g transform="translate(${CX} ${CY})">
      ${circle(keepOutDiameterMm, 'bold-dash')} ${circle(cam.blank.diameterMm, 'thin')}
      <path class="thick teeth" d="${loopPath(profile.outline, scale, 2)}" />
      ${circle(spacer, 'hidden')}
      <path class="thick plain" d="${loopPath(boreLoop(job.bore), scale, 2)}" />
      ${line(-4, 0, OUTER + 5, 0, 'axis')}${line(0, 4, 0, -OUTER - 4, 'axis')}
      ${on(keepOutDiameterMm, 135, 1)}${on(cam.blank.diameterMm, 215, 2)}${on(profile.rootDiameterMm, 300, 3)}${on(spacer, 55, 4)}
    </g>
    ${label(CX + OUTER + 5.6, CY + 1, '+X')}${label(CX + 1.6, CY - OUTER - 3.4, '+Y')}
  </svg>`;
}
