/**
 * A template to print at true size. Of the folder: the wheel as DXF and STL (models), the plot of what
 * was learnt, and what drawings in SVG have in common (markup).
 */
import { cos, sin } from '../../maths/elementary.js';
import { linkPitchMm } from '../../profile/wheel/cut.js';
import { TURN_RAD } from '../../maths/angle.js';
import type { Plan } from '../plan.js';
import { limitText } from '../../profile/inspect/limits.js';
import { boreLoop } from '../../profile/wheel/bore.js';
import { wheelWords } from '../../profile/wheel/words.js';
import { MM_PER_INCH } from '../../text/units.js';
import { wrapText } from '../../text/show.js';
import { standalonePage } from '../sheet/html.js';
import { escapeMarkup, plainNumber, loopPath } from './markup.js';

const MARGIN_MM = 8;
/** Longest bar of the scale, 4 in, with room for its figures. mm */
const SCALE_WIDTH_MM = 4 * MM_PER_INCH + 12;
/** Room at the right for the upright bar. mm */
const UPRIGHT_MM = 8;
const TEXT_MM = 3.4;
/** Mean width of a character of plain text over its height; generous. */
const CHARACTER_WIDTH = 0.58;
const n = (v: number): string => plainNumber(v, 4);

/** What A4 and Letter paper both print. mm */
const PAPER_MM = { width: 190, height: 250 } as const;

interface TemplateDrawing {
  readonly widthMm: number;
  readonly heightMm: number;
  /** Elements of an SVG, in mm from the upper left corner. */
  readonly markup: string;
}

/**
 * The wheel at 1:1, to print, cut out and lay under the old wheel or the chain: outline, bore,
 * pitch circle, a roller in every gap, and bars to check the printer's scale with, both ways.
 */
export function templateSvg(plan: Plan): string {
  const { widthMm, heightMm, markup } = templateDrawing(plan);
  return `<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" width="${n(widthMm)}mm" height="${n(heightMm)}mm" viewBox="0 0 ${n(widthMm)} ${n(heightMm)}">
<title>${escapeMarkup(plan.job.title)}</title>
<rect width="100%" height="100%" fill="#fff"/>
${markup}
</svg>
`;
}

function fitsOnPaper({ widthMm, heightMm }: Omit<TemplateDrawing, 'markup'>): boolean {
  return widthMm <= PAPER_MM.width && heightMm <= PAPER_MM.height;
}

/** The part of the drawing on one sheet, and how far neighbours overlap. mm */
const TILE_MM = { width: 176, height: 232 } as const;
const OVERLAP_MM = 10;

/**
 * The template in tiles of a sheet each, to be joined on crosses that neighbours share; null where it
 * goes on one sheet. Every sheet has a bar along and one across, for each may be scaled by itself.
 */
export function templateTiles(plan: Plan): string | null {
  const drawing = templateDrawing(plan);
  if (fitsOnPaper(drawing)) return null;
  const across = Math.ceil((drawing.widthMm - OVERLAP_MM) / (TILE_MM.width - OVERLAP_MM));
  const down = Math.ceil((drawing.heightMm - OVERLAP_MM) / (TILE_MM.height - OVERLAP_MM));
  const tiles = Array.from({ length: across * down }, (_, k) =>
    tile(k % across, Math.floor(k / across), across, down),
  );
  return standalonePage(`Template in tiles: ${plan.job.title}`, TILE_STYLE, {
    html: `<svg width="0" height="0"><defs><g id="template">${drawing.markup}</g></defs></svg>${tiles.join('')}`,
  }).html;
}

const TILE_STYLE = `
@page{margin:10mm}
body{margin:0;background:#fff;color:#000;font:3.2mm Arial,Helvetica,"Liberation Sans",sans-serif}
figure{margin:0;break-after:page;break-inside:avoid;width:190mm}
figure:last-child{break-after:auto}
figure svg{display:block}
figcaption{width:186mm}
@media screen{body{padding:8mm}figure{margin-bottom:12mm}}`;

