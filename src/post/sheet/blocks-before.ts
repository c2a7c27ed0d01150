/** What is done before the program is started: blank, holding, zero, machine. */
import { knowsTop } from '../../model/op.js';
import { cite } from '../../text/sources.js';
import type { Plan, RestartFacts } from '../plan.js';
import { OVERRUN_MM } from '../../cam/process.js';
import { programFiles } from '../file-names.js';
import { type SheetFigures, firstLineOf } from './figures.js';
import { type Format, duration, newtons } from './format.js';
import { type Html, type Piece, block, figuresTable, html, list } from './html.js';

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
        `${holding.safety} on push and lift; friction ${holding.friction.mu} (${cite(holding.friction.source)})`,
      ],
      [
        'Clamp with',
        html`<b>${newtons(holding.clampForceN)}</b> or more${clampWhere(job.blank.heldBy)}`,
      ],
      ['Which takes', screwText(figures)],
    ]),
    list(
      [
        ...holdSteps(job, figures, f),
        html`<b>Under the teeth</b> nothing wider than ⌀ ${f.length(reach.spacerMaxMm, 1)} may touch
          them: the cutter runs ${f.length(figures.overrunMm)} below. What is wider stays
          ${f.length(1, 0)} or more lower.`,
        html`<b>Keep-out circle ⌀ ${f.length(reach.keepOutDiameterMm, 0)}:</b> no clamp, screw or
          stop inside it beside the blank. At the lowest level the collet nut comes down to ${nut}
          above the top face: whatever stands higher than that must clear the nut, not only the
          cutter.`,
        html`A jammed cutter pushes with up to ${newtons(holding.stallThrustN)} before the axis
        loses steps (95 of 100 such machines push with less);
        ${holding.jamForceN <= holding.clampForceN ? 'the clamping above is enough for that too' : html`holding against that would take <b>${newtons(holding.jamForceN)}</b>, so reckon with the blank going, hand at the stop`}.`,
        tapeText(figures, job.material.title),
      ],
      'ticks',
    ),
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
        (${cite('3M')}), heat and oil take even that, the helix peels it, and the cut throws the
        part.`;
}

export function zeroBlock({ job, cam, summary }: Plan, figures: SheetFigures, f: Format): Html {
  const { backlashMm } = job.machine;
  const { limits } = summary;
  const routed = job.bore.madeBy === 'router';
  const inBore = job.blank.heldBy === 'spigot' && !routed;
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
          all${routed ? ', the plan\u2019s centring error twice: bore and teeth are cut in one setting, so what is left here costs stock, not run-out' : `: that is run-out of the teeth, of which ${f.length(limits.radialRunoutMm.max)} is allowed in all. The blank is large enough for ${f.length(cam.blank.centringErrorMm)} off centre, the teeth are not`}.`,
        `Come to the last position from the same side each time: backlash is reckoned as ${f.length(Math.max(backlashMm.x, backlashMm.y))}. Set X0 and Y0.`,
        'Check the top face with the indicator: turn the spindle, pack until it reads the same all round.',
        html`Cutter in the collet: let it stick out <b>${f.length(job.cutter.stickOutMm, 1)}</b>,
          measured from the nut. Lower it by hand onto a feeler on the top face, spindle at rest,
          and set Z to the feeler's thickness.`,
        'Write down the machine position of the zero. Coming back to it is how a lost step is found.',
      ],
      'ticks',
    ),
    html`<p class="fill">Zero at machine <span>X</span><span>Y</span><span>Z</span></p>`,
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
    list(
      [
        html`Load <code>${figures.programFile}</code>. Its first line must read
          <code>${figures.firstLine}</code>, and its last but one the same after “end of”. Anything
          else is another job, or a copy cut short.`,
        `Planned for: ${machine.title}, travel needed ${range3(travelMm)} mm. Figures of another machine are another plan.`,
        html`Control: ${controller.title}. ${controller.setUp.join(' ')}`,
        html`${knowsTop(machine.homed, controller) ? 'Home the machine before you start: the program begins by going to the top of travel, in machine coordinates' : 'Where the machine stands is not known to the program: it begins with a stop, and goes up first'}.
          It crosses at <b>Z ${toolpath.clearanceZMm}</b>, and at every stop and at the end it
          stands up there at X ${parkX} Y ${parkY}, spindle still: nothing on the table may be as
          high.`,
        `Run-out at the cutter ${f.length(machine.spindle.runoutMm, 3)} or less; clean collet and nut; guides, belts and couplings without play.`,
        program.lineCount > 20000
          ? 'A long file: see that the memory or the sender takes all of it.'
          : null,
      ],
      'ticks',
    ),
  );
}

/** The bore's own program, which runs before the teeth; null where the bore is turned. */
export function boreFirstBlock({ job, bore }: Plan, f: Format): Html | null {
  if (!bore) return null;
  const { plan, program } = bore;
  const { levelsMm } = plan.process;
  const hole = job.bore.pilotHoleMm;
  return block(
    'bore-first',
    'The bore, before the teeth',
    list(
      [
        html`Load <code>${programFiles(job).bore}</code>. Its first line must read
          <code>${firstLineOf(program)}</code>. It takes ${duration(plan.times.totalMin)},
          ${levelsMm.length} levels to ${f.length(plan.depthMm + OVERRUN_MM)} deep: nothing under
          the bore that the cutter could meet.`,
        html`At its first stop the cutter has been down at the
        middle${hole === null ? '' : html`, over the hole of ⌀ ${f.length(hole, 1)}`}: was it
        centred, and did it stop above the work? At the second, brush the chips out.`,
        html`At its end <b>move nothing</b>: not the blank, not the zero, not the cutter. Measure
          the bore, then load the teeth.`,
      ],
      'ticks',
    ),
  );
}

function range3({ x, y, z }: { x: number; y: number; z: number }): string {
  return `${x.toFixed(0)} \u00d7 ${y.toFixed(0)} \u00d7 ${z.toFixed(0)}`;
}

/** How the stopped run went on, off its way. @param length  in words */
export function cutWrong(
  { stoppedLine, offsetMm, gougeMm, toleranceMm }: RestartFacts,
  length: (mm: number, digits?: number) => string,
): string {
  return `from there to line ${stoppedLine}, off by X ${length(offsetMm.x)}, Y ${length(offsetMm.y)}: at most ${length(gougeMm, 3)} into a tooth, ${length(toleranceMm)} are allowed`;
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
      ['Cut wrong', off ? cutWrong(restart, f.length) : 'nothing'],
      ['First', 'the air pass, then the rest of that level in two steps of half its depth'],
    ]),
    list([
      'Use the same blank in the same holding. Before you start, look at every tooth: a loss before that line is not in this program.',
      'Set X, Y and Z again: X and Y on the axis of the sprocket by the bore or the rim, Z on the top face.',
    ]),
  );
}
