/** The sheet of a ladder: how to set it up, what each rung asks, and room to write what was seen. */
import { block, html, list, type Html, standalonePage } from '../../post/sheet/html.js';
import { groupCare, hazardText } from '../../post/sheet/blocks-care.js';
import { balloon, box, label, line, n } from '../../post/sheet/ink.js';
import { ladderFile } from '../../post/file-names.js';
import { sheetStyle } from '../../post/sheet/style.js';
import type { DatumPlan } from '../../cam/datum.js';
import type { Ladder } from './check.js';
import { clampHeightMm, ladderReference } from './path.js';
import { cutterForceN } from '../../machines/bear/cutter.js';
import { BAR_ERROR_MM, type LadderInput, type LadderPlan } from './ladder.js';
import type { Cutter, Material } from '../../model/machine.js';

/** A ladder that is lost with less probability than this is said to be no use. */
const WORTH_WHILE = 0.25;

/** Room to write, and the drawing no wider than it needs. */
const FILL_STYLE =
  'main{margin-top:.6em}.fill td,.fill th{vertical-align:middle;height:1.75em}.fill td:nth-last-child(-n+2){border-left:1px solid #bbb;min-width:7em;width:22%}.fill tr>*:nth-child(-n+5){white-space:nowrap}.bar{max-width:30em}';

export interface SheetSubject extends Pick<LadderInput, 'machine' | 'material' | 'cutter'> {
  readonly digest: string;
  /** "2026-05-03" */
  readonly date: string;
}

const ENDS: Readonly<Record<Ladder['plan']['endsBecause'], (cutter: Cutter) => string>> = {
  limit: () => 'The last rung asks more than the axis is believed to have.',
  cutter: (cutter) =>
    `The ladder ends where the cutter has used what may be planned of its strength (${cutterForceN(cutter, 0).toFixed(0)} N); a thicker or shorter cutter goes farther.`,
  depth: () => 'The ladder ends where the flutes or the bar have no more depth.',
  power: () => 'The ladder ends where the spindle has no more power.',
};

export function ladderSheet(ladders: readonly Ladder[], subject: SheetSubject): string {
  const { machine, material, cutter, digest, date } = subject;
  const body: Html[] = [
    WHAT,
    setupBlock(ladders, subject),
    block(
      'during',
      'At each stop',
      list([
        html`Look at both indicators. Within ${ladders[0]!.withinMm.toFixed(2)} mm of zero: write
          <b>held</b>, go on.`,
        html`Off by more: write down axis, direction and amount, and <b>end the ladder here</b>. Do
          not go on: every later pass would cut somewhere else.`,
        'Anything else that stops it (broken cutter, a bar that moved): not evidence; start again.',
      ]),
    ),
    ...ladders.map((ladder) => rungsBlock(ladder, cutter)),
    block(
      'after',
      'Afterwards',
      html`<p>Tell the tool what you wrote, for each axis, with the job you mean to cut:</p>`,
      ...ladders.map(({ plan }) => tellingOf(plan.axis)),
    ),
    careBlock(material),
  ];
  return standalonePage(
    `Step-loss ladder: ${machine.title}`,
    `${sheetStyle(8.4, `ladder ${digest}`)}${FILL_STYLE}`,
    html`<header>
        <div>
          <h1>Step-loss ladder</h1>
          <p>${machine.title}; ${material.title}; made ${date}</p>
        </div>
        <p class="copy">ladder ${digest}</p>
      </header>
      <main>${body}</main>`,
  ).html;
}

const WHAT = block(
  'what',
  'What this does',
  html`<p>
    Passes along the sides of a scrap bar, each asking a little more thrust of one axis than the one
    before. After each the machine goes back to a reference where two indicators must read what they
    read at the start. The first rung after which they do not is the rung at which the axis lost
    steps. It is meant to be lost there: expect a growl and a jump, and keep a hand at the emergency
    stop.
  </p>`,
);

