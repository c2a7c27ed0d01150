/** What the program does, what it is expected to load, and what to do while it runs: stops, datum checks. */
import { oddsSentences } from '../odds-words.js';
import { STEPS_PER_PERIOD, fullStepMm } from '../../machines/bear/motor.js';
import { OVERRUN_MM } from '../../cam/process.js';
import type { Cutter } from '../../model/machine.js';
import type { StopKind } from '../../model/section.js';
import { plural } from '../../text/show.js';
import type { Plan } from '../plan.js';
import type { SheetFigures, SheetStop } from './figures.js';
import { type Format, duration, newtons, range } from './format.js';
import { type Html, type Piece, block, figuresTable, html, list } from './html.js';
import { n } from './ink.js';
import { limitText } from '../../profile/inspect/limits.js';
import type { PlanSummary } from '../../model/job.js';

export function runBlock(
  { job, cam, profile, summary }: Plan,
  figures: SheetFigures,
  f: Format,
): Html {
  const { process, finish, times } = cam;
  const { cutter } = job;
  const { predicted, limits } = summary;
  const roughs = process.levelsMm.length > 0 || null;
  const roughing = roughs ? `roughing ${duration(times.roughCutMin)}, ` : '';
  return block(
    'run',
    'What the program does',
    figuresTable([
      [
        'Cutter',
        `\u2300 ${f.length(cutter.diameterMm, 3).replace(/\.?0+ mm/, ' mm')}, ${cutter.flutes} flutes, ${cutter.material}, flutes ${f.length(cutter.fluteLengthMm, 1)}${neckText(cutter, profile.thicknessMm, f)}, stick-out ${f.length(cutter.stickOutMm, 1)}`,
      ],
      ['Spindle', html`<b>${process.spindleRpm} rpm</b>, clockwise from above (M3)`],
      roughs && [
        'Roughing',
        `${process.levelsMm.length} levels, stepdown ${f.length(process.stepdownMm, 3)} (most ${f.length(limits.maxStepdownMm)}), ${process.direction === 'climb' ? 'climb only' : 'both ways'}; leaves ${f.length(process.allowanceMm)}`,
      ],
      [
        'Finishing',
        `${plural(finish.levelsMm.length, 'level')} of ${f.length(finish.stepdownMm, 3)}, ${finish.passes.length} ${finish.passes.length === 1 ? 'pass' : 'passes'} each, climb`,
      ],
      [
        'Feed',
        `${roughs ? `roughing ${range(figures.cutFeed.low, figures.cutFeed.high)}, ` : ''}finishing ${range(figures.finishFeed.low, figures.finishFeed.high)}, links ${process.linkFeedMmPerMin.toFixed(0)} mm/min`,
      ],
      [
        'Time',
        // prettier-ignore
        html`${roughing}finishing ${duration(predicted.finishMin)},
          between cuts ${duration(predicted.linkMin)}, air pass ${duration(times.airMin)};
          <b>${duration(predicted.totalMin)} in all</b>, stops not counted`,
      ],
    ]),
  );
}

/** A neck has to go on over the face at the lowest level; how long it is, nobody has told. */
function neckText(
  { neckDiameterMm, fluteLengthMm }: Cutter,
  thicknessMm: number,
  f: Format,
): string {
  if (neckDiameterMm === undefined) return '';
  const toMm = thicknessMm + OVERRUN_MM;
  const neck = `, neck \u2300 ${f.length(neckDiameterMm)}`;
  return fluteLengthMm >= toMm
    ? neck
    : `${neck} that must go up to ${f.length(toMm, 1)} from the tip`;
}

