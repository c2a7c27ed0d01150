/** The bar from above: which side each pass runs along, where the indicators stand. To scale. */
import { type Html, html } from '../../post/sheet/html.js';
import { balloon, box, label, line, n } from '../../post/sheet/ink.js';
import type { DatumPlan } from '../../cam/datum.js';

const SCALE = 0.75;
const MARGIN = { left: 26, right: 24, top: 9, bottom: 13 } as const;
const ARROW_MM = 9;

/**
 * @param bar       length and width along X and Y, mm
 * @param radiusMm  of the cutter
 * @param axes      axes that have a ladder
 */
export function ladderDrawing(
  bar: { readonly x: number; readonly y: number },
  reference: Pick<DatumPlan, 'checkX'>,
  radiusMm: number,
  axes: readonly ('x' | 'y')[],
): Html {
  const [rx, ry] = reference.checkX;
  const wide = SCALE * bar.x;
  const high = SCALE * bar.y;
  const over = Math.max(0, SCALE * (ry - bar.y / 2));
  const beside = Math.max(0, SCALE * (rx - bar.x / 2));
  const cx = MARGIN.left + wide / 2;
  const cy = MARGIN.top + over + high / 2;
  const width = MARGIN.left + wide + beside + MARGIN.right;
  const height = MARGIN.top + over + high + MARGIN.bottom;
  const px = (x: number): number => cx + SCALE * x;
  const py = (y: number): number => cy - SCALE * y;
  const off = { x: bar.x / 2 + radiusMm + 1.5, y: bar.y / 2 + radiusMm + 1.5 };
  const along = (x: number, y: number, dx: number, dy: number): Html => {
    const end = [x + (dx * ARROW_MM) / SCALE, y + (dy * ARROW_MM) / SCALE] as const;
    const from = [x - (dx * ARROW_MM) / SCALE, y - (dy * ARROW_MM) / SCALE] as const;
    return html`${line(px(from[0]), py(from[1]), px(end[0]), py(end[1]), 'thick')}<path
        class="ink"
        d="M${n(px(end[0]))} ${n(py(end[1]))}l${n(-2 * dx - 0.7 * dy)} ${n(2 * dy - 0.7 * dx)}l${n(1.4 * dy)} ${n(1.4 * dx)}Z"
      />`;
  };
  const passes: Html[] = [];
  if (axes.includes('x')) {
    passes.push(
      html`${along(0, -off.y, 1, 0)}${label(px(0), py(-off.y) + 4.2, 'X PLUS, front', 'middle')}`,
      html`${along(0, off.y, -1, 0)}${label(px(0), py(off.y) - 1.4, 'X MINUS, back', 'middle')}`,
    );
  }
  if (axes.includes('y')) {
    passes.push(
      html`${along(off.x, 0, 0, 1)}${label(px(off.x) + 1.6, py(0), ['Y PLUS,', 'right'])}`,
      html`${along(-off.x, 0, 0, -1)}${label(px(-off.x) - 1.6, py(0), ['Y MINUS,', 'left'], 'end')}`,
    );
  }
  const [ix, iy] = [px(rx), py(ry)];
  return html`<svg
    class="drawing"
    viewBox="0 0 ${n(width)} ${n(height)}"
    role="img"
    aria-label="The bar from above, with the side of each pass and the place of the indicators"
  >
    ${box(px(-bar.x / 2), py(bar.y / 2), px(bar.x / 2), py(-bar.y / 2), 'table')}
    ${line(px(-6), cy, px(6), cy, 'axis')}${line(cx, py(-6), cx, py(6), 'axis')}
    ${label(cx + 1.5, cy + 4.5, 'X0 Y0')} ${passes}
    <circle class="thin plain" cx="${n(ix)}" cy="${n(iy)}" r="2.4" />
    ${line(ix + 2.4, iy, ix + 9, iy, 'thick')}${line(ix, iy - 2.4, ix, iy - 7, 'thick')}
    ${balloon(ix + 11.5, iy, 1)}${balloon(ix + 3.4, iy - 6, 2)}
  </svg>`;
}
