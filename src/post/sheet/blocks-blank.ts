/** The blank: an order of work for a small lathe, bore, how true it comes, heat treatment. */
import { limitText } from '../../profile/inspect/limits.js';
import {
  CHUCKING_MM,
  LARGEST_REAMED_MM,
  PARTING_MM,
  STICK_OUT_SHARE,
  TRUE_TO_MM,
  reamDrillMm,
  reamerLimitsMm,
} from '../../profile/wheel/lathe.js';
import type { Plan } from '../plan.js';
import { FACE_ALLOWANCE_MM, RIM_ALLOWANCE_MM, blankDrawing, rawLengthMm } from './blank-drawing.js';
import { heatText } from './blocks-care.js';
import type { SheetFigures } from './figures.js';
import type { Format } from './format.js';
import { belowTeeth } from './holding-plan.js';
import { type Html, type Piece, block, figuresTable, html, whole } from './html.js';

export function blankBlock(planned: Plan, figures: SheetFigures, f: Format): Html {
  const { job, cam, aim } = planned;
  const { blank } = cam;
  const { relief } = figures;
  const { tipDiameterMm } = aim.drawn;
  const fromBar = job.blank.heldBy === 'spigot' && job.bore.madeBy === 'lathe';
  const rawMm = rawLengthMm(planned, figures);
  return block(
    'blank',
    'The blank, on a small lathe',
    html`<figure class="blank">${blankDrawing(planned, figures, f)}</figure>`,
    figuresTable([
      [
        'Saw off',
        `\u2300 ${f.length(blank.diameterMm + RIM_ALLOWANCE_MM, 1)} or more, ${f.length(rawMm, 1)} long${fromBar ? `: ${f.length(CHUCKING_MM, 0)} of it in the chuck, ${f.length(PARTING_MM, 0)} for parting, ${f.length(FACE_ALLOWANCE_MM, 0)} to face at each end` : ` (${f.length(FACE_ALLOWANCE_MM, 0)} to face each side)`}`,
      ],
      ...(fromBar ? barSettings : discSettings)(planned, figures, f),
    ]),
    whole(
      'Its sizes',
      figuresTable([
        ['Bore', boreText(planned, f)],
        [
          'Rim',
          `\u2300 ${f.length(blank.diameterMm)}: ${f.length((blank.diameterMm - tipDiameterMm) / 2)} over the tip circle all round, ${f.length(blank.centringErrorMm)} of it for the centring error`,
        ],
        ['Teeth', teethText(planned, f)],
        [
          'Side relief',
          `${f.length(relief.atTipMm)} off each side at the tip circle, radius ${f.length(relief.radiusMm, 1)}, from \u2300 ${f.length(2 * relief.startRadiusMm, 1)} outwards${relief.reduced ? ' (less than the standard: the teeth are thin)' : ''}`,
        ],
        ['True to', trueText(planned, f)],
      ]),
    ),
    html`<p><b>Heat:</b> ${heatText(job)}</p>`,
    html`<p>
      <b>Round only:</b> a sawn corner outside the rim is metal that the plan does not know of, and
      the cutter would meet it buried.
    </p>`,
  );
}

type Row = readonly [string, Piece];

/** From bar, gripped behind the teeth: all that has to be true to the bore comes from one setting. */
function barSettings(planned: Plan, figures: SheetFigures, f: Format): Row[] {
  const { job, cam } = planned;
  const below = belowTeeth(job, figures.holding)!;
  const outMm = rawLengthMm(planned, figures) - CHUCKING_MM;
  const far = outMm > STICK_OUT_SHARE * cam.blank.diameterMm;
  const what = below.what;
  const size = `\u2300 ${f.length(below.diameterMm, job.hub ? 2 : 1)}, ${f.length(below.lengthMm, job.hub ? 2 : 0)} long`;
  return [
    [
      'Setting 1',
      html`bar in the chuck, ${what} end
        outwards${far ? ', centre in the tailstock for the rim' : ''}: face it, bore, ${what}
        ${size}, lower face of the teeth with its relief, rim. <b>All in this setting.</b> Part off
        behind the teeth.`,
    ],
    [
      'Setting 2',
      `${what} in soft jaws bored in place, or the bore on a mandrel 1:2000: face the top to width, other relief. Not in a scroll chuck: it is out by up to ${f.length(TRUE_TO_MM.scrollChuck)}.`,
    ],
    job.hub
      ? ['On the router', `held by the same hub, zero by the bore: the datum of setting 1`]
      : [
          'On the router',
          `held by the spigot, zero by the bore: the datum of setting 1. Turn the ${f.length(below.lengthMm, 0)} spigot off last, on a mandrel`,
        ],
  ];
}

