/**
 * The warning sheet. Blocks of text (blocks-*) and three drawings are laid on two pages here; what
 * they say comes from figures.ts, reach.ts and holding-plan.ts; html.ts, ink.ts and style.ts are how.
 */
import type { Plan } from '../plan.js';
import { blankBlock } from './blocks-blank.js';
import { jointBlock } from './blocks-joint.js';
import {
  boreFirstBlock,
  holdBlock,
  machineBlock,
  restartBlock,
  zeroBlock,
} from './blocks-before.js';
import { brazingBlock, careBlock, chainBlock, noticeBlock, warningsBlock } from './blocks-care.js';
import {
  loadBlock,
  lostStepsBlock,
  runBlock,
  sizesBlock,
  stopsBlock,
  watchBlock,
  datumBlock,
} from './blocks-run.js';
import { type SheetFigures, sheetFigures } from './figures.js';
import { type Format, formatFor, type SheetOptions, isBrazed } from './format.js';
import { type Html, html, standalonePage } from './html.js';
import { wheelWords } from '../../profile/wheel/words.js';
import { SMALLEST_PT, printSizePt, sheetStyle } from './style.js';
import { planDrawing } from './plan-drawing.js';
import { sectionDrawing } from './section-drawing.js';

export type { SheetOptions } from './format.js';

/**
 * Everything a person should have read before starting the program: one HTML file that needs
 * nothing else, on two A4 pages when printed.
 */
export function warningSheet(planned: Plan, options: SheetOptions = {}): string {
  const figures = sheetFigures(planned);
  const f = formatFor(options);
  const rest = [
    planned.restart ? restartBlock(planned, planned.restart, f) : blankBlock(planned, figures, f),
    planned.restart ? null : jointBlock(planned, f),
    holdBlock(planned, figures, f),
    zeroBlock(planned, figures, f),
    machineBlock(planned, figures, f),
    boreFirstBlock(planned, f),
    runBlock(planned, figures, f),
    loadBlock(planned, f),
    sizesBlock(planned, f),
    stopsBlock(figures),
    datumBlock(planned, f),
    watchBlock(planned, figures),
    lostStepsBlock(planned, figures, f),
    careBlock(planned),
    brazingBlock(isBrazed(planned.job, options)),
    chainBlock(planned),
  ];
  const flowWith = (warnings: number) => [warningsBlock(planned, warnings), ...rest];
  let shown = planned.summary.warnings.length;
  let flow = flowWith(shown);
  // Where there are so many warnings that the print would be too small, the last are named only.
  while (shown > 0 && printSizePt(planned.job.title, flow) < SMALLEST_PT) flow = flowWith(--shown);
  const footer = `job ${figures.digest}, program of ${figures.lineCount} lines`;
  return standalonePage(
    `Warning sheet: ${planned.job.title}`,
    sheetStyle(printSizePt(planned.job.title, flow), footer),
    html`${heading(planned, figures)}
      <main>
        ${noticeBlock()}${drawings(planned, figures, f)}
        <div class="flow">${flow}</div>
      </main>`,
  ).html;
}

function heading({ job }: Plan, figures: SheetFigures): Html {
  // A title is what somebody wrote; this is what is cut.
  return html`<header>
    <div>
      <h1>${job.title}</h1>
      <p><b>${wheelWords(job)}</b></p>
      <p>
        Warning sheet. Read all of it at the machine before the program is started.<br />${job.material.title};
        ${job.machine.title}
      </p>
    </div>
    <p class="copy">job ${figures.digest}<br />${figures.lineCount} lines</p>
  </header> `;
}

function drawings(planned: Plan, figures: SheetFigures, f: Format): Html {
  const { cam } = planned;
  const { reach } = figures;
  const profile = planned.aim.drawn;
  return html`<div class="drawings">
    <figure class="wide">
      <div class="scroll">${sectionDrawing(planned, figures, f)}</div>
      <figcaption>
        Section, not to scale: on the left through a tooth gap with the cutter at its lowest level,
        on the right through a tooth. Left hand figures: how far the nut stays over the top face,
        and how far the tip goes below the teeth.
      </figcaption>
    </figure>
    <figure class="narrow">
      <div class="scroll">${planDrawing(planned, figures)}</div>
      <figcaption>
        From above, to scale. <b>1</b> keep-out circle ⌀ ${f.length(reach.keepOutDiameterMm, 0)};
        <b>2</b> blank ⌀ ${f.length(cam.blank.diameterMm)}; <b>3</b> root circle ⌀
        ${f.length(profile.rootDiameterMm)}; <b>4</b> what is under the teeth stays inside ⌀
        ${f.length(reach.spacerMaxMm, 1)}.
      </figcaption>
    </figure>
  </div> `;
}
