import { listSources } from '../text/sources.js';
import { cutterFileText } from '../job/cutter-file.js';
import { findCutter, listCutters } from '../machines/cutters.js';
import { machineFileText } from '../machines/machine-file.js';
import { findMachine, listMachines } from '../machines/machines.js';
import { listMaterials, otherMaterialNames } from '../machines/materials.js';
import { TOLD_FEED_MM_PER_MIN, thrustAtN } from '../machines/bear/thrust.js';
import { findController, listControllers } from '../post/control/controllers.js';
import { CHAINS, type ChainFigure } from '../profile/chain/chains.js';
import type { Machine } from '../model/machine.js';
import { type CommandResult, type CommonArgs, UserError, command } from './command.js';
import { UnknownNameError } from '../text/lookup.js';
import { MM_PER_INCH } from '../text/units.js';
import { type LengthUnit, textTable } from '../say/format.js';

const TABLES = ['machines', 'materials', 'chains', 'cutters', 'controllers', 'sources'] as const;
type Table = (typeof TABLES)[number];

interface ListArgs extends CommonArgs {
  readonly table: Table;
  readonly name?: string;
  readonly 'as-file'?: boolean;
}

export const list = command<ListArgs>({
  name: 'list',
  usage: 'list <table> [name]',
  summary:
    'Show what a job can name: machines, materials, chains, cutters, controllers; and sources.',
  positionals: {
    table: { type: 'string', choices: TABLES, describe: 'which table' },
    name: { type: 'string', describe: 'one machine or cutter, with --as-file' },
  },
  options: {
    'as-file': {
      type: 'boolean',
      describe: 'print a machine or a cutter as a file of your own, to edit and to name in a job',
    },
  },
  examples: [
    ['$0 list machines', 'machine profiles'],
    ['$0 list chains --units in', 'chains in inches'],
    ['$0 list machines screw-gantry-light --as-file > mine.yaml', 'a profile to edit'],
  ],
  run({ table, units, name, 'as-file': asFile }) {
    if (asFile) return fileResult(table, name);
    if (name !== undefined) {
      throw new UserError(
        'list: a name belongs to --as-file; add --as-file, or leave the name out',
      );
    }
    const { rows, text } = PRINTERS[table](units);
    return { exit: 0, text, json: rows };
  },
});

/** A row as a file that a job can name. */
function fileResult(table: Table, name: string | undefined): CommandResult {
  if (table !== 'machines' && table !== 'cutters') {
    throw new UserError(
      `list: --as-file is for machines and cutters, not for ${table}; leave it out`,
    );
  }
  if (name === undefined) {
    throw new UserError(`list: --as-file needs a name; gullet list ${table} shows all`);
  }
  const text = table === 'machines' ? machineText(name) : cutterText(name);
  return { exit: 0, text: text.trimEnd(), json: { name, text } };
}

const HOW = 'Edit it, and name it in a job by its path:';

function machineText(name: string): string {
  const machine = orUserError(() => findMachine(name));
  const heading = [
    `From the profile ${machine.id}. ${HOW} machine: ./mine.yaml`,
    `A file may also say no more than "basedOn: ${machine.id}" and what differs: one thrustN an axis is enough.`,
  ];
  return machineFileText({ ...machine, id: `my-${machine.id}` }, heading.join('\n'));
}

function cutterText(name: string): string {
  const cutter = orUserError(() => findCutter(name));
  return cutterFileText(cutter, `From ${cutter.id}. ${HOW} cutter: { file: ./mine.yaml }`);
}

function orUserError<T>(find: () => T): T {
  try {
    return find();
  } catch (error) {
    if (!(error instanceof UnknownNameError)) throw error;
    throw new UserError(`list: ${error.message}; gullet list shows all`);
  }
}

type Printer = (units: LengthUnit) => { readonly rows: readonly unknown[]; readonly text: string };

/** Unit of lengths as a heading shows it. */
function unitName(units: LengthUnit): string {
  return units === 'both' ? 'mm / in' : units;
}

/** Length in the unit asked for, without its name: the heading has it. */
function inUnit(mm: number, units: LengthUnit, digits = 2): string {
  const inches = (mm / MM_PER_INCH).toFixed(digits + 2);
  if (units === 'in') return inches;
  return units === 'both' ? `${mm.toFixed(digits)} / ${inches}` : mm.toFixed(digits);
}

type Column<T> = readonly [heading: string, cell: (row: T) => string | number | null];

function tableOf<T>(rows: readonly T[], columns: readonly Column<T>[]): string {
  const cells = rows.map((row) => columns.map(([, cell]) => cell(row)));
  return textTable(
    columns.map(([heading]) => heading),
    cells,
  );
}

/** How well a figure is known, behind it. */
const MARK = { sourced: '', memory: '*', low: '?' } as const;
const MARKS =
  '* from memory, no printed source at hand. ? not to be trusted: measure. Sources: --json.';