function setupBlock(ladders: readonly Ladder[], { material, cutter }: SheetSubject): Html {
  const first = ladders[0]!;
  const { barMm: bar, spindleRpm } = first.plan;
  const thickness = Math.max(...ladders.map((l) => l.plan.barMm.thicknessMm));
  const clampMm = Math.min(...ladders.map((l) => clampHeightMm(l.plan, cutter.stickOutMm)));
  const { checkX } = ladderReference(first.plan, cutter.diameterMm / 2, first.withinMm);
  const [atX, atY] = checkX;
  const axes = ladders.map((l) => l.plan.axis);
  return block(
    'setup',
    'Before',
    list(
      [
        html`Bar of ${material.title}, ${bar.x} x ${bar.y} mm, at least ${thickness} mm thick, sides
        square to 0.1 mm, the long way along X. Screw it down from below, or clamp it in the middle
        with nothing higher than ${clampMm} mm over its top and nothing near its sides.`,
        html`Cutter ⌀ ${cutter.diameterMm} mm, ${cutter.flutes} flutes, stick-out
        ${cutter.stickOutMm} mm: a sound edge, the kind you cut jobs with.`,
        html`Zero: X and Y in the middle of the bar (touch both sides), Z on its top face. The sides
        must be within ${BAR_ERROR_MM} mm of where that puts them.`,
        html`Two indicators on stands at X ${atX}, Y ${atY} mm: one touches the spindle nose from +X
        (1 in the drawing), one from +Y (2). The program goes there first: set them to 0.00.`,
        html`Rapids and passes need ${(2 * atX).toFixed(0)} x ${(2 * atY).toFixed(0)} mm of free
        travel about the bar.`,
        html`Spindle ${spindleRpm} rpm. Check the speed on the dial: the forces rest on it.`,
        axes.length > 1
          ? 'The same bar serves for X and then for Y: they use different sides. After steps were lost set zero and indicators anew before the other axis.'
          : null,
      ],
      'ol',
    ),
    html`<figure class="bar">
      ${ladderDrawing(bar, checkX, cutter.diameterMm / 2, axes)}
      <figcaption>From above, to scale. The wall is on the left hand of every pass.</figcaption>
    </figure>`,
  );
}

function tellingOf(axis: 'x' | 'y'): Html {
  return html`<p>
    <code
      >gullet retune JOB --ladder ladder-${axis}.json --event lost --at "${axis.toUpperCase()} plus
      3" --axis ${axis} --direction minus --amount "0.08 mm"</code
    ><br />with the rung, or trim, after which it was off, and what the indicators say; where every
    rung held: <code>gullet retune JOB --ladder ladder-${axis}.json --event finished</code>
  </p>`;
}

function careBlock(material: Material): Html {
  const { fire, coolant } = groupCare(material.group);
  return block(
    'care',
    'You and the shop',
    list([
      'Spectacles with side shields and a screen before the face: a cutter may break in this test.',
      'Ear protection; no gloves, rings or loose sleeves; hands away until the spindle stands.',
      'Stay at the machine with a hand at the emergency stop until the last rung.',
      html`<b>Fire:</b> ${fire}`,
      html`<b>Coolant:</b> ${coolant}`,
      ...material.hazards.map((id) => html`<b>Material:</b> ${hazardText(id)}`),
      'Local codes, the manual of the machine and licensed practice come first.',
    ]),
  );
}

/** How likely the ladder is to show anything. */
export function outlook({ plan, lossChance, believedN }: Ladder): string {
  const { p5, p95 } = believedN;
  const chance = lossChance < 0.005 ? 'under 1' : (100 * lossChance).toFixed(0);
  const vain =
    lossChance < WORTH_WHILE
      ? ' It will most likely hold to its end and show no more than that: a thicker or shorter cutter, or a pull test, tells more.'
      : '';
  return `The limit of ${plan.axis.toUpperCase()} is believed to be ${p5.toFixed(0)} to ${p95.toFixed(0)} N (90 %); a rung is lost with probability ${chance} %.${vain}`;
}

function rungsBlock(ladder: Ladder, cutter: Cutter): Html {
  const { plan, rungs } = ladder;
  const axis = plan.axis.toUpperCase();
  const rows = rungs.map(({ name, rung, fromLine }) => {
    const cells = [rung.apMm.toFixed(2), rung.cutN.toFixed(0), rung.demandN.toFixed(0), fromLine];
    return html`<tr>
      <th scope="row">${name}</th>
      ${[...cells, '', ''].map((cell) => html`<td>${cell}</td>`)}
    </tr> `;
  });
  const heads = ['rung', 'depth mm', 'cutting N', 'thrust asked N', 'line', 'X reads', 'Y reads'];
  return block(
    `rungs-${plan.axis}`,
    `${axis}: program ${ladderFile(plan.axis)}, about ${ladder.totalMin.toFixed(0)} min and ${rungs.length + 3} checks`,
    html`<p>
      ${axis} PLUS runs along the ${plan.axis === 'x' ? 'front' : 'right'} of the bar, ${axis} MINUS
      along the ${plan.axis === 'x' ? 'back' : 'left'}; both are conventional, so that the force
      points along the travel. ${ENDS[plan.endsBecause](cutter)} Forces are calculated peaks; the
      step from rung to rung is ${(100 * (plan.ratio - 1)).toFixed(0)}&nbsp;%. ${outlook(ladder)}
    </p>`,
    html`<table class="fill">
      <tr>
        ${heads.map((head) => html`<th scope="col">${head}</th>`)}
      </tr>
      ${rows}
    </table>`,
  );
}

