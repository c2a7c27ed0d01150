import { linkPitchMm } from '../../profile/wheel/cut.js';
import { TURN_RAD } from '../../maths/angle.js';
import type { Plan } from '../plan.js';
import { roundedInwards } from '../../profile/inspect/limits.js';
import { boreLoop } from '../../profile/wheel/bore.js';
import { wheelWords } from '../../profile/wheel/words.js';
import { MM_PER_INCH } from '../../text/units.js';
import { wrapText } from '../../text/show.js';
import { escapeMarkup, plainNumber, loopPath } from './markup.js';

const MARGIN_MM = 8;
/** Longest bar of the scale, 4 in, with room for its figures. mm */
const SCALE_WIDTH_MM = 4 * MM_PER_INCH + 12;
const TEXT_MM = 3.4;
/** Mean width of a character of plain text over its height; generous. */
const CHARACTER_WIDTH = 0.58;
const n = (v: number): string => plainNumber(v, 4);

/** Printable part of an A4 sheet. mm */
const A4_MM = { width: 200, height: 287 } as const;

/**
 * The wheel at 1:1, to print, cut out and lay under the old wheel or the chain: outline, bore,
 * pitch circle, a roller in every gap, and two bars to check the printer's scale with.
 */
export function templateSvg({
  job,
  aim: { drawn: profile },
  cam,
  jobDigest,
  summary,
}: Plan): string {
  const outerMm = Math.max(cam.blank.diameterMm, profile.tipDiameterMm);
  const widthMm = Math.max(outerMm + 2 * MARGIN_MM, SCALE_WIDTH_MM + 2 * MARGIN_MM);
  const perLine = Math.floor((widthMm - 2 * MARGIN_MM) / (CHARACTER_WIDTH * TEXT_MM));
  const { chain, sprocket } = job;
  const notes = [
    `${wheelWords(job)}, pitch ${n(linkPitchMm(chain))} mm, roller ${n(chain.rollerDiameterMm)} mm, job ${jobDigest}`,
    `tip ${profile.tipDiameterMm.toFixed(2)}, pitch circle ${profile.pitchDiameterMm.toFixed(2)}, root ${profile.rootDiameterMm.toFixed(2)} mm; outer circle: blank ${cam.blank.diameterMm.toFixed(2)} mm`,
    `over pins of ${n(chain.rollerDiameterMm)} mm ${between(summary.limits.overPinsMm)} mm, teeth ${between(summary.limits.toothWidthMm)} mm thick, bore ${between(summary.limits.boreMm, 3)} mm`,
    'Print at 100 %, never fitted to the page. Measure both bars before you trust the sheet.',
  ].flatMap((text) => wrapText(text, perLine));

  const axis = { x: widthMm / 2, y: MARGIN_MM + outerMm / 2 };
  let y = MARGIN_MM + outerMm + MARGIN_MM;
  const below: string[] = [];
  const barX = (widthMm - 4 * MM_PER_INCH) / 2;
  below.push(
    bar(barX, y, 100, 10, '100 mm'),
    bar(barX, y + 10, 4 * MM_PER_INCH, MM_PER_INCH, '4 in'),
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
  if (widthMm > A4_MM.width || y + MARGIN_MM > A4_MM.height) {
    const larger = 'Larger than an A4 sheet: print it in tiles and join them along the bars.';
    wrapText(larger, perLine).forEach((line) => text(line, false));
  }
  const heightMm = y - TEXT_MM + MARGIN_MM;

  const pitchR = profile.pitchDiameterMm / 2;
  const cross = Math.max(3, Math.min(8, job.bore.diameterMm));
  const hub = job.hub
    ? `<circle id="hub" r="${n(job.hub.diameterMm / 2)}" stroke-width="0.13" stroke-dasharray="2 1"/>`
    : '';
  return `<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" width="${n(widthMm)}mm" height="${n(heightMm)}mm" viewBox="0 0 ${n(widthMm)} ${n(heightMm)}">
<title>${escapeMarkup(job.title)}</title>
<rect width="100%" height="100%" fill="#fff"/>
<g transform="translate(${n(axis.x)} ${n(axis.y)})" fill="none" stroke="#000" stroke-width="0.25">
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
</g>
</svg>
`;
}

/** Limits, rounded inwards. */
function between({ min, max }: { min: number; max: number }, digits = 2): string {
  const { minMm, maxMm } = roundedInwards({ minMm: min, maxMm: max }, digits);
  return `${minMm.toFixed(digits)} to ${maxMm.toFixed(digits)}`;
}

/** A roller in every gap of the pitch circle. */
function rollers(teeth: number, pitchRadiusMm: number, radiusMm: number): string {
  const circles = Array.from({ length: teeth }, (_, j) => {
    const a = (TURN_RAD * j) / teeth;
    const [x, y] = [pitchRadiusMm * Math.cos(a), -pitchRadiusMm * Math.sin(a)];
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