export function loadBlock({ job, cam, summary, replay }: Plan, f: Format): Html {
  const { predicted, limits } = summary;
  const { finish } = cam;
  const row = (what: string, value: number, limit: number, text: string, of: string): Html =>
    html`<tr>
      <th scope="row">${what}</th>
      <td>${text}</td>
      <td>${meter(value, limit)}</td>
      <td>${of}</td>
    </tr>`;
  const drive = (axis: 'x' | 'y'): Html =>
    row(
      `${axis.toUpperCase()} thrust for cut and moving`,
      predicted.driveDemandN[axis],
      predicted.driveThrustN[axis],
      newtons(predicted.driveDemandN[axis]),
      newtons(predicted.driveThrustN[axis]),
    );
  const tooth = replay.peakResultantN.value;
  return block(
    'load',
    'Odds, and peaks against limits by replay',
    html`<p>${oddsSentences(predicted).join(' ')}</p>`,
    html`<table class="meters">
      ${row('Engagement', predicted.peakEngagementDeg, limits.maxEngagementDeg, `${predicted.peakEngagementDeg.toFixed(1)}\u00b0`, `${limits.maxEngagementDeg.toFixed(0)}\u00b0`)}
      ${row('Push of a tooth', tooth, limits.peakForceN, newtons(tooth), newtons(limits.peakForceN))}
      ${drive('x')} ${drive('y')}
      ${row('Life of the edge', predicted.edgeLivesEach, limits.edgeLives, `${Math.round(100 * predicted.edgeLivesEach)} %`, `${Math.round(100 * limits.edgeLives)} %`)}
      ${row('Chip', replay.peakChipMm.value, cam.process.chipCapMm, `${(replay.peakChipMm.value * 1000).toFixed(1)} \u00b5m`, `${(cam.process.chipCapMm * 1000).toFixed(1)} \u00b5m`)}
      ${row('Form error', finish.errorMm, job.limits.toleranceMm, `${finish.errorMm.toFixed(3)} mm`, `${job.limits.toleranceMm.toFixed(3)} mm`)}
    </table>`,
    html`<p>
      Taper over the depth of the teeth: ${f.length(finish.taperMm, 3)}, thicker at the bottom.
      Forces are those of
      ${job.limits.wearFactor > 1 ? `a worn edge, ${job.limits.wearFactor} times a sharp one` : 'a sharp edge'}.
      The stroke on the bar is the limit. Drives are held against the thrust that all but a few in a
      thousand machines like this one have.
    </p>`,
  );
}

/** What the finished part should measure, and the limits that inspect holds it against. */
export function sizesBlock({ job, summary, aim }: Plan, f: Format): Html {
  const { predicted, limits } = summary;
  const row = (what: string, key: keyof typeof limits & keyof typeof predicted, digits = 2) => {
    const expected = predicted[key] as number | null;
    const range = limitText(limits[key] as PlanSummary['limits']['boreMm'], f.length, digits);
    const said = expected === null ? '' : html`<b>${f.length(expected, digits)}</b>; `;
    return [what, html`${said}${range}`] as const;
  };
  return block(
    'sizes',
    'What it should measure',
    figuresTable([
      row(`Over pins \u2300 ${f.length(job.chain.rollerDiameterMm)}`, 'overPinsMm'),
      row('Across roots', 'caliperRootMm'),
      row('Teeth thick', 'toothWidthMm'),
      row('Run-out, roots', 'radialRunoutMm'),
      row('Run-out, face', 'axialRunoutMm'),
      row('Bore', 'boreMm', 3),
    ]),
    html`<p>
      Expected, and the limits, rounded inwards. The path lies ${f.length(aim.insetMm, 3)} inside
      the drawn outline: what the cutter is pushed off by comes on top, and the rest puts the size
      in the middle of its limits. Readings go into <code>gullet inspect JOB</code>.
    </p>`,
  );
}

export function stopsBlock(figures: SheetFigures): Html {
  return block(
    'stops',
    'Stops in the program (M0)',
    html`<p>
      The spindle is switched off at each. It <b>starts again by itself</b> when you continue:
      hands, brush and indicator away first.
    </p>`,
    list(
      figures.stops.map(
        (stop) => html`<b>${stop.message}</b> <small>(${placeOf(stop)})</small> ${checksAt(stop)}`,
      ),
      'ticks',
    ),
  );
}

const AS_IT_SAYS =
  'Do what the message says, and look at cutter, chips and holding before you continue.';

/** Lines of one kind of stop that are named one by one. */
const MOST_LINES = 12;