/** One sheet: its part of the drawing, the crosses and lines on which it is joined, its two bars. */
function tile(column: number, row: number, across: number, down: number): string {
  const { width, height } = TILE_MM;
  const [x, y] = [column * (width - OVERLAP_MM), row * (height - OVERLAP_MM)];
  const [half, quarter] = [OVERLAP_MM / 2, [0.25, 0.75]];
  const seams: string[] = [];
  const seam = (from: string, run: string, crosses: readonly string[]): void => {
    seams.push(`<path class="seam" stroke-dasharray="1 2" d="M${from}${run}"/>`);
    for (const at of crosses) seams.push(`<path class="cross" d="M${at}m-4 0h8m-4 -4v8"/>`);
  };
  const upright = (sx: number): void =>
    seam(
      `${sx} 0`,
      `v${height}`,
      quarter.map((q) => `${sx} ${q * height}`),
    );
  const level = (sy: number): void =>
    seam(
      `0 ${sy}`,
      `h${width}`,
      quarter.map((q) => `${q * width} ${sy}`),
    );
  if (column > 0) upright(half);
  if (column < across - 1) upright(width - half);
  if (row > 0) level(half);
  if (row < down - 1) level(height - half);
  const sheet = row * across + column + 1;
  const where = `Sheet ${sheet} of ${across * down}: row ${row + 1}, column ${column + 1}.`;
  return `<figure><svg width="${width + 12}mm" height="${height + 10}mm" viewBox="0 0 ${width + 12} ${height + 10}" role="img" aria-label="${where}"><svg width="${width}" height="${height}" viewBox="${x} ${y} ${width} ${height}"><use href="#template"/></svg><g fill="none" stroke="#000" stroke-width="0.25"><rect width="${width}" height="${height}" stroke-width="0.1"/>${seams.join('')}</g>
<g font-family="Arial, Helvetica, 'Liberation Sans', sans-serif" font-size="${TEXT_MM}" fill="#000">${bar(0.2, height + 1.5, 100, 10, '100 mm')}<g transform="translate(${width + 1.5} 100.2) rotate(-90)">${bar(0, 0, 100, 10, '100 mm')}</g></g></svg>
<figcaption><b>${where}</b> Both bars must measure 100 mm on every sheet. If one does not, the printer has scaled the page: print again at 100 %, not fitted. Cut on a dotted line and lay its crosses on those of the sheet beside it.</figcaption></figure>`;
}

