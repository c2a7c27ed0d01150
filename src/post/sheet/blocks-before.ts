/** What is done before the program is started: blank, holding, zero, machine. */
import type { Plan, RestartFacts } from '../plan.js';
import { keyway } from '../../profile/wheel/bore.js';
import {
  FACE_ALLOWANCE_MM,
  RIM_ALLOWANCE_MM,
  SPIGOT_LENGTH_MM,
  belowTeeth,
  blankDrawing,
} from './blank-drawing.js';
import type { SheetFigures } from './figures.js';
import { type Format, newtons } from './format.js';
import { type Html, type Piece, block, figuresTable, html, list } from './html.js';

export function blankBlock(planned: Plan, figures: SheetFigures, f: Format): Html {
  const { job, cam, profile } = planned;
  const { blank } = cam;
  const { relief } = figures;
  const below = belowTeeth(planned, figures)?.lengthMm ?? 0;
  const surplus = blank.thicknessMm - profile.thicknessMm;
  const rawLengthMm = blank.thicknessMm + below + 2 * FACE_ALLOWANCE_MM;
  return block(
    'blank',
    'The blank, from the lathe',
    html`<figure class="blank">${blankDrawing(planned, figures, f)}</figure>`,
    figuresTable([
      [
        'Saw off',
        `\u2300 ${f.length(blank.diameterMm + RIM_ALLOWANCE_MM, 1)} or more, ${f.length(rawLengthMm, 1)} long (${f.length(FACE_ALLOWANCE_MM, 1)} to face off each side)`,
      ],
      [
        'Rim',
        `\u2300 ${f.length(blank.diameterMm)}, which is ${f.length((blank.diameterMm - profile.tipDiameterMm) / 2)} over the tip circle all round; ${f.length(blank.centringErrorMm)} of it for the centring error`,
      ],
      [
        'Teeth',
        `${f.length(profile.thicknessMm)} thick between faces${surplus > 1e-9 ? `; the blank's other ${f.length(surplus)} stay below as a web in the gaps: face them off on the lathe afterwards` : ''}`,
      ],
      job.hub
        ? [
            'Hub, below',
            `\u2300 ${f.length(job.hub.diameterMm)}, ${f.length(job.hub.lengthMm)} long, clear of the root circle ${f.length(profile.rootDiameterMm)}`,
          ]
        : job.blank.heldBy === 'spigot'
          ? [
              'Spigot, below',
              `\u2300 ${f.length(figures.spigotMm, 1)}, ${f.length(SPIGOT_LENGTH_MM, 0)} long, to hold it by; turned off when the teeth are done`,
            ]
          : null,
      ['Bore', boreText(job, f)],
      [
        'Side relief',
        `${f.length(relief.atTipMm)} off each side at the tip circle, radius ${f.length(relief.radiusMm, 1)}, from \u2300 ${f.length(2 * relief.startRadiusMm, 1)} outwards${relief.reduced ? ' (less than the standard: the teeth are thin)' : ''}; turn it on the blank`,
      ],
    ]),
    html`<p>
      Turn rim, faces${job.hub ? ', hub' : ''} and bore in one setting. <b>Round only:</b> a sawn
      corner outside the rim is metal that the plan does not know of, and the cutter would meet it
      buried.
    </p>`,
  );
}

function boreText(job: Plan['job'], f: Format): string {
  const { bore } = job;
  const made =
    bore.madeBy === 'lathe'
      ? 'made on the lathe'
      : `cut by the router${bore.pilotHoleMm === null ? '' : `; drill ${f.length(bore.pilotHoleMm, 1)} first`}`;
  const round = `\u2300 ${f.length(bore.diameterMm)}`;
  if (bore.shape === 'd-flat') {
    return `${round} with a flat, ${f.length(bore.acrossFlatMm ?? 0)} across to the far side, ${made}`;
  }
  if (bore.shape === 'keyed') {
    const key = keyway(bore);
    return `${round} with a keyway ${f.length(key.widthMm, 1)} wide, ${f.length(key.depthMm, 1)} deep, ${made}`;
  }
  return `${round}, ${made}`;
}