function placeOf({ lines, afterMin }: SheetStop): string {
  const [first] = lines;
  if (lines.length > MOST_LINES) return `${lines.length} times, first in line ${first}`;
  if (lines.length > 1) return `lines ${lines.join(', ')}`;
  return afterMin === null ? `line ${first}` : `line ${first}, after ${duration(afterMin)}`;
}

function checksAt({ why }: SheetStop): string {
  return why === null ? AS_IT_SAYS : CHECKS_AT[why];
}

/** What to look at, by what the stop is for. */
const CHECKS_AT: Readonly<Record<StopKind, string>> = {
  'start-height':
    'Nothing is known yet of where the machine stands. Clamps, screws, indicators and hose holders all lower than the height that the message names; if the cutter is not higher than they are, do not continue.',
  'air-pass':
    'Did the cutter keep the same distance from the rim on all four sides, turn the right way, and stay about 2 mm above the face? Did the nut clear every screw, and cable and hose reach all round?',
  roughed:
    'Brush the chips out of every gap. Teeth alike, the allowance even on both flanks all round? Blank still tight and not turned? Cutter edges whole? A flank cut thin on one side means lost steps: do not continue.',
  edge: 'A fresh edge of the same cutter, the same stick-out. Touch off Z on the face of the blank again, X and Y stay. Run the spindle up, listen, then continue.',
  'datum-wait': 'Wait until the spindle stands before a hand or an indicator goes near it.',
  'datum-read': 'What to do is under \u201cDatum checks\u201d.',
  'probe-off': 'The spindle starts when you continue.',
  bore: AS_IT_SAYS,
};

export function watchBlock({ job, cam }: Plan, figures: SheetFigures): Html {
  return block(
    'watch',
    'Listen and watch, all the time it runs',
    list([
      `The note of the cutting edges is about ${Math.round(figures.toothPassHz)} Hz and even, swelling at each gap. A howl that comes and goes is chatter; a growl that falls is the spindle bogging; a knock or buzz from a motor is a lost step.`,
      `One ${cam.process.levelsMm.length > 0 ? 'roughing' : 'finishing'} level takes about ${duration(figures.minPerLevel)}, the same sound every level. A level that sounds different is a reason to stop.`,
      'Chips like fine bright dust or needles, the same all round. Blue or red ones, dust that smears, or a squeal: the edge is worn or rubs.',
      `Keep one hand at the stop button through the air pass and the whole of the first level. Do not leave the room while it runs${cam.times.totalMin > 60 ? '; plan breaks at the stops' : ''}.`,
      `Do not turn the feed down to be gentle: the chip is already ${(cam.process.chipFloorMm * 1000).toFixed(0)} \u00b5m at least so that the edge cuts and does not rub. Stop instead.`,
      job.machine.spindle.minRpm === cam.process.spindleRpm
        ? 'The spindle runs at its slowest speed: see that it holds it in the cut.'
        : null,
    ]),
  );
}

export function lostStepsBlock({ job, restart }: Plan, figures: SheetFigures, f: Format): Html {
  const jumpOf = (axis: 'x' | 'y') => STEPS_PER_PERIOD * fullStepMm(job.machine, axis);
  const jump = { x: jumpOf('x'), y: jumpOf('y') };
  const jumps: Piece =
    Math.abs(jump.x - jump.y) < 1e-9
      ? f.length(jump.x)
      : `${f.length(jump.x)} in X, ${f.length(jump.y)} in Y`;
  return block(
    'lost-steps',
    'When steps are lost: stop, do not carry on',
    list([
      'How it shows: one side of the wheel is cut too far and the opposite side is left by the same amount; a seam runs down the flank from one level on; a thump was heard. The control counts the steps it sends and carries on as if nothing had happened.',
      html`A stepper that slips falls back by four whole steps or a multiple: ${jumps} (common
      practice, no source).`,
      html`<b>Stop at once.</b> Lift Z clear, spindle off, plug out. Go to X0 Y0 and indicate the
        centre again; compare with the position that you wrote down.`,
      'Find the cause before anything else: dull or chipped cutter, blank turned or lifted, chips packed in a gap, loose coupling or belt, driver too hot, cable caught.',
      `If the offset is less than the allowance left, set zero anew and run the whole program from the start; it cuts air where it has been. If a flank is cut past its line, the wheel is scrap for this drive; in one level only, the rest of the width may still bear a slow one. Never continue this program from its middle: gullet plan JOB --resume-at ${restart ? 'with the level, such as "finish 9",' : 'LINE'} --offset=x,y writes one that starts there, or says why the part is scrap.`,
    ]),
  );
}