function templateDrawing({
  job,
  aim: { drawn: profile },
  cam,
  jobDigest,
  summary,
}: Plan): TemplateDrawing {
  const outerMm = Math.max(cam.blank.diameterMm, profile.tipDiameterMm);
  const fullMm = Math.max(outerMm, SCALE_WIDTH_MM) + 2 * MARGIN_MM;
  const widthMm = fullMm + UPRIGHT_MM;
  const perLine = Math.floor((fullMm - 2 * MARGIN_MM) / (CHARACTER_WIDTH * TEXT_MM));
  const { chain, sprocket } = job;
  const notes = [
    `${wheelWords(job)}, pitch ${n(linkPitchMm(chain))} mm, roller ${n(chain.rollerDiameterMm)} mm, job ${jobDigest}`,
    `tip ${profile.tipDiameterMm.toFixed(2)}, pitch circle ${profile.pitchDiameterMm.toFixed(2)}, root ${profile.rootDiameterMm.toFixed(2)} mm; outer circle: blank ${cam.blank.diameterMm.toFixed(2)} mm`,
    `over pins of ${n(chain.rollerDiameterMm)} mm ${between(summary.limits.overPinsMm)} mm, teeth ${between(summary.limits.toothWidthMm)} mm thick, bore ${between(summary.limits.boreMm, 3)} mm`,
    'Print at 100 %, never fitted to the page. Measure the bars, along and across, before you trust the sheet: where 100 mm are not 100 mm, the printer has scaled it.',
  ].flatMap((text) => wrapText(text, perLine));

  const axis = { x: fullMm / 2, y: MARGIN_MM + outerMm / 2 };
  let y = MARGIN_MM + outerMm + MARGIN_MM;
  const below: string[] = [];
  const barX = (fullMm - 4 * MM_PER_INCH) / 2;
  below.push(
    bar(barX, y, 100, 10, '100 mm'),
    bar(barX, y + 10, 4 * MM_PER_INCH, MM_PER_INCH, '4 in'),
    `<g transform="translate(${n(fullMm)} ${n(MARGIN_MM + 100)}) rotate(-90)">${bar(0, 0, 100, 10, '100 mm')}</g>`,
  );
  y += 26;
  const text = (line: string, bold: boolean): void => {
    below.push(
      `<text x="${n(MARGIN_MM)}" y="${n(y)}"${bold ? ' font-weight="bold"' : ''}>${escapeMarkup(line)}</text>`,
    );
    y += 1.35 * TEXT_MM;
  };
  wrapText(job.title, perLine).forEach((line) => text(line, true));
  notes.forEach((line) => text(line, false));
  if (!fitsOnPaper({ widthMm, heightMm: y + MARGIN_MM })) {
    const larger = 'Larger than a sheet of paper: template-tiles.html prints it in tiles to join.';
    wrapText(larger, perLine).forEach((line) => text(line, false));
  }
  const heightMm = y - TEXT_MM + MARGIN_MM;

  const pitchR = profile.pitchDiameterMm / 2;
  const cross = Math.max(3, Math.min(8, job.bore.diameterMm));
  const hub = job.hub
    ? `<circle id="hub" r="${n(job.hub.diameterMm / 2)}" stroke-width="0.13" stroke-dasharray="2 1"/>`
    : '';
  const markup = `<g transform="translate(${n(axis.x)} ${n(axis.y)})" fill="none" stroke="#000" stroke-width="0.25">
<path id="outline" d="${loopPath(profile.outline)}"/>
<path id="bore" d="${loopPath(boreLoop(job.bore))}"/>
${job.joint.kind === 'brazed-insert' ? `<path id="insert-bore" d="${loopPath(boreLoop(job.joint.shaft))}"/>\n` : ''}<circle id="pitch-circle" r="${n(pitchR)}" stroke-width="0.13" stroke-dasharray="6 1.5 1 1.5"/>
<circle id="blank" r="${n(cam.blank.diameterMm / 2)}" stroke-width="0.13"/>
${hub}
<g id="rollers" stroke-width="0.13">${rollers(sprocket.teeth, pitchR, chain.rollerDiameterMm / 2)}</g>
<path id="centre" stroke-width="0.13" d="M${n(-cross)} 0H${n(cross)}M0 ${n(-cross)}V${n(cross)}"/>
</g>
<g font-family="Arial, Helvetica, 'Liberation Sans', sans-serif" font-size="${TEXT_MM}" fill="#000">
${below.join('\n')}
</g>`;
  return { widthMm, heightMm, markup };
}

/** Limits, rounded inwards. */
function between(limits: { readonly min: number; readonly max: number }, digits = 2): string {
  return limitText(limits, (mm) => mm.toFixed(digits), digits);
}

/** A roller in every gap of the pitch circle. */
function rollers(teeth: number, pitchRadiusMm: number, radiusMm: number): string {
  const circles = Array.from({ length: teeth }, (_, j) => {
    const a = (TURN_RAD * j) / teeth;
    const [x, y] = [pitchRadiusMm * cos(a), -pitchRadiusMm * sin(a)];
    return `<circle cx="${n(x)}" cy="${n(y)}" r="${n(radiusMm)}"/>`;
  });
  return circles.join('');
}

/** A measuring bar with a tick at every step. */
function bar(x: number, y: number, lengthMm: number, stepMm: number, label: string): string {
  const ticks: string[] = [];
  for (let at = 0; at <= lengthMm + 1e-9; at += stepMm) ticks.push(`M${n(x + at)} ${n(y)}v3`);
  return `<path class="bar" d="M${n(x)} ${n(y)}h${n(lengthMm)}${ticks.join('')}" fill="none" stroke="#000" stroke-width="0.25"/><text x="${n(x + lengthMm / 2)}" y="${n(y + 6.5)}" text-anchor="middle">${label}</text>`;
}