export function holdBlock({ job }: Plan, figures: SheetFigures, f: Format): Html {
  const { holding, reach } = figures;
  const nut = f.length(reach.nutHeightMm);
  return block(
    'holding',
    'Holding it',
    figuresTable([
      [
        'Cut pushes',
        `${newtons(holding.cutForceN)} at most, at ${f.length(holding.cutRadiusMm, 1)} from the axis: ${holding.cutTorqueNm.toFixed(2)} N m; helix lifts with ${newtons(holding.axialPullN)}`,
      ],
      [
        'Safety factor',
        `${holding.safety} on push and lift; friction ${holding.friction.mu} (${holding.friction.source})`,
      ],
      [
        'Clamp with',
        html`<b>${newtons(holding.clampForceN)}</b> or more${clampWhere(job.blank.heldBy)}`,
      ],
      ['Which takes', screwText(figures)],
    ]),
    list([
      ...holdSteps(job, figures, f),
      html`<b>Under the teeth</b> nothing wider than ⌀ ${f.length(reach.spacerMaxMm, 1)} may touch
        them: the cutter runs ${f.length(figures.overrunMm)} below. What is wider stays
        ${f.length(1, 0)} or more lower.`,
      html`<b>Keep-out circle ⌀ ${f.length(figures.keepOutDiameterMm, 0)}:</b> no clamp, screw or
        stop inside it beside the blank. At the lowest level the collet nut comes down to ${nut}
        above the top face: whatever stands higher than that must clear the nut, not only the
        cutter.`,
      html`A jammed cutter pushes with up to ${newtons(holding.stallThrustN)} before the axis loses
      steps;
      ${holding.jamForceN <= holding.clampForceN ? 'the clamping above is enough for that too' : html`holding against that would take <b>${newtons(holding.jamForceN)}</b>, so reckon with the blank going, hand at the stop`}.`,
      tapeText(figures, job.material.title),
    ]),
  );
}

function clampWhere(heldBy: Plan['job']['blank']['heldBy']): string {
  if (heldBy === 'spigot') return ' in all round the spigot';
  return heldBy === 'through-bolt' ? ' along the bolt' : ' in all, downwards';
}

function screwText({ holding }: SheetFigures): string {
  const { screw, screws } = holding;
  if (screw === null) return 'more than an M16 screw gives: hold this blank another way';
  const each = `M${screw.diameterMm} 8.8 screw${screws > 1 ? 's' : ''}`;
  return `${screws > 1 ? screws : 'one'} ${each} at ${screw.torqueNm.toFixed(1)} N m dry${screws > 1 ? ' each' : ''} (${Math.round(100 * screw.yieldShare)} % of yield), or larger`;
}

function holdSteps({ blank, hub, bore }: Plan['job'], figures: SheetFigures, f: Format): Piece[] {
  const { holding, reach } = figures;
  if (blank.heldBy === 'spigot') {
    return [
      `Grip the ${hub ? 'hub' : 'spigot'} in a bored split ring or soft jaws that are screwed to the table. The teeth's lower face rests on the ring; the ${hub ? 'hub' : 'spigot'} does not reach the table.`,
    ];
  }
  if (blank.heldBy === 'through-bolt') {
    const tooBig = holding.screw !== null && holding.screw.diameterMm > bore.diameterMm - 0.5;
    return [
      `Bolt down through the bore on a flat spacer${hub ? ' with a hole for the hub' : ''}, washer \u2300 ${f.length(holding.bearing.outerMm, 0)}. A sleeve or shouldered bolt fills the bore: a loose bolt lets the blank shift.`,
      tooBig
        ? html`<b>The screw asked for does not go through the bore.</b> Add clamping another way, or
            hold it by a spigot.`
        : null,
    ];
  }
  return [
    `Screw the disc to a flat spacer${hub ? ' with a hole for the hub' : ''} between \u2300 ${f.length(holding.bearing.innerMm, 1)} and \u2300 ${f.length(reach.spacerMaxMm, 1)}, through holes that the finished wheel may keep; heads sunk, or lower than the nut comes.`,
  ];
}

function tapeText({ holding }: SheetFigures, material: string): Html {
  return holding.tapeMayHold
    ? html`<b>Tape or glue:</b> not reckoned with. They let go when warm or oily, and the helix
        pulls upwards. Use screws.`
    : html`<b>Tape and glue are refused</b> for ${material}: foam tape is rated for about 1.7 kPa
        (3M), heat and oil take even that, the helix peels it, and the cut throws the part.`;
}