const PRINTERS: Readonly<Record<Table, Printer>> = {
  machines(units) {
    const rows = listMachines();
    const thrust = (m: Machine, axis: 'x' | 'y') =>
      thrustAtN(m, axis, TOLD_FEED_MM_PER_MIN).toFixed(0);
    const text = tableOf(rows, [
      ['machine', (m) => m.id],
      [
        `travel X x Y x Z ${unitName(units)}`,
        ({ travelMm: { x, y, z } }) => [x, y, z].map((t) => inUnit(t, units, 0)).join(' x '),
      ],
      ['thrust X, Y N *', (m) => `${thrust(m, 'x')}, ${thrust(m, 'y')}`],
      ['spindle rpm', ({ spindle }) => `${spindle.minRpm} to ${spindle.maxRpm}`],
      ['W', (m) => m.spindle.powerW],
      ['engagement deg', (m) => m.limits.maxEngagementDeg],
      [`stepdown ${unitName(units)}`, (m) => inUnit(m.limits.maxStepdownMm, units)],
      ['controller', (m) => findController(m.controller).id],
    ]);
    const titles = rows.map((m) => `  ${m.id}: ${m.title}`).join('\n');
    const notes = [
      `* before steps are lost, at ${TOLD_FEED_MM_PER_MIN} mm/min; a plan uses a share of it.`,
      'Where each figure comes from: --json. Your own machine: a file with basedOn and your figures.',
    ];
    return { rows, text: [text, '', titles, '', ...notes].join('\n') };
  },

  materials() {
    const rows = listMaterials().map((m) => ({ ...m, otherNames: otherMaterialNames(m.id) }));
    const text = tableOf(rows, [
      ['material', (m) => `${m.id} ${MARK[m.confidence]}`.trimEnd()],
      ['condition', (m) => m.condition],
      ['hardness', (m) => m.hardness],
      ['kc1.1 N/mm2', (m) => m.kc11NPerMm2],
      ['mc', (m) => m.mc],
      ['carbide m/min', ({ surfaceSpeedMPerMin: { low, high } }) => `${low} to ${high}`],
      ['also', (m) => m.otherNames.join(', ')],
    ]);
    return { rows, text: `${text}\n\n${MARKS}` };
  },

  chains(units) {
    const figure = ({ value, confidence }: ChainFigure, show: (v: number) => string) =>
      value === null ? null : `${show(value)} ${MARK[confidence ?? 'low'].padStart(1)}`;
    const length = (f: ChainFigure) => figure(f, (mm) => inUnit(mm, units));
    const unit = unitName(units);
    const pitchDigits = units === 'in' ? 2 : 3;
    const text = tableOf(CHAINS, [
      ['chain', (c) => c.designation],
      [`pitch ${unit}`, (c) => figure(c.pitchMm, (mm) => inUnit(mm, units, pitchDigits))],
      [`roller ${unit}`, (c) => length(c.rollerDiameterMm)],
      [`inner width ${unit}`, (c) => length(c.innerWidthMm)],
      [`pin ${unit}`, (c) => length(c.pinDiameterMm)],
      [`plate depth ${unit}`, (c) => length(c.plateDepthMm)],
      ['strength kN', (c) => figure(c.minTensileN, (n) => (n / 1000).toFixed(1))],
    ]);
    return { rows: CHAINS, text: `${text}\n\n${MARKS}` };
  },

  sources() {
    const rows = listSources();
    const chains = CHAINS.map(({ designation, source }) => ({ designation, source }));
    const text = [
      'Numbers as in [7], where a figure is explained:',
      ...rows.map(({ number, full }) => `${String(number).padStart(4)}  ${full}`),
      '',
      'chains, by designation:',
      ...chains.map(({ designation, source }) => `  ${designation}: ${source}`),
      '',
      'Machines, materials, cutters, controllers: every figure has its source under --json.',
    ].join('\n');
    return { rows: [...rows, ...chains], text };
  },

  cutters(units) {
    const rows = listCutters();
    const unit = unitName(units);
    const text = tableOf(rows, [
      ['cutter', (c) => c.id],
      [`diameter ${unit}`, (c) => inUnit(c.diameterMm, units, 3)],
      ['flutes', (c) => c.flutes],
      ['material', (c) => c.material],
      [`flute length ${unit}`, (c) => inUnit(c.fluteLengthMm, units, 1)],
      [`stick-out ${unit}`, (c) => inUnit(c.stickOutMm, units, 1)],
      [`shank ${unit}`, (c) => inUnit(c.shankDiameterMm, units, 3)],
      ['helix deg', (c) => c.helixDeg],
    ]);
    const note =
      'A job gives its own cutter; what it leaves out is taken from the nearest of these.';
    return { rows, text: `${text}\n\n${note}` };
  },

  controllers() {
    const rows = listControllers();
    const text = tableOf(rows, [
      ['controller', (c) => c.id],
      ['what it is', (c) => c.title],
      ['line', (c) => c.maxLineLength],
      ['end', (c) => c.programEnd],
      ['dwell', (c) => c.dwellUnit],
      ['probe', (c) => (c.probe ? 'yes' : 'no')],
      ['blocks/s', (c) => c.maxBlocksPerS],
    ]);
    return { rows, text };
  },
};
