import { Refusal } from '../model/refusal.js';
import { isAbsolute, join } from 'node:path';
import { completeCutter, cutterFaults, findCutter } from '../machines/cutters.js';
import { findMaterial } from '../machines/materials.js';
import type { Ladder } from '../plan/ladder/check.js';
import type { Cutter, Machine, Material } from '../model/machine.js';
import { PULL_TEST_TEMPLATE } from '../machines/learn/pull-test-file.js';
import { believed, learn, newEvidenceLog } from '../machines/learn/evidence.js';
import { findJobMachine } from '../job/machine.js';
import { jobErrorFrom } from '../text/fault.js';
import { QuantityError, parseQuantity } from '../text/quantity.js';
import { showText } from '../text/show.js';

import { sumLines } from '../post/rs274/envelope.js';
import { type CommonArgs, PathError, UserError, command } from './command.js';
import type { Env } from './env.js';
import { plural } from './say/format.js';
import { withOutputFolder } from './io/output-folder.js';
import { readTextFile } from './io/read-text.js';
import { readLog, retuneFiles } from './retune/files.js';
import { textTable } from './say/table.js';
import { UnknownNameError } from '../text/lookup.js';

interface LadderArgs extends CommonArgs {
  readonly machine: string;
  readonly material: string;
  readonly cutter: string;
  readonly out: string;
  readonly force?: boolean;
}

/** Edges in use, as jobs take them where they do not say. */
const WEAR_FACTOR = 1.3;
const MAX_FILE_BYTES = 256 * 1024;

export const ladder = command<LadderArgs>({
  name: 'ladder',
  usage: 'ladder',
  summary: 'Make a step-loss test on a scrap bar: programs, a sheet to fill in.',
  positionals: {},
  options: {
    machine: {
      type: 'string',
      requiresArg: true,
      demandOption: 'name a profile (gullet list machines) or a machine file',
      describe: 'machine profile, or a path to your own',
    },
    material: {
      type: 'string',
      requiresArg: true,
      demandOption: 'name the material of the bar (gullet list materials)',
      describe: 'material of the bar; best the one of the job',
    },
    cutter: {
      type: 'string',
      requiresArg: true,
      demandOption: 'name a cutter (gullet list cutters) or a diameter, as "6 mm"',
      describe: 'cutter of the table, or a diameter',
    },
    out: {
      type: 'string',
      requiresArg: true,
      default: 'out/ladder',
      describe: 'folder for the results, replaced as a whole',
    },
    force: {
      type: 'boolean',
      describe: 'write even where the folder holds files of other origin',
    },
  },
  examples: [
    [
      '$0 ladder --machine screw-gantry-light --material 42CrMo4 --cutter carbide-6mm-3fl',
      'both axes, on a bar of the job material',
    ],
  ],
  async run(args, env) {
    const machine = machineNamed(args.machine, env);
    const material = materialNamed(args.material);
    const cutter = cutterNamed(args.cutter);
    const files = retuneFiles('.', args.machine, machine.id, env.cwd);
    const stored = readLog(files.log, env);
    const log = stored?.log ?? newEvidenceLog(machine);
    const posterior = believed(learn(log, material.id));
    const digest = sumLines([JSON.stringify([machine, material.id, cutter, log])]);
    const [{ makeLadder }, { ladderSheet, outlook }, { ladderRecordText }] = await Promise.all([
      import('../plan/ladder/check.js'),
      import('../plan/ladder/sheet.js'),
      import('../plan/ladder/record.js'),
    ]);
    return withOutputFolder(args.out, env.cwd, args.force === true, async (commit) => {
      const input = { machine, material, cutter, believed: posterior, wearFactor: WEAR_FACTOR };
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
      const names = { machine: machine.id, material: material.id, cutter: args.cutter, digest };
      const out: Record<string, string> = {
        'ladder-sheet.html': ladderSheet(made, {
          machine,
          material,
          cutter,
          digest,
          date: env.today(),
        }),
      };
      for (const one of made) {
        out[`ladder-${one.plan.axis}.ngc`] = one.program.text;
        out[`ladder-${one.plan.axis}.json`] = ladderRecordText(one, {
          ...names,
          cutter: showText(args.cutter).replace(/[^\w .+-]/g, '_'),
        });
      }
      out['pull-test.yaml'] = PULL_TEST_TEMPLATE;
      commit(out);
      return {
        exit: 0,
        text: ladderText(
          made.map((ladder) => ({ ladder, outlook: outlook(ladder) })),
          refused,
          machine,
          material,
          args.out,
          Object.keys(out).sort(),
        ),
        json: {
          out: args.out,
          files: Object.keys(out).sort(),
          refused,
          ladders: made.map(({ plan, rungs, totalMin, trimPeakN, believedN, lossChance }) => ({
            axis: plan.axis,
            endsBecause: plan.endsBecause,
            barMm: plan.barMm,
            spindleRpm: plan.spindleRpm,
            feedMmPerMin: plan.feedMmPerMin,
            totalMin,
            trimPeakN,
            believedN,
            lossChance,
            rungs: rungs.map((r) => ({
              name: r.name,
              fromLine: r.fromLine,
              toLine: r.toLine,
              apMm: r.rung.apMm,
              cutN: r.peakN,
              demandN: r.rung.demandN,
            })),
          })),
        },
      };
    });
  },
});