export function zeroBlock({ job, cam }: Plan, figures: SheetFigures, f: Format): Html {
  const { backlashMm } = job.machine;
  const inBore = job.blank.heldBy === 'spigot' && job.bore.madeBy === 'lathe';
  const where = inBore ? 'the wall of the bore' : 'the rim of the blank';
  const shaped = job.bore.shape !== 'round' && job.bore.madeBy === 'lathe';
  return block(
    'zero',
    'Zero, and finding the centre',
    html`<p>
      <b>X0 Y0</b> is the axis of the ${inBore ? 'bore' : 'blank'}, <b>Z0</b> its top face; a tooth
      gap will lie on
      +X${shaped ? `, so lay the ${job.bore.shape === 'keyed' ? 'keyway' : 'flat'} where you want it to be against a gap` : ''}.
    </p>`,
    list(
      [
        `Spindle off and unplugged. Clamp an indicator in the collet, tip on ${where}, and turn the spindle by hand.`,
        'Read at +X and at -X. Move X by half of the difference, so that both read alike. The same in Y, then X again.',
        html`Go on until a whole turn reads <b>${f.length(figures.centringReadingMm)} or less</b> in
          all: the plan's centring error, ${f.length(cam.blank.centringErrorMm)}, twice. Try for a
          tenth of it:
          ${job.bore.madeBy === 'router' ? 'bore and teeth are cut in one setting, so what is left here costs stock, not run-out' : `what is left here is run-out of the teeth, of which ISO 606 allows ${f.length(figures.runoutLimitMm)} in all (from memory)`}.`,
        `Come to the last position from the same side each time: backlash is reckoned as ${f.length(Math.max(backlashMm.x, backlashMm.y))}. Set X0 and Y0.`,
        'Check the top face with the indicator: turn the spindle, pack until it reads the same all round.',
        html`Cutter in the collet: let it stick out <b>${f.length(job.cutter.stickOutMm, 1)}</b>,
          measured from the nut. Lower it by hand onto a feeler on the top face, spindle at rest,
          and set Z to the feeler's thickness.`,
        'Write down the machine position of the zero. Coming back to it is how a lost step is found.',
      ],
      'ol',
    ),
  );
}

export function machineBlock(
  { job, program, cam: { toolpath } }: Plan,
  figures: SheetFigures,
  f: Format,
): Html {
  const { travelMm } = figures.reach;
  const { controller, machine } = job;
  const [parkX, parkY] = toolpath.start;
  return block(
    'machine',
    'Machine, control, program',
    list([
      html`Load <code>${figures.programFile}</code>. Its first line must read
        <code>${figures.firstLine}</code>, and its last but one the same after “end of”. Anything
        else is another job, or a copy cut short.`,
      `Planned for: ${machine.title}, travel needed ${range3(travelMm)} mm. Figures of another machine are another plan.`,
      html`Control: ${controller.title}. ${controller.setUp.join(' ')}`,
      html`${machine.homed === true && controller.machineCoordinates ? 'Home the machine before you start: the program begins by going to the top of travel, in machine coordinates' : 'Where the machine stands is not known to the program: it begins with a stop, and goes up first'}.
        It crosses at <b>Z ${toolpath.clearanceZMm}</b>, and at every stop and at the end it stands
        up there at X ${parkX} Y ${parkY}, spindle still: nothing on the table may be as high.`,
      `Run-out at the cutter ${f.length(machine.spindle.runoutMm, 3)} or less; clean collet and nut; guides, belts and couplings without play.`,
      program.lineCount > 20000
        ? 'A long file: see that the memory or the sender takes all of it.'
        : null,
    ]),
  );
}

function range3({ x, y, z }: { x: number; y: number; z: number }): string {
  return `${x.toFixed(0)} \u00d7 ${y.toFixed(0)} \u00d7 ${z.toFixed(0)}`;
}

/** What a restart is: where it takes up, and what is taken to be right. */

export function restartBlock({ jobDigest }: Plan, restart: RestartFacts, f: Format): Html {
  const { x, y } = restart.offsetMm;
  const off = x !== 0 || y !== 0;
  return block(
    'restart',
    'This program goes on where another was stopped',
    figuresTable([
      [
        'Takes up',
        `line ${restart.fromLine} of the program of job ${jobDigest}: ${restart.section.toLowerCase()}`,
      ],
      ['Taken as right', `everything before line ${restart.askedLine}`],
      [
        'Cut wrong',
        off
          ? `from there to line ${restart.stoppedLine}, off by X ${f.length(x)}, Y ${f.length(y)}: at most ${f.length(restart.gougeMm, 3)} into a tooth, ${f.length(restart.toleranceMm)} are allowed`
          : 'nothing',
      ],
      ['First', 'the air pass, then the rest of that level in two steps of half its depth'],
    ]),
    list([
      'Use the same blank in the same holding. Before you start, look at every tooth: a loss before that line is not in this program.',
      'Set X, Y and Z again: X and Y on the axis of the sprocket by the bore or the rim, Z on the top face.',
    ]),
  );
}