/** A disc of plate: its rim is gripped first, so it needs a second setting on the bore. */
function discSettings(planned: Plan, _figures: SheetFigures, f: Format): Row[] {
  const { bore, blank } = planned.job;
  if (bore.madeBy === 'router') {
    return [
      [
        'Setting 1',
        `${bore.pilotHoleMm === null ? 'mark the centre' : `drill \u2300 ${f.length(bore.pilotHoleMm, 1)}`}; turn rim and faces on a bolt through it, or saw and file the rim round`,
      ],
      [
        'On the router',
        'bore and teeth come from one setting: the rim only has to be large enough',
      ],
    ];
  }
  return [
    [
      'Setting 1',
      'disc by its raw rim in outside jaws: face one side, bore. The rim cannot be turned here.',
    ],
    [
      'Setting 2',
      `bore on a ${bore.diameterMm > LARGEST_REAMED_MM ? 'stub turned in the chuck to fit it, washer and screw in front' : 'mandrel 1:2000, or a stub turned in the chuck'}: other face, rim, reliefs`,
    ],
    [
      'On the router',
      blank.heldBy === 'through-bolt'
        ? 'bolt through the bore, zero by the rim: turned on the bore, it is its datum'
        : 'screwed down, zero by the bore',
    ],
  ];
}

function teethText({ job, cam, aim, summary }: Plan, f: Format): string {
  const { predicted, limits } = summary;
  const surplus = cam.blank.thicknessMm - aim.drawn.thicknessMm;
  const web =
    surplus > 1e-9
      ? `; the blank\u2019s other ${f.length(surplus)} below would stay as a web in the gaps: turn them off there, or face them off afterwards`
      : '';
  const made = job.blank.thicknessMm === null || web ? 'turn them' : 'as the plate is,';
  return `${made} ${f.length(predicted.toothWidthMm!)} thick between faces, ${limitText(limits.toothWidthMm, f.length)}${web}`;
}

function trueText({ job, summary }: Plan, f: Format): string {
  const { predicted, limits, blank } = summary;
  const runout = predicted.radialRunoutMm!;
  const kept = runout <= limits.radialRunoutMm.max ? 'inside' : 'over';
  const how =
    job.bore.madeBy === 'router'
      ? 'bore and teeth from one setting'
      : `one setting gives ${f.length(TRUE_TO_MM.oneSetting)}, soft jaws ${f.length(TRUE_TO_MM.softJaws)}; set on the router within ${f.length(blank.settingMm)}`;
  return `${how}: teeth run out ${f.length(runout)} with backlash and form, ${kept} the ${f.length(limits.radialRunoutMm.max)} allowed`;
}

/** How the round bore comes to size; flat and keyway have a block of their own. */
function boreText({ job, summary }: Plan, f: Format): string {
  const { bore } = job;
  const d = bore.diameterMm;
  const round = `\u2300 ${f.length(d)}`;
  if (bore.madeBy === 'router') {
    return `${round}, cut by the router${bore.pilotHoleMm === null ? '' : `; drill ${f.length(bore.pilotHoleMm, 1)} first`}`;
  }
  const { boreMm } = summary.limits;
  const hole = { minMm: boreMm.min, maxMm: boreMm.max };
  const limits = limitText(boreMm, f.length, 3);
  const shaped =
    bore.shape === 'round' ? '' : `; the ${bore.shape === 'keyed' ? 'keyway' : 'flat'} comes after`;
  if (d > LARGEST_REAMED_MM) return `${round} round, bored to ${limits}${shaped}`;
  const reamer = reamerLimitsMm(hole);
  return `${round} round, ${limits}: drill ${f.length(reamDrillMm(d), 1)}, true it with a boring tool, ream (reamer ${f.length(reamer.minMm, 3)} to ${f.length(reamer.maxMm, 3)})${shaped}`;
}