/** What a ladder ends by, in a word or two. */
const ENDS: Readonly<Record<Ladder['plan']['endsBecause'], string>> = {
  limit: 'the limit believed',
  cutter: 'what the cutter bears',
  depth: 'the length of the flutes',
  power: 'the power of the spindle',
};

function machineNamed(name: string, env: Env): Machine {
  const key = { file: '--machine', place: null, key: 'machine' };
  try {
    const found = findJobMachine(
      name,
      {
        machineFile(path) {
          try {
            const file = isAbsolute(path) ? path : join('.', path);
            return { file: path, text: readTextFile(file, env.cwd, MAX_FILE_BYTES) };
          } catch (error) {
            if (!(error instanceof PathError)) throw error;
            return { file: path, problem: error.rule, fix: error.fix };
          }
        },
      },
      key,
    );
    if ('id' in found) return found;
    throw jobErrorFrom(found);
  } catch (error) {
    if (!(error instanceof UnknownNameError)) throw error;
    throw new UserError(`ladder: --machine: ${error.message} (gullet list machines shows all)`);
  }
}

function materialNamed(name: string): Material {
  try {
    return findMaterial(name);
  } catch (error) {
    if (!(error instanceof UnknownNameError)) throw error;
    throw new UserError(`ladder: --material: ${error.message} (gullet list materials shows all)`);
  }
}

/** Cutter of the table, or one filled in from a diameter. */
function cutterNamed(name: string): Cutter {
  if (/^\s*[\d.]/.test(name)) {
    try {
      const { cutter } = completeCutter({ diameterMm: parseQuantity(name, 'length') });
      const fault = cutterFaults(cutter)[0];
      if (!fault) return cutter;
      throw new UserError(`ladder: --cutter "${showText(name)}" ${fault.rule}; ${fault.fix}`);
    } catch (error) {
      if (!(error instanceof QuantityError)) throw error;
      throw new UserError(`ladder: --cutter "${showText(name)}" ${error.rule}; ${error.fix}`);
    }
  }
  try {
    return findCutter(name);
  } catch (error) {
    if (!(error instanceof UnknownNameError)) throw error;
    throw new UserError(`ladder: --cutter: ${error.message} (gullet list cutters shows all)`);
  }
}

function ladderText(
  made: readonly { readonly ladder: Ladder; readonly outlook: string }[],
  refused: readonly string[],
  machine: Machine,
  material: Material,
  out: string,
  files: readonly string[],
): string {
  const lines = [`Step-loss ladder: ${machine.title}, ${material.title}`];
  for (const {
    ladder: { plan, rungs, totalMin },
    outlook,
  } of made) {
    lines.push(
      '',
      `${plan.axis.toUpperCase()}: ${plural(rungs.length, 'rung')}, ${totalMin.toFixed(0)} min of running; bar ${plan.barMm.x} x ${plan.barMm.y} x ${plan.barMm.thicknessMm} mm; ends by ${ENDS[plan.endsBecause]}`,
      ...textTable(
        ['rung', 'line', 'depth mm', 'cutting N', 'thrust asked N'],
        rungs.map((r) => [
          r.name,
          r.fromLine,
          r.rung.apMm.toFixed(2),
          Math.round(r.peakN),
          Math.round(r.rung.demandN),
        ]),
      )
        .split('\n')
        .map((line) => `  ${line}`),
      ...outlook.split(/(?<=\.) /).map((sentence) => `  ${sentence}`),
    );
  }
  for (const reason of refused) lines.push('', `Left out: ${reason}.`);
  lines.push(
    '',
    'Forces are calculated; every rung was replayed from the text of its program.',
    `Wrote ${plural(files.length, 'file')} to ${out}: ${files.join(', ')}`,
    'Read ladder-sheet.html first, and take it to the machine to fill in.',
    'pull-test.yaml is for a pull with a spring scale, before or in place of the ladder.',
  );
  return lines.join('\n');
}