const SCALE = 0.75;
const MARGIN = { left: 26, right: 24, top: 9, bottom: 13 } as const;
const ARROW_MM = 9;

/**
 * The bar from above: which side each pass runs along, where the indicators stand. To scale.
 * @param bar       length and width along X and Y, mm
 * @param radiusMm  of the cutter
 * @param axes      axes that have a ladder
 */
function ladderDrawing(
  bar: LadderPlan['barMm'],
  [rx, ry]: DatumPlan['checkX'],
  radiusMm: number,
  axes: readonly ('x' | 'y')[],
): Html {
  const over = Math.max(0, SCALE * (ry - bar.y / 2));
  const beside = Math.max(0, SCALE * (rx - bar.x / 2));
  const cx = MARGIN.left + (SCALE * bar.x) / 2;
  const cy = MARGIN.top + over + (SCALE * bar.y) / 2;
  const width = cx + (SCALE * bar.x) / 2 + beside + MARGIN.right;
  const height = cy + (SCALE * bar.y) / 2 + MARGIN.bottom;
  const px = (x: number): number => cx + SCALE * x;
  const py = (y: number): number => cy - SCALE * y;
  const off = { x: bar.x / 2 + radiusMm + 1.5, y: bar.y / 2 + radiusMm + 1.5 };
  const arrow = (x: number, y: number, dx: number, dy: number): Html => {
    const [ex, ey] = [px(x) + dx * ARROW_MM, py(y) - dy * ARROW_MM];
    return html`${line(px(x) - dx * ARROW_MM, py(y) + dy * ARROW_MM, ex, ey, 'thick')}<path
        class="ink"
        d="M${n(ex)} ${n(ey)}l${n(-2 * dx - 0.7 * dy)} ${n(2 * dy - 0.7 * dx)}l${n(1.4 * dy)} ${n(1.4 * dx)}Z"
      />`;
  };
  const passes = {
    x: [
      html`${arrow(0, -off.y, 1, 0)}${label(px(0), py(-off.y) + 4.2, 'X PLUS, front', 'middle')}`,
      html`${arrow(0, off.y, -1, 0)}${label(px(0), py(off.y) - 1.4, 'X MINUS, back', 'middle')}`,
    ],
    y: [
      html`${arrow(off.x, 0, 0, 1)}${label(px(off.x) + 1.6, py(0), ['Y PLUS,', 'right'])}`,
      html`${arrow(-off.x, 0, 0, -1)}${label(px(-off.x) - 1.6, py(0), ['Y MINUS,', 'left'], 'end')}`,
    ],
  };
  const [ix, iy] = [px(rx), py(ry)];
  return html`<svg
    class="drawing"
    viewBox="0 0 ${n(width)} ${n(height)}"
    role="img"
    aria-label="The bar from above, with the side of each pass and the place of the indicators"
  >
    ${box(px(-bar.x / 2), py(bar.y / 2), px(bar.x / 2), py(-bar.y / 2), 'table')}
    ${line(px(-6), cy, px(6), cy, 'axis')}${line(cx, py(-6), cx, py(6), 'axis')}
    ${label(cx + 1.5, cy + 4.5, 'X0 Y0')} ${axes.flatMap((axis) => passes[axis])}
    <circle class="thin plain" cx="${n(ix)}" cy="${n(iy)}" r="2.4" />
    ${line(ix + 2.4, iy, ix + 9, iy, 'thick')}${line(ix, iy - 2.4, ix, iy - 7, 'thick')}
    ${balloon(ix + 11.5, iy, 1)}${balloon(ix + 3.4, iy - 6, 2)}
  </svg>`;
}