/** The reference that a program goes back to: what stands there, and what it must show; null where the
 *  job asks for no datum checks. */
export function datumBlock({ job, cam }: Plan, f: Format): Html | null {
  const { datum } = cam;
  if (datum === null) return null;
  const pin = job.datum?.pin;
  const pinAt =
    job.datum && pin
      ? `A pin of \u2300 ${f.length(pin.diameterMm)} in the table at X ${job.datum.xMm.toFixed(2)} Y ${job.datum.yMm.toFixed(2)}, its top ${pin.topMm < 0 ? `${f.length(-pin.topMm, 1)} below` : `${f.length(pin.topMm, 1)} over`} the blank's top face`
      : 'A pin in the table';
  const at = ([x, y]: readonly [number, number]): string => `X ${x.toFixed(2)} Y ${y.toFixed(2)}`;
  const set =
    datum.kind === 'indicators'
      ? html`Stand two indicators on the table so that the spindle nose touches both when it is at
          <code>${at(datum.checkX)}</code>, one from +X, one from +Y. The program goes there after
          the air pass: set them to zero.`
      : datum.kind === 'feeler'
        ? html`${pinAt}. The shank stops beside it at <code>${at(datum.checkX)}</code> for X and
            <code>${at(datum.checkY)}</code> for Y; a ${f.length(1)} feeler must just slide.`
        : html`${pinAt}, wired to the probe input. The shank is moved up to it from
            <code>${at(datum.wait)}</code>; contact is expected at X ${datum.checkX[0].toFixed(2)}
            and Y ${datum.checkY[1].toFixed(2)}.`;
  return block(
    'datum',
    'Datum checks',
    list([
      set,
      pin
        ? 'At the setting after the air pass the pin must be found where it stands here; if it is not, correct its place in the job and plan again.'
        : null,
      html`${datum.checks === 1 ? 'One check' : `${datum.checks} checks`}, at most
      ${datum.worstAtRiskMin.toFixed(0)} min of cutting between two. The reading must not have moved
      by more than ${f.length(datum.withinMm)}.`,
      html`Moved: end there. <code>gullet retune JOB --event lost --at "check 3"</code> takes what
        lies between check 2 and check 3 as evidence;
        <code
          >gullet plan JOB --resume-at "datum check 2" --stopped-at "datum check 3"
          --offset=x,y</code
        >
        writes a restart, or says why the part is scrap.`,
      html`Why there: ${datum.why}.`,
    ]),
  );
}

const LONG = 30;
const HIGH = 1.6;
/** Where the limit stands on the bar, so that what is over it shows. */
const LIMIT_AT = 26;

/** Bar that is filled to the value, with a stroke at the limit. */
function meter(value: number, limit: number): Html {
  const share = limit > 0 ? Math.max(0, value / limit) : Infinity;
  const filled = Math.min(LONG, LIMIT_AT * share);
  const shown = Number.isFinite(filled) ? filled : LONG;
  return html`<svg
    class="meter"
    viewBox="0 0 ${LONG} 2.6"
    role="img"
    aria-label="${`${Math.round(100 * Math.min(share, 9.99))} % of the limit`}"
  >
    <rect class="frame" x="0.1" y="0.5" width="${LONG - 0.2}" height="${HIGH}" />
    <rect class="ink" x="0.1" y="0.5" width="${n(shown)}" height="${HIGH}" />
    <path class="limit" d="M${LIMIT_AT} 0V2.6" />
  </svg>`;
}
