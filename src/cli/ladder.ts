import { Refusal } from '../model/refusal.js';
import { findMaterial } from '../machines/materials.js';
import type { Ladder } from '../plan/ladder/check.js';
import { PULL_TEST_TEMPLATE } from '../machines/learn/pull-test.js';
import { learn, newEvidenceLog } from '../machines/learn/evidence.js';
import { showText } from '../text/show.js';
import { ladderFile } from '../post/file-names.js';
import { sumLines } from '../post/rs274/envelope.js';
import { type CommonArgs, FORCE, command, textOption } from './command.js';
import { cutterNamed, machineNamed, named } from './named.js';
import { plural, textTable } from '../say/format.js';
import { withOutputFolder, wroteLine } from './io/output-folder.js';
import { readLog, retuneFiles } from './retune/files.js';
import { indent } from './retune/parts.js';

interface LadderArgs extends CommonArgs {
  readonly machine: string;
  readonly material: string;
  readonly cutter: string;
  readonly out: string;
  readonly force?: boolean;
}

export const ladder = command<LadderArgs>({
  name: 'ladder',
  usage: 'ladder',
  summary: 'Make a step-loss test on a scrap bar: programs, a sheet to fill in.',
  positionals: {},
  options: {
    machine: textOption('machine profile, or a path to your own', {
      demandOption: 'name a profile (gullet list machines) or a machine file',
    }),
    material: textOption('material of the bar; best the one of the job', {
      demandOption: 'name the material of the bar (gullet list materials)',
    }),
    cutter: textOption('cutter of the table, or a diameter', {
      demandOption: 'name a cutter (gullet list cutters) or a diameter, as "6 mm"',
    }),
    out: textOption('folder for the results, replaced as a whole', { default: 'out/ladder' }),
    force: FORCE,
  },
  examples: [
    [
      '$0 ladder --machine screw-gantry-light --material 42CrMo4 --cutter carbide-6mm-3fl',
      'both axes, on a bar of the job material',
    ],
  ],
  async run(args, env) {
    const machine = machineNamed('ladder', args.machine, env);
    const material = named('ladder', 'material', () => findMaterial(args.material));
    const cutter = cutterNamed('ladder', args.cutter);
    const files = retuneFiles('.', args.machine, machine.id, env.cwd);
    const log = readLog(files.log, env)?.log ?? newEvidenceLog(machine);
    const digest = sumLines([JSON.stringify([machine, material.id, cutter, log])]);
    const [{ makeLadder }, { ladderSheet, outlook }, { ladderRecordText }] = await Promise.all([
      import('../plan/ladder/check.js'),
      import('../plan/ladder/sheet.js'),
      import('../plan/ladder/record.js'),
    ]);
    return withOutputFolder(args.out, env.cwd, args.force, async (commit) => {
      const believed = learn(log).after;
      const input = { machine, material, cutter, believed };
      const made: Ladder[] = [];
      const refused: string[] = [];
      for (const axis of ['x', 'y'] as const) {
        try {
          made.push(makeLadder(input, axis, digest));
        } catch (error) {
          if (!(error instanceof Refusal)) throw error;
          refused.push(error.message);
        }
      }
      if (made.length === 0) throw new Refusal('no-ladder', refused.join('; '));
      const cutterName = showText(args.cutter).replace(/[^\w .+-]/g, '_');
      const names = { machine: machine.id, material: material.id, digest, cutter: cutterName };
      const subject = { machine, material, cutter, digest, date: env.today() };
      const out: Record<string, string> = {
        'ladder-sheet.html': ladderSheet(made, subject),
        'pull-test.yaml': PULL_TEST_TEMPLATE,
      };
      for (const one of made) {
        out[ladderFile(one.plan.axis)] = one.program.text;
        out[`ladder-${one.plan.axis}.json`] = ladderRecordText(one, names);
      }
      const written = commit(out);
      const blocks = [
        `Step-loss ladder: ${machine.title}, ${material.title}`,
        ...made.map((one) => ladderText(one, outlook(one))),
        ...refused.map((reason) => `Left out: ${reason}.`),
        `Forces are calculated; every rung was replayed from the text of its program.\n${wroteLine(args.out, written)}\n${CLOSING}`,
      ];
      return {
        exit: 0,
        text: blocks.join('\n\n'),
        json: { out: args.out, files: written, refused, ladders: made.map(ladderFigures) },
      };
    });
  },
});

const CLOSING = `Read ladder-sheet.html first, and take it to the machine to fill in.
pull-test.yaml is for a pull with a spring scale, before or in place of the ladder.`;

/** What of a ladder goes into --json. */
function ladderFigures({ plan, rungs, totalMin, trimPeakN, believedN, lossChance }: Ladder) {
  const { axis, endsBecause, barMm, spindleRpm, feedMmPerMin } = plan;
  return {
    ...{ axis, endsBecause, barMm, spindleRpm, feedMmPerMin },
    ...{ totalMin, trimPeakN, believedN, lossChance },
    rungs: rungs.map(({ name, fromLine, toLine, peakN, rung: { apMm, demandN } }) => {
      return { name, fromLine, toLine, apMm, cutN: peakN, demandN };
    }),
  };
}

/** What a ladder ends by, in a word or two. */
const ENDS: Readonly<Record<Ladder['plan']['endsBecause'], string>> = {
  limit: 'the limit believed',
  cutter: 'what the cutter bears',
  depth: 'the length of the flutes',
  power: 'the power of the spindle',
};

function ladderText({ plan, rungs, totalMin }: Ladder, outlook: string): string {
  const { x, y, thicknessMm } = plan.barMm;
  const table = textTable(
    ['rung', 'line', 'depth mm', 'cutting N', 'thrust asked N'],
    rungs.map(({ name, fromLine, rung, peakN }) => {
      return [name, fromLine, rung.apMm.toFixed(2), Math.round(peakN), Math.round(rung.demandN)];
    }),
  );
  return [
    `${plan.axis.toUpperCase()}: ${plural(rungs.length, 'rung')}, ${totalMin.toFixed(0)} min of running; bar ${x} x ${y} x ${thicknessMm} mm; ends by ${ENDS[plan.endsBecause]}`,
    indent(table),
    indent(outlook.replaceAll('. ', '.\n')),
  ].join('\n');
}
